"""The metal a set-up starts with, at any height."""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.job.model import RawStock, Setup
from gcodekit.part.overlay import EMPTY
from gcodekit.part.plane import disc

# A bar lying down is looked at at this many heights between its bottom and its top: its width
# changes with every one.
_LYING_HEIGHTS = 32


def metal(setup: Setup, z: float) -> BaseGeometry:
    """The metal's section at height `z`, program coordinates, mm; empty outside it.

    A round's chords lie inside it by at most 0.0002 mm.
    """
    return stock_section(setup.raw, z)


def heights(setup: Setup) -> tuple[float, float]:
    """z of the metal's bottom and top."""
    return setup.raw.low[2], setup.raw.high[2]


def metal_levels(setup: Setup) -> tuple[float, ...]:
    """Heights between bottom and top where the section changes, ascending."""
    return stock_levels(setup.raw)


def stock_levels(raw: RawStock) -> tuple[float, ...]:
    """The same of raw stock alone; a lying bar, whose section always changes, at even steps."""
    if raw.shape == "block" or raw.axis == "z":
        return ()
    bottom, top = raw.low[2], raw.high[2]
    step = (top - bottom) / _LYING_HEIGHTS
    return tuple(bottom + step * i for i in range(1, _LYING_HEIGHTS))


def stock_section(raw: RawStock, z: float) -> BaseGeometry:
    """The raw stock's section at height `z`, as `metal`."""
    (x0, y0, z0), (x1, y1, z1) = raw.low, raw.high
    if not z0 <= z <= z1:
        return EMPTY
    centre = ((x0 + x1) / 2, (y0 + y1) / 2)
    if raw.shape == "block":
        return shapely.box(x0, y0, x1, y1)
    if raw.axis == "z":
        return disc(centre, (x1 - x0) / 2)
    radius = (z1 - z0) / 2
    half = math.sqrt(max(0.0, radius**2 - (z - (z0 + z1) / 2) ** 2))
    if half == 0.0:
        return EMPTY
    if raw.axis == "x":
        return shapely.box(x0, centre[1] - half, x1, centre[1] + half)
    return shapely.box(centre[0] - half, y0, centre[0] + half, y1)


def plan(setup: Setup) -> BaseGeometry:
    """The raw stock seen down the spindle: its widest section."""
    raw = setup.raw
    lying = raw.shape == "round" and raw.axis != "z"
    return stock_section(raw, (raw.low[2] + raw.high[2]) / 2 if lying else raw.high[2])
