"""What drawings are made of, before it is lines and arcs: exact under any map of the plane.

Straight   a straight piece
Ellipse    a circle, an ellipse, or a piece of one
Spline     see `spline`: Bezier curves and B-splines, rational or not
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from gcodekit.drawing.affine import Affine
from gcodekit.drawing.spline import CURVE_TOLERANCE, Spline
from gcodekit.geometry.biarcs import Floats, arcs_along
from gcodekit.geometry.chain import Arc, Line, Point, Points, Segment

# An ellipse whose two radii differ by less than this is a circle, mm: drawings are written with
# four to six decimals.
ROUND_WITHIN = 1e-4


@dataclass(frozen=True, slots=True)
class Straight:
    """From one point to another."""

    start: Point
    end: Point

    def mapped(self, by: Affine) -> Straight:
        """Under a map."""
        return Straight(by.point(self.start), by.point(self.end))

    def segments(self) -> tuple[Segment, ...]:
        """As a line."""
        return (Line(self.start, self.end),)

    @property
    def figures(self) -> tuple[float, ...]:
        """Every coordinate."""
        return (*self.start, *self.end)


@dataclass(frozen=True, slots=True)
class Ellipse:
    """centre + u cos t + v sin t, t from `start` over `sweep` (radians, either way)."""

    centre: Point
    u: Point
    v: Point
    start: float = 0.0
    sweep: float = math.tau

    @staticmethod
    def circle(
        centre: Point, radius: float, start: float = 0.0, sweep: float = math.tau
    ) -> Ellipse:
        """A circle or an arc of one."""
        return Ellipse(centre, (radius, 0.0), (0.0, radius), start, sweep)

    def mapped(self, by: Affine) -> Ellipse:
        """Under a map."""
        return Ellipse(
            by.point(self.centre), by.vector(self.u), by.vector(self.v), self.start, self.sweep
        )

    @property
    def figures(self) -> tuple[float, ...]:
        """Every coordinate."""
        return (*self.centre, *self.u, *self.v, self.start, self.sweep)

    def at(self, t: Floats) -> tuple[Points, Points]:
        """Points and directions of travel at angles."""
        c, s = np.cos(t)[:, None], np.sin(t)[:, None]
        u, v = np.array(self.u), np.array(self.v)
        along = (c * v - s * u) * math.copysign(1.0, self.sweep)
        size = np.maximum(np.hypot(*along.T), 1e-300)
        return np.array(self.centre) + c * u + s * v, along / size[:, None]

    def worth_a_look(self, t0: float, t1: float) -> Floats:
        """Nothing: it bends evenly."""
        del t0, t1
        return np.empty(0)

    def segments(self) -> tuple[Segment, ...]:
        """As one arc where it is a circle, else as arcs along it."""
        radii = self._radii()
        if radii[0] - radii[1] <= ROUND_WITHIN:
            return self._round((radii[0] + radii[1]) / 2)
        n = max(2, math.ceil(abs(self.sweep) / (math.pi / 4) - 1e-9))
        stops = [self.start + self.sweep * i / n for i in range(n + 1)]
        return arcs_along(self, stops, tolerance=CURVE_TOLERANCE)

    def _radii(self) -> tuple[float, float]:
        """The longest and the shortest radius."""
        (a, c), (b, d) = zip(self.u, self.v, strict=True)
        mean, off = math.hypot(a + d, b - c) / 2, math.hypot(a - d, b + c) / 2
        return mean + off, abs(mean - off)

    def _round(self, radius: float) -> tuple[Segment, ...]:
        turns = self.u[0] * self.v[1] - self.u[1] * self.v[0] > 0
        ccw = turns == (self.sweep > 0)
        base = math.atan2(self.u[1], self.u[0])

        def on(t: float) -> Point:
            angle = base + (t if turns else -t)
            return (
                self.centre[0] + radius * math.cos(angle),
                self.centre[1] + radius * math.sin(angle),
            )

        start = on(self.start)
        whole = abs(self.sweep) >= math.tau - 1e-9
        end = start if whole else on(self.start + self.sweep)
        return (Arc(start, end, self.centre, ccw),)


Primitive = Straight | Ellipse | Spline


def along_bulge(start: Point, end: Point, bulge: float) -> Primitive:
    """A polyline's piece: `bulge` is the tangent of a quarter of the angle it turns."""
    x, y = end[0] - start[0], end[1] - start[1]
    if abs(bulge) * math.hypot(x, y) / 2 < 1e-9:  # it rises by this: nothing
        return Straight(start, end)
    # the centre, left of the chord's middle for a flat counter-clockwise arc
    height = (1 - bulge * bulge) / (4 * bulge)
    centre = ((start[0] + end[0]) / 2 - y * height, (start[1] + end[1]) / 2 + x * height)
    radius = math.hypot(start[0] - centre[0], start[1] - centre[1])
    begin = math.atan2(start[1] - centre[1], start[0] - centre[0])
    return Ellipse.circle(centre, radius, begin, 4 * math.atan(bulge))
