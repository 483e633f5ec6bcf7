"""Discs as polygons."""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point

# Chords stay this near their arc, mm, with their ends on it: inside a disc, outside a round hole.
# Under half of the 0.0005 mm that the proof may lose on discs.
SAG = 0.0002


def quarter_chords(radius: float) -> int:
    """Chords to a quarter circle so that they sag at most SAG."""
    if radius <= SAG:
        return 1
    return max(4, math.ceil(math.pi / (4 * math.acos(1 - SAG / radius))))


def disc(centre: Point, radius: float) -> BaseGeometry:
    """A disc; its chords lie inside it."""
    if radius <= 0:
        return shapely.Polygon()
    return shapely.Point(centre).buffer(radius, quad_segs=quarter_chords(radius))
