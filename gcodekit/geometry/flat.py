"""Between chains and shapely: flattening, and places along a chain."""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain, Line, Point, Segment, distance
from gcodekit.geometry.region import Region
from gcodekit.geometry.tolerances import GRID, SLIVER_AREA


def to_shapely(region: Region, sag: float, *, max_step: float = math.pi / 8) -> BaseGeometry:
    """The region as polygons; vertices lie on the arcs, chords inside them by at most `sag`."""
    polygons = [
        shapely.Polygon(
            p.outer.flattened(sag, max_step=max_step),
            [h.flattened(sag, max_step=max_step) for h in p.holes],
        )
        for p in region.parts
    ]
    return shapely.union_all(polygons, grid_size=GRID) if polygons else shapely.Polygon()


def region_from(shape: BaseGeometry) -> Region:
    """The region of a polygonal shape as it is, without arcs."""
    region = Region()
    for polygon in shapely.get_parts(shape):
        if polygon.geom_type != "Polygon" or polygon.area < SLIVER_AREA:
            continue
        rings = [
            Chain.of_points([(float(x), float(y)) for x, y in ring.coords[:-1]], closed=True)
            for ring in (polygon.exterior, *polygon.interiors)
        ]
        region = Region((*region.parts, *Region.of(rings[0], *rings[1:]).parts))
    return region


def nearest(chain: Chain, point: Point) -> tuple[float, float]:
    """The place on the chain nearest to a point: mm along it, and the distance. Exact for arcs."""
    best = (0.0, math.inf)
    at = 0.0
    for segment in chain:
        s = _foot(segment, point)
        for place in (s, 0.0, segment.length):
            if 0.0 <= place <= segment.length:
                gap = distance(segment.point_at(place), point)
                if gap < best[1] - 1e-12:
                    best = (at + place, gap)
        at += segment.length
    return best


def _foot(segment: Segment, point: Point) -> float:
    if isinstance(segment, Line):
        if segment.length == 0:
            return 0.0
        (ax, ay), (bx, by) = segment.start, segment.end
        return ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / segment.length
    return _arc_foot(segment, point)


def _arc_foot(arc: Arc, point: Point) -> float:
    angle = math.atan2(point[1] - arc.centre[1], point[0] - arc.centre[0]) - arc.start_angle
    turn = angle % math.tau if arc.ccw else -angle % math.tau
    return turn * arc.radius
