"""Arcs on a control's grid.

A control refuses an arc whose end is not as far from its centre as its start (NISTIR 6556,
3.5.3.2), and takes an arc that ends where it starts for a full turn. Rounding can bring about
both, so every arc is looked at again after rounding: its centre is mended, or it is cut in two,
or it is so small that a straight line is the same thing.

Everything here is in counts of the grid.
"""

from __future__ import annotations

import math

PlanePoint = tuple[float, float]
GridPoint = tuple[int, int]

# Of the radius rule; the rest is for the control's own arithmetic.
_RULE_SHARE = 0.9
# How far round the best centre a better grid point is looked for.
_SEARCH = 3


def sweep_of(start: PlanePoint, end: PlanePoint, centre: PlanePoint, *, ccw: bool) -> float:
    """The angle turned, 0 up to a full turn; a full turn where start and end are one."""
    a = math.atan2(start[1] - centre[1], start[0] - centre[0])
    b = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turned = (b - a if ccw else a - b) % math.tau
    return turned or math.tau


def on_circle(start: PlanePoint, centre: PlanePoint, angle: float) -> PlanePoint:
    """`start` turned about `centre` by a signed angle."""
    x, y = start[0] - centre[0], start[1] - centre[1]
    c, s = math.cos(angle), math.sin(angle)
    return centre[0] + x * c - y * s, centre[1] + x * s + y * c


def mismatch(start: GridPoint, end: GridPoint, centre: GridPoint) -> float:
    """Difference of the radii at start and end; `centre` is from the start, as I and J."""
    x, y = start[0] + centre[0] - end[0], start[1] + centre[1] - end[1]
    return abs(math.hypot(*centre) - math.hypot(x, y))


def fit_centre(
    start: GridPoint, end: GridPoint, centre: PlanePoint, *, rule: float
) -> GridPoint | None:
    """I and J for an arc, None where no centre on the grid near enough satisfies the rule."""
    near = (round(centre[0] - start[0]), round(centre[1] - start[1]))
    if mismatch(start, end, near) <= rule * _RULE_SHARE:
        return near
    best = _on_bisector(start, end, centre)
    middle = (round(best[0] - start[0]), round(best[1] - start[1]))
    steps = range(-_SEARCH, _SEARCH + 1)
    around = [(middle[0] + i, middle[1] + j) for i in steps for j in steps]
    fair = [c for c in around if mismatch(start, end, c) <= rule * _RULE_SHARE]
    return min(
        fair,
        key=lambda c: math.dist((c[0] + start[0], c[1] + start[1]), centre),
        default=None,
    )


def _on_bisector(start: GridPoint, end: GridPoint, centre: PlanePoint) -> PlanePoint:
    """The point as far from the start as from the end that is nearest to `centre`."""
    chord = math.dist(start, end)
    if chord == 0:
        return centre
    u = ((end[0] - start[0]) / chord, (end[1] - start[1]) / chord)
    mid = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    off = (centre[0] - mid[0]) * u[0] + (centre[1] - mid[1]) * u[1]
    return centre[0] - off * u[0], centre[1] - off * u[1]


def rise_of_chord(radius: float, sweep: float) -> float:
    """How far an arc stands off its chord."""
    return radius * (1 - math.cos(min(sweep, math.tau) / 2))


def chord_count(radius: float, sweep: float, error: float) -> int:
    """Chords needed to stay within `error` of an arc."""
    if error >= radius:
        return max(2, math.ceil(sweep / (math.pi / 2)))
    return max(1, math.ceil(sweep / (2 * math.acos(1 - error / radius)) - 1e-9))
