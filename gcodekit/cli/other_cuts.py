"""What `gcodekit speeds --kind` says of cutters that are no end mills."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Literal

import typer

from gcodekit.cli import console

if TYPE_CHECKING:
    from gcodekit.job.workshop.machine import Workshop
    from gcodekit.trade.cut_load import Load
    from gcodekit.trade.cutter import Cutter
    from gcodekit.trade.materials import Material
    from gcodekit.trade.other_cutters import Kind

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
    """The cutter of the rack that is meant; without one, or with figures of its own, a usual
    one."""
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
        raise typer.BadParameter("--pitch: a tap has one, --pitch 1")
    if kind == "slitting saw" and thickness is None:
        raise typer.BadParameter("--thickness: a slitting saw has one, --thickness 1.6")
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
    inch: bool,
    as_json: bool,
) -> None:
    """Say the rates of such a cutter, and the limit that ruled."""
    from gcodekit.trade.other_cutters import load_by_kind

    limits = shop.machine.cutting_limits
    load = load_by_kind(metal, cutter, limits, depth=depth, leg=width, inch=inch)
    if as_json:
        console.document(document(load))
        return
    what = f"{metal.name}, {cutter.diameter:g} mm {cutter.material} {cutter.kind}"
    console.result(f"{what}: T{cutter.number} {cutter.name}" if cutter.number else what)
    console.result("")
    console.table(("set", "", ""), _rows(load, cutter))
    console.result("")
    console.result(f"limited by: {load.limited_by}")
    console.result(f"  {load.why}")


def document(load: Load) -> dict[str, Any]:
    """The figures of any cut, as `speeds --json` names them."""
    names = ("speed", "feed", "chip_load", "depth", "width", "power", "force", "deflection")
    found = {name: getattr(load, name) for name in (*names, "limited_by")}
    return found | ({"peck": load.peck} if load.peck else {})


def _rows(load: Load, cutter: Cutter) -> list[tuple[str, str, str]]:
    from gcodekit.trade.hole_cutting import reaming_allowance

    teeth = f"{load.chip_load:.4f} mm a tooth, {load.feed / load.speed:.4f} mm a turn"
    rows = [("speed", f"{load.speed:.0f} rev/min", ""), ("feed", f"{load.feed:.4g} mm/min", teeth)]
    if cutter.kind == "tap":
        rows[1] = ("feed", f"{load.feed:.4g} mm/min", f"the pitch a turn, {cutter.pitch:g} mm")
    sideways = load.plunge_feed != load.feed
    if sideways:
        rows.append(("plunge", f"{load.plunge_feed:.0f} mm/min", ""))
    a_pass = sideways or cutter.kind == "slitting saw"
    rows.append(("depth", f"{load.depth:.2f} mm", "a pass" if a_pass else "of the hole"))
    rows.append(("width", f"{load.width:.2f} mm", ""))
    if load.peck:
        rows.append(("peck", f"{load.peck:.2f} mm", "out to the surface between"))
    if cutter.kind == "reamer":
        left = reaming_allowance(cutter.diameter)
        rows.append(("drill", f"{cutter.diameter - left:.2f} mm", f"leaves {left:g} to ream"))
    if load.power is not None:
        rows.append(("power", f"{load.power:.0f} W", "at the cutter"))
    return rows
