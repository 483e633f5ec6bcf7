"""What another set-up asks, as the set-up at hand sees it, and what of it is sure to be gone."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Sequence

from shapely.geometry.base import BaseGeometry

from gcodekit.job.frames import Frame, Seen, seen_from
from gcodekit.job.model import Hole, Setup
from gcodekit.job.raw_metal import stock_plan
from gcodekit.job.removed import Removed, Slab, apart, turned_area
from gcodekit.part.asked import Asked
from gcodekit.part.metal import whole
from gcodekit.part.overlay import common, less, union
from gcodekit.part.plane import grown
from gcodekit.part.solids import Pits, Prism, Solid

# A sloped body is as many steps high between two of its levels.
SLOPE_STEPS = 6
# Just above a step's bottom, mm, where a body that widens upwards is as narrow as in that step.
ABOVE = 1e-5
# What goes is looked at this far beyond the metal, mm.
BEYOND = 1.0
# A slot exactly as wide as its cutter counts as reached: the disc is this much smaller, mm.
SLACK = 0.002


class Elsewhere:
    """Another set-up's drawing in the coordinates at hand: all that it takes or may take."""

    def __init__(self, other: Setup, asked: Sequence[Asked], setup: Setup) -> None:
        self.asked = {a.name: a for a in asked}
        self.setup, self.seen = other, seen(other, setup)
        self._beside: Removed | None = None
        if not self.seen.upright:
            self._beside = Removed(_slabs(other, asked, _whole), self.seen)

    @property
    def levels(self) -> tuple[float, ...]:
        """Heights where it changes."""
        if self._beside is not None:
            return self._beside.levels
        return tuple(self.seen.z(z) for a in self.asked.values() for z in a.levels)

    def cut_at(self, z: float) -> list[BaseGeometry]:
        """All that is or may be cut there, at a height of the coordinates at hand."""
        if self._beside is not None:
            return [self._beside.section(z)]
        own = self.seen.own_z(z)
        shapes = (s for a in self.asked.values() for s in (a.must_at(own), a.may_at(own)))
        return [self.area(s) for s in shapes]

    def area(self, shape: BaseGeometry) -> BaseGeometry:
        """A plane shape of the other set-up, where both are upright."""
        return turned_area(shape, self.seen)


def seen(other: Setup, setup: Setup) -> Seen:
    """How another set-up's coordinates turn into those of the one at hand."""
    return seen_from(Frame.of(other), Frame.of(setup))


def removed(other: Setup, slabs: Iterable[Slab], setup: Setup) -> Removed:
    """What another set-up has taken away, as the one at hand sees it."""
    return Removed(slabs, seen(other, setup))


def surely_gone(setup: Setup, asked: Sequence[Asked]) -> tuple[Slab, ...]:
    """What a set-up's programs are sure to have cut, in its own coordinates: all that must go and
    the finishing cutters reach, less what is asked to stay."""
    drilled = {f.name for f in setup.features if isinstance(f, Hole) and f.drilled}

    def sure(a: Asked, z: float) -> BaseGeometry:
        must = union((a.must_at(z), *_point(a, z))) if a.name in drilled else a.must_at(z)
        stay = union(b.stay_at(z) for b in asked)
        return less(must if a.name in drilled else _reached(setup, a, must, z), stay)

    return _slabs(setup, asked, sure)


def _point(asked: Asked, z: float) -> list[BaseGeometry]:
    """What the widest drill's point leaves below a hole's full diameter."""
    points = [b for b in asked.may if isinstance(b, Pits) and b.cutter.kind == "drill"]
    widest = max(points, key=lambda b: b.cutter.radius, default=None)
    return [] if widest is None else [widest.section(z)]


def _whole(asked: Asked, z: float) -> BaseGeometry:
    return union((asked.must_at(z), asked.may_at(z)))


def _reached(setup: Setup, asked: Asked, must: BaseGeometry, z: float) -> BaseGeometry:
    """What the finishing cutter reaches of what must go: a corner keeps its radius."""
    radius = asked.reach - SLACK
    if radius <= 0 or must.is_empty:
        return must
    room = less(union((must, asked.may_at(z))), asked.stay_at(z))
    frame = grown(union((room, stock_plan(setup.left))).envelope, 2 * asked.reach + 1.0).envelope
    room = union((room, less(frame, whole(setup, z))))
    reached = common(must, grown(grown(room, -radius), radius))
    # a hair along an arc is no corner
    return must if grown(less(must, reached), -SLACK / 2).is_empty else reached


def _slabs(
    setup: Setup, asked: Iterable[Asked], section: Callable[[Asked, float], BaseGeometry]
) -> tuple[Slab, ...]:
    """What is asked as slabs, cut off a little beyond the metal there is."""
    bottom, top = setup.left.low[2], setup.left.high[2]
    room = grown(stock_plan(setup.left).envelope, BEYOND).envelope
    found: list[Slab] = []
    for a in asked:
        heights = apart(_steps(a, bottom - BEYOND, top + BEYOND))
        pieces: list[Slab] = []
        for low, high in itertools.pairwise(heights):
            area = common(section(a, low + ABOVE), room)
            below = pieces[-1] if pieces else None
            if below is not None and below.high == low and below.area.equals(area):
                pieces[-1] = Slab(below.area, below.low, high)
            elif not area.is_empty:
                pieces.append(Slab(area, low, high))
        found += pieces
    return tuple(found)


def _steps(asked: Asked, bottom: float, top: float) -> list[float]:
    """Heights between which what is asked is taken as upright."""
    bodies = (*asked.must, *asked.may, *asked.stay, *asked.kept)
    found = [bottom, top, *(z for body in bodies for z in _heights(body))]
    return [min(max(z, bottom), top) for z in found]


def _heights(body: Solid) -> list[float]:
    levels = apart(body.levels)
    if isinstance(body, Prism):
        return levels
    steps = [
        low + (high - low) * k / SLOPE_STEPS
        for low, high in itertools.pairwise(levels)
        for k in range(1, SLOPE_STEPS)
    ]
    return [*levels, *steps]
