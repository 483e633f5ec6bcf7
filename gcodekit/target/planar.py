"""Areas in plan as manifold3d's cross sections, mm."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
import shapely
from manifold3d import CrossSection, FillRule, JoinType, OpType
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.flattening import polygons_of
from gcodekit.geometry.region import Region

# Chords stay this near their arcs, mm: a fifth of what two opinions on the stock may differ by.
SOLID_SAG = 0.002
# So many areas are put together at once.
JOINED_AT_ONCE = 8


def chords(radius: float) -> int:
    """Chords to a full circle."""
    if radius <= SOLID_SAG:
        return 8
    return max(12, math.ceil(math.pi / math.acos(1 - SOLID_SAG / radius)))


def area_of(region: Region) -> CrossSection:
    """A drawn region."""
    rings = [ring.flattened(SOLID_SAG) for ring in region.rings]
    return CrossSection([_open(r) for r in rings if len(r) > 3], FillRule.EvenOdd)


def area_from(shape: BaseGeometry) -> CrossSection:
    """A polygonal shape."""
    rings = [
        _open(shapely.get_coordinates(ring))
        for p in polygons_of(shape)
        for ring in (p.exterior, *p.interiors)
    ]
    return CrossSection(rings, FillRule.EvenOdd)


def _open(ring: np.ndarray) -> np.ndarray:
    """A ring without its first point repeated."""
    return ring[:-1] if np.array_equal(ring[0], ring[-1]) else ring


def box(x0: float, y0: float, x1: float, y1: float) -> CrossSection:
    """An upright rectangle."""
    return CrossSection([[(x0, y0), (x1, y0), (x1, y1), (x0, y1)]], FillRule.NonZero)


def turned_box(middle: Point, along: Point, length: float, width: float) -> CrossSection:
    """A rectangle about its middle, `length` along a unit vector."""
    (x, y), (dx, dy) = middle, along
    a, b = length / 2, width / 2
    corners = [
        (x + u * dx - v * dy, y + u * dy + v * dx) for u, v in ((-a, -b), (a, -b), (a, b), (-a, b))
    ]
    return CrossSection([corners], FillRule.NonZero)


def discs(places: Iterable[Point], radius: float) -> CrossSection:
    """A disc at every place."""
    if radius <= 0:
        return CrossSection()
    one = CrossSection.circle(radius, chords(radius))
    return union([one.translate(p) for p in places])


def union(areas: Sequence[CrossSection]) -> CrossSection:
    """All of some areas: a few neighbours at a time, or what many of them share would be looked at
    once for each."""
    found = list(areas)
    while len(found) > JOINED_AT_ONCE:
        found = [
            CrossSection.batch_boolean(found[i : i + JOINED_AT_ONCE], OpType.Add)
            for i in range(0, len(found), JOINED_AT_ONCE)
        ]
    return CrossSection.batch_boolean(found, OpType.Add) if found else CrossSection()


def grown(area: CrossSection, by: float) -> CrossSection:
    """The area within a distance of an area; negative: what lies deeper than that in it."""
    return area.offset(by, JoinType.Round, 2.0, chords(abs(by)))


def swept(path: Chain, radius: float) -> CrossSection:
    """The area that a disc passes over along a path."""
    points = [(float(x), float(y)) for x, y in path.flattened(SOLID_SAG)]
    one = CrossSection.circle(radius, chords(radius))
    round_ = [one.translate(p) for p in points]
    ways = [CrossSection.batch_hull([a, b]) for a, b in pairwise(round_)]
    return union(ways or round_)


def beside(path: Chain, width: float, *, left: bool) -> CrossSection:
    """The band on one side of an open path, with the round ends of a cutter as wide as it; about an
    outer corner it goes round at its full width."""
    sign = 1.0 if left else -1.0
    points = [(float(x), float(y)) for x, y in path.flattened(SOLID_SAG)]
    pieces, before = [], None
    for (ax, ay), (bx, by) in pairwise(points):
        length = math.hypot(bx - ax, by - ay) or 1.0
        nx, ny = -sign * (by - ay) / length * width, sign * (bx - ax) / length * width
        quad = [(ax, ay), (bx, by), (bx + nx, by + ny), (ax + nx, ay + ny)]
        cutter = [((x + nx / 2), (y + ny / 2)) for x, y in ((ax, ay), (bx, by))]
        pieces += [CrossSection([quad if left else quad[::-1]], FillRule.NonZero)]
        pieces += [discs(cutter, width / 2)]
        if before is not None:
            pieces += [_round((ax, ay), before, (nx, ny), sign)]
        before = (nx, ny)
    return union(pieces)


def _round(corner: Point, one: Point, other: Point, sign: float) -> CrossSection:
    """The area that a spoke passes over about a corner from one direction to the other, where the
    path turns away from its side; `sign`: 1 on the left of the path."""
    first, last = math.atan2(one[1], one[0]), math.atan2(other[1], other[0])
    turn = math.remainder(last - first, math.tau)
    if turn * sign >= 0:
        return CrossSection()
    long = math.hypot(*one)
    count = max(2, math.ceil(abs(turn) / math.tau * chords(long)) + 1)
    rim = [
        (corner[0] + long * math.cos(a), corner[1] + long * math.sin(a))
        for a in np.linspace(first, first + turn, count)
    ]
    return CrossSection([[corner, *(rim if turn > 0 else rim[::-1])]], FillRule.NonZero)
