"""Whole lines and whole circles, and where they meet; turns, and points of circles."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gcodekit.geometry.chain import Point, distance
from gcodekit.geometry.tolerances import SAME_CURVE, SAME_POINT


@dataclass(frozen=True, slots=True)
class WholeCurve:
    """A straight line (radius -1: through `at` along the unit vector `along`) or a circle.

    `ends` are the ends of the piece of it that its source gives by itself.
    """

    at: Point
    along: Point
    radius: float
    ends: tuple[Point, Point]

    @staticmethod
    def line(start: Point, end: Point) -> WholeCurve:
        """The line through two points."""
        length = distance(start, end) or 1.0
        along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
        return WholeCurve(start, along, -1.0, (start, end))

    @staticmethod
    def circle(centre: Point, radius: float, ends: tuple[Point, Point]) -> WholeCurve:
        """The circle about `centre`."""
        return WholeCurve(centre, (0.0, 0.0), radius, ends)

    @property
    def straight(self) -> bool:
        """Tell whether it is a line."""
        return self.radius < 0

    def same_circle(self, other: WholeCurve) -> bool:
        """Tell whether both are the same circle."""
        if self.straight or other.straight:
            return False
        near = distance(self.at, other.at) < SAME_CURVE
        return near and abs(self.radius - other.radius) < SAME_CURVE

    def nearest(self, p: Point) -> Point:
        """The point of the curve nearest to `p`."""
        x, y = p[0] - self.at[0], p[1] - self.at[1]
        if self.straight:
            t = x * self.along[0] + y * self.along[1]
            return (self.at[0] + t * self.along[0], self.at[1] + t * self.along[1])
        r = math.hypot(x, y)
        if r == 0.0:
            return (self.at[0] + self.radius, self.at[1])
        return (self.at[0] + x / r * self.radius, self.at[1] + y / r * self.radius)

    def gap(self, p: Point) -> float:
        """Distance of `p` from the curve, mm."""
        x, y = p[0] - self.at[0], p[1] - self.at[1]
        if self.straight:
            return abs(x * self.along[1] - y * self.along[0])
        return abs(math.hypot(x, y) - self.radius)


def cross(a: Point, b: Point) -> float:
    """The cross product of two vectors: over 0 where the second turns left of the first."""
    return a[0] * b[1] - a[1] * b[0]


def turn_between(into: Point, out: Point) -> float:
    """The turn from one heading to another, radians, counter-clockwise positive."""
    return math.atan2(cross(into, out), into[0] * out[0] + into[1] * out[1])


def on_circle(centre: Point, radius: float, angle: float) -> Point:
    """The point of a circle at an angle, radians, from the x axis."""
    return (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))


def meetings(a: WholeCurve, b: WholeCurve) -> list[Point]:
    """The points where two curves cross; where they only just miss or touch, the point between
    them."""
    if a.straight and b.straight:
        return _two_lines(a, b)
    if a.straight:
        return _line_circle(a, b)
    if b.straight:
        return _line_circle(b, a)
    return _two_circles(a, b)


def _two_lines(a: WholeCurve, b: WholeCurve) -> list[Point]:
    apart = cross(a.along, b.along)
    if abs(apart) < 1e-12:
        return []
    x, y = b.at[0] - a.at[0], b.at[1] - a.at[1]
    t = (x * b.along[1] - y * b.along[0]) / apart
    return [(a.at[0] + t * a.along[0], a.at[1] + t * a.along[1])]


def _line_circle(line: WholeCurve, circle: WholeCurve) -> list[Point]:
    foot = line.nearest(circle.at)
    h = distance(foot, circle.at)
    rest = circle.radius - h
    if rest <= SAME_POINT * 1e-3:
        return [circle.nearest(foot)] if rest > -SAME_POINT else []
    half = math.sqrt(rest * (circle.radius + h))
    dx, dy = line.along[0] * half, line.along[1] * half
    return [(foot[0] - dx, foot[1] - dy), (foot[0] + dx, foot[1] + dy)]


def _two_circles(a: WholeCurve, b: WholeCurve) -> list[Point]:
    d = distance(a.at, b.at)
    if d < SAME_POINT:
        return []
    along = ((b.at[0] - a.at[0]) / d, (b.at[1] - a.at[1]) / d)
    t = (d * d + (a.radius - b.radius) * (a.radius + b.radius)) / (2 * d)
    foot = (a.at[0] + t * along[0], a.at[1] + t * along[1])
    rest = a.radius - abs(t)
    # How far the two circles miss one another along the line of centres.
    miss = max(d - a.radius - b.radius, abs(a.radius - b.radius) - d)
    if rest <= SAME_POINT * 1e-3 or miss >= 0:
        return [a.nearest(foot)] if miss <= SAME_POINT else []
    half = math.sqrt(rest * (a.radius + abs(t)))
    dx, dy = -along[1] * half, along[0] * half
    return [(foot[0] - dx, foot[1] - dy), (foot[0] + dx, foot[1] + dy)]
