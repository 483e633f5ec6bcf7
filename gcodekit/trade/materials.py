"""Materials a job may name, from the data file beside this module."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from gcodekit.expr import nearest
from gcodekit.trade.cutter import ToolMaterial


@dataclass(frozen=True, slots=True, kw_only=True)
class Speeds:
    """Surface speeds in m/min for high-speed steel and for carbide."""

    hss: float
    carbide: float

    def of(self, tool: ToolMaterial) -> float:
        """The speed for a cutter of this material."""
        return self.carbide if tool == "carbide" else self.hss


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """The cutting data of a material, and their sources.

    Parameters
    ----------
    density : kg/m3
    modulus : of elasticity, N/mm2; None where it is not known
    mill, drill, ream : surface speeds, m/min
    chip : feed per tooth of a full-width cut, as a fraction of the cutter's diameter
    drill_feed : feed per turn, as a fraction of the drill's diameter
    slot : depth of a full-width cut on a light machine, as a fraction of the diameter
    peck : depth of one peck, as a fraction of the drill's diameter
    ramp : steepest ramp, degrees
    kc : kc1.1 in N/mm2 and mc of Kienzle's formula; None where no figure is sure enough
    energy : J/mm3 at the cutter, where `kc` is None
    """

    name: str
    aliases: tuple[str, ...]
    density: float
    modulus: float | None = None
    mill: Speeds
    drill: Speeds
    ream: Speeds
    chip: float
    drill_feed: float
    slot: float
    peck: float
    ramp: float
    kc: tuple[float, float] | None = None
    energy: float | None = None
    source_speeds: str
    source_chip: str
    source_kc: str

    def specific_force(self, chip: float) -> float:
        """Cutting force per chip section, N/mm2, at a chip thickness in mm.

        Source: kc = kc1.1 h**-mc (Kienzle), from memory of machining textbooks. 1 J/mm3 is
        1000 N/mm2.
        """
        if self.kc is not None:
            kc11, mc = self.kc
            return float(kc11 * max(chip, 0.001) ** -mc)
        return 1000 * (self.energy or 0.0)

    @property
    def force_exponent(self) -> float:
        """mc: by how much the specific force falls as the chip thickens; 0 where not known."""
        return self.kc[1] if self.kc is not None else 0.0


@cache
def materials() -> tuple[Material, ...]:
    """Every material of the table."""
    text = files("gcodekit.trade").joinpath("data/materials.toml").read_text(encoding="utf-8")
    return tuple(_material(entry) for entry in tomllib.loads(text)["material"])


def _material(entry: dict[str, Any]) -> Material:
    read: dict[str, Any] = dict(entry, aliases=tuple(entry["aliases"]))
    for key in ("mill", "drill", "ream"):
        read[key] = Speeds(**entry[key])
    if "kc" in entry:
        read["kc"] = tuple(entry["kc"])
    return Material(**read)


def material_names() -> tuple[str, ...]:
    """The names of the table, aliases left out."""
    return tuple(material.name for material in materials())


def find_material(name: str, own: tuple[Material, ...] = ()) -> Material | None:
    """The material of this name or alias, one of a workshop's `own` among them; capitals, spaces
    and hyphens do not count.

    Examples
    --------
    >>> material = find_material("en1a leaded")
    >>> material and material.name
    'free-cutting steel'
    """
    return _words(own).get(_plain(name))


def near_materials(name: str, own: tuple[Material, ...] = ()) -> str:
    """Return the nearest materials to an unknown name, as a hint.

    Examples
    --------
    >>> near_materials("EN1A lead"), near_materials("alu")
    ('did you mean "free-cutting steel"?', 'did you mean "aluminium"?')
    """
    names, words = (*(m.name for m in own), *material_names()), _words(own)
    plain = _plain(name)
    sorts = [n for n in names if _plain(n).endswith(plain)]
    if len(plain) > 3 and len(sorts) > 1:
        return f"say which: {', '.join(sorts)}"
    close = nearest(name, names)
    if close is None:
        begun = (word for word in words if len(plain) > 1 and word.startswith(plain))
        word = next(begun, None) or nearest(plain, words)
        close = words[word].name if word else None
    return f'did you mean "{close}"?' if close else f"known: {', '.join(names)}"


@cache
def _by_word() -> dict[str, Material]:
    return {_plain(word): m for m in materials() for word in (m.name, *m.aliases)}


def _words(own: tuple[Material, ...]) -> dict[str, Material]:
    return {_plain(word): m for m in own for word in (m.name, *m.aliases)} | _by_word()


def _plain(word: str) -> str:
    return "".join(c for c in word.lower() if c not in " -_.")
