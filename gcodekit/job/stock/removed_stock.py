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
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import polygons_of
from gcodekit.geometry.overlay import union
from gcodekit.job.stock.frames import Frame, FrameView, seen_from

# What goes is taken this far beyond the metal, mm: twice as far as a bar may be oversize.
BEYOND = 10.0
# Heights nearer than this are one, mm.
SAME_HEIGHT = 1e-6
# Two edges of a rim that turn by less than this, radians, belong to one curve.
_CURVED = 0.2
# A rim that comes back by less than this, mm, has not turned.
_TURNED_BACK = 1e-3
# What fills this share of its box is the box.
_FULL = 1.0 - 1e-12


@dataclass(frozen=True, slots=True)
class Slab:
    """`area` in plan, from `low` up to `high`. `step`: it lies within the slab above or below it,
    one step of a slope."""

    area: BaseGeometry
    low: float
    high: float
    step: bool = False


def _valid(area: BaseGeometry) -> BaseGeometry:
    """A strip beside a bent line may cross itself by a hair, of which no union can be made; so may
    a sliver once it is turned, by rounding."""
    return area if area.is_valid else shapely.make_valid(area)


class Removed:
    """Slabs of one set-up as another sees them."""

    def __init__(self, slabs: Iterable[Slab], seen: FrameView) -> None:
        there = (s for s in slabs if not s.area.is_empty)
        self.slabs, self.seen = tuple(replace(s, area=_valid(s.area)) for s in there), seen
        self._turned: dict[int, BaseGeometry] = {}
        self._sections: dict[float, BaseGeometry] = {}
        self._levels: tuple[float, ...] | None = None

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
        """Find what is gone at a height."""
        if z not in self._sections:
            self._sections[z] = union_of(self.pieces(z))
        return self._sections[z]

    def pieces(self, z: float) -> list[BaseGeometry]:
        """The same, slab by slab: they may overlap."""
        return self._from_above(z) if self.seen.upright else self._from_beside(z)

    def throughout(self, low: float, high: float) -> list[BaseGeometry]:
        """Find what is gone all the way between two heights, in pieces that may overlap."""
        if self.seen.upright:
            own_low, own_high = sorted((self.seen.own_z(low), self.seen.own_z(high)))
            there = (
                i
                for i, s in enumerate(self.slabs)
                if s.low < own_low + SAME_HEIGHT and s.high > own_high - SAME_HEIGHT
            )
            return [self._as_seen(i) for i in there]
        across, sign = _across(self.seen)
        start, end = sorted(sign * (z - self.seen.shift[2]) for z in (low, high))
        return [
            _rectangle(self.seen, across, start, span, layer)
            for layer in self._layers
            for span in _common_spans(layer.area, across, start, end)
        ]

    def _from_above(self, z: float) -> list[BaseGeometry]:
        own = self.seen.own_z(z)
        there = [i for i, s in enumerate(self.slabs) if s.low <= own < s.high]
        return [self._as_seen(i) for i in there]

    def _as_seen(self, index: int) -> BaseGeometry:
        if index not in self._turned:
            self._turned[index] = _valid(turned_area(self.slabs[index].area, self.seen))
        return self._turned[index]

    def _from_beside(self, z: float) -> list[BaseGeometry]:
        across, sign = _across(self.seen)
        own = sign * (z - self.seen.shift[2])
        low, high = self._reaches
        return [
            _rectangle(self.seen, across, own, span, self.slabs[i])
            for i in np.flatnonzero((low < own) & (own < high))
            for span in _spans(self.slabs[i].area, across, own)
        ]

    @cached_property
    def _layers(self) -> tuple[Slab, ...]:
        """The same metal in slabs that do not overlap: what two of them share a slanted rim of is
        one area here, with no gap between."""
        heights = apart(z for s in self.slabs for z in (s.low, s.high))
        layers = (
            Slab(
                union_of([s.area for s in self.slabs if s.low <= low and s.high >= high]), low, high
            )
            for low, high in pairwise(heights)
        )
        return tuple(layer for layer in layers if not layer.area.is_empty)

    @cached_property
    def _reaches(self) -> tuple[np.ndarray, np.ndarray]:
        """From where to where every slab reaches along the axis that is upright as seen here."""
        across, _ = _across(self.seen)
        bounds = shapely.bounds([s.area for s in self.slabs]).reshape(-1, 4)
        return bounds[:, across], bounds[:, across + 2]

    def _side_levels(self, area: BaseGeometry) -> list[float]:
        across, sign = _across(self.seen)
        rings = (r for p in polygons_of(area) for r in (p.exterior, *p.interiors))
        own = (v for r in rings for v in _ring_levels(shapely.get_coordinates(r), across))
        return [sign * v + self.seen.shift[2] for v in own]


def removed_by(cuts: Iterable[tuple[Frame, Iterable[Slab]]], frame: Frame) -> tuple[Removed, ...]:
    """What each set-up has taken, as one with this frame sees it."""
    return tuple(Removed(slabs, seen_from(other, frame)) for other, slabs in cuts)


def turned_area(area: BaseGeometry, seen: FrameView) -> BaseGeometry:
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


def _across(seen: FrameView) -> tuple[int, float]:
    """Find which of the other's x and y the height at hand runs along, and which way."""
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


def _common_spans(
    area: BaseGeometry, across: int, start: float, end: float
) -> list[tuple[float, float]]:
    """From where to where the area reaches all the way from one line to another, both across the
    same axis (`_spans`)."""
    bounds = area.bounds
    low, high = bounds[1 - across], bounds[3 - across]
    if start < bounds[across] or end > bounds[2 + across]:
        return []
    if area.area >= _FULL * (bounds[2] - bounds[0]) * (bounds[3] - bounds[1]):
        return [(low, high)]
    strip = (start, low, end, high) if across == 0 else (low, start, high, end)
    lacking = polygons_of(shapely.box(*strip).difference(area))
    gaps = sorted((p.bounds[1 - across], p.bounds[3 - across]) for p in lacking)
    spans, at = [], low
    for gap_low, gap_high in gaps:
        if gap_low > at:
            spans.append((at, gap_low))
        at = max(at, gap_high)
    return [*spans, (at, high)] if high > at else spans


def _rectangle(
    seen: FrameView, across: int, at: float, span: tuple[float, float], slab: Slab
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
    """Of a ring, along one axis: corners, and wherever it turns back along either axis."""
    values, others = points[:-1, across], points[:-1, 1 - across]
    corners = values[np.abs(turns(points)) > _CURVED]
    back = [*_turning_back(values), *_turning_back(others)]
    return apart(map(float, (*values[back], *corners)))


def _turning_back(values: np.ndarray) -> list[int]:
    """Find where values round a ring are greatest and least by turns, at least a hair apart."""
    order = np.roll(np.arange(len(values)), -int(values.argmin()))
    found, best, sign = [int(order[0])], int(order[0]), 1.0
    for i in map(int, order[1:]):
        if sign * (values[i] - values[best]) > 0:
            best = i
        elif sign * (values[best] - values[i]) > _TURNED_BACK:
            found.append(best)
            best, sign = i, -sign
    return found if sign < 0 else [*found, best]


def union_of(pieces: Sequence[BaseGeometry]) -> BaseGeometry:
    """All of some areas; one alone as it is."""
    return pieces[0] if len(pieces) == 1 else union(pieces)
