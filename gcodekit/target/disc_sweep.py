"""The sweep of a disc along a line or an area's rim, right in bends tighter than the disc.

GEOS buffers such a line or area wrongly now and then, by millimetres. Its answer is looked at all
along the rim, and where that is not at the disc's radius from the line every segment is swept
alone.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

# A right rim lies so near to its radius, mm: GEOS's smoothing and the chords' sag stay within it.
RIM_NEAR = 0.0015
# How many times to the radius the rim is looked at.
RIM_LOOKS = 4
# Distances nearer than this are one, mm.
SAME_DISTANCE = 1e-5
# What is swept along an area's rim is not looked at below this radius, mm: there GEOS's smoothing
# is less than RIM_NEAR.
LEAST_LOOKED_AT = 0.05
# Areas resized last are kept: one is asked for again by what is required, by what is beyond reach,
# and at the next height.
KEPT = 64


def is_true(sweep: BaseGeometry, line: BaseGeometry, radius: float) -> bool:
    """Tell whether a sweep's rim lies at its radius from the line everywhere."""
    if radius <= 0 or sweep.is_empty:
        return True
    places = [
        np.concatenate((way, _middles(way, radius / RIM_LOOKS / 2)))
        for rim in shapely.get_parts(shapely.segmentize(sweep.boundary, radius / RIM_LOOKS))
        if len(way := shapely.get_coordinates(rim))
    ]
    shapely.prepare(line)
    at = shapely.points(np.concatenate(places))
    far, near = radius + RIM_NEAR, radius - RIM_NEAR
    # a prepared line answers this by an index, and a question for the distance itself does not
    return bool(shapely.dwithin(line, at, far).all() and not shapely.dwithin(line, at, near).any())


def _middles(way: NDArray[np.float64], longer: float) -> NDArray[np.float64]:
    """The middles of pieces of a way longer than that: a short chord lies as its ends do."""
    long = np.hypot(*np.diff(way, axis=0).T) > longer
    middles: NDArray[np.float64] = (way[:-1][long] + way[1:][long]) / 2
    return middles


def by_segments(line: BaseGeometry, radius: float, *, chords: int) -> BaseGeometry:
    """Every segment of a line or several swept alone and put together: slow and right."""
    found: list[BaseGeometry] = []
    for one in shapely.get_parts(line):
        at = shapely.get_coordinates(one)
        pairs = shapely.linestrings(np.stack((at[:-1], at[1:]), axis=1))
        found.extend(np.atleast_1d(np.asarray(shapely.buffer(pairs, radius, quad_segs=chords))))
    return shapely.union_all(found)


def swept(
    line: BaseGeometry, radius: float, *, chords: int, flat_ends: bool = False
) -> BaseGeometry:
    """All within `radius` of a line or several; `flat_ends`: cut off square past its ends."""
    whole: BaseGeometry = line.buffer(radius, quad_segs=chords)
    true = is_true(whole, line, radius)
    if not flat_ends:
        return whole if true else by_segments(line, radius, chords=chords)
    if not true:
        return _by_bars(line, radius, chords=chords)
    square: BaseGeometry = line.buffer(radius, quad_segs=chords, cap_style="flat")
    # right where it lacks no more than what is round about the ends
    ends = shapely.MultiPoint([line.coords[0], line.coords[-1]])
    lacks = whole.difference(square).difference(ends.buffer(radius + RIM_NEAR, quad_segs=chords))
    return square if lacks.buffer(-RIM_NEAR).is_empty else _by_bars(line, radius, chords=chords)


@lru_cache(maxsize=KEPT)
def resized(shape: BaseGeometry, by: float, *, chords: int) -> BaseGeometry:
    """An area and all within `by` of it; `by` below 0: what of it is farther than that from its
    rim. `chords` to a quarter circle."""
    found: BaseGeometry = shape.buffer(by, quad_segs=chords)
    rim = shape.boundary
    if abs(by) < LEAST_LOOKED_AT:
        return found
    if is_true(found, rim, abs(by)) and (by > 0 or _is_whole(found, shape, -by)):
        return found
    band = by_segments(rim, abs(by), chords=chords)
    return shape.union(band) if by > 0 else shape.difference(band)


def _is_whole(found: BaseGeometry, shape: BaseGeometry, depth: float) -> bool:
    """Tell whether an area less a band along its rim has all its parts: it is there wherever the
    rim, moved in, lies as deep as it was moved. GEOS may leave out a part, or all of it."""
    rim = shape.boundary
    rings = shapely.get_parts(shapely.segmentize(rim, depth / RIM_LOOKS / 2))
    ways = [shapely.get_coordinates(ring) for ring in rings]
    middle = np.concatenate([(w[:-1] + w[1:]) / 2 for w in ways])
    along = np.concatenate([np.diff(w, axis=0) for w in ways])
    out = depth * np.stack((-along[:, 1], along[:, 0]), axis=1) / np.hypot(*along.T)[:, None]
    moved = shapely.points(np.concatenate((middle + out, middle - out)))
    shapely.prepare(shape)
    shapely.prepare(rim)
    inside = np.asarray(moved)[shapely.contains(shape, moved)]
    deep = inside[~shapely.dwithin(rim, inside, depth - SAME_DISTANCE)]
    if not len(deep) or found.is_empty:
        return not len(deep)
    shapely.prepare(found)
    return bool(shapely.dwithin(found, deep, RIM_NEAR).all())


def _by_bars(line: BaseGeometry, radius: float, *, chords: int) -> BaseGeometry:
    """The area that a bar across an open line, `radius` to both sides, sweeps along it: a rectangle
    for every segment, and a wedge where one turns into the next."""
    at = shapely.get_coordinates(line)
    way = np.diff(at, axis=0)
    out = radius * np.stack((-way[:, 1], way[:, 0]), axis=1) / np.hypot(*way.T)[:, None]
    start, end = at[:-1], at[1:]
    bars = shapely.polygons(np.stack((start + out, end + out, end - out, start - out), axis=1))
    angles = np.arctan2(way[:, 1], way[:, 0])
    turns = (np.diff(angles) + np.pi) % (2 * np.pi) - np.pi
    wedges = [
        _wedge(end[i], -np.sign(turns[i]) * out[i], turns[i], chords) for i in np.flatnonzero(turns)
    ]
    return shapely.union_all([*np.atleast_1d(np.asarray(bars)), *wedges])


def _wedge(
    middle: NDArray[np.float64], spoke: NDArray[np.float64], turn: float, chords: int
) -> BaseGeometry:
    """The area that a spoke from a middle passes over as it turns, radians."""
    angles = np.linspace(0.0, turn, 1 + max(1, int(np.ceil(abs(turn) * chords / (np.pi / 2)))))
    cos, sin = np.cos(angles), np.sin(angles)
    rim = np.stack((cos * spoke[0] - sin * spoke[1], sin * spoke[0] + cos * spoke[1]), axis=1)
    return shapely.make_valid(shapely.Polygon([middle, *(middle + rim)]))
