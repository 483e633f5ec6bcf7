"""The stock that another set-up's drawing takes or may take, in the coordinates of the set-up at
hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import common, union
from gcodekit.job.model import Setup
from gcodekit.job.stock.frames import Frame, seen_from
from gcodekit.job.stock.removed_stock import BEYOND, Removed, Slab, apart, turned_area
from gcodekit.target.bodies import Upright
from gcodekit.target.demand import Demand
from gcodekit.target.drawn_areas import framed
from gcodekit.target.setup_metal import bottom_of, plan, top_of

# Seen from the side a slope is so many steps from one of its levels to the next.
SLOPE_STEPS = 3
# Just above a step's bottom, mm: there a body that widens upwards is narrowest.
ABOVE_STEP = 1e-5


class OtherSetup:
    """Seen from the same or the opposite face as regions, from the side as slabs on edge."""

    def __init__(self, other: Setup, demands: Sequence[Demand], setup: Setup) -> None:
        self._demands = demands
        self._seen = seen_from(Frame.of(other), Frame.of(setup))
        self._beside: Removed | None = None
        if not self._seen.upright:
            self._beside = Removed(_slabs(other, demands), self._seen)

    @property
    def levels(self) -> tuple[float, ...]:
        """Heights where it changes."""
        if self._beside is not None:
            return self._beside.levels
        return tuple(self._seen.z(z) for d in self._demands for z in d.levels)

    def cut_at(self, z: float) -> list[BaseGeometry]:
        """All of it at a height."""
        if self._beside is not None:
            return [self._beside.section(z)]
        own = self._seen.own_z(z)
        shapes = (s for d in self._demands for s in (d.required_at(own), d.allowed_at(own)))
        return [turned_area(s, self._seen) for s in shapes]


def _slabs(other: Setup, demands: Sequence[Demand]) -> list[Slab]:
    """Every feature's own as a pile, cut off a little beyond the metal."""
    room = framed(plan(other), BEYOND)
    bottom, top = bottom_of(other) - BEYOND, top_of(other) + BEYOND
    return [slab for d in demands for slab in _steps_marked(_pile(d, room, bottom, top))]


def _pile(demand: Demand, room: BaseGeometry, bottom: float, top: float) -> list[Slab]:
    """Upwards; as high as its section stays the same."""
    pile: list[Slab] = []
    steps = {min(max(z, bottom), top) for z in (bottom, top, *_heights(demand))}
    for low, high in pairwise(apart(steps)):
        at = low + ABOVE_STEP
        area = common(union((demand.required_at(at), demand.allowed_at(at))), room)
        if pile and pile[-1].high == low and pile[-1].area.equals(area):
            pile[-1] = Slab(area, pile[-1].low, high)
        elif not area.is_empty:
            pile.append(Slab(area, low, high))
    return pile


def _steps_marked(pile: list[Slab]) -> list[Slab]:
    """Those that lie within the slab on or under them are steps of a slope."""

    def within(slab: Slab, other: Slab) -> bool:
        touching = other.high == slab.low or other.low == slab.high
        wider = other.area.area > slab.area.area
        return touching and wider and bool(other.area.covers(slab.area))

    return [
        replace(s, step=any(within(s, o) for o in pile[max(0, i - 1) : i + 2]))
        for i, s in enumerate(pile)
    ]


def _heights(demand: Demand) -> list[float]:
    found: list[float] = []
    for body in (*demand.required, *demand.allowed, *demand.protected):
        levels = apart(body.levels)
        found += levels
        if not isinstance(body, Upright):
            inside = [(a + (b - a) * k / SLOPE_STEPS) for a, b in pairwise(levels) for k in (1, 2)]
            found += inside
    return found
