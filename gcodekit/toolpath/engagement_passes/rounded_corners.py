"""Corners of a room rounded a little.

Where a cutter comes to rest in a corner its whole circle lies on what it leaves: the last strip
before that is as thin as a hair and yet met by half the circle. A room whose corners are rounded is
never filled so.
"""

from __future__ import annotations

import math

import numpy as np
import shapely

from gcodekit.geometry.chain import Point

# Turns of less than this are curves, radians; no corner is rounded by more or less than the radii,
# mm: in acute ones a little more stays.
SLIGHTEST_CORNER = math.radians(15)
LARGEST_ROUNDING = 0.1
SMALLEST_ROUNDING = 0.013
# So many chords to a rounding.
ROUNDING_CHORDS = 8


def rounded(room: shapely.Polygon, left: float) -> shapely.Polygon:
    """A room whose corners are rounded so that no more than `left`, mm, stays in any."""
    turned = shapely.geometry.polygon.orient(room)
    rings = [_ring(r, left) for r in (turned.exterior, *turned.interiors)]
    return shapely.Polygon(rings[0], rings[1:])


def _ring(ring: shapely.LinearRing, left: float) -> list[Point]:
    points = shapely.get_coordinates(ring)[:-1]
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    turn = np.arctan2(
        before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
    )
    found: list[Point] = []
    for i, (x, y) in enumerate(points.tolist()):
        if turn[i] < SLIGHTEST_CORNER:
            found.append((x, y))
            continue
        shorter = float(min(np.hypot(*before[i]), np.hypot(*after[i])))
        found += _rounding((x, y), before[i], float(turn[i]), left, shorter / 2)
    return found


def _rounding(
    corner: Point, before: np.ndarray, turn: float, left: float, most: float
) -> list[Point]:
    """Points of the arc in place of a corner, tangent to both edges."""
    half = turn / 2
    radius = max(left / (1 / math.cos(half) - 1), SMALLEST_ROUNDING)
    radius = min(radius, LARGEST_ROUNDING, most / math.tan(half))
    away = radius * math.tan(half)
    angle = math.atan2(before[1], before[0])
    start = (corner[0] - away * math.cos(angle), corner[1] - away * math.sin(angle))
    centre = (start[0] - radius * math.sin(angle), start[1] + radius * math.cos(angle))
    steps = angle - math.pi / 2 + turn * np.arange(ROUNDING_CHORDS + 1) / ROUNDING_CHORDS
    return [
        (centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in steps.tolist()
    ]
