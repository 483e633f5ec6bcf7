"""Rounds and bevels at the corners of a drawn path.

corner   where one side ends and the next starts
foot     where a round leaves its side; `trim` is the side's length lost there
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from gcodekit.geometry.chain import SAME_POINT, Arc, Line, Point, Segment, distance

# A turn smaller than this, radians, is a side going straight on.
STRAIGHT_ON = 1e-6


@dataclass(frozen=True, slots=True)
class PathCorner:
    """What stands at a corner: the length it takes of each side, and the segment put in."""

    trim_before: float
    trim_after: float
    segment: Segment


def turn_at(before: Segment, after: Segment) -> float:
    """The turn at a corner, radians, left positive; pi for a reversal."""
    ax, ay = before.tangent_at(before.length)
    bx, by = after.tangent_at(0.0)
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


def bevelled(before: Segment, after: Segment, leg: float) -> PathCorner | None:
    """A straight cut across the corner, `leg` along each side; None where it does not fit."""
    if leg > min(before.length, after.length) + SAME_POINT:
        return None
    cut = Line(before.point_at(before.length - leg), after.point_at(leg))
    return PathCorner(leg, leg, cut)


def rounded(before: Segment, after: Segment, radius: float) -> PathCorner | None:
    """The arc tangent to both sides; None where it does not fit between them."""
    left = turn_at(before, after) > 0
    corner = before.end
    found: list[PathCorner] = []
    for centre in _meets(_beside(before, radius, left), _beside(after, radius, left)):
        a, b = _trim(before, centre, at_end=True), _trim(after, centre, at_end=False)
        if a is None or b is None:
            continue
        start, end = before.point_at(before.length - a), after.point_at(b)
        if max(abs(distance(p, centre) - radius) for p in (start, end)) < 1e-6:
            found.append(PathCorner(a, b, Arc(start, end, centre, left)))
    return min(found, key=lambda c: distance(c.segment.start, corner), default=None)


# A line beside a side as a point and a direction, or a circle as a centre and a radius.
_Beside = tuple[Point, Point] | tuple[Point, float]


def _beside(side: Segment, by: float, left: bool) -> _Beside | None:
    """Find where the centres of arcs tangent to a side lie."""
    if isinstance(side, Line):
        tx, ty = side.tangent_at(0.0)
        off = by if left else -by
        return (side.start[0] - off * ty, side.start[1] + off * tx), (tx, ty)
    radius = side.radius - by if left == side.ccw else side.radius + by
    return (side.centre, radius) if radius > 0 else None


def _meets(a: _Beside | None, b: _Beside | None) -> list[Point]:
    """Find where two lines or circles meet."""
    if a is None or b is None:
        return []
    if isinstance(a[1], tuple):
        return (
            _line_line(a[0], a[1], b[0], b[1])
            if isinstance(b[1], tuple)
            else _line_circle(a[0], a[1], b[0], b[1])
        )
    if isinstance(b[1], tuple):
        return _line_circle(b[0], b[1], a[0], a[1])
    return _circle_circle(a[0], a[1], b[0], b[1])


def _line_line(p: Point, t: Point, q: Point, u: Point) -> list[Point]:
    cross = t[0] * u[1] - t[1] * u[0]
    if abs(cross) < 1e-12:
        return []
    s = ((q[0] - p[0]) * u[1] - (q[1] - p[1]) * u[0]) / cross
    return [(p[0] + s * t[0], p[1] + s * t[1])]


def _line_circle(p: Point, t: Point, c: Point, r: float) -> list[Point]:
    along = (c[0] - p[0]) * t[0] + (c[1] - p[1]) * t[1]
    foot = (p[0] + along * t[0], p[1] + along * t[1])
    square = r * r - distance(foot, c) ** 2
    if square < 0:
        return []
    h = math.sqrt(square)
    return [(foot[0] + s * h * t[0], foot[1] + s * h * t[1]) for s in (-1, 1)]


def _circle_circle(c: Point, r: float, d: Point, s: float) -> list[Point]:
    apart = distance(c, d)
    if apart < 1e-12:
        return []
    along = (apart**2 + r**2 - s**2) / (2 * apart)
    square = r * r - along * along
    if square < 0:
        return []
    h = math.sqrt(square)
    tx, ty = (d[0] - c[0]) / apart, (d[1] - c[1]) / apart
    x, y = c[0] + along * tx, c[1] + along * ty
    return [(x - k * h * ty, y + k * h * tx) for k in (-1, 1)]


def _trim(side: Segment, centre: Point, *, at_end: bool) -> float | None:
    """The length of a side between the corner and a round's foot; None where the foot is not on
    the side."""
    if isinstance(side, Line):
        tx, ty = side.tangent_at(0.0)
        s = (centre[0] - side.start[0]) * tx + (centre[1] - side.start[1]) * ty
    else:
        away = math.atan2(centre[1] - side.centre[1], centre[0] - side.centre[0])
        turn = away - side.start_angle
        s = (turn if side.ccw else -turn) % math.tau * side.radius
        # a foot on the very start may be found a rounding error short of a whole turn
        s = 0.0 if math.tau * side.radius - s < SAME_POINT else s
    trim = side.length - s if at_end else s
    return max(trim, 0.0) if -SAME_POINT <= trim <= side.length + SAME_POINT else None
