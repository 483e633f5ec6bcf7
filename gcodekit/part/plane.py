"""Plane regions as shapely polygons: flattening, discs, sweeps, and overlays on a fixed grid."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.region import Region

# Chords stay this near their arc, mm, with their ends on it: inside a disc, outside a round hole.
# Under half of the 0.0005 mm that the proof may lose on discs.
SAG = 0.0002
# Overlays are rounded to this grid, mm: in floating point the difference of regions with nearly
# coincident edges now and then holds a piece that is in neither.
GRID = 1e-6
# The first and last bit of an open line lies along its tangent for this length, mm: off an arc of
# radius 1 by 0.00005.
TANGENT = 0.01

EMPTY: BaseGeometry = shapely.Polygon()


def quarter_chords(radius: float) -> int:
    """Chords to a quarter circle so that they sag at most SAG."""
    if radius <= SAG:
        return 1
    return max(4, math.ceil(math.pi / (4 * math.acos(1 - SAG / radius))))


def disc(centre: Point, radius: float) -> BaseGeometry:
    """A disc; its chords lie inside it."""
    if radius <= 0:
        return EMPTY
    return shapely.Point(centre).buffer(radius, quad_segs=quarter_chords(radius))


def discs(centres: Sequence[Point], radius: float) -> BaseGeometry:
    """Equal discs."""
    if radius <= 0 or not centres:
        return EMPTY
    chords = quarter_chords(radius)
    return union(list(shapely.buffer(shapely.points(centres), radius, quad_segs=chords)))


def area_of(region: Region) -> BaseGeometry:
    """The region; vertices lie on its arcs."""
    return union(
        shapely.Polygon(p.outer.flattened(SAG), [h.flattened(SAG) for h in p.holes])
        for p in region.parts
    )


def line_of(chain: Chain) -> shapely.LineString:
    """The chain; vertices lie on its arcs. An open one leaves its ends along their true tangents,
    so that what is cut off square there is square to the arc, not to its first chord."""
    points = chain.flattened(SAG)
    if not chain.closed and chain.length > 4 * TANGENT:
        start = points[0] + TANGENT * np.array(chain.tangent_at(0.0))
        end = points[-1] - TANGENT * np.array(chain.tangent_at(chain.length))
        points = np.concatenate(([points[0], start], points[1:-1], [end, points[-1]]))
    return shapely.LineString(points)


def grown(shape: BaseGeometry, by: float, *, flat_ends: bool = False) -> BaseGeometry:
    """Every point within `by` of the shape; less than 0: shrunk.

    `flat_ends`: a line's ends are cut off square.
    """
    chords = quarter_chords(abs(by))
    return shape.buffer(by, quad_segs=chords, cap_style="flat" if flat_ends else "round")


def union(pieces: Iterable[BaseGeometry]) -> BaseGeometry:
    """All pieces as one."""
    found = [p for p in pieces if not p.is_empty]
    if len(found) == 1:
        return found[0]
    return shapely.union_all(found, grid_size=GRID) if found else EMPTY


def less(region: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """`region` without `other`; lines and points are no metal and are left out."""
    if region.is_empty or other.is_empty:
        return region
    return _areas(shapely.difference(region, other, grid_size=GRID))


def common(region: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """What is in both; lines and points are left out."""
    if region.is_empty or other.is_empty:
        return EMPTY
    return _areas(shapely.intersection(region, other, grid_size=GRID))


def _areas(region: BaseGeometry) -> BaseGeometry:
    if region.geom_type in ("Polygon", "MultiPolygon"):
        return region
    return union(p for p in shapely.get_parts(region) if p.area)
