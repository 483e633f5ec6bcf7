"""Which cutters shape the mouth of a hole."""

from __future__ import annotations

import math

from gcodekit.job.model import Hole
from gcodekit.operations.draft import Work, refuse
from gcodekit.planning.rack import BORE_TO_CUTTER, first, mills_of
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.hole_cutting import PLUNGED

# A cutter's point may differ from a countersink's angle by this, radians (0.1 degree).
SAME_ANGLE = math.radians(0.1)


def is_spot(cutter: Cutter) -> bool:
    """Whether it is a spot drill."""
    return cutter.kind == "spot drill"


def counterbore_of(work: Work, hole: Hole, top: float) -> Cutter | None:
    """An end mill of the size, to be plunged; else the largest that mills it round."""
    mouth = hole.counterbore
    if mouth is None:
        return None
    mills = mills_of(work, top - mouth.floor)
    exact = first(mills, lambda c: c.centre_cutting and abs(c.diameter - mouth.diameter) < PLUNGED)
    found = exact or first(mills, lambda c: c.diameter * BORE_TO_CUTTER <= mouth.diameter)
    if found is None:
        text = (
            f"the rack has no end mill for a counterbore of {work.say(mouth.diameter)}, "
            f"{work.say(top - mouth.floor)} deep"
        )
        hint = (
            f"add one of that size that cuts at its centre, or one {BORE_TO_CUTTER} times smaller"
        )
        raise refuse(hole, text, hint, key="counterbore")
    return found


def countersink_of(work: Work, hole: Hole) -> Cutter | None:
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
        and abs(c.tip_angle - sink.angle) <= SAME_ANGLE
        and c.diameter >= sink.diameter - 1e-6
    ]
    if not fitting:
        angle = math.degrees(sink.angle)
        text = (
            f"no chamfer mill or spot drill of {angle:g} degrees is {work.say(sink.diameter)} wide"
        )
        raise refuse(hole, text, "add one to the workshop, or change the angle", key="countersink")
    return min(fitting, key=lambda c: (not (hole.spot and is_spot(c)), c.diameter))
