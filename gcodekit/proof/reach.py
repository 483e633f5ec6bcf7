"""How far one region of the plane reaches outside another."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import common, less
from gcodekit.proof.sections import quarter_chords
from gcodekit.target.sweep import LEAST, resized

# The first distance tried, and how near the answer is to the truth, mm (or this share of it).
FIRST = 0.0005
NEAR = 0.0001
NEAR_SHARE = 0.005
# So near there is nothing to point at, mm.
PLACED = 0.0008
# Chords to a quarter circle of the growth: at a growth of 0.01 mm an error of 0.00001 mm.
ROUND = 16

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
    found = _bisected(_Near(outer, rest), rest)
    if found.distance < LEAST:
        return found
    sure = _Near(outer, rest, sure=True)
    # GEOS may have grown it too far on the way: asked again of what is known to be right
    return _bisected(sure, rest) if len(sure.beyond(rest, found.distance)) else found


def _bisected(near: _Near, rest: Pieces) -> Reach:
    lo, hi = 0.0, FIRST
    while len(left := near.beyond(rest, hi)):
        lo, hi, rest = hi, hi * 2, left
    while hi - lo > max(NEAR, NEAR_SHARE * hi):
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
    out = less(whole, near.grown(lo - NEAR))
    return Reach(hi, _middle(out if out.area else whole))


class _Near:
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
        chords = max(ROUND, quarter_chords(growth))
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
