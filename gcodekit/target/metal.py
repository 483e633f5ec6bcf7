"""The metal that a set-up starts with."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import less, union
from gcodekit.job.model import Setup
from gcodekit.job.stock.raw_metal import stock_levels, stock_plan, stock_section


def metal(setup: Setup, z: float) -> BaseGeometry:
    """Its section at a height: the raw stock less what set-ups before have taken."""
    return less(stock_section(setup.raw, z), union(r.section(z) for r in setup.gone))


def whole(setup: Setup, z: float) -> BaseGeometry:
    """The section of the least block or bar round it: what is hollowed out of that counts in."""
    return stock_section(setup.left, z)


def metal_levels(setup: Setup) -> tuple[float, ...]:
    """Heights within it where the section changes, ascending."""
    inside = (z for r in setup.gone for z in r.levels if bottom_of(setup) < z < top_of(setup))
    return tuple(sorted({*inside, *stock_levels(setup.raw)}))


def bottom_of(setup: Setup) -> float:
    """z of its lowest point."""
    return setup.left.low[2]


def top_of(setup: Setup) -> float:
    """z of its highest point."""
    return setup.left.high[2]


def plan(setup: Setup) -> BaseGeometry:
    """The least block or bar round it, seen down the spindle."""
    return stock_plan(setup.left)
