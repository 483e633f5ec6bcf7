"""The sloping bodies of a chamfer: its strip beside an edge, and what a cone takes of it or past
it."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, common, less, union
from gcodekit.target.bodies import Box
from gcodekit.target.demand import Demand
from gcodekit.target.drawn_areas import grown


@dataclass(frozen=True, slots=True)
class Bevel:
    """The solid beside the rim of `part`, in it or (`within` False) round it: as wide at a height
    as that is above `foot` times `spread`, up to `edge`. `abreast`: what is beside an open edge;
    None: all."""

    part: BaseGeometry
    within: bool
    foot: float
    edge: float
    spread: float
    abreast: BaseGeometry | None = None

    @property
    def levels(self) -> tuple[float, ...]:
        """Foot, middle and edge."""
        return (self.foot, (self.foot + self.edge) / 2, self.edge)

    @property
    def bounds(self) -> Box:
        """With all that it may be wide."""
        x0, y0, x1, y1 = (self.part if self.abreast is None else self.abreast).bounds
        more = self.spread * (self.edge - self.foot)
        return (x0 - more, y0 - more, x1 + more, y1 + more)

    def section(self, z: float) -> BaseGeometry:
        """The strip at a height; none above the edge, where there is air."""
        if not self.foot <= z < self.edge:
            return EMPTY
        wide = (z - self.foot) * self.spread
        if self.within:
            return less(self.part, grown(self.part, -wide))
        return self._beside(less(grown(self.part, wide), self.part))

    def _beside(self, area: BaseGeometry) -> BaseGeometry:
        return area if self.abreast is None else common(area, self.abreast)


@dataclass(frozen=True, slots=True)
class _OfBevel:
    """What is found of a bevel where that is."""

    bevel: Bevel

    @property
    def levels(self) -> tuple[float, ...]:
        """Those of the bevel."""
        return self.bevel.levels

    @property
    def bounds(self) -> Box:
        """Those of the bevel."""
        return self.bevel.bounds


@dataclass(frozen=True, slots=True)
class Corners(_OfBevel):
    """The part of a bevel that a cone does not reach whose centre keeps `off` from the rim."""

    off: float

    def section(self, z: float) -> BaseGeometry:
        """The area in inside corners at a height."""
        strip = self.bevel.section(z)
        if strip.is_empty:
            return EMPTY
        far = self.off + (z - self.bevel.foot) * self.bevel.spread
        if self.bevel.within:
            return common(strip, grown(grown(self.bevel.part, self.off), -far))
        return less(strip, grown(grown(self.bevel.part, -self.off), far))


@dataclass(frozen=True, slots=True)
class PastEnds(_OfBevel):
    """What a cone takes past the ends of an open edge: round about each of `centres`, but nothing
    of the `open` side."""

    centres: BaseGeometry
    off: float
    open: BaseGeometry

    @property
    def bounds(self) -> Box:
        """With the cone at its widest."""
        x0, y0, x1, y1 = self.bevel.bounds
        return (x0 - self.off, y0 - self.off, x1 + self.off, y1 + self.off)

    def section(self, z: float) -> BaseGeometry:
        """The area on the metal's side at a height."""
        if not self.bevel.foot <= z < self.bevel.edge:
            return EMPTY
        far = self.off + (z - self.bevel.foot) * self.bevel.spread
        return less(grown(self.centres, far), self.open)


@dataclass(frozen=True, slots=True)
class EdgeLeft(_OfBevel):
    """A bevel where there is an edge to break: what `others` demand on the `metal`'s side of the
    edge as drawn is theirs, with the corners that their cutters leave in it."""

    metal: BaseGeometry
    others: tuple[Demand, ...]

    def section(self, z: float) -> BaseGeometry:
        """The strip at a height."""
        strip = self.bevel.section(z)
        if strip.is_empty:
            return strip
        taken = common(self.metal, union(d.required_at(z) for d in self.others))
        return less(strip, taken)
