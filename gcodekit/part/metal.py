"""The metal there is in a set-up at a height, before anything is cut."""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.job.model import Setup

# Chords of a bar's rim a quarter turn: a 100 mm bar is then true to 0.001 mm.
RIM_QUARTER = 256


def metal(setup: Setup, z: float) -> BaseGeometry:
    """The raw stock's section at program height z, mm; empty outside it."""
    raw = setup.raw
    (x0, y0, z0), (x1, y1, z1) = raw.low, raw.high
    if not z0 <= z <= z1:
        return shapely.Polygon()
    if raw.shape == "block":
        return shapely.box(x0, y0, x1, y1)
    if raw.axis == "z":
        middle = shapely.Point((x0 + x1) / 2, (y0 + y1) / 2)
        return middle.buffer((x1 - x0) / 2, quad_segs=RIM_QUARTER)
    radius = (z1 - z0) / 2
    half = math.sqrt(max(0.0, radius**2 - (z - z0 - radius) ** 2))
    if raw.axis == "x":
        middle_y = (y0 + y1) / 2
        return shapely.box(x0, middle_y - half, x1, middle_y + half)
    middle_x = (x0 + x1) / 2
    return shapely.box(middle_x - half, y0, middle_x + half, y1)
