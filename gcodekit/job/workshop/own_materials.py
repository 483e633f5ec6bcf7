"""Materials of the workshop's own: `[[material]]`, whole or as what differs from another."""

from __future__ import annotations

import math
from typing import Any

from gcodekit.job.document.wording import listed, quoted
from gcodekit.job.keys import material_keys
from gcodekit.job.keys.reading import Table
from gcodekit.trade.materials import Material, Speeds, find_material, near_materials

# Surface speeds stand in m/min, in an inch file in feet a minute.
METRES_PER_FOOT = 0.3048
# Of the material's figures, by what they are called in the file.
_SPEEDS = {"milling": "mill", "drilling": "drill", "reaming": "ream"}
_NUMBERS = {"density": "density", "chip_load": "chip", "drill_feed": "drill_feed"}
_NUMBERS |= {"slot_depth": "slot", "peck": "peck", "energy": "energy"}
_NEEDED = ("density", "milling", "drilling", "reaming", "chip_load", "drill_feed")
# What may be left out even without another material to be like: common practice, no source.
_USUAL = {"slot": 0.12, "peck": 0.5, "ramp": 1.5}


def read_materials(workshop: Table) -> tuple[Material, ...]:
    """Every material of the file that can be read."""
    found: list[Material] = []
    for table in workshop.tables("material", material_keys.MATERIAL):
        material = _material(table, tuple(found))
        if material is not None:
            found.append(material)
    return tuple(found)


def _material(table: Table, earlier: tuple[Material, ...]) -> Material | None:
    table.checked()
    name, like = table.text("name"), _like(table, earlier)
    aliases = table.texts("aliases") if table.has("aliases") else ()
    for word in (name, *(aliases or ())):
        _check_word(table, word, earlier)
    given = _given(table, like)
    force = _force(table, like)
    if name is None or aliases is None or (table.has("like") and like is None):
        return None
    missing = [] if like else [key for key in _NEEDED if not table.has(key)]
    if like is None and force is None and not table.given("kc", "mc", "energy"):
        missing.append("kc")
    if missing:
        text = f"{quoted(name)} lacks {listed(missing, 'and')}"
        table.error("", text, 'give them, or like = "mild steel" and only what differs')
        return None
    if None in given.values() or force is None:
        return None
    start = {} if like is None else {key: getattr(like, key) for key in Material.__slots__}
    if any(key in given for key in _SPEEDS.values()):
        start["source_speeds"] = f"{table.source.place(table.path)}"
    start |= {**({} if like else _USUAL), **given, **force}
    start |= {"name": name, "aliases": aliases}
    for source in ("source_speeds", "source_chip", "source_kc"):
        start.setdefault(source, f"{table.source.place(table.path)}")
    return Material(**start)


def _like(table: Table, earlier: tuple[Material, ...]) -> Material | None:
    """The material that this one is like."""
    word = table.text("like")
    if word is None:
        return None
    material = find_material(word, earlier)
    if material is None:
        table.error("like", f"{quoted(word)} is not known", near_materials(word, earlier))
    return material


def _check_word(table: Table, word: str | None, earlier: tuple[Material, ...]) -> None:
    """A name that means another material already."""
    known = find_material(word, earlier) if word else None
    if known is not None and word is not None:
        table.error(
            "name" if word == table.text("name") else "aliases",
            f"{quoted(word)} is already taken by {known.name}",
            f'choose another name; like = "{known.name}" takes its figures',
        )


def _given(table: Table, like: Material | None) -> dict[str, Any]:
    """The figures that the file gives, None for one that is at fault."""
    found: dict[str, Any] = {
        own: table.number(key) for key, own in _NUMBERS.items() if table.has(key)
    }
    found.pop("energy", None)
    if table.has("ramp"):
        angle = table.angle("ramp")
        found["ramp"] = None if angle is None else math.degrees(angle)
    for key, own in _SPEEDS.items():
        if table.has(key):
            found[own] = _speeds(table, key, getattr(like, own) if like else None)
    return found


def _speeds(table: Table, key: str, like: Speeds | None) -> Speeds | None:
    """Surface speeds in m/min; one left out is the other material's, carbide else three times."""
    inner = table.table(key, material_keys.OF_TOOLS[key])
    if inner is None:
        return None
    scale = METRES_PER_FOOT if table.source.units == "inch" else 1.0
    hss, carbide = (
        (speed * scale if (speed := inner.number(tool)) is not None else None)
        for tool in ("hss", "carbide")
    )
    if like is not None:
        hss = like.hss if hss is None and not inner.has("hss") else hss
        carbide = like.carbide if carbide is None and not inner.has("carbide") else carbide
    for tool, speed in (("hss", hss), ("carbide", carbide)):
        # what a misspelt `like` would have given is not missing
        if speed is None and not inner.has(tool) and not table.has("like"):
            inner.error(tool, "is missing", "give both hss and carbide")
    return None if hss is None or carbide is None else Speeds(hss=hss, carbide=carbide)


def _force(table: Table, like: Material | None) -> dict[str, Any] | None:
    """kc1.1 with its mc, or an energy; None where they are at fault or not said."""
    given = table.given("kc", "mc", "energy")
    if not given:
        return None if like is None else {"kc": like.kc, "energy": like.energy}
    if "energy" in given:
        if len(given) > 1:
            text = "energy and kc are both given"
            table.error("energy", text, "give either kc with mc, or energy")
            return None
        energy = table.number("energy")
        return None if energy is None else {"kc": None, "energy": energy}
    if len(given) == 1:
        missing = "mc" if given == ["kc"] else "kc"
        table.error(missing, "is missing", "give kc and mc together, from the same table")
        return None
    kc, mc = table.number("kc"), table.number("mc")
    return None if kc is None or mc is None else {"kc": (kc, mc), "energy": None}
