"""The metal that a set-up starts with, and what is left of it when a feature's turn comes."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.model import Setup
from gcodekit.job.stock.raw_metal import stock_levels, stock_plan, stock_section
from gcodekit.target.demand import Demand

# Just under a level, mm.
UNDER_LEVEL = 1e-4
# Metal nowhere thicker than twice this is none, mm: equal outlines drawn in other chords.
FOIL = 0.001


def metal(setup: Setup, z: float) -> BaseGeometry:
    """The section of the stock at a height: the raw stock less what set-ups before have taken."""
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


def highest_where(holds: Callable[[float], bool], low: float, high: float) -> float:
    """The height between two up to which something holds, to UNDER_LEVEL above."""
    steps = math.ceil(math.log2(max(2.0, (high - low) / UNDER_LEVEL)))
    for _ in range(steps):
        at = (low + high) / 2
        if holds(at):
            low = at
        else:
            high = at
    return high


class SetupSoFar:
    """A set-up with what its features demand, one after another in the order written."""

    def __init__(self, setup: Setup) -> None:
        self.setup = setup
        self.demands: list[Demand] = []

    def metal_over(self, area: BaseGeometry, z: float) -> BaseGeometry:
        """The metal over an area at a height when the next feature's turn comes."""
        gone = union(d.required_at(z) for d in self.demands if d.near(area))
        return less(common(area, metal(self.setup, z)), gone)

    def levels_over(self, area: BaseGeometry) -> set[float]:
        """Heights where that may change: of the metal, and of what was cut before."""
        cut = (z for d in self.demands if d.near(area) for z in d.levels)
        return {*metal_levels(self.setup), *cut}

    def top_over(self, area: BaseGeometry) -> float:
        """z of the highest metal over an area then; the metal's bottom where none is left."""
        bottom, top = bottom_of(self.setup), top_of(self.setup)
        levels = {top, *self.levels_over(area)}
        down = [*sorted((z for z in levels if bottom < z <= top), reverse=True), bottom]
        # what was cut from the side may come to an edge at its top: it stands at its foot
        askew = not all(r.upright for r in self.setup.gone)
        lying = bool(stock_levels(self.setup.raw))

        def stands(at: float) -> bool:
            return not self.metal_over(area, at).buffer(-FOIL).is_empty

        for z, below in pairwise(down):
            if stands(z - UNDER_LEVEL):
                return z
            if (askew or lying) and stands(below + UNDER_LEVEL):
                # between its levels a lying bar's section changes too
                return highest_where(stands, below, z) if lying else z
        return bottom
