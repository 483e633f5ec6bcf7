"""Bodies by their sections: upright ones, and turned ones with slopes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import EMPTY, union
from gcodekit.target.drawn_areas import discs
from gcodekit.trade.cutter import Cutter

Box = tuple[float, float, float, float]


class DemandBody(Protocol):
    """Something with a section at every height."""

    @property
    def levels(self) -> tuple[float, ...]:
        """Heights to look at; between two of them the section is the same, only grows or only
        shrinks."""

    @property
    def bounds(self) -> Box:
        """Its box in plan."""

    def section(self, z: float) -> BaseGeometry:
        """The section at a height."""


@dataclass(frozen=True, slots=True)
class Upright:
    """The same `area` from `low` up to, not with, `high`."""

    area: BaseGeometry
    low: float
    high: float = math.inf

    @property
    def levels(self) -> tuple[float, ...]:
        """Heights where the section changes."""
        return tuple(filter(math.isfinite, (self.low, self.high)))

    @property
    def bounds(self) -> Box:
        """Its box in plan."""
        return self.area.bounds

    def section(self, z: float) -> BaseGeometry:
        """The section at a height."""
        return self.area if self.low <= z < self.high else EMPTY


@dataclass(frozen=True, slots=True)
class Revolved:
    """Round about each place: `radius` at a height, none where that is 0 or less; `widest` at most.
    `slope`: from which height to which it changes."""

    places: tuple[Point, ...]
    radius: Callable[[float], float]
    widest: float
    slope: tuple[float, float]
    low: float = -math.inf
    high: float = math.inf

    @property
    def levels(self) -> tuple[float, ...]:
        """Heights where the section changes."""
        bottom, top = self.slope
        inside = (z for z in (top, (top + bottom) / 2, bottom) if self.low < z)
        return (*([self.low] if math.isfinite(self.low) else ()), *inside)

    @property
    def bounds(self) -> Box:
        """Its box in plan."""
        xs, ys = zip(*self.places, strict=True)
        r = self.widest
        return (min(xs) - r, min(ys) - r, max(xs) + r, max(ys) + r)

    def section(self, z: float) -> BaseGeometry:
        """The section at a height."""
        if not self.low <= z < self.high:
            return EMPTY
        return discs(self.places, min(self.radius(z), self.widest))


def pits(
    places: tuple[Point, ...], cutter: Cutter, tip: float, *, widest: float, high: float = math.inf
) -> Revolved:
    """The pits that a cutter's point leaves with its tip at `tip`, no wider than `widest` (a
    radius)."""
    full = min(tip + cutter.point_length, high)
    return Revolved(
        places,
        lambda z: cutter.radius_at(z - tip),
        min(cutter.radius, widest),
        (tip, full),
        high=high,
    )


def sections(bodies: Sequence[DemandBody], z: float) -> BaseGeometry:
    """All their sections at a height as one."""
    found = [s for body in bodies if not (s := body.section(z)).is_empty]
    return found[0] if len(found) == 1 else union(found)
