"""Holes: drilled with all that belongs to them; a shaped mouth, a thread, or spots alone."""

from __future__ import annotations

import math
from dataclasses import replace

from manifold3d import Manifold

from gcodekit.job.kinds.hole import Hole
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import DemandBody, Revolved, Upright, pits
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import discs
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.round_holes import RoundTarget, below, cylinder, drilled_to
from gcodekit.target.setup_metal import SetupSoFar
from gcodekit.target.volumes import Extent, Finish, joined, upright
from gcodekit.trade.cutter import Cutter

# A drilled spot is at least this share of its hole wide. Common practice, no source.
LEAST_SPOT = 0.5
# The lead of a second tap in pitches, for tapping by hand. Common practice, no source.
HAND_LEAD = 4.0


class HoleTarget(RoundTarget[Hole]):
    """Undrilled it is a mouth or spots alone."""

    def demand(
        self, feature: Hole, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """The cylinder with its mouth; points, leads, threads and deep spots may go."""
        del others
        mouth, above = _mouth(feature), _above_mouth(feature, used)
        if not feature.drilled and mouth:
            return Demand(name=feature.name, reach=0.0, required=mouth, allowed=above)
        top = so_far.top_over(discs(feature.places, feature.diameter / 2))
        if not feature.drilled:
            return _spots(feature, used, top)
        deep, deeper = _drilled_to(feature, used), _deep_spots(feature, used, top)
        points = tuple(p for c in used.cutters for p in below(feature, c, deep))
        whole = cylinder(feature, used, points)
        return replace(
            whole,
            required=(*whole.required, *mouth),
            allowed=(*whole.allowed, *deeper, *above, *_thread(feature, used)),
            points=(*whole.points, *deeper),
        )

    def solid(
        self,
        feature: Hole,
        setup: Setup,
        finish: Finish,
        extent: Extent,
        stock: Manifold | None = None,
    ) -> Manifold:
        """With its mouth; at the most with the tap's thread and the room below."""
        del stock
        bodies = []
        if feature.drilled or extent == "most":
            bodies.append(_drilled(feature, setup, extent))
        if extent != "least":
            bodies += _solid_mouth(feature, setup, extent)
        return joined(bodies)


def _spots(hole: Hole, used: FeatureCutters, top: float) -> Demand:
    """Spots in a surface at `top`."""
    radius = hole.diameter / 2
    least, most = (
        pits(hole.places, used.cutter, _spot_tip(top, share, used.cutter), widest=radius)
        for share in (LEAST_SPOT * radius, radius)
    )
    return Demand(name=hole.name, reach=0.0, required=(least,), allowed=(most,), points=(most,))


def _deep_spots(hole: Hole, used: FeatureCutters, top: float) -> tuple[DemandBody, ...]:
    """The part of spots in a surface at `top` that lies below the hole's depth."""
    radius, floor = hole.diameter / 2, hole.depth.cut_to
    spots = [(c, _spot_tip(top, radius, c)) for c in used.cutters if c.kind == "spot drill"]
    return tuple(
        pits(hole.places, c, tip, widest=radius, high=floor) for c, tip in spots if tip < floor
    )


def _spot_tip(top: float, radius: float, cutter: Cutter) -> float:
    """z of the tip that leaves a spot of a radius in a surface at `top`."""
    return top - min(radius, cutter.radius) / math.tan(cutter.tip_angle / 2)


def _drilled_to(hole: Hole, used: FeatureCutters) -> float:
    """z of the drill's shoulder: as the job says, or by the tap or reamer that follows it."""
    depth = hole.depth
    if hole.drill_depth is not None:
        return depth.top - hole.drill_depth
    if hole.thread is None or depth.opens:
        return drilled_to(hole, used)
    leads = [c.point_length for c in used.cutters if c.kind == "tap"]
    pitch = hole.thread.pitch
    return depth.cut_to - max(leads, default=HAND_LEAD * pitch) - pitch


def _cone(
    hole: Hole,
    tip: float,
    angle: float,
    widest: float,
    *,
    hollow: float = 0.0,
    low: float = -math.inf,
) -> Revolved:
    """An upright cone at every place; within the radius `hollow` its slope does not show."""
    slope = math.tan(angle / 2)

    def radius(z: float) -> float:
        wide = (z - tip) * slope
        return wide if wide > hollow else 0.0

    heights = (tip + hollow / slope, tip + widest / slope)
    return Revolved(hole.places, radius, widest, heights, low=low)


def _mouth(hole: Hole) -> tuple[DemandBody, ...]:
    """Counterbore and countersink: all of it must go."""
    found: list[DemandBody] = []
    bored, sunk = hole.counterbore, hole.countersink
    if bored is not None:
        found.append(Upright(discs(hole.places, bored.diameter / 2), bored.floor))
    if sunk is not None:
        hollow = hole.diameter / 2 if hole.drilled else 0.0
        if bored is not None and sunk.mouth > bored.floor:
            hollow = bored.diameter / 2
        found.append(_cone(hole, sunk.tip, sunk.angle, sunk.diameter / 2, hollow=hollow))
    return tuple(found)


def _above_mouth(hole: Hole, used: FeatureCutters) -> tuple[DemandBody, ...]:
    """Metal above a countersink's mouth: its cutter goes through that, wider."""
    sunk = hole.countersink
    if sunk is None:
        return ()
    sinking = [c.radius for c in used.cutters if c.kind in ("spot drill", "chamfer mill")]
    widest = max(sunk.diameter / 2, *sinking, 0.0)
    return (_cone(hole, sunk.tip, sunk.angle, widest, low=sunk.mouth),)


def _thread(hole: Hole, used: FeatureCutters) -> tuple[DemandBody, ...]:
    """A tap cuts to the thread's major diameter, and its lead goes below."""
    taps = [c for c in used.cutters if c.kind == "tap"]
    if hole.thread is None or not taps:
        return ()
    radius, floor = hole.thread.major / 2, hole.depth.cut_to
    full = Upright(discs(hole.places, radius), floor)
    if hole.depth.into:
        return (full,)
    leads = (pits(hole.places, t, floor - t.point_length, widest=radius, high=floor) for t in taps)
    return (full, *leads)


def _drilled(hole: Hole, setup: Setup, extent: Extent) -> Manifold:
    """The hole itself as a solid."""
    low, radius = hole.depth.cut_to, hole.diameter / 2
    if extent == "most":
        pitch = hole.thread.pitch if hole.thread else 0.0
        major = hole.thread.major / 2 if hole.thread else 0.0
        deep = hole.depth.top - (hole.drill_depth or 0.0)
        radius, low = max(radius, major), min(low, deep) - hole.diameter - 5 * pitch - 3.0
    return upright(planar.discs(hole.places, radius), low, setup)


def _solid_mouth(hole: Hole, setup: Setup, extent: Extent) -> list[Manifold]:
    """Counterbore and countersink as solids."""
    bodies = []
    if hole.counterbore is not None:
        area = planar.discs(hole.places, hole.counterbore.diameter / 2)
        bodies.append(upright(area, hole.counterbore.floor, setup))
    if (sunk := hole.countersink) is not None:
        radius = sunk.diameter / 2
        cone = Manifold.cylinder(sunk.mouth - sunk.tip, 0.0, radius, planar.chords(radius))
        bodies += [cone.translate((x, y, sunk.tip)) for x, y in hole.places]
        if extent == "most":
            # its cutter may be wider where it goes through what stands above the mouth
            radius += setup.raw.high[2] - sunk.mouth
            bodies.append(upright(planar.discs(hole.places, radius), sunk.mouth, setup))
    return bodies


TARGET: KindTarget[Hole] = HoleTarget()
