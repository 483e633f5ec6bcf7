"""The places where each cutter can be touched off, and the z to set there.

A cutter is touched off when it comes into the spindle. What stands then is worked out from the
drawing: the metal, less everything asked of the features cut so far, even those only begun. The
surfaces tried are the raw top, then the flat floors finished by then, highest first; those of the
set-ups before, with the same face up, among them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.flattening import polygons_of
from gcodekit.geometry.overlay import common, joined, less, union
from gcodekit.job.feature import Feature
from gcodekit.job.holdings import Hold
from gcodekit.job.model import Job, Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import PlannedOperation
from gcodekit.part.keep_out import Body, held_by
from gcodekit.part.other_setups import OtherSetup
from gcodekit.part.plane_regions import grown
from gcodekit.part.planned_target import BELOW, PlannedTarget
from gcodekit.part.setup_stock import metal, plan
from gcodekit.planning.cutter_assignment import PlannedSetup
from gcodekit.trade.cutter import Cutter
from gcodekit.units import mm_per

# The place is clear of edges and openings by the cutter's radius and this much, mm.
CLEAR_OF_EDGES = 1.0
# Places are said to a tenth of a millimetre or a hundredth of an inch: rounding may lose this, mm.
SAID_WITHIN = 0.2
# Where nothing is as clear as that, a surface this wide will do, mm.
NARROWEST_SURFACE = 2.0


@dataclass(frozen=True, slots=True)
class _Surface:
    """A level surface in words and where it stands in plan; a lying bar is touched on the line of
    its crest only."""

    name: str
    z: float
    where: BaseGeometry
    crest: BaseGeometry | None = None


def touch_off_words(
    job: Job,
    setup: Setup,
    drafts: Sequence[PlannedOperation],
    asked: Mapping[str, PlannedTarget],
    earlier: Sequence[PlannedSetup] = (),
    *,
    done: Sequence[PlannedOperation] = (),
) -> tuple[str, ...]:
    """For each operation: where its cutter is touched off if it comes into the spindle there.
    `done`: operations that were cut before all of them."""
    words: list[str] = []
    before = [e.seen_from(setup) for e in earlier]
    for i, draft in enumerate(drafts):
        if i and drafts[i - 1].cutter.number == draft.cutter.number:
            words.append(words[-1])
            continue
        begun = {d.feature.name for d in (*done, *drafts[:i])}
        whole = begun - {d.feature.name for d in drafts[i:]}
        surfaces = _surfaces(setup, {name: asked[name] for name in begun}, whole, before)
        words.append(_said(job, setup, draft, surfaces))
    return tuple(words)


def _surfaces(
    setup: Setup, begun: Mapping[str, PlannedTarget], whole: set[str], before: Sequence[OtherSetup]
) -> list[_Surface]:
    """The raw top and finished flat floors, as far as they stand, highest first."""

    def cut_at(z: float) -> BaseGeometry:
        own = (s for a in begun.values() for s in (a.required_at(z), a.allowed_at(z)))
        return joined([*own, *(s for e in before for s in e.cut_at(z))])

    def floor(feature: Feature, z: float, area: BaseGeometry) -> _Surface:
        stands = less(common(area, metal(setup, z - BELOW)), cut_at(z - BELOW))
        return _Surface(_floor_name(feature), z, stands)

    found: list[_Surface] = []
    for feature in setup.features:
        if feature.name in whole and _flat_floor(feature):
            z = feature.depth.cut_to
            found.append(floor(feature, z, begun[feature.name].required_at(z + BELOW)))
    for e in (e for e in before if e.setup.up == setup.up):
        for feature in filter(_flat_floor, e.setup.features):
            if feature.name in e.asked:
                z = feature.depth.cut_to
                area = e.area(e.asked[feature.name].required_at(z + BELOW))
                found.append(floor(feature, e.seen.z(z), area))
    found.sort(key=lambda s: -s.z)
    # nobody knows how high an oversize top stands
    top_known = setup.left.high[2] == setup.sure.high[2]
    return [_raw_top(setup, cut_at), *found] if top_known else found


def _raw_top(setup: Setup, cut_at: Callable[[float], BaseGeometry]) -> _Surface:
    raw, top = setup.left, setup.left.high[2]
    cut = cut_at(top - BELOW)
    if raw.shape == "round" and raw.axis != "z":
        return _Surface("the bar's raw top", top, less(plan(setup), cut), _crest(raw))
    name = "the raw top" if top == setup.raw.high[2] else "the work's top"
    return _Surface(name, top, less(metal(setup, top - BELOW), cut))


def _crest(raw: RawStock) -> BaseGeometry:
    """The highest line of a lying bar."""
    (x0, y0, _), (x1, y1, _) = raw.low, raw.high
    if raw.axis == "x":
        return shapely.LineString([(x0, (y0 + y1) / 2), (x1, (y0 + y1) / 2)])
    return shapely.LineString([((x0 + x1) / 2, y0), ((x0 + x1) / 2, y1)])


def _flat_floor(feature: Feature) -> bool:
    """Tell whether the feature leaves a level floor at its full depth."""
    if feature.depth.through or (not feature.cutting.finish and feature.cutting.floor_allowance):
        return False
    return cutting_of(feature).level_floor(feature)


def _floor_name(feature: Feature) -> str:
    if feature.whole_top:
        return "the faced top"
    return f"the floor of {feature.name}"


def _said(job: Job, setup: Setup, draft: PlannedOperation, surfaces: list[_Surface]) -> str:
    """The highest surface with a place that is clear of everything, in words; failing that the
    widest place of the highest one."""
    hold = setup.holds[draft.feature.stage]
    bodies = held_by(hold, setup)
    if draft.cutter.is_blade and surfaces:
        return _level_with(job, surfaces[0])
    for surface in surfaces:
        place = _clear_place(setup, bodies, draft.cutter, surface)
        if place is not None:
            return _words(job, surface.name, place, surface.z)
    for surface in surfaces:
        place = _widest_place(bodies, surface)
        if place is not None:
            return _words(job, surface.name, place, surface.z)
    return _beside_the_work(job, setup, hold, bodies)


def _level_with(job: Job, surface: _Surface) -> str:
    """A blade cannot stand on a surface: its nut is below it."""
    return (
        f"bring the underside of the blade level with {surface.name} from beside the work and "
        f"set Z to {_z(job, surface.z)}"
    )


def _clear_place(
    setup: Setup, bodies: tuple[Body, ...], cutter: Cutter, surface: _Surface
) -> Point | None:
    """The place nearest to program zero that is clear of edges, openings, walls and bodies."""
    tops = [setup.left.high[2], *(b.top for b in bodies)]
    clear = _widest(cutter, max(tops) - surface.z) + CLEAR_OF_EDGES + SAID_WITHIN
    room = grown(_uncovered(surface, bodies), -clear)
    if surface.crest is not None:
        room = room.intersection(surface.crest)
    if room.is_empty:
        return None
    x, y = shapely.shortest_line(room, shapely.Point(0.0, 0.0)).coords[0]
    return (float(x), float(y))


def _widest(cutter: Cutter, height: float) -> float:
    """The widest of the cutter, its shank and holder, up to a height above its tip, mm."""
    starts = [0.0, cutter.flute_length, cutter.stickout, cutter.reach or 0.0]
    # a surface above all that stands is met by the cutter alone
    return max([cutter.radius, *(cutter.body_radius_at(h) for h in starts if h <= height)])


def _uncovered(surface: _Surface, bodies: tuple[Body, ...]) -> BaseGeometry:
    return less(surface.where, union(b.outline for b in bodies if b.top > surface.z))


def _widest_place(bodies: tuple[Body, ...], surface: _Surface) -> Point | None:
    """The middle of the widest piece of a surface."""
    if surface.crest is not None:
        return None
    pieces = polygons_of(_uncovered(surface, bodies))
    circles = [shapely.maximum_inscribed_circle(p, tolerance=0.1) for p in pieces if p.area > 1.0]
    widest = max(circles, key=lambda c: c.length, default=None)
    if widest is None or 2 * widest.length < NARROWEST_SURFACE:
        return None
    x, y = widest.coords[0]
    return (float(x), float(y))


def _beside_the_work(job: Job, setup: Setup, hold: Hold, bodies: tuple[Body, ...]) -> str:
    """The place to touch off where no stock is left to touch: a jaw, or what the work lies on."""
    bottom = setup.sure.low[2]
    if hold.vise is not None:
        jaw = next(b for b in bodies if "(fixed)" in b.name)
        x, y = jaw.outline.centroid.coords[0]
        return _words(job, "the fixed jaw's top", (x, y), jaw.top)
    if hold.chuck is not None:
        jaw = next(b for b in bodies if b.name == "chuck jaw 1")
        x, y = jaw.outline.centroid.coords[0]
        return _words(job, "the top of chuck jaw 1", (x, y), jaw.top)
    under = "spoil board" if hold.board is not None else "table"
    return f"touch the {under} beside the work and set Z to {_z(job, bottom)}"


def _words(job: Job, surface: str, place: Point, z: float) -> str:
    x, y = (_place(job, v) for v in place)
    return f"touch {surface} at X{x} Y{y} and set Z to {_z(job, z)}"


def _place(job: Job, mm: float) -> str:
    return _fixed(mm / mm_per(job.units), 1 if job.units == "mm" else 2)


def _z(job: Job, mm: float) -> str:
    return _fixed(mm / mm_per(job.units), 3 if job.units == "mm" else 4)


def _fixed(value: float, decimals: int) -> str:
    """Without a minus before nothing."""
    return f"{round(value, decimals) + 0.0:.{decimals}f}"
