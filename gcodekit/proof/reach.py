"""How far one region of the plane reaches outside another, and a fault seen in a plane in space.

A floor cut 0.1 mm too deep is, in the plane below it, out of place by half the floor's width; what
the user has to know is the 0.1 mm. So both are asked: at a distance t from the level, how far is it
out of place in the plane there? The size is the t at which both are the same (`penetration`).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import common, less
from gcodekit.proof.sections import quarter_chords
from gcodekit.target.disc_sweep import LEAST_LOOKED_AT, resized

# The first distance tried, mm.
FIRST_GROWTH = 0.0005
# How near the answer is to the truth, in a plane and in space, mm (or this share of it).
PLANE_NEAR = 0.0001
SPACE_NEAR = 0.0005
NEAR_SHARE = 0.005
# So near there is nothing to point at, mm.
PLACED = 0.0008
# Chords to a quarter circle of a growth, or of a shrinking: at 0.01 mm an error of 0.00001 mm.
LEAST_CHORDS = 16

Pieces = NDArray[np.object_]


@dataclass(frozen=True, slots=True)
class Reach:
    """The greatest distance of a point of one region from another, mm, and such a point where
    the distance is over PLACED."""

    distance: float = 0.0
    at: Point | None = None


def reach(inner: BaseGeometry, outer: BaseGeometry) -> Reach:
    """How far `inner` reaches outside `outer`: the least growth of `outer` that holds `inner`.

    By growing and bisecting, never by vertices: a pillar left standing or an island milled away
    has its rim on the other's rim. Whether a growth holds a region is asked as a yes or no,
    which costs a small part of what the difference of the two would. Where `outer` is empty,
    the extent of `inner`.
    """
    pieces = _areas(inner)
    if not len(pieces):
        return Reach()
    if outer.is_empty:
        x0, y0, x1, y1 = inner.bounds
        return Reach(math.hypot(x1 - x0, y1 - y0), _middle(inner))
    shapely.prepare(outer)
    rest = pieces[~shapely.covers(outer, pieces)]
    if not len(rest):
        return Reach()
    found = _bisected(_Grown(outer, rest), rest)
    if found.distance < LEAST_LOOKED_AT:
        return found
    sure = _Grown(outer, rest, sure=True)
    # GEOS may have grown it too far on the way: asked again of what is known to be right
    return _bisected(sure, rest) if len(sure.beyond(rest, found.distance)) else found


def _bisected(near: _Grown, rest: Pieces) -> Reach:
    lo, hi = 0.0, FIRST_GROWTH
    while len(left := near.beyond(rest, hi)):
        lo, hi, rest = hi, hi * 2, left
    while hi - lo > max(PLANE_NEAR, NEAR_SHARE * hi):
        middle = (lo + hi) / 2
        left = near.beyond(rest, middle)
        if len(left):
            lo, rest = middle, left
        else:
            hi = middle
    if hi <= PLACED:
        return Reach(hi)
    # a little short of what did not hold them, or there may be nothing left to point at; of a
    # hair there may be nothing even then
    whole = shapely.MultiPolygon(list(rest))
    out = less(whole, near.grown(lo - PLANE_NEAR))
    return Reach(hi, _middle(out if out.area else whole))


class _Grown:
    """A region as far as growths of it can matter to some pieces. `sure`: every growth is looked
    at, which takes several times as long."""

    def __init__(self, region: BaseGeometry, pieces: Pieces, *, sure: bool = False) -> None:
        self._sure = sure
        self._whole, self._bounds = region, shapely.total_bounds(pieces)
        self._margin, self._region = 0.0, region

    def beyond(self, pieces: Pieces, growth: float) -> Pieces:
        """Those pieces of which some part is more than `growth` away from the region."""
        grown = self.grown(growth)
        shapely.prepare(grown)
        return pieces[~shapely.covers(grown, pieces)]

    def grown(self, growth: float) -> BaseGeometry:
        """The region grown, right within a millimetre of the pieces."""
        if growth * 1.01 >= self._margin:
            self._margin = growth * 2 + 1.0
            self._region = self._clipped()
        if not growth or self._region.is_empty:
            return self._region
        chords = max(LEAST_CHORDS, quarter_chords(growth))
        if self._sure:
            return resized(self._region, growth, chords=chords)
        return self._region.buffer(growth, quad_segs=chords)

    def _clipped(self) -> BaseGeometry:
        x0, y0, x1, y1 = self._bounds
        d = self._margin
        window = shapely.box(x0 - d, y0 - d, x1 + d, y1 + d)
        if window.covers(shapely.box(*self._whole.bounds)):
            return self._whole
        return common(self._whole, window)


def _areas(region: BaseGeometry) -> Pieces:
    pieces = shapely.get_parts(region)
    return pieces[shapely.area(pieces) > 0]


def _middle(region: BaseGeometry) -> Point:
    """A point of the region's largest piece."""
    pieces = _areas(region)
    point = pieces[int(np.argmax(shapely.area(pieces)))].representative_point()
    return (point.x, point.y)


def penetration(found: Reach, at: float, reach_at: Callable[[float], Reach]) -> tuple[Reach, float]:
    """The greatest t, mm, with a reach of at least t at that distance from the level, and the
    distance of the plane where it is seen.

    `found` is the reach at the distance `at`; `reach_at` gives it farther off, where it is no
    greater.
    """
    if found.distance <= at:
        return found, at
    seen, lo, hi = found, at, found.distance
    while hi - lo > max(SPACE_NEAR, NEAR_SHARE * lo):
        # the answer is often a small part of the reach: go out from the level, doubling
        middle = min(2 * lo, (lo + hi) / 2)
        there = reach_at(middle)
        if there.distance >= middle:
            seen, lo = there, middle
        else:
            hi = middle
    return Reach(hi, seen.at), lo


def nearer_upright(
    found: Reach, depth: float, is_out: Callable[[float], bool], *, least: float
) -> Reach:
    """The same, less where what may go widens upwards, as over a drill's point: how far up, mm,
    something seen at `depth` must go to be where it may. What that makes no more than `least` stays
    as it was found: a fault is never reasoned away."""
    if not is_out(depth):
        return found
    lo, hi = 0.0, depth
    while hi - lo > max(SPACE_NEAR, NEAR_SHARE * hi):
        middle = (lo + hi) / 2
        lo, hi = (lo, middle) if is_out(middle) else (middle, hi)
    # the level itself is no nearer way than what was found
    return Reach(hi, found.at) if least < hi < min(depth, found.distance) else found
