"""The cutters of a workshop file, and what a cutter is like where the file does not say.

What is left out follows the habit of catalogues, on the safe side: flutes rather short,
shanks rather thick (common practice, no source).
"""

from __future__ import annotations

import math
from typing import Literal, cast

from gcodekit.errors import Place
from gcodekit.job.document.wording import one, quoted
from gcodekit.job.keys import workshop_keys
from gcodekit.job.keys.reading import Table
from gcodekit.trade.cutter import FLAT_TIPPED, Cutter, CutterKind, Holder, Nut

# Flute length as a multiple of the diameter.
_FLUTE_LENGTH = {
    "drill": 8.0,
    "reamer": 4.0,
    "tap": 3.0,
    "face mill": 0.2,
    "fly cutter": 0.2,
    "chamfer mill": 0.5,
    "engraving cutter": 0.5,
}
_FLUTES = {"roughing end mill": 4, "reamer": 6, "face mill": 4, "fly cutter": 1, "boring head": 1}
_FLUTES |= {"engraving cutter": 1, "slitting saw": 32}
_TIP_ANGLE = {"drill": 118.0, "spot drill": 90.0, "chamfer mill": 90.0, "engraving cutter": 60.0}
_TIP_ANGLE |= {"thread mill": 60.0}
# The flat of an internal thread's root, of the pitch: ISO 68-1, from memory.
_TIP_FLAT = 1 / 8
_PLUNGES = ("ball-nose end mill", "drill", "spot drill")
# Smaller end mills are ground on shanks of this size.
_LEAST_SHANK = 6.0
_HELD_LENGTH = 10.0  # between flutes and holder
# Length of what is below a saw's blade: the head of a cap screw and its washer.
_NUT_LENGTH = 8.0


def read_cutters(workshop: Table) -> tuple[tuple[Cutter, ...], dict[int, Place]]:
    """The rack: every cutter and the place it is described at."""
    rack: dict[int, Cutter] = {}
    places: dict[int, Place] = {}
    names: dict[str, int] = {}
    for table in workshop.tables("cutter", workshop_keys.CUTTER):
        cutter = read_cutter(table)
        if cutter is None:
            continue
        if cutter.number in rack:
            table.error(
                "number",
                f"cutter {cutter.number} is already given",
                f"use another number; line {places[cutter.number].line} has this one",
            )
        elif cutter.name in names and table.has("name"):
            table.error(
                "name",
                f"{quoted(cutter.name)} is already the name of cutter {names[cutter.name]}",
                "rename one",
            )
        else:
            rack[cutter.number] = cutter
            places[cutter.number] = table.source.place(table.path)
            names[cutter.name] = cutter.number
    return tuple(rack.values()), places


def _flute_length(kind: str, diameter: float, tip_angle: float) -> float:
    """Find what is usual, mm; a chamfer or engraving cutter cuts on all of its cone at least."""
    usual = _FLUTE_LENGTH.get(kind, 2.0) * diameter
    if kind in ("chamfer mill", "engraving cutter"):
        return max(usual, diameter / 2 / math.tan(tip_angle / 2))
    return usual


def read_cutter(table: Table) -> Cutter | None:
    """One cutter."""
    table.checked()
    number, diameter = table.count("number"), table.length("diameter")
    kind = cast("CutterKind | None", table.choice("kind"))
    if number is None or diameter is None or kind is None:
        return None
    flutes = table.count("flutes") or _FLUTES.get(kind, 2)
    tip_angle = _tip_angle(table, kind)
    thickness = table.length("thickness")
    flute_length = table.length("flute_length") or _flute_length(kind, diameter, tip_angle)
    if kind == "slitting saw" and thickness is not None:
        flute_length = _blade(table, thickness)
    reach = table.length("reach")
    stickout = table.length("stickout") or max(flute_length, reach or 0.0) + _HELD_LENGTH
    shank = table.length("shank") or _shank(kind, diameter)
    cutter = Cutter(
        number=number,
        name=table.text("name") or f"{table.source.say(diameter)} {kind}",
        kind=kind,
        diameter=diameter,
        flutes=flutes,
        material=cast("Literal['hss', 'carbide']", table.choice("material") or "hss"),
        flute_length=flute_length,
        stickout=stickout,
        shank=shank,
        reach=reach,
        neck=_neck(table, diameter),
        holder=_holder(table),
        centre_cutting=_plunges(table, kind, flutes),
        corner_radius=_corner_radius(table, kind, diameter),
        tip_angle=tip_angle,
        tip_flat=_tip_flat(table, kind, tip_angle, flute_length),
        tip_diameter=_tip_diameter(table, kind, diameter),
        pitch=table.length("pitch"),
        lead=_lead(table, kind, diameter),
        fit=table.text("fit"),
        thickness=thickness,
        range=_range(table, kind),
        nut=_nut(table, kind, shank),
    )
    _check(table, cutter)
    return cutter


def _shank(kind: str, diameter: float) -> float:
    if "end mill" in kind:
        return max(diameter, _LEAST_SHANK)
    return diameter if kind not in ("face mill", "fly cutter", "slitting saw") else diameter / 2


def _neck(table: Table, diameter: float) -> float | None:
    """A relieved neck's diameter."""
    neck = table.length("neck")
    if neck is not None and not table.has("reach"):
        table.error("neck", "the length of the neck is missing", "add reach")
    elif neck is not None and neck > diameter:
        most = table.source.say(diameter)
        table.error("neck", "is wider than the cutter", f"give at most {most}")
    return neck


def _tip_flat(table: Table, kind: str, tip_angle: float, flute_length: float) -> float:
    """The flat at the tips of a thread mill's teeth; a single row is ground for any pitch."""
    flat, pitch = table.length("tip_flat"), table.length("pitch")
    if kind != "thread mill":
        if flat is not None:
            table.warn("tip_flat", f"does not apply to {one(kind)} and is ignored", "remove it")
        return 0.0
    if flat is None and pitch is None and not table.given("tip_flat", "pitch"):
        table.error(
            "tip_flat",
            "is missing",
            "add the width of the tooth's flat tip, or the pitch if there are several rows of "
            "teeth",
        )
    flat = _TIP_FLAT * (pitch or 0.0) if flat is None else flat
    base = pitch or flute_length
    if flat >= base:
        table.error(
            "tip_flat", "is as wide as the tooth", f"give less than {table.source.say(base)}"
        )
    return flat


def _holder(table: Table) -> Holder | None:
    holder = table.table("holder", workshop_keys.HOLDER)
    if holder is None:
        return None
    diameter, length = holder.length("diameter"), holder.length("length")
    return None if diameter is None or length is None else Holder(diameter, length)


def _blade(table: Table, thickness: float) -> float:
    """The height that a saw cuts over, mm: all of its blade, and no more."""
    if table.has("flute_length"):
        table.warn("flute_length", "does not apply to a slitting saw and is ignored", "remove it")
    return thickness


def _nut(table: Table, kind: str, shank: float) -> Nut | None:
    """The nut below a saw's blade, at least as wide as its arbor unless the file says otherwise."""
    found = table.table("nut", workshop_keys.NUT)
    if kind != "slitting saw":
        if found is not None:
            table.warn("nut", f"does not apply to {one(kind)} and is ignored", "remove it")
        return None
    if found is None:
        return Nut(shank, _NUT_LENGTH)
    diameter, length = found.length("diameter"), found.length("length")
    return None if not diameter or not length else Nut(diameter, length)


def _plunges(table: Table, kind: str, flutes: int) -> bool:
    """Two and three flutes cut to the centre by habit; more do not."""
    if table.has("centre_cutting"):
        return table.flag("centre_cutting")
    return kind in _PLUNGES or (kind in ("end mill", "bull-nose end mill") and flutes <= 3)


def _corner_radius(table: Table, kind: str, diameter: float) -> float:
    radius = table.length("corner_radius") or 0.0
    if kind == "bull-nose end mill" and not radius and not table.has("corner_radius"):
        table.error("corner_radius", "is missing", "add corner_radius")
    if radius and kind != "bull-nose end mill":
        table.error(
            "corner_radius",
            f"does not apply to {one(kind)}",
            'remove it, or use kind = "bull-nose end mill"',
        )
    elif radius > diameter / 2:
        say = table.source.say
        table.error(
            "corner_radius",
            f"{say(radius)} is more than the radius of the cutter",
            f"use at most {say(diameter / 2)}",
        )
    return radius


def _tip_angle(table: Table, kind: str) -> float:
    angle = table.angle("tip_angle")
    if angle is not None and kind not in _TIP_ANGLE:
        table.warn("tip_angle", f"does not apply to {one(kind)} and is ignored", "remove it")
        return math.pi
    return angle if angle is not None else math.radians(_TIP_ANGLE.get(kind, 180.0))


def _tip_diameter(table: Table, kind: str, diameter: float) -> float:
    wide = table.length("tip_diameter") or 0.0
    if wide and kind not in FLAT_TIPPED:
        table.error(
            "tip_diameter",
            f"does not apply to {one(kind)}",
            'remove it, or use kind = "engraving cutter" or "chamfer mill"',
        )
    elif wide >= diameter:
        say = table.source.say
        table.error(
            "tip_diameter",
            f"{say(wide)} is not less than the diameter of the cutter",
            f"give less than {say(diameter)}",
        )
    else:
        return wide
    return 0.0


def _lead(table: Table, kind: str, diameter: float) -> float:
    """A machine reamer's chamfer is about a millimetre; a second tap's lead is four pitches."""
    lead = table.length("lead")
    if kind == "reamer":
        return min(1.0, diameter / 4) if lead is None else lead
    if kind == "tap":
        return 4 * (table.length("pitch") or 0.0) if lead is None else lead
    if lead:
        table.warn("lead", f"does not apply to {one(kind)} and is ignored", "remove it")
    return 0.0


def _range(table: Table, kind: str) -> tuple[float, float] | None:
    """Least and largest bore of a boring head."""
    found = table.lengths("range", 2)
    if kind == "boring head" and not table.has("range"):
        table.error("range", "is missing", "add range = [smallest, largest bore]")
    if found is None:
        return None
    if kind != "boring head":
        table.warn("range", f"does not apply to {one(kind)} and is ignored", "remove it")
        return None
    if found[0] >= found[1]:
        say = table.source.say
        table.error(
            "range", f"{say(found[0])} is not below {say(found[1])}", "give the smaller first"
        )
    return found[0], found[1]


def _check(table: Table, cutter: Cutter) -> None:
    """Sizes that cannot be of one cutter."""
    say = table.source.say
    if cutter.kind == "tap" and cutter.pitch is None and not table.has("pitch"):
        table.error("pitch", "is missing", "add the pitch of the tap")
    if cutter.kind == "slitting saw":
        _check_saw(table, cutter)
    if cutter.flute_length > cutter.stickout:
        key = "stickout" if table.has("stickout") else "flute_length"
        table.error(
            key,
            f"flutes of {say(cutter.flute_length)} are longer than the stickout of "
            f"{say(cutter.stickout)}",
            "correct one of them; stickout is measured from the holder's face to the tip",
        )
    if cutter.reach is not None and not cutter.flute_length <= cutter.reach <= cutter.stickout:
        table.error(
            "reach",
            f"{say(cutter.reach)} is not between the flute length and the stickout",
            f"give {say(cutter.flute_length)} to {say(cutter.stickout)}",
        )


def _check_saw(table: Table, saw: Cutter) -> None:
    """A blade has a thickness, and stands out of its arbor and nut."""
    say = table.source.say
    if not table.has("thickness"):
        table.error("thickness", "is missing", "add the thickness of the slitting saw")
    nut = saw.nut.diameter if saw.nut is not None else 0.0
    for key, wide in (("shank", saw.shank), ("nut", nut)):
        if wide >= saw.diameter:
            table.error(
                key,
                f"{say(wide)} is not smaller than the blade, {say(saw.diameter)}",
                "give the diameter of the arbor or nut beside the blade",
            )
