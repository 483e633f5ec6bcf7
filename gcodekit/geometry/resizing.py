"""Outlines a little larger or smaller, as a drawing means by a limit of size: every wall moves by
the same amount, drawn rounds stay concentric, sharp corners stay sharp.

An offset (`offset`) rounds the corners it goes out round, and is found on polygons. Here each line
and arc is moved by itself and met with the next, so the result has the segments of the drawing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely

from gcodekit.geometry.chain import SAME_POINT, Arc, Chain, Line, Point, Segment, distance
from gcodekit.geometry.region import GeometryError, Part, Region
from gcodekit.geometry.tolerances import CHECK_SAG, SHORTEST_PIECE

# Sides that turn by less than this where they meet, radians, meet on the bisector: that is off a
# moved arc of radius r by (0.005 d)^2 / 2r, under 1e-6 mm, and their crossing is badly told.
BLUNT = 0.01
# Sides that turn right back at a corner, but for this (radians), have no corner when moved apart.
SPIKE = 0.02
# Steps to where two moved sides cross: each doubles the figures that are right.
_CROSSING_STEPS = 20


def resized(region: Region, by: float) -> Region:
    """Every wall moved outward by so much (inward where less than 0), mm, corners kept sharp.

    Raises
    ------
    GeometryError
        a side or round would vanish, or walls would meet

    Examples
    --------
    >>> square = Region.of(Chain.of_points([(0, 0), (4, 0), (4, 4), (0, 4)], closed=True))
    >>> resized(square, 0.5).area
    25.0
    """
    if by == 0:
        return region
    parts = tuple(
        Part(_moved(p.outer, by), tuple(_moved(h, by) for h in p.holes)) for p in region.parts
    )
    flat = [
        shapely.Polygon(p.outer.flattened(CHECK_SAG), [h.flattened(CHECK_SAG) for h in p.holes])
        for p in parts
    ]
    if not shapely.MultiPolygon(flat).is_valid:
        raise GeometryError("its walls would meet", "use closer limits, or draw a wider gap")
    return Region(parts)


def _moved(ring: Chain, by: float) -> Chain:
    """A ring moved to its right."""
    sides = [_side(s, by) for s in ring]
    if len(sides) == 1:
        start = sides[0].foot(ring.start)  # a whole circle
        return Chain((Arc(start, start, sides[0].centre, sides[0].ccw),))
    corners = [_corner(sides[i - 1], sides[i], s.start, by) for i, s in enumerate(ring)]
    ends = [*corners[1:], corners[0]]
    return Chain(
        tuple(
            side.between(segment, a, b)
            for side, segment, a, b in zip(sides, ring, corners, ends, strict=True)
        )
    )


@dataclass(frozen=True, slots=True)
class _Side:
    """A moved line or arc without ends. `into`, `out_of`: the directions in which the drawn
    segment is walked at its start and its end; of a line, `centre` is a point of it and `radius`
    0."""

    into: Point
    out_of: Point
    centre: Point
    radius: float = 0.0
    ccw: bool = True

    def off(self, p: Point) -> tuple[float, Point]:
        """How far to its right a point lies, and the unit direction in which that grows."""
        dx, dy = p[0] - self.centre[0], p[1] - self.centre[1]
        if not self.radius:
            right = (self.into[1], -self.into[0])
            return dx * right[0] + dy * right[1], right
        far = math.hypot(dx, dy)
        turn = 1.0 if self.ccw else -1.0
        return turn * (far - self.radius), (turn * dx / far, turn * dy / far)

    def foot(self, p: Point) -> Point:
        """The nearest point of it."""
        off, (dx, dy) = self.off(p)
        return (p[0] - off * dx, p[1] - off * dy)

    def between(self, drawn: Segment, start: Point, end: Point) -> Segment:
        """The segment from corner to corner; refused where nothing is left of it."""
        if isinstance(drawn, Line):
            along = (end[0] - start[0]) * self.into[0] + (end[1] - start[1]) * self.into[1]
            if along <= SHORTEST_PIECE:
                raise _vanished("a side of {0} would vanish", drawn.length)
            return Line(start, end)
        arc = Arc(start, end, self.centre, self.ccw)
        # what is left of a short arc between sides that moved past each other is nearly a circle
        gone = abs(arc.sweep) > abs(drawn.sweep) + math.pi or arc.length <= SHORTEST_PIECE
        if gone or distance(start, end) <= SAME_POINT:
            raise _vanished("an arc of radius {0} would vanish", drawn.radius)
        return arc


_CLOSER_LIMITS = "use closer limits, or draw it larger"


def _vanished(text: str, size: float) -> GeometryError:
    return GeometryError(text, _CLOSER_LIMITS, lengths=(size,))


def _side(segment: Segment, by: float) -> _Side:
    into, out_of = segment.tangent_at(0.0), segment.tangent_at(segment.length)
    if isinstance(segment, Line):
        (x, y), (dx, dy) = segment.start, into
        return _Side(into, out_of, (x + by * dy, y - by * dx))
    radius = segment.radius + (by if segment.ccw else -by)
    if radius <= SHORTEST_PIECE:
        raise _vanished("a round of radius {0} would vanish", segment.radius)
    return _Side(into, out_of, segment.centre, radius, segment.ccw)


def _corner(before: _Side, after: _Side, drawn: Point, by: float) -> Point:
    """The point where two moved sides meet, near the drawn corner."""
    (ax, ay), (bx, by_) = before.out_of, after.into
    turn = math.atan2(ax * by_ - ay * bx, ax * bx + ay * by_)
    if math.pi - abs(turn) < SPIKE:
        raise GeometryError(
            "it turns right back at a corner", "remove the limits, or draw it without"
        )
    # on the bisector of both tangents: right for two lines, and near for arcs
    shared = 1 + ax * bx + ay * by_
    at = (drawn[0] + by * (ay + by_) / shared, drawn[1] - by * (ax + bx) / shared)
    return at if abs(turn) < BLUNT else _crossing(before, after, at)


def _crossing(before: _Side, after: _Side, near: Point) -> Point:
    """The point where two sides cross, by Newton's steps from a point near it."""
    x, y = near
    for _ in range(_CROSSING_STEPS):
        (a, (ax, ay)), (b, (bx, by)) = before.off((x, y)), after.off((x, y))
        det = ax * by - ay * bx
        if abs(det) < BLUNT / 10:
            break
        dx, dy = (a * by - b * ay) / det, (b * ax - a * bx) / det
        x, y = x - dx, y - dy
        if math.hypot(dx, dy) < SAME_POINT / 100:
            return (x, y)
    raise GeometryError("two sides no longer meet in a corner", _CLOSER_LIMITS)
