"""What another set-up asks, as the set-up at hand sees it, and what of it is sure to be gone."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flat import polygons_of
from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.model import Setup
from gcodekit.job.stock.frames import Frame, Seen, seen_from
from gcodekit.job.stock.raw_metal import stock_plan
from gcodekit.job.stock.removed import BEYOND, Removed, Slab, apart, turned_area, turns
from gcodekit.part.asked import Asked
from gcodekit.part.metal import whole
from gcodekit.part.plane import grown
from gcodekit.part.solids import Pits, Prism, Solid

# A sloped body is as many steps high between two of its levels.
SLOPE_STEPS = 3
# Just above a step's bottom, mm, where a body that widens upwards is as narrow as in that step.
ABOVE_STEP = 1e-5
# A slot exactly as wide as its cutter counts as reached: the disc is this much smaller, mm.
REACHED_SLACK = 0.002
# What is out of a cutter's reach and nowhere wider than twice this, mm, lies along an arc.
CORNER_CRUMB = 0.003
# A rim that turns left by more than this, radians, has a corner there: more than a chord does.
SHARP = 0.3
# An opened area may lose so much along its rim, mm, by chords.
RIM_LOST = 0.002


class Elsewhere:
    """Another set-up's drawing in the coordinates at hand: all that it takes or may take."""

    def __init__(self, other: Setup, asked: Sequence[Asked], setup: Setup) -> None:
        self.asked = {a.name: a for a in asked}
        self.setup, self.seen = other, seen(other, setup)
        self._beside: Removed | None = None
        if not self.seen.upright:
            self._beside = Removed(_slabs(other, asked, _whole, _bodies), self.seen)

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
    drilled = {f.name for f in setup.features if not f.milled and f.has_depth}

    def sure(a: Asked, z: float) -> BaseGeometry:
        must = a.must_at(z)
        if a.name not in drilled:
            must = _reached(setup, a, must, z)
        elif point := _point(a):
            must = union((must, point.section(z)))
        for stay in (s for b in asked if b.stay and (s := b.stay_at(z)).intersects(must)):
            must = less(must, stay)
        return must

    def bodies(a: Asked) -> tuple[Solid, ...]:
        if a.name not in drilled:
            return (*a.must, *a.may, *a.stay)
        point = _point(a)
        return (*a.must, point) if point else a.must

    return _slabs(setup, asked, sure, bodies)


def _point(asked: Asked) -> Pits | None:
    """What the widest drill's point leaves below a hole's full diameter."""
    points = [b for b in asked.may if isinstance(b, Pits) and b.cutter.kind == "drill"]
    return max(points, key=lambda b: b.cutter.radius, default=None)


def _bodies(asked: Asked) -> tuple[Solid, ...]:
    return (*asked.must, *asked.may, *asked.kept)


def _whole(asked: Asked, z: float) -> BaseGeometry:
    return union((asked.must_at(z), asked.may_at(z)))


def _reached(setup: Setup, asked: Asked, must: BaseGeometry, z: float) -> BaseGeometry:
    """What the finishing cutter reaches of what must go: a corner keeps its radius."""
    radius = asked.reach - REACHED_SLACK
    if radius <= 0 or must.is_empty or _rounded(must, radius):
        return must
    room = less(union((must, asked.may_at(z))), asked.stay_at(z))
    frame = grown(union((room, stock_plan(setup.left))).envelope, 2 * asked.reach + 1.0).envelope
    room = union((room, less(frame, whole(setup, z))))
    reached = common(must, grown(grown(room, -radius), radius))
    return must if less(must, reached).buffer(-CORNER_CRUMB).is_empty else reached


def _rounded(must: BaseGeometry, radius: float) -> bool:
    """Whether it is seen quickly that a disc gets everywhere in an area: no sharp corner, no neck.
    Its drawn rounds are known to be no tighter."""
    sharp = any(
        (turns(shapely.get_coordinates(ring)) > SHARP).any()
        for p in map(shapely.geometry.polygon.orient, polygons_of(must))
        for ring in (p.exterior, *p.interiors)
    )
    if sharp:
        return False
    opened = grown(grown(must, -radius), radius)
    return bool(must.area - opened.area < RIM_LOST * must.length)


def _slabs(
    setup: Setup,
    asked: Iterable[Asked],
    section: Callable[[Asked, float], BaseGeometry],
    bodies: Callable[[Asked], Iterable[Solid]],
) -> tuple[Slab, ...]:
    """What is asked as slabs, cut off a little beyond the metal there is."""
    bottom, top = setup.left.low[2], setup.left.high[2]
    room = grown(stock_plan(setup.left).envelope, BEYOND).envelope
    found: list[Slab] = []
    for a in asked:
        heights = apart(_steps(bodies(a), bottom - BEYOND, top + BEYOND))
        pieces: list[Slab] = []
        for low, high in itertools.pairwise(heights):
            area = section(a, low + ABOVE_STEP)
            if not room.covers(area):
                area = common(area, room)
            below = pieces[-1] if pieces else None
            if below is not None and below.high == low and below.area.equals(area):
                pieces[-1] = Slab(below.area, below.low, high)
            elif not area.is_empty:
                pieces.append(Slab(area, low, high))
        found += _marked(pieces)
    return tuple(found)


def _marked(pile: list[Slab]) -> list[Slab]:
    """Slabs of one feature upwards, those that are steps known as such."""
    beside = zip(pile, [None, *pile], [*pile[1:], None], strict=False)
    return [
        replace(slab, step=any(b is not None and _holds(b, slab) for b in (below, above)))
        for slab, below, above in beside
    ]


def _holds(slab: Slab, step: Slab) -> bool:
    touching = slab.high == step.low or slab.low == step.high
    return touching and slab.area.area > step.area.area and bool(slab.area.covers(step.area))


def _steps(bodies: Iterable[Solid], bottom: float, top: float) -> list[float]:
    """Heights between which bodies are taken as upright."""
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
