"""The targets of other set-ups as the set-up at hand sees them, and what of them is sure to be
cut."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import polygons_of
from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.model import Setup
from gcodekit.job.stock.frames import Frame, FrameView, seen_from
from gcodekit.job.stock.raw_metal import stock_plan
from gcodekit.job.stock.removed_stock import BEYOND, Removed, Slab, apart, turned_area, turns
from gcodekit.part.plane_regions import grown
from gcodekit.part.planned_target import PlannedTarget
from gcodekit.part.setup_stock import whole
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


class OtherSetup:
    """Another set-up's drawing in the coordinates at hand: all that it takes or may take."""

    def __init__(self, other: Setup, asked: Sequence[PlannedTarget], setup: Setup) -> None:
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
        shapes = (s for a in self.asked.values() for s in (a.required_at(own), a.allowed_at(own)))
        return [self.area(s) for s in shapes]

    def area(self, shape: BaseGeometry) -> BaseGeometry:
        """A plane shape of the other set-up, where both are upright."""
        return turned_area(shape, self.seen)


def seen(other: Setup, setup: Setup) -> FrameView:
    """The turn from another set-up's coordinates into those of this one."""
    return seen_from(Frame.of(other), Frame.of(setup))


def removed(other: Setup, slabs: Iterable[Slab], setup: Setup) -> Removed:
    """The stock that another set-up has removed, as this one sees it."""
    return Removed(slabs, seen(other, setup))


def surely_gone(setup: Setup, asked: Sequence[PlannedTarget]) -> tuple[Slab, ...]:
    """The stock that a set-up's programs are sure to have cut, in its own coordinates: all that is
    required and the finishing cutters reach, less what is kept."""
    drilled = {f.name for f in setup.features if not f.milled and f.has_depth}

    def sure(a: PlannedTarget, z: float) -> BaseGeometry:
        required = a.required_at(z)
        if a.name not in drilled:
            required = _reached(setup, a, required, z)
        elif point := _point(a):
            required = union((required, point.section(z)))
        for kept in (s for b in asked if b.kept and (s := b.kept_at(z)).intersects(required)):
            required = less(required, kept)
        return required

    def bodies(a: PlannedTarget) -> tuple[Solid, ...]:
        if a.name not in drilled:
            return (*a.required, *a.allowed, *a.kept)
        point = _point(a)
        return (*a.required, point) if point else a.required

    return _slabs(setup, asked, sure, bodies)


def _point(asked: PlannedTarget) -> Pits | None:
    """The pits that the widest drill's point leaves below a hole's full diameter."""
    points = [b for b in asked.allowed if isinstance(b, Pits) and b.cutter.kind == "drill"]
    return max(points, key=lambda b: b.cutter.radius, default=None)


def _bodies(asked: PlannedTarget) -> tuple[Solid, ...]:
    return (*asked.required, *asked.allowed, *asked.protected)


def _whole(asked: PlannedTarget, z: float) -> BaseGeometry:
    return union((asked.required_at(z), asked.allowed_at(z)))


def _reached(setup: Setup, asked: PlannedTarget, required: BaseGeometry, z: float) -> BaseGeometry:
    """The part of what is required that the finishing cutter reaches: a corner keeps its radius."""
    radius = asked.reach - REACHED_SLACK
    if radius <= 0 or required.is_empty or _rounded(required, radius):
        return required
    room = less(union((required, asked.allowed_at(z))), asked.kept_at(z))
    frame = grown(union((room, stock_plan(setup.left))).envelope, 2 * asked.reach + 1.0).envelope
    room = union((room, less(frame, whole(setup, z))))
    reached = common(required, grown(grown(room, -radius), radius))
    return required if less(required, reached).buffer(-CORNER_CRUMB).is_empty else reached


def _rounded(required: BaseGeometry, radius: float) -> bool:
    """Tell whether it is seen quickly that a disc gets everywhere in an area: no sharp corner, no
    neck. Its drawn rounds are known to be no tighter."""
    sharp = any(
        (turns(shapely.get_coordinates(ring)) > SHARP).any()
        for p in map(shapely.geometry.polygon.orient, polygons_of(required))
        for ring in (p.exterior, *p.interiors)
    )
    if sharp:
        return False
    opened = grown(grown(required, -radius), radius)
    return bool(required.area - opened.area < RIM_LOST * required.length)


def _slabs(
    setup: Setup,
    asked: Iterable[PlannedTarget],
    section: Callable[[PlannedTarget, float], BaseGeometry],
    bodies: Callable[[PlannedTarget], Iterable[Solid]],
) -> tuple[Slab, ...]:
    """The target as slabs, cut off a little beyond the stock there is."""
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
