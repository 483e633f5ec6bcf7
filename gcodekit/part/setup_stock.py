"""The metal a set-up starts with, at any height."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import less, union
from gcodekit.job.model import Setup
from gcodekit.job.stock.raw_metal import stock_levels, stock_plan, stock_section

# Just off a level, mm.
JUST = 1e-4


def metal(setup: Setup, z: float) -> BaseGeometry:
    """The metal's section at height `z`, program coordinates, mm; empty outside it: the raw stock
    without what is sure to be gone after earlier set-ups.

    A raw round's chords lie inside it, those of what is gone outside, by at most 0.0002 mm.
    """
    raw = stock_section(setup.raw, z)
    return less(raw, union(r.section(z) for r in setup.gone)) if setup.gone else raw


def between(setup: Setup, low: float, high: float) -> BaseGeometry:
    """All that stands anywhere between two heights, seen from above; where neither reaches the
    metal the slice of it next to them."""
    bottom, top = heights(setup)
    low, high = max(low, bottom + JUST), min(max(high, bottom + 2 * JUST), top - JUST)
    inner = (z + JUST for z in metal_levels(setup) if low < z < high)
    return union(metal(setup, z) for z in {min(low, high), high, *inner})


def heights(setup: Setup) -> tuple[float, float]:
    """z of the metal's bottom and top."""
    return setup.left.low[2], setup.left.high[2]


def metal_levels(setup: Setup) -> tuple[float, ...]:
    """Heights between bottom and top where the section changes, ascending."""
    bottom, top = heights(setup)
    gone = (z for r in setup.gone for z in r.levels if bottom < z < top)
    return tuple(sorted({*gone, *stock_levels(setup.raw)}))


def whole(setup: Setup, z: float) -> BaseGeometry:
    """The section at a height of the least block or bar round the metal: what of it earlier set-ups
    have hollowed out counts in."""
    return stock_section(setup.left, z)


def plan(setup: Setup) -> BaseGeometry:
    """The metal seen down the spindle: the widest section of the least block or bar round it."""
    return stock_plan(setup.left)
