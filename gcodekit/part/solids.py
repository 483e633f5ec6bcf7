"""Bodies a drawing asks for, by their sections: upright ones and turned ones."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import EMPTY
from gcodekit.part.plane_regions import discs
from gcodekit.trade.cutter import Cutter

Box = tuple[float, float, float, float]


class Solid(Protocol):
    """A body by its sections."""

    @property
    def levels(self) -> tuple[float, ...]:
        """Heights to look at: where the section changes."""

    @property
    def bounds(self) -> Box:
        """Its box in plan."""

    def section(self, z: float) -> BaseGeometry:
        """The section at a height."""


@dataclass(frozen=True, slots=True)
class Prism:
    """An upright body over `area`, from `low` up to (not with) `high`."""

    area: BaseGeometry
    low: float
    high: float = math.inf

    @property
    def levels(self) -> tuple[float, ...]:
        """Bottom and top, where it has them."""
        return tuple(z for z in (self.low, self.high) if math.isfinite(z))

    @property
    def bounds(self) -> Box:
        """Of the area."""
        x0, y0, x1, y1 = self.area.bounds
        return (x0, y0, x1, y1)

    def section(self, z: float) -> BaseGeometry:
        """The area, within the heights."""
        return self.area if self.low <= z < self.high else EMPTY


@dataclass(frozen=True, slots=True)
class Pits:
    """The pits that a cutter's point leaves at each place when its tip stands at `tip`: no wider
    than `widest`, no higher than `high`."""

    places: tuple[Point, ...]
    cutter: Cutter
    tip: float
    widest: float
    high: float

    @property
    def levels(self) -> tuple[float, ...]:
        """The slope's top, middle and bottom."""
        full = min(self.tip + self.cutter.point_length, self.high)
        return (full, (full + self.tip) / 2, self.tip)

    @property
    def bounds(self) -> Box:
        """Of the discs at their widest."""
        xs, ys = [p[0] for p in self.places], [p[1] for p in self.places]
        r = min(self.cutter.radius, self.widest)
        return (min(xs) - r, min(ys) - r, max(xs) + r, max(ys) + r)

    def section(self, z: float) -> BaseGeometry:
        """Discs as wide as the cutter is at this height."""
        if z >= self.high:
            return EMPTY
        return discs(self.places, min(self.cutter.radius_at(z - self.tip), self.widest))
