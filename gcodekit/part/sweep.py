"""The sweep of a disc along a line, right in tight bends too.

GEOS buffers a line wrongly now and then where it bends within the distance: an arc in short
chords between two corners, tighter than the disc, may fill a piece of the plane that no point of
the line is near (seen: 28 mm^2 beside a slot of 12 mm). So its answer is looked at, and where it
is wrong the line is swept segment by segment.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import polygons_of

Array = NDArray[np.float64]

# Nearer to where it should be than this, mm, a sweep's rim is right: GEOS's own smoothing and
# the sag of chords stay within it.
TRUE_RIM = 0.0015
# An area's rim is not looked at where it is to move by less than this, mm: GEOS smooths less there
# than what counts as true.
SMALL_MOVE = 0.05
# The rim is looked at this many times to the radius.
RIM_LOOKS = 4
# Offsets found last are kept: slabs, levels and features ask for the same ones again and again.
KEPT = 64


def swept(
    line: BaseGeometry, radius: float, *, chords: int, flat_ends: bool = False
) -> BaseGeometry:
    """Everything within `radius` of a line or several; `chords` to a quarter circle. `flat_ends`:
    cut off square at the ends."""
    found: BaseGeometry = line.buffer(radius, quad_segs=chords)
    right = is_true(found, line, radius)
    if not flat_ends:
        return found if right else by_segments(line, radius, chords=chords)
    if right:
        cut: BaseGeometry = line.buffer(radius, quad_segs=chords, cap_style="flat")
        if _is_all_but_ends(cut, found, line, radius):
            return cut
    return _square(line, radius, chords)


@lru_cache(maxsize=KEPT)
def offset_area(shape: BaseGeometry, by: float, *, chords: int) -> BaseGeometry:
    """An area with its rim moved outward by `by`, inward where that is less than 0: GEOS's own
    where it is right, else put together from the sweep of every segment of the rim."""
    found: BaseGeometry = shape.buffer(by, quad_segs=chords)
    if abs(by) < SMALL_MOVE:
        return found
    lost = found.is_empty and by < 0 and _deepest(shape) > TRUE_RIM - by
    if not lost and is_true(found, shape.boundary, abs(by)):
        return found
    band = by_segments(shape.boundary, abs(by), chords=chords)
    return shapely.union(shape, band) if by > 0 else shapely.difference(shape, band)


def _deepest(shape: BaseGeometry) -> float:
    """The distance of the deepest place of an area from its rim, mm."""
    circles = (shapely.maximum_inscribed_circle(p, tolerance=TRUE_RIM) for p in polygons_of(shape))
    return max((float(circle.length) for circle in circles), default=0.0)


def _is_all_but_ends(
    cut: BaseGeometry, found: BaseGeometry, line: BaseGeometry, radius: float
) -> bool:
    """Tell whether a sweep cut off square has all of the round one that is not near its ends."""
    points = shapely.points(shapely.get_coordinates(line)[[0, -1]])
    ends = shapely.union_all(shapely.buffer(points, radius + TRUE_RIM, quad_segs=64))
    return bool(shapely.difference(found, shapely.union(cut, ends)).buffer(-TRUE_RIM).is_empty)


def _square(line: BaseGeometry, radius: float, chords: int) -> BaseGeometry:
    """Every two segments of an open line that join swept alone, cut off square at their ends: what
    lies beyond the line's own ends no other part of it loses by that."""
    points = shapely.get_coordinates(line)
    if len(points) < 3:
        return line.buffer(radius, quad_segs=chords, cap_style="flat")
    pairs = shapely.linestrings(np.stack((points[:-2], points[1:-1], points[2:]), axis=1))
    swept_alone = shapely.buffer(pairs, radius, quad_segs=chords, cap_style="flat")
    return shapely.union_all(swept_alone)


def is_true(sweep: BaseGeometry, line: BaseGeometry, radius: float) -> bool:
    """Tell whether the rim of a sweep lies at its radius from the line."""
    if radius <= 0 or sweep.is_empty:
        return True
    spacing = radius / RIM_LOOKS
    rims = shapely.get_parts(shapely.segmentize(sweep.boundary, spacing))
    places = [shapely.get_coordinates(rim) for rim in rims]
    # between two vertices at the right distance a long chord may still cut off a piece
    for way in tuple(places):
        steps = np.diff(way, axis=0)
        far = np.hypot(steps[:, 0], steps[:, 1]) > spacing / 2
        places.append(way[:-1][far] + steps[far] / 2)
    shapely.prepare(line)
    points = shapely.points(np.concatenate(places))
    # asked so, a prepared line looks in its index; for a distance it would go through all of it
    outside = ~shapely.dwithin(line, points, radius + TRUE_RIM)
    return not (outside | shapely.dwithin(line, points, radius - TRUE_RIM)).any()


def by_segments(line: BaseGeometry, radius: float, *, chords: int) -> BaseGeometry:
    """The same, each segment swept alone: slow, and right."""
    pieces: list[BaseGeometry] = []
    for one in shapely.get_parts(line):
        points = shapely.get_coordinates(one)
        segments = shapely.linestrings(np.stack((points[:-1], points[1:]), axis=1))
        pieces += np.asarray(shapely.buffer(segments, radius, quad_segs=chords)).tolist()
    return shapely.union_all(pieces)
