"""Which cutters a feature is cut with: those the job names, or the obvious ones of the rack."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.flat import to_shapely
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import PLAN_SAG, Work, refuse, wall_allowance
from gcodekit.operations.effort import refuse_excess
from gcodekit.operations.even_load import NARROW
from gcodekit.operations.passing import passes
from gcodekit.operations.slot import SAME_WIDTH, same_width
from gcodekit.operations.wall_regions import drawn_region, with_free
from gcodekit.operations.way_in import has_way_in
from gcodekit.part.tabs import tab_places
from gcodekit.planning import wanted
from gcodekit.planning.asked_rates import rate_doubts
from gcodekit.planning.choose_holes import for_hole, for_sized_bore
from gcodekit.planning.choose_mouths import BORE_TO_CUTTER
from gcodekit.planning.cutter_faults import (
    ROUND_SLACK,
    area_of,
    fault_of,
    lacking,
    mills_for,
    too_big,
)
from gcodekit.planning.heights import Heights
from gcodekit.planning.in_use import with_those_in_use
from gcodekit.planning.picks import picks
from gcodekit.planning.rougher import rougher
from gcodekit.trade.cutter import Cutter

# Biggest cutter for profiles and faces when none is named: what a small spindle drives well.
PROFILE_CUTTER = 6.0
# Of what the smallest mill reaches of an arc, a larger one reaches so much, or is too large for it.
# Common practice, no source.
MOST_OF_IT = 0.75


def choose(work: Work, feature: Feature, heights: Heights) -> Chosen:
    """The feature's cutters; raises `PlanError` naming what is missing or cannot do the work."""
    top = heights.top_of(feature)
    if isinstance(feature, Hole):
        return for_hole(work, feature, top, mills=mills_for(work, 0.0))
    if isinstance(feature, Bore) and feature.finish_with != "end mill":
        found = for_sized_bore(work, feature, top, mills=mills_for(work, 0.0))
        if not found.opened:
            refuse_excess(work, feature, found.rough, top, heights.footprints[feature.name])
        return found
    finish = feature.cutting.cutter or _obvious(work, feature, top)
    _check(work, feature, finish)
    rough = feature.cutting.rough_with or _rougher(work, feature, finish, top)
    refuse_excess(work, feature, rough, top, heights.footprints[feature.name])
    if isinstance(feature, Profile):
        # refuses tabs without room
        tab_places(feature, max(finish.radius, rough.radius), units=work.job.units)
    return Chosen(finish=finish, rough=rough, doubts=_doubts(work, feature, finish, top))


def _rougher(work: Work, feature: Feature, finish: Cutter, top: float) -> Cutter:
    """The roughing cutter of the plan's own choice: one given cutter is meant for all."""
    cutting = feature.cutting
    both = cutting.rough and cutting.finish
    if not isinstance(feature, Pocket | Boss | Sector) or cutting.cutter or not both:
        return finish
    mills = mills_for(work, top - feature.depth.cut_to, roughing=True)
    return rougher(work, feature, finish, mills, top)


def _any(_: Cutter) -> bool:
    return True


def _first(cutters: Iterable[Cutter], fits: Callable[[Cutter], bool]) -> Cutter | None:
    return next((c for c in cutters if fits(c)), None)


def _obvious(work: Work, feature: Feature, top: float) -> Cutter:
    depth = top - feature.depth.cut_to
    mills = mills_for(work, depth)
    found: Cutter | None = None

    def passes_in(cutter: Cutter) -> bool:
        area = area_of(work, feature, cutter)
        return area is not None and passes(area, cutter.radius)

    if isinstance(feature, Face):
        found = _for_face(work, feature, mills, passes_in)
    elif isinstance(feature, Pocket | Slot | Bore):
        found = _to_clear(work, feature, mills, top)
    elif isinstance(feature, Profile):
        found = _for_profile(work, feature, mills)
    elif isinstance(feature, Edge):
        found = _first(mills, _any)
    elif isinstance(feature, Sector):
        found = _for_arc(work, feature, mills)
    elif isinstance(feature, Boss):
        found = _first(mills, lambda c: fault_of(work, feature, c) is None and passes_in(c))
    if found is None and mills and not isinstance(feature, Slot | Bore):
        raise too_big(work, feature, mills[-1], depth)
    if found is None:
        raise lacking(work, feature, depth)
    return found


def _to_clear(
    work: Work, feature: Pocket | Slot | Bore, mills: list[Cutter], top: float
) -> Cutter | None:
    """The largest that fits and has a way in, best with room for its allowance; where none has
    one, the largest that fits, for its operation to say so."""
    match feature:
        case Pocket():
            fitting = [
                c
                for c in mills
                if fault_of(work, feature, c) is None and passes(feature.area, c.radius)
            ]
        case Slot():
            widest = feature.width + same_width(work, feature)
            fitting = [c for c in mills if c.diameter < widest]
        case Bore():
            # a helix has room for any allowance
            fitting = [c for c in mills if c.diameter * BORE_TO_CUTTER <= feature.diameter]

    def comes_in(cutter: Cutter) -> bool:
        return has_way_in(work, feature, cutter, top)

    def has_room(cutter: Cutter) -> bool:
        return isinstance(feature, Bore) or _leaves_room(feature, cutter)

    return (
        _first(fitting, lambda c: has_room(c) and comes_in(c))
        or _first(fitting, comes_in)
        or _first(fitting, has_room)
        or _first(fitting, _any)
    )


def _for_face(
    work: Work, face: Face, mills: list[Cutter], passes_in: Callable[[Cutter], bool]
) -> Cutter | None:
    if face.outline is not None:
        return _first(mills, lambda c: fault_of(work, face, c) is None and passes_in(c))
    facing = [c for c in work.job.workshop.cutters if c.kind in ("face mill", "fly cutter")]
    return _first(facing, _any) or _first(mills, _any)


def _for_profile(work: Work, feature: Profile, mills: list[Cutter]) -> Cutter | None:
    liked = sorted(mills, key=lambda c: abs(c.diameter - PROFILE_CUTTER))
    fitting = [c for c in liked if fault_of(work, feature, c) is None]
    return _first(fitting, lambda c: _leaves_room(feature, c)) or _first(fitting, _any)


def _leaves_room(feature: Feature, cutter: Cutter) -> bool:
    """Whether the cutter can rough everywhere and leave the allowance on both sides of it."""
    if not (feature.cutting.rough and feature.cutting.finish):
        return True
    wall = wall_allowance(feature, cutter)
    if isinstance(feature, Pocket):
        return passes(feature.area, cutter.radius + wall)
    if isinstance(feature, Slot):
        wide = 1 + NARROW if feature.cutting.way == "even load" else 1.0
        return wide * cutter.diameter + 2 * wall <= feature.width + SAME_WIDTH
    if isinstance(feature, Profile) and feature.side == "inside" and feature.outline is not None:
        return passes(feature.outline, cutter.radius + wall)
    return True


def _doubts(work: Work, feature: Feature, cutter: Cutter, top: float) -> tuple[Fault, ...]:
    """A warning where the plan's own choice only just fits."""
    if feature.cutting.cutter is not None or _leaves_room(feature, cutter):
        return ()
    called, wall = work.called(cutter), wall_allowance(feature, cutter)
    most, depth = cutter.diameter - 2 * wall, top - feature.depth.cut_to
    smaller = wanted.end_mill(work, depth, most=most)
    return (
        Fault(
            feature.place,
            f"{called} only just fits: it cuts the narrowest place to size at full width and no "
            "smaller end mill of the rack reaches the depth",
            f"{smaller}, and finish the walls",
            severity="warning",
        ),
    )


def _for_arc(work: Work, arc: Sector, mills: list[Cutter]) -> Cutter | None:
    """The largest that gets everywhere but into the corners at the ends, best with its allowance
    left on the wall; else that gets in."""
    drawn = drawn_region(work, arc)
    region = with_free(work, arc, [drawn])
    metal = to_shapely(drawn, PLAN_SAG).intersection(work.metal)
    # into what is its own, not only into what others clear beside it
    flat = to_shapely(drawn, PLAN_SAG).union(work.air)

    def enters(cutter: Cutter) -> bool:
        return bool(flat.buffer(-cutter.radius).dwithin(metal, cutter.radius - ROUND_SLACK))

    def reached(cutter: Cutter) -> float:
        return float(flat.buffer(-cutter.radius).buffer(cutter.radius).intersection(metal).area)

    # a corner at an end may be most of what there is
    fitting = [c for c in mills if fault_of(work, arc, c) is None and enters(c)]
    enough = MOST_OF_IT * reached(fitting[-1]) if fitting else 0.0
    most = [c for c in fitting if reached(c) >= enough]
    return (
        _first(most, lambda c: passes(region, c.radius + wall_allowance(arc, c)))
        or _first(most, lambda c: passes(region, c.radius))
        or _first(most, _any)
    )


def _check(work: Work, feature: Feature, cutter: Cutter) -> None:
    fault = fault_of(work, feature, cutter)
    if fault is not None:
        raise refuse(feature, fault[0], fault[1]())


def choose_all(
    work: Work, features: tuple[Feature, ...], heights: Heights
) -> tuple[dict[str, Chosen], list[PlanError]]:
    """Every feature's cutters, and every refusal."""
    chosen: dict[str, Chosen] = {}
    errors: list[PlanError] = []
    for feature in features:
        try:
            found = choose(work, feature, heights)
            found = replace(found, picks=picks(work, feature, found, heights.top_of(feature)))
            chosen[feature.name] = found
        except PlanError as error:
            errors.append(error)

    def instead(feature: Feature, mill: Cutter) -> Chosen | None:
        return _with_smaller(work, feature, mill, heights.top_of(feature))

    chosen = with_those_in_use(work, features, chosen, heights, instead)
    for feature in features:
        if (own := chosen.get(feature.name)) is not None:
            doubts = rate_doubts(work, feature, own, heights.top_of(feature))
            chosen[feature.name] = replace(own, doubts=(*own.doubts, *doubts))
    return chosen, errors


def _with_smaller(work: Work, feature: Feature, mill: Cutter, top: float) -> Chosen | None:
    """A bore or pocket cut with a smaller mill, where that has a way in and room for its
    allowance."""
    comes_in = has_way_in(work, feature, mill, top) and _leaves_room(feature, mill)
    return Chosen(finish=mill, rough=mill) if comes_in else None
