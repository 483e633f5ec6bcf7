"""How far one region of the plane reaches outside another."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.part.overlay import EMPTY, common, less

# The first distance tried, and how near the answer is to the truth, mm (or this share of it).
FIRST = 0.0005
NEAR = 0.0001
NEAR_SHARE = 0.005
# Chords to a quarter circle of the growth: at a growth of 0.01 mm an error of 0.00001 mm.
ROUND = 16


@dataclass(frozen=True, slots=True)
class Reach:
    """The greatest distance of a point of one region from another, mm, and such a point."""

    distance: float = 0.0
    at: Point | None = None


def reach(inner: BaseGeometry, outer: BaseGeometry) -> Reach:
    """How far `inner` reaches outside `outer`: the least growth of `outer` that holds `inner`.

    By growing and bisecting, never by vertices: a pillar left standing or an island milled away
    has its rim on the other's rim. Where `outer` is empty, the extent of `inner`.
    """
    worst = Reach()
    # piece by piece, so that what lies all over the work is never overlaid as a whole
    for piece in shapely.get_parts(inner):
        if not piece.is_empty:
            worst = _farther(piece, outer, worst)
    return worst


def _farther(piece: BaseGeometry, outer: BaseGeometry, worst: Reach) -> Reach:
    """The reach of one piece where it is more than the worst so far."""
    near = _near(outer, piece, NEAR)
    out = less(piece, near)
    if out.is_empty:
        return worst
    if near.is_empty and outer.is_empty:
        x0, y0, x1, y1 = out.bounds
        extent = math.hypot(x1 - x0, y1 - y0)
        return Reach(extent, _inside(out)) if extent > worst.distance else worst
    lo, hi, rest = 0.0, FIRST, out
    if worst.distance:
        lo, hi = worst.distance, worst.distance * 2
        rest = _beyond(out, outer, lo)
        if rest.is_empty:
            return worst
    while not (left := _beyond(rest, outer, hi)).is_empty:
        lo, hi, rest = hi, hi * 2, left
    while hi - lo > max(NEAR, NEAR_SHARE * hi):
        middle = (lo + hi) / 2
        left = _beyond(rest, outer, middle)
        if left.is_empty:
            hi = middle
        else:
            lo, rest = middle, left
    return Reach(hi, _inside(rest))


def _beyond(region: BaseGeometry, outer: BaseGeometry, growth: float) -> BaseGeometry:
    """The part of `region` more than `growth` away from `outer`."""
    near = _near(outer, region, growth)
    if near.is_empty:
        return region
    grown = near.buffer(growth, quad_segs=ROUND)
    # a predicate costs a tenth of an overlay on a grid, and most often says all there is to say
    return EMPTY if grown.covers(region) else less(region, grown)


def _near(outer: BaseGeometry, region: BaseGeometry, growth: float) -> BaseGeometry:
    """What of `outer` may lie within `growth` of `region`."""
    x0, y0, x1, y1 = region.bounds
    margin = growth * 1.01
    return common(outer, shapely.box(x0 - margin, y0 - margin, x1 + margin, y1 + margin))


def _inside(region: BaseGeometry) -> Point:
    """A point of the region's largest piece."""
    pieces = [p for p in getattr(region, "geoms", [region]) if p.area]
    point = max(pieces, key=lambda p: p.area).representative_point()
    return (point.x, point.y)
