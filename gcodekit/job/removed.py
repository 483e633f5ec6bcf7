"""Metal that a set-up has taken away, seen from another set-up.

What is taken from above is a pile of slabs: each a region in plan between two heights, in its own
set-up's coordinates. With the same face up, or the opposite one, a slab is a region again; from
the side its section is the region cut by a line, a rectangle for every piece of the line. Both are
exact for straight walls; a region's chords lie on their arcs and sag by its own figure.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flat import polygons_of
from gcodekit.job.frames import Box3, Seen, Vector
from gcodekit.job.model import RawStock
from gcodekit.job.raw_metal import stock_levels, stock_section

# A wall that is round or askew as seen from the side is looked at this many times between two of
# its corners.
STEPS = 12
# Heights nearer than this are one, mm.
SAME_HEIGHT = 1e-6
# Two edges of a rim that turn by less than this, radians, belong to one curve.
_CURVED = 0.2
# Metal thinner than twice this is none, mm.
_THIN = 0.001
# Just off a height, mm.
_OFF = 1e-5
# Of what is nearly coincident a union off a grid now and then keeps a hair, mm.
GRID = 1e-6


@dataclass(frozen=True, slots=True)
class Slab:
    """`area` in plan, from `low` up to `high`."""

    area: BaseGeometry
    low: float
    high: float


class Removed:
    """Slabs of one set-up as another sees them."""

    def __init__(self, slabs: Iterable[Slab], seen: Seen) -> None:
        self.slabs, self.seen = tuple(s for s in slabs if not s.area.is_empty), seen
        self._turned: dict[int, BaseGeometry] = {}
        self._sections: dict[float, BaseGeometry] = {}
        self._levels: tuple[float, ...] | None = None

    @property
    def levels(self) -> tuple[float, ...]:
        """Heights where the section changes, ascending; where it changes all the way, some."""
        if self._levels is None:
            if self.seen.upright:
                found = {self.seen.z(z) for s in self.slabs for z in (s.low, s.high)}
            else:
                found = {z for s in self.slabs for z in self._side_levels(s.area)}
            self._levels = tuple(apart(found))
        return self._levels

    def section(self, z: float) -> BaseGeometry:
        """What is gone at a height."""
        if z not in self._sections:
            whole = self._from_above if self.seen.upright else self._from_beside
            self._sections[z] = _union(whole(z))
        return self._sections[z]

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
        return [
            _rectangle(self.seen, across, own, span, slab)
            for slab in self.slabs
            for span in _spans(slab.area, across, own)
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
    if not bounds[across] < at < bounds[across + 2]:
        return []
    low, high = bounds[1 - across] - 1.0, bounds[3 - across] + 1.0
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
    for along, z in ((span[0], slab.low), (span[1], slab.high)):
        own = (at, along, z) if across == 0 else (along, at, z)
        corners.append(seen.point(own))
    (x0, y0, _), (x1, y1, _) = corners
    return shapely.box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


def _ring_levels(points: np.ndarray, across: int) -> list[float]:
    """Of a ring, along one axis: corners and furthest points, and steps between them where it is
    neither level nor upright there."""
    way = np.diff(points, axis=0)
    way = way[np.hypot(way[:, 0], way[:, 1]) > 0]
    angles = np.arctan2(way[:, 1], way[:, 0])
    turn = np.abs((angles - np.roll(angles, 1) + math.pi) % math.tau - math.pi)
    values = points[:-1, across]
    found = [float(values.min()), float(values.max())]
    if len(turn) == len(values):
        found += [float(v) for v in values[turn > _CURVED]]
    sharp = apart(found)
    slant = (np.abs(way[:, 0]) > SAME_HEIGHT) & (np.abs(way[:, 1]) > SAME_HEIGHT)
    if not slant.any():
        return sharp
    steps = [a + (b - a) * k / STEPS for a, b in itertools.pairwise(sharp) for k in range(1, STEPS)]
    return [*sharp, *steps]


def _union(pieces: Sequence[BaseGeometry]) -> BaseGeometry:
    if not pieces:
        return shapely.Polygon()
    return pieces[0] if len(pieces) == 1 else shapely.union_all(list(pieces), grid_size=GRID)


def limits_left(raw: RawStock, removed: Sequence[Removed]) -> Box3 | None:
    """The box of the metal left of raw stock, in the frame that both are seen in; None where
    nothing is left."""
    bottom, top = raw.low[2], raw.high[2]
    seen = (z for r in removed for z in r.levels if bottom < z < top)
    levels = apart([bottom, top, *stock_levels(raw), *seen])
    low: Vector | None = None
    high: Vector = raw.high
    for below, above in itertools.pairwise(levels):
        boxes = []
        for z in (below + _OFF, (below + above) / 2, above - _OFF):
            gone = _union([r.section(z) for r in removed])
            left = shapely.difference(stock_section(raw, z), gone, grid_size=GRID)
            boxes += [p.bounds for p in polygons_of(left) if not p.buffer(-_THIN).is_empty]
        if not boxes:
            continue
        x0, y0 = (min(b[i] for b in boxes) for i in (0, 1))
        x1, y1 = (max(b[i] for b in boxes) for i in (2, 3))
        if low is None:
            low, high = (x0, y0, below), (x1, y1, above)
        else:
            low = (min(low[0], x0), min(low[1], y0), low[2])
            high = (max(high[0], x1), max(high[1], y1), above)
    return None if low is None else _snapped((low, high), (raw.low, raw.high))


def _snapped(box: Box3, raw: Box3) -> Box3:
    """A limit that is the raw stock's but for rounding is that."""
    ends = (
        tuple(r if abs(v - r) < 10 * GRID else round(v, 6) for v, r in zip(mine, its, strict=True))
        for mine, its in zip(box, raw, strict=True)
    )
    return cast("Box3", tuple(ends))
