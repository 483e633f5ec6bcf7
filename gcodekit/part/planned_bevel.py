"""The material that a chamfer takes along its edge, as planning sees it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, common, less, union
from gcodekit.job.kinds.chamfer import Chamfer
from gcodekit.part.plane_regions import area_of, discs, grown, line_of
from gcodekit.part.planned_target import BELOW, FeatureContext, PlannedTarget
from gcodekit.part.profile_side import extended, sided

# A strip narrower than this is none, mm: less than any tolerance, and beside a path hard to sweep.
NO_STRIP = 0.002
# A wall lies along an edge where it is within this of it, mm, for at least so much of its length.
ALONG_EDGE = 0.01
ALONG_FOR = 1.0
# A gap as wide as the cutter that made it is passed: its round counts as so much less, mm.
PASSES_BY = 0.001
# On which side of the edge something is cut is looked at so near to it, mm.
BESIDE_EDGE = 0.03


@dataclass(frozen=True, slots=True)
class Slope:
    """What a chamfer takes: at a height as wide as that is above `low` times its spread, up to
    `high`. `ways`: the lines of a cutter's centre, its flank `off` them at `low`, which takes no
    more than it reaches; None: all that is drawn. `rounded`: radius that the wall's inside
    corners keep."""

    chamfer: Chamfer
    ways: BaseGeometry | None = None
    off: float = 0.0
    rounded: float = 0.0
    _found: dict[float, BaseGeometry] = field(
        init=False, default_factory=dict, compare=False, repr=False
    )

    @property
    def low(self) -> float:
        """z where it ends on the wall."""
        return self.chamfer.depth.floor

    @property
    def high(self) -> float:
        """z of the edge."""
        return self.chamfer.depth.top

    @property
    def levels(self) -> tuple[float, ...]:
        """Top, middle and bottom."""
        return (self.high, (self.high + self.low) / 2, self.low)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """At its widest."""
        boxes = [shapely.LineString(c.flattened(ALONG_EDGE)).bounds for c in self.chamfer.edges]
        more = self.chamfer.width + ALONG_EDGE
        x0, y0 = (min(b[i] for b in boxes) - more for i in (0, 1))
        x1, y1 = (max(b[i] for b in boxes) + more for i in (2, 3))
        return (x0, y0, x1, y1)

    def wide(self, z: float) -> float:
        """The width of the strip at a height."""
        return self.chamfer.width * (z - self.low) / (self.high - self.low)

    def section(self, z: float) -> BaseGeometry:
        """The strip at a height, as far as the cutter reaches."""
        if not self.low <= z < self.high:
            return EMPTY
        if z not in self._found:
            self._found[z] = self._section(z)
        return self._found[z]

    def _section(self, z: float) -> BaseGeometry:
        strip = drawn_strip(self.chamfer, self.wide(z), self.rounded)
        if self.ways is None or strip.is_empty:
            return strip
        return common(strip, grown(self.ways, self.off + self.wide(z)))

    def swept(self, z: float) -> BaseGeometry:
        """All that the cutter takes at a height on the metal's side: past the ends of a path it is
        round."""
        if self.ways is None or self.chamfer.path is None or not self.low <= z < self.high:
            return self.section(z)
        far = 4 * self.rounded + self.chamfer.width + 2 * self.off
        free = sided(
            extended(line_of(self.chamfer.path), far), far, left=self.chamfer.side == "left"
        )
        if self.rounded:
            free = grown(grown(free, -self.rounded), self.rounded)
        return less(grown(self.ways, self.off + self.wide(z)), free)


@dataclass(frozen=True, slots=True)
class SlopeLeft:
    """A slope without what `others` cut of it `beyond` the edge, on the metal's side: there is no
    edge there. What stands in the wall's own corners is the slope's."""

    slope: Slope
    beyond: BaseGeometry
    others: tuple[PlannedTarget, ...]

    @property
    def levels(self) -> tuple[float, ...]:
        """Those of the slope."""
        return self.slope.levels

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Those of the slope."""
        return self.slope.bounds

    def section(self, z: float) -> BaseGeometry:
        """The strip at a height."""
        strip = self.slope.section(z)
        cut = [c for other in self.others if not (c := other.required_at(z)).is_empty]
        if strip.is_empty or not cut:
            return strip
        return less(strip, common(union(cut), self.beyond))


def slope_left(slope: Slope, around: FeatureContext) -> SlopeLeft:
    """What of a slope the features before leave; other chamfers take nothing from it."""
    chamfer, wide = slope.chamfer, slope.chamfer.width + BESIDE_EDGE
    if chamfer.path is None:
        beyond = drawn_strip(chamfer, wide)
    else:
        # past its ends too, or hairs stay along them
        line = extended(line_of(chamfer.path), BESIDE_EDGE)
        beyond = sided(line, wide, left=chamfer.side != "left")
    others = (
        asked
        for asked in around.near(beyond)
        if not any(isinstance(body, SlopeLeft) for body in asked.required)
    )
    return SlopeLeft(slope, beyond, tuple(others))


@dataclass(frozen=True, slots=True)
class PathSweep:
    """All that a cutter takes along an open edge, past its ends too."""

    slope: Slope

    @property
    def levels(self) -> tuple[float, ...]:
        """Those of the slope."""
        return self.slope.levels

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """With the cutter's round past the ends."""
        x0, y0, x1, y1 = self.slope.bounds
        more = self.slope.off
        return (x0 - more, y0 - more, x1 + more, y1 + more)

    def section(self, z: float) -> BaseGeometry:
        """The area on the metal's side at a height."""
        return self.slope.swept(z)


def drawn_strip(chamfer: Chamfer, wide: float, rounded: float = 0.0) -> BaseGeometry:
    """All within a distance of the edge on the metal's side, its inside corners as round as
    its wall."""
    if wide <= NO_STRIP:
        return EMPTY
    if chamfer.path is not None:
        return _beside_path(chamfer, wide, rounded)
    if chamfer.outline is None:
        area = discs(chamfer.places, chamfer.diameter / 2)
    else:
        turn = 1.0 if chamfer.side == "outside" else -1.0
        area = area_of(chamfer.outline)
        area = grown(grown(area, turn * rounded), -turn * rounded) if rounded else area
    if chamfer.side == "outside":
        return less(area, grown(area, -wide))
    return less(grown(area, wide), area)


def _beside_path(chamfer: Chamfer, wide: float, rounded: float) -> BaseGeometry:
    """Likewise along a path, square at its ends."""
    assert chamfer.path is not None
    line, left = line_of(chamfer.path), chamfer.side == "left"
    if not rounded:
        return sided(line, wide, left=not left)
    far = 4 * rounded + 2 * chamfer.width + ALONG_FOR
    free = sided(extended(line, far), far, left=left)
    free = grown(grown(free, -rounded), rounded)
    # the open side has an end farther out, which is no edge
    near = union((sided(line, far / 2, left=left), sided(line, chamfer.width, left=not left)))
    return common(less(grown(free, wide), free), near)


def wall_round(chamfer: Chamfer, around: FeatureContext) -> float:
    """The radius of the coarsest cutter that made a wall along the edge, mm: the wall's inside
    corners keep it. 0.0 where none is known."""
    if chamfer.path is None and chamfer.outline is None:
        return 0.0
    edge = shapely.union_all([line_of(c) for c in chamfer.edges])
    z, found = chamfer.depth.floor - BELOW, 0.0
    metal = drawn_strip(chamfer, 2 * BESIDE_EDGE)
    for asked in around.near(edge):
        if asked.reach - PASSES_BY <= found or not math.isfinite(asked.reach):
            continue
        cut = asked.required_at(z)
        along = edge.intersection(cut.boundary.buffer(ALONG_EDGE))
        # what is cut on the metal's side has its wall elsewhere
        free = less(along.buffer(BESIDE_EDGE), metal)
        if along.length >= min(ALONG_FOR, edge.length / 2) and (
            common(free, cut).area > free.area / 2
        ):
            found = asked.reach - PASSES_BY
    return found
