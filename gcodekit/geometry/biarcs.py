"""Arcs along a smooth curve: pairs of arcs, each running into the next without a corner.

Between two points of the curve with its directions there, two arcs that meet tangent to one
another follow it (a biarc). Where they stray by more than the tolerance the stretch is halved.
The result has the curve's own directions at every joint that is an end of a pair.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from gcodekit.geometry.chain import Arc, Line, Point, Points, Segment, distance
from gcodekit.geometry.region import GeometryError

Floats = NDArray[np.float64]

# A pair is tried only where the curve's directions lie within this of the chord's, radians.
STEEPEST_ENDS = math.radians(60)
# An arc that rises less than this over its chord is a line, mm.
FLATTEST = 1e-6
# Neighbouring arcs this near to one circle are one arc, mm: rounding in a curve that is a circle.
ONE_CIRCLE = 1e-5
# Points looked at between the ends of a pair, besides those the curve names.
LOOKS_BETWEEN = 9
_BETWEEN_SHARES = np.linspace(0.0, 1.0, LOOKS_BETWEEN + 2)[1:-1]
# More pieces than any drawn curve needs.
MOST_ARCS = 20_000
# A stretch is halved no more often than this: what is left then is a cusp, and a line will do.
MOST_HALVINGS = 24


class SmoothCurve(Protocol):
    """A curve over a parameter, with one direction at every point but its cusps."""

    def at(self, t: Floats) -> tuple[Points, Points]:
        """Points mm and unit directions of travel, both (n, 2), at parameters (n,)."""

    def worth_a_look(self, t0: float, t1: float) -> Floats:
        """Parameters between the two at which the curve may bend anew."""


def arcs_along(
    curve: SmoothCurve, stops: Sequence[float], *, tolerance: float
) -> tuple[Segment, ...]:
    """The curve as arcs and lines, none of its points further than `tolerance` mm from them.

    Parameters
    ----------
    stops : parameters, rising, from the curve's start to its end; every one is a joint

    Raises
    ------
    GeometryError
        the curve needs more than `MOST_ARCS` arcs
    """
    ends = _ends(curve, np.array(stops, dtype=np.float64))
    todo = [(a, b, 0) for a, b in pairwise(ends)][::-1]
    out: list[Segment] = []
    while todo:
        a, b, depth = todo.pop()
        looks = np.concatenate((_even(a.t, b.t), curve.worth_a_look(a.t, b.t)))
        points, headings = curve.at(looks)
        found = _pair(points, a, b, tolerance)
        if found is not None:
            out += found
        elif depth < MOST_HALVINGS and _worth_halving(points, a, b, tolerance):
            middle = _end(LOOKS_BETWEEN // 2, looks, points, headings)
            todo += [(middle, b, depth + 1), (a, middle, depth + 1)]
        elif a.point != b.point:
            out.append(Line(a.point, b.point))
        if len(out) > MOST_ARCS:
            raise GeometryError("a curve is too intricate", f"at most {MOST_ARCS} arcs")
    return tuple(_merged(out))


@dataclass(frozen=True, slots=True)
class _End:
    t: float
    point: Point
    heading: Point


def _ends(curve: SmoothCurve, t: Floats) -> list[_End]:
    points, headings = curve.at(t)
    return [_end(i, t, points, headings) for i in range(len(t))]


def _end(i: int, t: Floats, points: Points, headings: Points) -> _End:
    (x, y), (along, across) = points[i].tolist(), headings[i].tolist()
    return _End(float(t[i]), (x, y), (along, across))


def _even(t0: float, t1: float) -> Floats:
    return t0 + (t1 - t0) * _BETWEEN_SHARES


def _worth_halving(points: Points, a: _End, b: _End, tolerance: float) -> bool:
    """Tell whether a stretch goes further than a line between its ends can stand for."""
    if distance(a.point, b.point) > tolerance / 4:
        return True
    return bool((np.hypot(*(points - np.array(a.point)).T) > tolerance).any())


def _pair(points: Points, a: _End, b: _End, tolerance: float) -> list[Segment] | None:
    """The two arcs between two ends, or None where they do not follow the points between."""
    vx, vy = b.point[0] - a.point[0], b.point[1] - a.point[1]
    chord = math.hypot(vx, vy)
    if chord < 1e-9:
        return None
    least = math.cos(STEEPEST_ENDS) * chord
    along_a = vx * a.heading[0] + vy * a.heading[1]
    along_b = vx * b.heading[0] + vy * b.heading[1]
    if along_a < least or along_b < least:
        return None
    # |b - a - d (Ta + Tb)| = 2 d, the joint halfway between the two corners
    k = 2 - 2 * (a.heading[0] * b.heading[0] + a.heading[1] * b.heading[1])
    both = along_a + along_b
    d = chord**2 / (both + math.sqrt(both**2 + k * chord**2))
    joint = (
        (a.point[0] + b.point[0] + d * (a.heading[0] - b.heading[0])) / 2,
        (a.point[1] + b.point[1] + d * (a.heading[1] - b.heading[1])) / 2,
    )
    back = (-b.heading[0], -b.heading[1])
    pieces = [
        _leaving(a.point, a.heading, joint),
        _leaving(b.point, back, joint).reversed(),
    ]
    off = np.min([_gaps(points, p) for p in pieces], axis=0)
    return pieces if bool((off <= tolerance).all()) else None


def _leaving(start: Point, heading: Point, end: Point) -> Segment:
    """The arc that leaves a point in a direction and ends in another."""
    x, y = end[0] - start[0], end[1] - start[1]
    cross = heading[0] * y - heading[1] * x
    if abs(cross) < 4 * FLATTEST:  # it rises a quarter of this over its chord
        return Line(start, end)
    radius = (x * x + y * y) / (2 * cross)
    centre = (start[0] - radius * heading[1], start[1] + radius * heading[0])
    return Arc(start, end, centre, radius > 0)


def _gaps(points: Points, piece: Segment) -> Floats:
    """The distances of points from an arc's circle or a line, past its ends from the ends."""
    a, b = np.array(piece.start), np.array(piece.end)
    along = b - a
    t = ((points - a) @ along) / max(float(along @ along), 1e-30)
    past = np.minimum(np.hypot(*(points - a).T), np.hypot(*(points - b).T))
    if isinstance(piece, Arc):
        beside = np.abs(np.hypot(*(points - np.array(piece.centre)).T) - piece.radius)
    else:
        beside = np.abs(along[0] * (points - a)[:, 1] - along[1] * (points - a)[:, 0])
        beside = beside / max(float(np.hypot(*along)), 1e-30)
    gaps: Floats = np.where((t < -0.01) | (t > 1.01), past, beside)
    return gaps


def _merged(pieces: list[Segment]) -> list[Segment]:
    """Neighbours on one circle or one line made one."""
    out: list[Segment] = []
    for piece in pieces:
        joined = _joined(out[-1], piece) if out else None
        if joined is None:
            out.append(piece)
        else:
            out[-1] = joined
    return out


def _joined(a: Segment, b: Segment) -> Segment | None:
    if isinstance(a, Arc) and isinstance(b, Arc):
        longer = max(a, b, key=lambda arc: arc.length)
        return Arc(a.start, b.end, longer.centre, a.ccw) if _one_circle(a, b) else None
    if isinstance(a, Line) and isinstance(b, Line):
        (ax, ay), (bx, by) = a.tangent_at(0.0), b.tangent_at(0.0)
        on = abs(ax * by - ay * bx) * min(a.length, b.length) < FLATTEST and ax * bx + ay * by > 0
        return Line(a.start, b.end) if on else None
    return None


def _one_circle(a: Arc, b: Arc) -> bool:
    return (
        a.ccw == b.ccw
        and distance(a.centre, b.centre) <= ONE_CIRCLE
        and abs(a.radius - b.radius) <= ONE_CIRCLE
        and abs(a.sweep) + abs(b.sweep) <= math.tau + 1e-9
    )
