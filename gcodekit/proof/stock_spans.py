"""The sweep of a flat disc on a level way, row by row: exact spans of x, nothing stamped.

A swept line is two discs and the slab between them; a swept arc two discs and the ring between its
ends. In one row each is one span, a ring once it is parted at the quarters of its circle.
"""

from __future__ import annotations

import math

import numpy as np

from gcodekit.proof.chords import Array

Spans = tuple[Array, Array]

# A direction this near to a row is taken as this far off it: the slab's ends then lie beyond any
# part, as they would.
_LEVEL_WITH_ROW = 1e-12


def line_spans(a: Array, b: Array, radius: float, ys: Array) -> Spans:
    """Lines from `a` to `b`, (n, 2) mm: for each, (n, rows) lowest and highest x in each row; a
    row it does not touch has its low above its high."""
    way = b - a
    length = np.hypot(way[:, 0], way[:, 1])
    still = length == 0.0
    ux = np.where(still, 1.0, way[:, 0] / np.where(still, 1.0, length))[:, None]
    uy = np.where(still, 0.0, way[:, 1] / np.where(still, 1.0, length))[:, None]
    uy = np.where(np.abs(uy) < _LEVEL_WITH_ROW, _LEVEL_WITH_ROW, uy)
    ux = np.where(np.abs(ux) < _LEVEL_WITH_ROW, _LEVEL_WITH_ROW, ux)
    dy = ys[None, :] - a[:, 1, None]
    beside, half = dy * (ux / uy), np.abs(radius / uy)
    behind, far = dy * (-uy / ux), length[:, None] / ux
    low = np.maximum(beside - half, behind + np.minimum(far, 0.0))
    high = np.minimum(beside + half, behind + np.maximum(far, 0.0))
    slab = np.where(low <= high, low, np.inf), np.where(low <= high, high, -np.inf)
    x = a[:, 0, None]
    spans = [disc_spans(p, radius, ys) for p in (a, b)]
    low = np.minimum.reduce([slab[0] + x, spans[0][0], spans[1][0]])
    high = np.maximum.reduce([slab[1] + x, spans[0][1], spans[1][1]])
    return low, high


def disc_spans(centres: Array, radius: float, ys: Array) -> Spans:
    """Discs about (n, 2) centres, as `line_spans`."""
    dy = ys[None, :] - centres[:, 1, None]
    inside = np.abs(dy) <= radius
    half = np.sqrt(np.maximum(radius**2 - dy**2, 0.0))
    x = centres[:, 0, None]
    return np.where(inside, x - half, np.inf), np.where(inside, x + half, -np.inf)


def arc_spans(
    centre: tuple[float, float],
    arc_radius: float,
    start: float,
    sweep: float,
    radius: float,
    ys: Array,
) -> Spans:
    """One arc from angle `start` over `sweep`, radians, counter-clockwise positive; (n, rows)."""
    low, high = min(start, start + sweep), max(start, start + sweep)
    if high - low >= math.tau:
        low, high = 0.0, math.tau
    ends = np.array([_at(centre, arc_radius, t) for t in (low, high)])
    spans = [disc_spans(ends, radius, ys)]
    quarter = math.pi / 2
    while low < high:
        number = math.floor(low / quarter + 1e-12)
        upto = min(high, (number + 1) * quarter)
        spans.append(_ring_spans(centre, arc_radius, (low, upto), number % 4, radius, ys))
        low = upto
    return np.concatenate([s[0] for s in spans]), np.concatenate([s[1] for s in spans])


def _at(centre: tuple[float, float], radius: float, angle: float) -> tuple[float, float]:
    return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)


def _ring_spans(
    centre: tuple[float, float],
    arc_radius: float,
    angles: tuple[float, float],
    quarter: int,
    radius: float,
    ys: Array,
) -> Spans:
    """The ring's part between two angles of one quarter of the circle, seen as in the first one:
    turned half round for the third, mirrored for the second and fourth."""
    mirror_x = -1.0 if quarter in (1, 2) else 1.0
    mirror_y = -1.0 if quarter in (2, 3) else 1.0
    tangents = sorted(
        math.atan2(mirror_y * math.sin(t), mirror_x * math.cos(t)) for t in angles
    )  # both within a right angle now
    dy = mirror_y * (ys - centre[1])
    outer, inner = arc_radius + radius, max(0.0, arc_radius - radius)
    low = np.sqrt(np.maximum(inner**2 - dy**2, 0.0))
    high = np.sqrt(np.maximum(outer**2 - dy**2, 0.0))
    low = np.maximum(low, _run(dy, tangents[1]))
    high = np.minimum(high, _run(dy, tangents[0]))
    none = (dy < 0) | (dy > outer) | (low > high)
    low, high = np.where(none, np.inf, low), np.where(none, -np.inf, high)
    if mirror_x < 0:
        low, high = -high, -low
    return centre[0] + low[None, :], centre[0] + high[None, :]


def _run(dy: Array, angle: float) -> Array:
    """x where a ray at an angle, 0 to a right angle, comes to a height."""
    sine = max(math.sin(angle), _LEVEL_WITH_ROW)
    return dy * (math.cos(angle) / sine)
