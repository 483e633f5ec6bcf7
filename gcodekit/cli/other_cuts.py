"""The table of cutters other than end mills that `gcodekit speeds --kind` prints."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Literal

import typer

from gcodekit.cli import console
from gcodekit.cli.amounts import Amounts

if TYPE_CHECKING:
    from gcodekit.job.workshop.machine import Workshop
    from gcodekit.trade.cut_load import Load
    from gcodekit.trade.cutter import Cutter
    from gcodekit.trade.materials import Material
    from gcodekit.trade.other_cutters import Kind
    from gcodekit.units import Units

SAME_DIAMETER = 0.01  # mm: a cutter of the rack this near is the one meant


def cutter_meant(
    shop: Workshop,
    kind: Kind,
    diameter: float,
    *,
    flutes: int | None,
    material: Literal["hss", "carbide"],
    stickout: float | None,
    angle: float | None,
    pitch: float | None,
    thickness: float | None,
) -> Cutter:
    """The cutter of the rack that fits the description; without one, or with figures of its own,
    a usual one."""
    from gcodekit.trade.other_cutters import POINTS, TEETH, usual_cutter

    own = (flutes, stickout, angle, pitch, thickness)
    meant = [
        c
        for c in shop.cutters
        if c.kind == kind and c.material == material and _is_meant(c, diameter)
    ]
    if meant and own == (None,) * len(own):
        return meant[0]
    if kind == "tap" and pitch is None:
        raise typer.BadParameter("a tap needs its pitch: add --pitch 1")
    if kind == "slitting saw" and thickness is None:
        raise typer.BadParameter("a slitting saw needs its thickness: add --thickness 1.6")
    return usual_cutter(
        kind,
        diameter,
        flutes=flutes or TEETH.get(kind, 2),
        material=material,
        stickout=4 * diameter if stickout is None else stickout,
        angle=math.radians(POINTS.get(kind, 180.0) if angle is None else angle),
        pitch=pitch,
        thickness=thickness,
    )


def _is_meant(cutter: Cutter, diameter: float) -> bool:
    return cutter.bores(diameter) or abs(cutter.diameter - diameter) <= SAME_DIAMETER


def answer(
    metal: Material,
    cutter: Cutter,
    shop: Workshop,
    *,
    depth: float | None,
    width: float | None,
    units: Units,
    as_json: bool,
) -> None:
    """Print the figures to set for such a cutter, and what limited them."""
    from gcodekit.trade.other_cutters import load_by_kind

    limits = shop.machine.cutting_limits
    load = load_by_kind(metal, cutter, limits, depth=depth, leg=width, units=units)
    if as_json:
        console.document(document(load))
        return
    amounts = Amounts(units)
    what = f"{metal.name}, {amounts.size(cutter.diameter)} {cutter.material} {cutter.kind}"
    console.result(f"{what}: T{cutter.number} {cutter.name}" if cutter.number else what)
    console.result("")
    console.table(("set", "", ""), _rows(load, cutter, amounts))
    console.result("")
    console.result(load.why)


def document(load: Load) -> dict[str, Any]:
    """The figures of any cut, as `speeds --json` names them."""
    names = ("speed", "feed", "chip_load", "depth", "width", "power", "force", "deflection")
    found = {name: getattr(load, name) for name in (*names, "limited_by")}
    return found | ({"peck": load.peck} if load.peck else {})


def _rows(load: Load, cutter: Cutter, amounts: Amounts) -> list[tuple[str, str, str]]:
    from gcodekit.trade.hole_cutting import reaming_allowance

    fed = f"{amounts.fine(load.chip_load)} per tooth, {amounts.fine(load.chip_per_turn)} per turn"
    if cutter.kind == "tap":
        fed = f"the pitch per turn, {amounts.size(cutter.pitch or 0.0)}"
    rows = [("speed", f"{load.speed:.0f} rev/min", ""), ("feed", amounts.feed(load.feed), fed)]
    sideways = load.plunge_feed != load.feed
    if sideways:
        rows.append(("plunge feed", amounts.feed(load.plunge_feed), ""))
    a_pass = sideways or cutter.kind == "slitting saw"
    rows.append(("depth", amounts.length(load.depth), "per pass" if a_pass else "of the hole"))
    rows.append(("width", amounts.length(load.width), ""))
    if load.peck:
        rows.append(("peck", amounts.length(load.peck), "retract to the surface after each"))
    if cutter.kind == "reamer":
        left = reaming_allowance(cutter.diameter)
        drill = amounts.length(cutter.diameter - left)
        rows.append(("drill", drill, f"leaves {amounts.size(left)} to ream"))
    if load.power is not None:
        rows.append(("power", f"{load.power:.0f} W", "at the cutter"))
    return rows
