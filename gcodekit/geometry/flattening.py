"""Between true arcs and polygons, discs as polygons, and places on chains and regions."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain, Line, Point, Points, Segment, distance
from gcodekit.geometry.region import Part, Region
from gcodekit.geometry.tolerances import METAL_SAG, POINT_RING, SAME_POINT, SLIVER, WIDEST_CHORD


def to_shapely(
    shape: Region | Chain,
    sag: float,
    *,
    max_step: float = WIDEST_CHORD,
    circumscribed: bool = False,
) -> BaseGeometry:
    """A region as polygons, a chain as a line; arcs become chords of at most `sag` mm.

    Vertices lie on the true curve (to rounding), so a polygon is smaller than the region at
    outward arcs and larger at inward ones. With `circumscribed` outward arcs of a region become
    tangents instead, `sag` mm outside at most: the polygon then contains the region, whose
    boundary is never more than `sag` away.

    A neck of no width (see `offset`) is cut, so that the result is always a valid geometry.

    Examples
    --------
    >>> disc = Region.of(Chain.circle((0, 0), 1.0))
    >>> to_shapely(disc, 0.001).area < math.pi < to_shapely(disc, 0.001, circumscribed=True).area
    True
    """
    if isinstance(shape, Chain):
        return shapely.LineString(shape.flattened(sag, max_step=max_step))

    def flat(ring: Chain) -> Points:
        if circumscribed:
            return _outside(ring, sag, max_step)
        return ring.flattened(sag, max_step=max_step)

    polygons = [shapely.Polygon(flat(p.outer), [flat(h) for h in p.holes]) for p in shape.parts]
    if not polygons:
        return shapely.Polygon()
    return sound(polygons[0] if len(polygons) == 1 else shapely.MultiPolygon(polygons))


def sound(shape: BaseGeometry) -> BaseGeometry:
    """A polygonal shape cut where its rings touch, if they do: necks of no width go."""
    if shape.is_valid:
        return shape
    made = shapely.make_valid(shape, method="structure", keep_collapsed=False)
    polygons = polygons_of(made)
    return polygons[0] if len(polygons) == 1 else shapely.MultiPolygon(polygons)


def polygons_of(shape: BaseGeometry) -> list[shapely.Polygon]:
    """The polygons of a geometry that are not empty; lines and points are left out."""
    if isinstance(shape, shapely.Polygon):
        return [] if shape.is_empty else [shape]
    parts: list[BaseGeometry] = list(shapely.get_parts(shape))
    if shape.geom_type != "MultiPolygon":
        parts = [p for part in parts for p in shapely.get_parts(part)]
    return [p for p in parts if isinstance(p, shapely.Polygon) and not p.is_empty]


# A place this much nearer to the edge than it should be lies in a piece turned inside out, mm.
INSIDE_OUT = 1e-5


def eroded(shape: BaseGeometry, by: float, *, quad_segs: int = 16) -> BaseGeometry:
    """All of a shape that is at least `by` mm from its edge, `by` not less than 0.

    Where a piece has no room for that by little, GEOS returns it turned inside out: a small one
    much nearer to the edge, in a convex outline with all sides at one distance from its middle.
    Such pieces are left out.

    Examples
    --------
    >>> octagon = shapely.Point(0, 0).buffer(5, quad_segs=2)
    >>> octagon.buffer(-4.7).is_empty, eroded(octagon, 4.7).is_empty
    (False, True)
    """
    inner = shape.buffer(-by, quad_segs=quad_segs)
    pieces = polygons_of(inner)
    if not pieces:
        return inner
    edge = shape.boundary
    # chords at hollow corners cut across the round by their sag
    least = by * math.cos(math.pi / 4 / quad_segs) - INSIDE_OUT
    sound_ones = [p for p in pieces if p.representative_point().distance(edge) >= least]
    if len(sound_ones) == len(pieces):
        return inner
    return sound_ones[0] if len(sound_ones) == 1 else shapely.MultiPolygon(sound_ones)


def thin(shape: shapely.Polygon) -> bool:
    """Tell whether a polygon without holes is narrower than `SLIVER` in the mean."""
    return bool(2 * shape.area < SLIVER * shape.length)


def region_from(shape: BaseGeometry) -> Region:
    """The region of a polygonal shape as it is: lines only."""
    parts: list[Part] = []
    for polygon in polygons_of(shape):
        if polygon.exterior.length <= POINT_RING:
            continue
        turned = shapely.geometry.polygon.orient(polygon)
        outer, *holes = [_ring(r) for r in (turned.exterior, *turned.interiors)]
        parts.append(Part(outer, tuple(holes)))
    return Region(tuple(parts))


def _ring(ring: BaseGeometry) -> Chain:
    points = shapely.get_coordinates(ring).tolist()[:-1]
    return Chain.of_points([(x, y) for x, y in points], closed=True)


def _outside(ring: Chain, sag: float, max_step: float) -> Points:
    """Vertices of a polygon that contains what lies left of the ring."""
    points: list[Point] = [ring.start]
    for s in ring:
        if isinstance(s, Arc):
            points += _tangents(s, sag, max_step) if s.ccw else _inner(s, sag, max_step)
        points.append(s.end)
    return np.array(points, dtype=np.float64)


def _inner(arc: Arc, sag: float, max_step: float) -> list[Point]:
    return [(float(x), float(y)) for x, y in Chain((arc,)).flattened(sag, max_step=max_step)[1:-1]]


def _tangents(arc: Arc, sag: float, max_step: float) -> list[Point]:
    """The points where tangents at even angles meet, the arc's own ends among their points of
    contact."""
    step = min(max_step, 2 * math.acos(arc.radius / (arc.radius + sag)))
    n = max(1, math.ceil(abs(arc.sweep) / step))
    each = arc.sweep / n
    far = arc.radius / math.cos(each / 2)
    angles = [arc.start_angle + (i + 0.5) * each for i in range(n)]
    (cx, cy) = arc.centre
    return [(cx + far * math.cos(a), cy + far * math.sin(a)) for a in angles]


def boxes(region: Region) -> tuple[float, float, float, float]:
    """The least upright rectangle round a region that is not empty: x0, y0, x1, y1."""
    points = [p for ring in region.rings for s in ring for p in _extremes(s)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys), max(xs), max(ys))


def _extremes(segment: Segment) -> list[Point]:
    """The ends, and the points of an arc furthest right, up, left and down that it passes."""
    points = [segment.start, segment.end]
    if isinstance(segment, Arc):
        (cx, cy), r = segment.centre, segment.radius
        for dx, dy in ((r, 0.0), (0.0, r), (-r, 0.0), (0.0, -r)):
            if _foot(segment, (cx + dx, cy + dy)) <= segment.length:
                points.append((cx + dx, cy + dy))
    return points


def inside(region: Region, point: Point) -> bool:
    """Tell whether a point is in a region, its boundary included; exact for arcs."""
    if any(nearest(ring, point)[1] <= SAME_POINT for ring in region.rings):
        return True
    turns = math.fsum(_seen(s, point) for ring in region.rings for s in ring)
    return round(turns / math.tau) > 0


def _seen(segment: Segment, point: Point) -> float:
    """The signed angle a segment sweeps as seen from a point off it."""
    ax, ay = segment.start[0] - point[0], segment.start[1] - point[1]
    bx, by = segment.end[0] - point[0], segment.end[1] - point[1]
    cross = ax * by - ay * bx
    chord = math.atan2(cross, ax * bx + ay * by)
    if isinstance(segment, Line) or distance(segment.centre, point) >= segment.radius:
        return chord
    # From inside the circle the way is seen turning as the arc turns, all along it.
    turn = 1.0 if segment.ccw else -1.0
    if distance(segment.start, segment.end) <= SAME_POINT:
        return turn * math.tau
    return turn * (turn * chord % math.tau)


def nearest(chain: Chain, point: Point) -> tuple[float, float]:
    """The place on the chain nearest to a point: mm along it, and the distance. Exact for arcs."""
    best = (0.0, math.inf)
    at = 0.0
    for segment in chain:
        length = segment.length
        s = _foot(segment, point)
        for place in (s, 0.0, length) if 0.0 <= s <= length else (0.0, length):
            gap = distance(segment.point_at(place), point)
            if gap < best[1] - 1e-12:
                best = (at + place, gap)
        at += length
    return best


def _foot(segment: Segment, point: Point) -> float:
    if isinstance(segment, Line):
        length = segment.length
        if length == 0:
            return 0.0
        (ax, ay), (bx, by) = segment.start, segment.end
        return ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / length
    angle = math.atan2(point[1] - segment.centre[1], point[0] - segment.centre[0])
    turn = angle - segment.start_angle
    return (turn if segment.ccw else -turn) % math.tau * segment.radius


def quarter_chords(radius: float) -> int:
    """Chords to a quarter circle so that they sag at most `METAL_SAG`."""
    if radius <= METAL_SAG:
        return 1
    return max(4, math.ceil(math.pi / (4 * math.acos(1 - METAL_SAG / radius))))


def disc(centre: Point, radius: float) -> BaseGeometry:
    """A disc; its chords lie inside it."""
    if radius <= 0:
        return shapely.Polygon()
    return shapely.Point(centre).buffer(radius, quad_segs=quarter_chords(radius))
