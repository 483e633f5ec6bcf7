"""Metal that a set-up has taken away, seen from another set-up.

What is taken from above is a pile of slabs: each a region in plan between two heights, in its own
set-up's coordinates. With the same face up, or the opposite one, a slab is a region again; from
the side its section is the region cut by a line, a rectangle for every piece of the line. Both are
exact for straight walls; a region's chords lie on their arcs and sag by its own figure.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flat import polygons_of
from gcodekit.job.frames import (
    Box3,
    Frame,
    Seen,
    Sitting,
    Vector,
    along,
    minus,
    seen_axes,
    seen_from,
)
from gcodekit.job.model import Stock
from gcodekit.job.raw_metal import stock_levels, stock_section

# What goes is taken this far beyond the metal, mm: twice as far as a bar may be oversize.
BEYOND = 10.0
# Heights nearer than this are one, mm.
SAME_HEIGHT = 1e-6
# Two edges of a rim that turn by less than this, radians, belong to one curve.
_CURVED = 0.2
# Metal thinner than twice this is none, mm.
_THIN = 0.001
# What fills this share of its box is the box.
_FULL = 1.0 - 1e-12
# Just off a height, mm.
_OFF = 1e-5
FACES = ("top", "bottom", "front", "back", "left", "right")
# Of what is nearly coincident a union off a grid now and then keeps a hair, mm.
GRID = 1e-6


@dataclass(frozen=True, slots=True)
class Slab:
    """`area` in plan, from `low` up to `high`. `step`: it lies within the slab above or below it,
    one step of a slope."""

    area: BaseGeometry
    low: float
    high: float
    step: bool = False


def _valid(slab: Slab) -> Slab:
    """A strip beside a bent line may cross itself by a hair, of which no union can be made."""
    return slab if slab.area.is_valid else replace(slab, area=shapely.make_valid(slab.area))


class Removed:
    """Slabs of one set-up as another sees them."""

    def __init__(self, slabs: Iterable[Slab], seen: Seen) -> None:
        self.slabs, self.seen = tuple(_valid(s) for s in slabs if not s.area.is_empty), seen
        self._turned: dict[int, BaseGeometry] = {}
        self._sections: dict[float, BaseGeometry] = {}
        self._levels: tuple[float, ...] | None = None
        self._reach: np.ndarray | None = None

    @property
    def upright(self) -> bool:
        """Whether the section changes at levels only."""
        return self.seen.upright

    @property
    def levels(self) -> tuple[float, ...]:
        """Heights where the section changes, ascending. Where that is round or askew as seen from
        the side it changes all the way: then those between which it only grows or only shrinks."""
        if self._levels is None:
            if self.seen.upright:
                found = {self.seen.z(z) for s in self.slabs for z in (s.low, s.high)}
            else:
                found = {z for s in self.slabs if not s.step for z in self._side_levels(s.area)}
            self._levels = tuple(apart(found))
        return self._levels

    def section(self, z: float) -> BaseGeometry:
        """What is gone at a height."""
        if z not in self._sections:
            self._sections[z] = _union(self.pieces(z))
        return self._sections[z]

    def pieces(self, z: float) -> list[BaseGeometry]:
        """The same, slab by slab: they may overlap."""
        return self._from_above(z) if self.seen.upright else self._from_beside(z)

    def _from_above(self, z: float) -> list[BaseGeometry]:
        own = self.seen.own_z(z)
        there = [i for i, s in enumerate(self.slabs) if s.low <= own < s.high]
        return [self._as_seen(i) for i in there]

    def _as_seen(self, index: int) -> BaseGeometry:
        if index not in self._turned:
            self._turned[index] = turned_area(self.slabs[index].area, self.seen)
        return self._turned[index]

    def _from_beside(self, z: float) -> list[BaseGeometry]:
        across, sign = _across(self.seen)
        own = sign * (z - self.seen.shift[2])
        if self._reach is None:
            bounds = shapely.bounds([s.area for s in self.slabs]).reshape(-1, 4)
            self._reach = bounds[:, [across, across + 2]]
        low, high = self._reach.T
        return [
            _rectangle(self.seen, across, own, span, self.slabs[i])
            for i in np.flatnonzero((low < own) & (own < high))
            for span in _spans(self.slabs[i].area, across, own)
        ]

    def _side_levels(self, area: BaseGeometry) -> list[float]:
        across, sign = _across(self.seen)
        rings = (r for p in polygons_of(area) for r in (p.exterior, *p.interiors))
        own = (v for r in rings for v in _ring_levels(shapely.get_coordinates(r), across))
        return [sign * v + self.seen.shift[2] for v in own]


def turned_area(area: BaseGeometry, seen: Seen) -> BaseGeometry:
    """A plane shape of the other set-up, both upright; from the opposite face it is mirrored."""
    if area.is_empty:
        return area
    (a, b, _), (d, e, _) = seen.turned[:2]
    return affinity.affine_transform(area, [a, b, d, e, *seen.shift[:2]])


def apart(heights: Iterable[float]) -> list[float]:
    """Ascending, those that are one once."""
    kept: list[float] = []
    for z in sorted(heights):
        if not kept or z - kept[-1] > SAME_HEIGHT:
            kept.append(z)
    return kept


def _across(seen: Seen) -> tuple[int, float]:
    """Which of the other's x and y the height at hand runs along, and which way."""
    row = seen.turned[2]
    across = 0 if row[0] != 0 else 1
    return across, row[across]


def _spans(area: BaseGeometry, across: int, at: float) -> list[tuple[float, float]]:
    """From where to where the area reaches on the line x = at (`across` 0) or y = at."""
    bounds = area.bounds
    low, high = bounds[1 - across], bounds[3 - across]
    if area.area >= _FULL * (bounds[2] - bounds[0]) * (bounds[3] - bounds[1]):
        return [(low, high)]
    low, high = low - 1.0, high + 1.0
    ends = [(at, low), (at, high)] if across == 0 else [(low, at), (high, at)]
    cut = shapely.intersection(area, shapely.LineString(ends))
    spans = []
    for piece in shapely.get_parts(shapely.line_merge(cut) if cut.geom_type != "Point" else cut):
        if piece.geom_type == "LineString" and not piece.is_empty:
            values = shapely.get_coordinates(piece)[:, 1 - across]
            spans.append((float(values.min()), float(values.max())))
    return spans


def _rectangle(
    seen: Seen, across: int, at: float, span: tuple[float, float], slab: Slab
) -> BaseGeometry:
    corners = []
    for b, z in ((span[0], slab.low), (span[1], slab.high)):
        own = (at, b, z) if across == 0 else (b, at, z)
        corners.append(seen.point(own))
    (x0, y0, _), (x1, y1, _) = corners
    return shapely.box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


def turns(ring: np.ndarray) -> np.ndarray:
    """By which angle a closed ring turns left at each of its vertices, radians."""
    way = np.diff(ring, axis=0)
    angles = np.arctan2(way[:, 1], way[:, 0])
    found: np.ndarray = (angles - np.roll(angles, 1) + math.pi) % math.tau - math.pi
    return found


def _ring_levels(points: np.ndarray, across: int) -> list[float]:
    """Of a ring, along one axis: corners, and what lies furthest along either axis."""
    values, others = points[:-1, across], points[:-1, 1 - across]
    corners = values[np.abs(turns(points)) > _CURVED]
    furthest = values[[others.argmin(), others.argmax()]]
    return apart(map(float, (values.min(), values.max(), *furthest, *corners)))


def _union(pieces: Sequence[BaseGeometry]) -> BaseGeometry:
    if not pieces:
        return shapely.Polygon()
    return pieces[0] if len(pieces) == 1 else shapely.union_all(list(pieces), grid_size=GRID)


def limits_left(
    stock: Stock, cuts: Sequence[tuple[Frame, Sequence[Slab]]], limits: Box3
) -> Box3 | None:
    """The box of the metal left, in the stock's frame; None where there is none.

    Parameters
    ----------
    cuts : every set-up's coordinates and what is gone after it
    limits : the box of the metal before the last of them
    """
    low, high = list(limits[0]), list(limits[1])
    for up in FACES:
        frame = Frame(seen_axes(up, 0), (0.0, 0.0, 0.0))
        axis = frame.axes[2]
        along_axis = next(i for i in range(3) if axis[i])
        ends = high if axis[along_axis] > 0 else low
        top = _top_left(stock, up, cuts, frame, axis[along_axis] * ends[along_axis])
        if top is None:
            return None
        ends[along_axis] = axis[along_axis] * top
    return cast("Box3", (tuple(low), tuple(high)))


def _top_left(
    stock: Stock,
    up: str,
    cuts: Sequence[tuple[Frame, Sequence[Slab]]],
    frame: Frame,
    top: float,
) -> float | None:
    """How high the metal still stands with a face up, at most `top`."""
    corner = minus(Sitting.of(stock, up, 0).in_stock((0.0, 0.0, 0.0)))
    zero = cast("Vector", tuple(along(a, corner) for a in frame.axes))
    over = (2 * stock.oversize,) * 3
    raw = Sitting.of(stock, up, 0).raw(zero, (over, over))
    removed = [Removed(slabs, seen_from(other, frame)) for other, slabs in cuts]

    def stands(z: float) -> bool:
        gone = _union([p for r in removed for p in r.pieces(z)])
        left = shapely.difference(stock_section(raw, z), gone, grid_size=GRID)
        return any(not p.buffer(-_THIN).is_empty for p in polygons_of(left))

    if stands(top - _OFF):
        return top
    seen = (z for r in removed for z in r.levels if raw.low[2] < z < top)
    levels = reversed(apart([raw.low[2], *stock_levels(raw), *seen]))
    return next((z for z in levels if z > raw.low[2] and stands(z - _OFF)), None)
