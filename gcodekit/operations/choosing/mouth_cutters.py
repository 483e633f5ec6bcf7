"""The choice of cutters for the mouth of a hole."""

from __future__ import annotations

import math
from collections.abc import Callable

from gcodekit.job.kinds.hole import Hole
from gcodekit.operations.choosing import tool_suggestions
from gcodekit.operations.planned_operation import PlanContext, refuse
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.hole_cutting import PLUNGED

# A bore under this many cutter diameters is drilled and reamed rather than milled: no room for
# the helix and the chips. Common practice, no source.
BORE_TO_CUTTER = 1.2
# A cutter's point may differ from a countersink's angle by this, radians (0.1 degree).
SAME_POINT_ANGLE = math.radians(0.1)


def is_spot(cutter: Cutter) -> bool:
    """Tell whether it is a spot drill."""
    return cutter.kind == "spot drill"


def largest(mills: list[Cutter], deep: float, fits: Callable[[Cutter], bool]) -> Cutter | None:
    """The largest end mill that fits and whose flutes reach this deep."""
    those = (c for c in mills if c.flute_length >= deep - 1e-6 and fits(c))
    return max(those, key=lambda c: c.diameter, default=None)


def counterbore_of(work: PlanContext, hole: Hole, top: float, mills: list[Cutter]) -> Cutter | None:
    """An end mill of the size, to be plunged; else the largest that mills it round."""
    mouth = hole.counterbore
    if mouth is None:
        return None
    deep, wide = top - mouth.floor, mouth.diameter
    exact = largest(mills, deep, lambda c: c.centre_cutting and abs(c.diameter - wide) < PLUNGED)
    found = exact or largest(mills, deep, lambda c: c.diameter * BORE_TO_CUTTER <= wide)
    if found is None:
        text = (
            f"the rack has no end mill for a counterbore of {work.say(wide)}, {work.say(deep)} deep"
        )
        small = tool_suggestions.end_mill(work, deep, most=wide / BORE_TO_CUTTER)
        hint = f"add a centre-cutting one of that size, or {small}"
        raise refuse(hole, text, hint, key="counterbore")
    return found


def countersink_of(work: PlanContext, hole: Hole) -> Cutter | None:
    """A spot drill that does it in one visit, else the smallest chamfer mill of the angle."""
    sink = hole.countersink
    if sink is None:
        return None
    named = hole.cutting.cutter if not hole.drilled else None
    those = [named] if named else work.job.workshop.cutters
    fitting = [
        c
        for c in those
        if c.kind in ("spot drill", "chamfer mill")
        and abs(c.tip_angle - sink.angle) <= SAME_POINT_ANGLE
        and c.diameter >= sink.diameter - 1e-6
        # a flat tip leaves the middle of the cone uncut, unless the hole is there
        and c.tip_diameter <= (hole.diameter if hole.drilled else 0.0)
    ]
    if not fitting:
        angle = math.degrees(sink.angle)
        text = (
            f"no chamfer mill or spot drill of {angle:g} degrees in the rack is "
            f"{work.say(sink.diameter)} wide"
        )
        wide = work.say(sink.diameter)
        hint = f"add one of {angle:g} degrees, {wide} or wider, or use another angle"
        raise refuse(hole, text, hint, key="countersink")
    return min(fitting, key=lambda c: (not (hole.spot and is_spot(c)), c.diameter))
