"""Round holes: the cylinder to its depth, the point below it, a shaped mouth, a thread."""

from __future__ import annotations

import math
from dataclasses import replace

from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.target.bodies import Body, Turned, Upright, pits
from gcodekit.target.demand import Bench, Demand, Used
from gcodekit.target.plane import discs
from gcodekit.trade.cutter import SIDE_MILLS, Cutter

# A drilled spot is at least this share of its hole wide. Common practice, no source.
LEAST_SPOT = 0.5
# Below a blind hole's full depth its drill goes by the reamer's lead and this, mm: room for
# chips. The job file's contract.
CHIP_ROOM = 1.0
# The lead of a second tap in pitches, for tapping by hand. Common practice, no source.
HAND_LEAD = 4.0
# Cutters that drill their own size: it has to lie between the limits, where there are any.
OWN_SIZE = ("drill", "reamer")


def bore_demand(bore: Bore, used: Used) -> Demand:
    """Full diameter to the depth; a point or a reamer's lead below it."""
    return _cylinder(bore, used)


def hole_demand(hole: Hole, used: Used, bench: Bench) -> Demand:
    """Drilled with all that belongs to it; or undrilled a mouth or spots alone."""
    mouth, above = _mouth(hole), _above_mouth(hole, used)
    radius = hole.diameter / 2
    if not hole.drilled and mouth:
        return Demand(name=hole.name, reach=0.0, must=mouth, may=above)
    top = bench.top_over(discs(hole.places, radius))
    if not hole.drilled:
        # from the surface there is
        least, most = (
            pits(hole.places, used.cutter, _spot_tip(top, share, used.cutter), widest=radius)
            for share in (LEAST_SPOT * radius, radius)
        )
        return Demand(name=hole.name, reach=0.0, must=(least,), may=(most,), points=(most,))
    floor = hole.depth.cut_to
    spots = [(c, _spot_tip(top, radius, c)) for c in used.cutters if c.kind == "spot drill"]
    deeper = tuple(
        pits(hole.places, c, tip, widest=radius, high=floor) for c, tip in spots if tip < floor
    )
    whole = _cylinder(hole, used)
    return replace(
        whole,
        must=(*whole.must, *mouth),
        may=(*whole.may, *deeper, *above, *_thread(hole, used)),
        points=(*whole.points, *deeper),
    )


def _spot_tip(top: float, radius: float, cutter: Cutter) -> float:
    """z of the tip that leaves a spot of a radius in a surface at `top`."""
    return top - min(radius, cutter.radius) / math.tan(cutter.tip_angle / 2)


def _cylinder(feature: Bore | Hole, used: Used) -> Demand:
    floor, radius, places = feature.depth.cut_to, feature.diameter / 2, feature.places
    least, may = radius - used.left, list[Body]()
    if used.left:
        may.append(Upright(discs(places, radius), floor))
    if feature.band is not None and used.cutter.kind in OWN_SIZE:
        least = feature.band.least / 2
        may.append(Upright(discs(places, feature.band.most / 2), floor))
    points = tuple(p for c in used.cutters for p in _below(feature, c, used))
    return Demand(
        name=feature.name,
        reach=min(used.cutter.radius, radius),
        must=(Upright(discs(places, least), floor),),
        may=(*may, *points),
        points=points,
    )


def _below(feature: Bore | Hole, cutter: Cutter, used: Used) -> tuple[Body, ...]:
    """What a cutter may take below the depth of full diameter."""
    floor, radius = feature.depth.cut_to, feature.diameter / 2
    deep = _drilled_to(feature, used)
    if isinstance(feature, Bore) and cutter.kind in SIDE_MILLS:
        # the mill that opens a blind bore for its reamer
        return (Upright(discs(feature.places, radius), deep, floor),) if deep < floor else ()
    if cutter.kind not in OWN_SIZE:
        return ()
    full = deep if cutter.kind == "drill" else floor
    tip = full - cutter.point_length
    return (pits(feature.places, cutter, tip, widest=radius, high=floor),)


def _drilled_to(feature: Bore | Hole, used: Used) -> float:
    """z of the drill's shoulder."""
    depth = feature.depth
    if isinstance(feature, Hole) and feature.drill_depth is not None:
        return depth.top - feature.drill_depth
    if depth.through:
        return depth.cut_to
    if isinstance(feature, Hole) and feature.thread is not None:
        leads = [c.point_length for c in used.cutters if c.kind == "tap"]
        pitch = feature.thread.pitch
        return depth.cut_to - max(leads, default=HAND_LEAD * pitch) - pitch
    leads = [c.point_length for c in used.cutters if c.kind == "reamer"]
    return depth.cut_to - (max(leads) + CHIP_ROOM if leads else 0.0)


def _cone(
    hole: Hole,
    tip: float,
    angle: float,
    widest: float,
    *,
    hollow: float = 0.0,
    low: float = -math.inf,
) -> Turned:
    """An upright cone at every place; within the radius `hollow` its slope does not show."""
    slope = math.tan(angle / 2)

    def radius(z: float) -> float:
        wide = (z - tip) * slope
        return wide if wide > hollow else 0.0

    heights = (tip + hollow / slope, tip + widest / slope)
    return Turned(hole.places, radius, widest, heights, low=low)


def _mouth(hole: Hole) -> tuple[Body, ...]:
    """Counterbore and countersink: all of it must go."""
    found: list[Body] = []
    bored, sunk = hole.counterbore, hole.countersink
    if bored is not None:
        found.append(Upright(discs(hole.places, bored.diameter / 2), bored.floor))
    if sunk is not None:
        hollow = hole.diameter / 2 if hole.drilled else 0.0
        if bored is not None and sunk.mouth > bored.floor:
            hollow = bored.diameter / 2
        found.append(_cone(hole, sunk.tip, sunk.angle, sunk.diameter / 2, hollow=hollow))
    return tuple(found)


def _above_mouth(hole: Hole, used: Used) -> tuple[Body, ...]:
    """Metal above a countersink's mouth: its cutter goes through that, wider."""
    sunk = hole.countersink
    if sunk is None:
        return ()
    sinking = [c.radius for c in used.cutters if c.kind in ("spot drill", "chamfer mill")]
    widest = max(sunk.diameter / 2, *sinking, 0.0)
    return (_cone(hole, sunk.tip, sunk.angle, widest, low=sunk.mouth),)


def _thread(hole: Hole, used: Used) -> tuple[Body, ...]:
    """A tap cuts to the thread's major diameter, and its lead goes below."""
    taps = [c for c in used.cutters if c.kind == "tap"]
    if hole.thread is None or not taps:
        return ()
    radius, floor = hole.thread.major / 2, hole.depth.cut_to
    leads = (pits(hole.places, t, floor - t.point_length, widest=radius, high=floor) for t in taps)
    return (Upright(discs(hole.places, radius), floor), *leads)
