"""Raw stock by its sections."""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import disc
from gcodekit.job.raw_stock import RawStock

# A bar lying down is looked at at this many heights between its bottom and its top: its width
# changes with every one.
_LYING_HEIGHTS = 32


def stock_levels(raw: RawStock) -> tuple[float, ...]:
    """Heights between bottom and top where the section changes, ascending; of a lying bar, whose
    section always changes, at even steps."""
    if raw.shape == "block" or raw.axis == "z":
        return ()
    bottom, top = raw.low[2], raw.high[2]
    step = (top - bottom) / _LYING_HEIGHTS
    return tuple(bottom + step * i for i in range(1, _LYING_HEIGHTS))


def stock_section(raw: RawStock, z: float) -> BaseGeometry:
    """The raw stock's section at height `z`, program coordinates, mm; empty outside it."""
    (x0, y0, z0), (x1, y1, z1) = raw.low, raw.high
    if not z0 <= z <= z1:
        return shapely.Polygon()
    centre = ((x0 + x1) / 2, (y0 + y1) / 2)
    if raw.shape == "block":
        return shapely.box(x0, y0, x1, y1)
    if raw.axis == "z":
        return disc(centre, (x1 - x0) / 2)
    radius = (z1 - z0) / 2
    half = math.sqrt(max(0.0, radius**2 - (z - (z0 + z1) / 2) ** 2))
    if half == 0.0:
        return shapely.Polygon()
    if raw.axis == "x":
        return shapely.box(x0, centre[1] - half, x1, centre[1] + half)
    return shapely.box(centre[0] - half, y0, centre[0] + half, y1)


def stock_plan(raw: RawStock) -> BaseGeometry:
    """It seen down the spindle: its widest section."""
    lying = raw.shape == "round" and raw.axis != "z"
    return stock_section(raw, (raw.low[2] + raw.high[2]) / 2 if lying else raw.high[2])
