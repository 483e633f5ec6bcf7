"""The target of a hole besides its cylinder: a shaped mouth, a thread, room below its depth."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import EMPTY
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.part.plane_regions import discs
from gcodekit.part.planned_target import FinishingCut
from gcodekit.part.solids import Box, Pits, Prism, Solid
from gcodekit.trade.cutter import SIDE_MILLS, Cutter

# A blind hole's drill goes deeper than the reamer by its lead and this much, mm: room for chips.
# The job file's contract.
CHIP_ROOM = 1.0
# A second tap's lead in pitches, for a hole that is tapped by hand. Common practice, no source.
HAND_LEAD = 4.0


@dataclass(frozen=True, slots=True)
class Cones:
    """Upright cones at each place, tips at `tip`, full `angle` (radians), no wider than `widest`
    (radius). Their slope shows from the radius `within` up: further in there is a hole."""

    places: tuple[Point, ...]
    tip: float
    angle: float
    widest: float
    within: float = 0.0

    @property
    def levels(self) -> tuple[float, ...]:
        """The slope's top, middle and bottom."""
        top, bottom = (self.tip + r / math.tan(self.angle / 2) for r in (self.widest, self.within))
        return (top, (top + bottom) / 2, bottom)

    @property
    def bounds(self) -> Box:
        """Of the discs at their widest."""
        xs, ys = [p[0] for p in self.places], [p[1] for p in self.places]
        r = self.widest
        return (min(xs) - r, min(ys) - r, max(xs) + r, max(ys) + r)

    def section(self, z: float) -> BaseGeometry:
        """Discs as wide as the cones are at this height; none where the slope does not show."""
        radius = (z - self.tip) * math.tan(self.angle / 2)
        if radius <= self.within:
            return EMPTY
        return discs(self.places, min(radius, self.widest))


def mouth_of(hole: Hole) -> tuple[Solid, ...]:
    """The counterbore and the countersink: all of it must go."""
    found: list[Solid] = []
    bored, sunk = hole.counterbore, hole.countersink
    if bored is not None:
        found.append(Prism(discs(hole.places, bored.diameter / 2), bored.floor))
    if sunk is not None:
        hollow = hole.diameter / 2 if hole.drilled else 0.0
        if bored is not None and sunk.mouth > bored.floor:
            hollow = bored.diameter / 2
        found.append(Cones(hole.places, sunk.tip, sunk.angle, sunk.diameter / 2, hollow))
    return tuple(found)


def above_mouth(hole: Hole, cut: FinishingCut) -> tuple[Solid, ...]:
    """The solids that a countersink's cutter takes, wider, through stock above its mouth."""
    sunk = hole.countersink
    if sunk is None:
        return ()
    fitting = [c for c in cut.cutters if c.kind in ("spot drill", "chamfer mill")]
    wide = max((c.radius for c in fitting), default=0.0)
    through = Cones(hole.places, sunk.tip, sunk.angle, max(wide, sunk.diameter / 2))
    return (_From(through, sunk.mouth),)


@dataclass(frozen=True, slots=True)
class _From:
    """The part of a body from a height up."""

    body: Solid
    low: float

    @property
    def levels(self) -> tuple[float, ...]:
        return (self.low, *(z for z in self.body.levels if z > self.low))

    @property
    def bounds(self) -> Box:
        return self.body.bounds

    def section(self, z: float) -> BaseGeometry:
        return self.body.section(z) if z >= self.low else EMPTY


def thread_of(hole: Hole, cut: FinishingCut) -> tuple[Solid, ...]:
    """The solids that a tap may cut: to the thread's major diameter, and its lead below."""
    taps = [c for c in cut.cutters if c.kind == "tap"]
    if hole.thread is None or not taps:
        return ()
    radius, floor = hole.thread.major / 2, hole.depth.cut_to
    if hole.depth.into:  # its lead runs in free space
        return (Prism(discs(hole.places, radius), floor),)
    lead = (Pits(hole.places, t, floor - t.point_length, radius, floor) for t in taps)
    return (Prism(discs(hole.places, radius), floor), *lead)


def below(feature: Bore | Hole, cutter: Cutter, cut: FinishingCut, floor: float) -> Solid | None:
    """The solid allowed below the depth of full diameter: for a drill or reamer, or for the mill
    that opens a blind bore for a reamer."""
    if isinstance(feature, Bore) and cutter.kind in SIDE_MILLS:
        deep = _drilled_to(feature, cut)
        area = discs(feature.places, feature.diameter / 2)
        return Prism(area, deep, floor) if deep < floor else None
    if cutter.kind not in ("drill", "reamer") or (feature.depth.into and cutter.kind == "reamer"):
        return None
    shoulder = _drilled_to(feature, cut) if cutter.kind == "drill" else floor
    tip = shoulder - cutter.point_length
    return Pits(feature.places, cutter, tip, feature.diameter / 2, floor)


def _drilled_to(feature: Bore | Hole, cut: FinishingCut) -> float:
    """z of the drill's shoulder: below a blind reamed or tapped hole there is room for the lead
    and the chips."""
    depth = feature.depth
    if isinstance(feature, Hole) and feature.drill_depth is not None:
        return depth.top - feature.drill_depth
    if depth.opens:
        return depth.cut_to
    if isinstance(feature, Hole) and feature.thread is not None:
        pitch = feature.thread.pitch
        leads = [c.point_length for c in cut.cutters if c.kind == "tap"]
        return depth.cut_to - max(leads, default=HAND_LEAD * pitch) - pitch
    reamers = [c.point_length for c in cut.cutters if c.kind == "reamer"]
    return depth.cut_to - (max(reamers) + CHIP_ROOM if reamers else 0.0)
