"""B-splines, rational or not; a Bezier curve is one with no inner knot.

Evaluated by de Boor's algorithm on homogeneous control points (Piegl and Tiller, The NURBS Book,
2nd edition, chapters 3 and 4; the recurrence written down from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from gcodekit.drawing.affine import Affine
from gcodekit.geometry.biarcs import Floats, arcs_along
from gcodekit.geometry.chain import Line, Point, Points, Segment
from gcodekit.geometry.region import GeometryError

# What a drawing may hold: far more than drawing programs write.
MOST_CONTROLS = 10_000
HIGHEST_DEGREE = 11
# Knots nearer than this share of their whole range are one.
SAME_KNOT = 1e-10
# Arcs lie this near to the ellipses and splines of a drawing, mm: as near as the geometry's own
# results are to theirs, a tenth of the usual tolerance of a job.
CURVE_TOLERANCE = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class Spline:
    """A spline of a degree over knots (n + degree + 1,), its controls (n, 3) as x w, y w, w.

    `first`, `last`: the part between these knots, which has a direction everywhere.
    """

    degree: int
    knots: Floats
    controls: Floats
    first: float
    last: float

    @staticmethod
    def bezier(*points: Point) -> Spline:
        """The Bezier curve of these control points."""
        n = len(points)
        return Spline.of(n - 1, [0.0] * n + [1.0] * n, points)[0]

    @staticmethod
    def of(
        degree: int,
        knots: Sequence[float],
        points: Sequence[Point],
        weights: Sequence[float] = (),
    ) -> tuple[Spline, ...]:
        """A spline in pieces that have no corner but at their ends.

        Raises
        ------
        GeometryError
            the figures are no spline
        """
        u, xy = np.array(knots, dtype=np.float64), np.array(points, dtype=np.float64)
        w = np.array(weights, dtype=np.float64) if len(weights) else np.ones(len(points))
        _sound(degree, u, xy, w)
        controls = np.column_stack((xy * w[:, None], w))
        whole = Spline(degree, u, controls, float(u[degree]), float(u[-degree - 1]))
        return whole._without_corners()

    def _without_corners(self) -> tuple[Spline, ...]:
        near = SAME_KNOT * (self.last - self.first)
        inner = self.knots[(self.knots > self.first + near) & (self.knots < self.last - near)]
        corners: list[float] = []
        at = 0
        while at < len(inner):
            stop = at + 1
            while stop < len(inner) and inner[stop] - inner[at] <= near:
                stop += 1
            if stop - at > self.degree:
                raise GeometryError("the spline is in pieces", "draw it as one")
            if stop - at == self.degree:
                corners.append(float(inner[at]))
            at = stop
        ends = [self.first, *corners, self.last]
        return tuple(replace(self, first=a, last=b) for a, b in pairwise(ends))

    def mapped(self, by: Affine) -> Spline:
        """Under a map."""
        x, y, w = self.controls.T
        moved = (by.a * x + by.c * y + by.e * w, by.b * x + by.d * y + by.f * w, w)
        return replace(self, controls=np.column_stack(moved))

    @property
    def figures(self) -> tuple[float, ...]:
        """The reach of its controls."""
        points = self.controls[:, :2] / self.controls[:, 2:]
        return (*map(float, points.min(axis=0)), *map(float, points.max(axis=0)))

    def _with_derivative(self, t: Floats) -> tuple[Points, Points]:
        """Homogeneous points and derivatives (n, 3); a piece's ends belong to the piece."""
        p, u = self.degree, self.knots
        low = int(np.searchsorted(u, self.first, side="right")) - 1
        high = int(np.searchsorted(u, self.last, side="left")) - 1
        k = np.clip(np.searchsorted(u, t, side="right") - 1, low, high)
        d = [self.controls[k - p + j] for j in range(p + 1)]
        slope = np.zeros((len(t), 3))
        for r in range(1, p + 1):
            if r == p:
                slope = p * (d[p] - d[p - 1]) / (u[k + 1] - u[k])[:, None]
            for j in range(p, r - 1, -1):
                lo, hi = u[j + k - p], u[j + 1 + k - r]
                share = ((t - lo) / np.where(hi > lo, hi - lo, 1.0))[:, None]
                d[j] = (1 - share) * d[j - 1] + share * d[j]
        return d[p], slope

    def at(self, t: Floats) -> tuple[Points, Points]:
        """Points and directions of travel; where the curve stands still, that just beside it."""
        found, slope = self._with_derivative(t)
        points = found[:, :2] / found[:, 2:]
        along = slope[:, :2] - slope[:, 2:] * points
        size = np.hypot(*along.T)
        reach = float(np.abs(self.controls).max()) or 1.0
        still = size * (self.last - self.first) <= 1e-9 * reach
        for i in np.flatnonzero(still).tolist():
            along[i] = self._beside(float(t[i]))
            size[i] = np.hypot(*along[i])
        return points, along / np.maximum(size, 1e-300)[:, None]

    def _beside(self, t: float) -> Points:
        """The way past a parameter."""
        step = 1e-4 * (self.last - self.first)
        ends = np.array([max(t - step, self.first), min(t + step, self.last)])
        found = self._with_derivative(ends)[0]
        points = found[:, :2] / found[:, 2:]
        way: Points = points[1] - points[0]
        return way

    def worth_a_look(self, t0: float, t1: float) -> Floats:
        """The knots between, and the middles between them."""
        inner = self.knots[(self.knots > t0) & (self.knots < t1)]
        all_of_them = np.concatenate(([t0], inner, [t1]))
        middles = (all_of_them[1:] + all_of_them[:-1]) / 2
        return np.concatenate((inner, middles)) if len(inner) else np.empty(0)

    def segments(self) -> tuple[Segment, ...]:
        """As arcs along it, or as a line."""
        if self.degree == 1:
            a, b = self.at(np.array([self.first, self.last]))[0].tolist()
            return (Line((a[0], a[1]), (b[0], b[1])),)
        stops = np.linspace(self.first, self.last, 3).tolist()
        return arcs_along(self, stops, tolerance=CURVE_TOLERANCE)


def _sound(degree: int, knots: Floats, points: Points, weights: Floats) -> None:
    if not 1 <= degree <= HIGHEST_DEGREE:
        raise GeometryError(f"a spline of degree {degree}", f"use degree 1 to {HIGHEST_DEGREE}")
    n = len(points)
    if n > MOST_CONTROLS:
        raise GeometryError(f"a spline has {n} control points", f"use at most {MOST_CONTROLS}")
    if n <= degree or len(knots) != n + degree + 1 or len(weights) != n:
        raise GeometryError("the knots and control points of a spline do not match")
    if not (np.isfinite(knots).all() and np.isfinite(points).all() and np.isfinite(weights).all()):
        raise GeometryError("a spline has an invalid number")
    if (np.diff(knots) < 0).any() or knots[-degree - 1] <= knots[degree]:
        raise GeometryError("the knots of a spline are not in rising sequence")
    if (weights <= 0).any():
        raise GeometryError("a spline has a weight that is not positive")
