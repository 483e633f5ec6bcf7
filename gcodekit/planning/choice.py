"""Which cutters a feature is cut with: those the job names, or the obvious ones of the rack."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.chain import Arc, Chain
from gcodekit.geometry.flat import to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.job.model import (
    Bore,
    Boss,
    Edge,
    Face,
    Feature,
    Hole,
    Pocket,
    Profile,
    Sector,
    Slot,
)
from gcodekit.operations.area import run_out
from gcodekit.operations.draft import PLAN_SAG, Chosen, Work, refuse, wall_allowance
from gcodekit.operations.passing import passes, widest_passing
from gcodekit.operations.wall_regions import drawn_region, with_free
from gcodekit.part.tabs import tab_places
from gcodekit.planning.choose_holes import for_hole, for_sized_bore
from gcodekit.planning.choose_mouths import BORE_TO_CUTTER
from gcodekit.planning.heights import Heights
from gcodekit.planning.rougher import rougher
from gcodekit.trade.cutter import Cutter

# A drawn inside round may be this much smaller than the cutter and still come out true.
ROUND_SLACK = 0.002
# A cutter this little wider than a slot still is the slot's own.
SAME_WIDTH = 0.005
# Biggest cutter for profiles and faces when none is named: what a small spindle drives well.
PROFILE_CUTTER = 6.0


def choose(work: Work, feature: Feature, heights: Heights) -> Chosen:
    """The feature's cutters; raises `PlanError` naming what is missing or cannot do the work."""
    top = heights.top_of(feature)
    if isinstance(feature, Hole):
        return for_hole(work, feature, top, mills=_mills(work, 0.0))
    if isinstance(feature, Bore) and feature.finish_with != "end mill":
        return for_sized_bore(work, feature, top, mills=_mills(work, 0.0))
    finish = feature.cutting.cutter or _obvious(work, feature, top)
    _check(work, feature, finish)
    rough = feature.cutting.rough_with or _rougher(work, feature, finish, top)
    if isinstance(feature, Profile):
        # refuses tabs without room
        tab_places(feature, max(finish.radius, rough.radius), units=work.job.units)
    return Chosen(finish=finish, rough=rough, doubts=_doubts(work, feature, finish))


def _rougher(work: Work, feature: Feature, finish: Cutter, top: float) -> Cutter:
    """The roughing cutter of the plan's own choice: one given cutter is meant for all."""
    cutting = feature.cutting
    if not isinstance(feature, Pocket) or cutting.cutter or not (cutting.rough and cutting.finish):
        return finish
    return rougher(work, feature, finish, _mills(work, top - feature.depth.cut_to))


def _mills(work: Work, depth: float) -> list[Cutter]:
    """End mills of the rack whose flutes reach, largest first."""
    mills = [
        c
        for c in work.job.workshop.cutters
        if c.kind == "end mill" and c.flute_length >= depth - 1e-6
    ]
    return sorted(mills, key=lambda c: -c.diameter)


def _any(_: Cutter) -> bool:
    return True


def _first(cutters: Iterable[Cutter], fits: Callable[[Cutter], bool]) -> Cutter | None:
    return next((c for c in cutters if fits(c)), None)


def _obvious(work: Work, feature: Feature, top: float) -> Cutter:
    depth = top - feature.depth.cut_to
    mills = _mills(work, depth)
    found: Cutter | None = None
    if isinstance(feature, Face):
        facing = [c for c in work.job.workshop.cutters if c.kind in ("face mill", "fly cutter")]
        part = feature.outline
        if part is None:
            found = _first(facing, _any) or _first(mills, _any)
        else:
            fitting = [
                c
                for c in mills
                if _fault(work, feature, c) is None
                and passes(run_out(part, work, c.radius), c.radius)
            ]
            found = _first(fitting, _any)
    elif isinstance(feature, Pocket):
        fitting = [
            c for c in mills if _fault(work, feature, c) is None and passes(feature.area, c.radius)
        ]
        found = _first(fitting, lambda c: _leaves_room(feature, c)) or _first(fitting, _any)
    elif isinstance(feature, Slot):
        fitting = [c for c in mills if c.diameter < feature.width + SAME_WIDTH]
        found = _first(fitting, lambda c: _leaves_room(feature, c)) or _first(fitting, _any)
    elif isinstance(feature, Bore):
        found = _first(mills, lambda c: c.diameter * BORE_TO_CUTTER <= feature.diameter)
    elif isinstance(feature, Profile):
        found = _for_profile(work, feature, mills)
    elif isinstance(feature, Edge):
        found = _first(mills, _any)
    elif isinstance(feature, Sector):
        found = _for_arc(work, feature, mills)
    elif isinstance(feature, Boss):
        area = drawn_region(work, feature)
        found = _first(mills, lambda c: _fault(work, feature, c) is None and passes(area, c.radius))
    if found is None and mills and isinstance(feature, Pocket):
        raise _too_narrow(work, feature, mills[-1])
    if found is None:
        raise _lacking(work, feature, depth)
    return found


def _lacking(work: Work, feature: Feature, depth: float) -> PlanError:
    """The error that the rack has no end mill, with what it would have to measure."""
    most, limit = _widest_of(feature), ""
    if most is not None:
        limit = f": it may be {work.say(most)} wide at most"
        limit += " to go round on a helix" if isinstance(feature, Bore) else ""
    narrow = [c for c in _mills(work, 0.0) if most is None or c.diameter < most + SAME_WIDTH]
    longest = max((c.flute_length for c in narrow), default=0.0)
    has = f"longest flutes: {work.say(longest)}" if narrow else "none is that narrow"
    other = ', or drill and ream it: kind = "hole"' if isinstance(feature, Bore) else ""
    return refuse(
        feature,
        f"no end mill of the rack can cut this {feature.kind}, {work.say(depth)} deep{limit}",
        f"name one with `cutter`, or add one to the workshop ({has}){other}",
    )


def _widest_of(feature: Feature) -> float | None:
    """The widest end mill that goes into a slot or bore."""
    if isinstance(feature, Slot):
        return feature.width
    return feature.diameter / BORE_TO_CUTTER if isinstance(feature, Bore) else None


def _too_narrow(work: Work, pocket: Pocket, smallest: Cutter) -> PlanError:
    """The error that the smallest mill that reaches the depth still is too big."""
    fault = _fault(work, pocket, smallest)
    narrowest = 2 * widest_passing(pocket.area, smallest.radius)
    return refuse(
        pocket,
        f"the smallest end mill of the rack that reaches its depth, {work.say(smallest.diameter)}, "
        + (
            f"does not do: {fault[0]}"
            if fault
            else f"does not pass everywhere: {work.say_about(narrowest)} is the most that does"
        ),
        "name one with `cutter` to leave what it does not reach, or add a smaller one",
    )


def _for_profile(work: Work, feature: Profile, mills: list[Cutter]) -> Cutter | None:
    liked = sorted(mills, key=lambda c: abs(c.diameter - PROFILE_CUTTER))
    fitting = [c for c in liked if _fault(work, feature, c) is None]
    return _first(fitting, lambda c: _leaves_room(feature, c)) or _first(fitting, _any)


def _leaves_room(feature: Feature, cutter: Cutter) -> bool:
    """Whether the cutter can rough everywhere and leave the allowance on both sides of it."""
    if not (feature.cutting.rough and feature.cutting.finish):
        return True
    wall = wall_allowance(feature, cutter)
    if isinstance(feature, Pocket):
        return passes(feature.area, cutter.radius + wall)
    if isinstance(feature, Slot):
        return cutter.diameter + 2 * wall <= feature.width + SAME_WIDTH
    if isinstance(feature, Profile) and feature.side == "inside" and feature.outline is not None:
        return passes(feature.outline, cutter.radius + wall)
    return True


def _doubts(work: Work, feature: Feature, cutter: Cutter) -> tuple[Fault, ...]:
    """A warning where the plan's own choice only just fits."""
    if feature.cutting.cutter is not None or _leaves_room(feature, cutter):
        return ()
    called = work.called(cutter)
    return (
        Fault(
            feature.place,
            f"{called} only just fits: it cuts the narrowest place to size at full width and no "
            "smaller end mill of the rack reaches the depth",
            "add a smaller one, so that the walls can be finished",
            severity="warning",
        ),
    )


def _for_arc(work: Work, arc: Sector, mills: list[Cutter]) -> Cutter | None:
    """The largest that gets everywhere but into the corners at the ends, best with its allowance
    left on the wall; else that gets in."""
    drawn = drawn_region(work, arc)
    region = with_free(work, arc, [drawn])
    metal = to_shapely(drawn, PLAN_SAG).intersection(work.metal)
    flat = to_shapely(region, PLAN_SAG)

    def enters(cutter: Cutter) -> bool:
        return bool(flat.buffer(-cutter.radius).dwithin(metal, cutter.radius - ROUND_SLACK))

    fitting = [c for c in mills if _fault(work, arc, c) is None and enters(c)]
    return (
        _first(fitting, lambda c: passes(region, c.radius + wall_allowance(arc, c)))
        or _first(fitting, lambda c: passes(region, c.radius))
        or _first(fitting, _any)
    )


def _check(work: Work, feature: Feature, cutter: Cutter) -> None:
    fault = _fault(work, feature, cutter)
    if fault is not None:
        raise refuse(feature, fault[0], fault[1])


def _fault(work: Work, feature: Feature, cutter: Cutter) -> tuple[str, str] | None:
    """Why a cutter cannot make the shape that is drawn, with what would do."""
    called = work.called(cutter)
    tightest = _tightest_round(feature)
    if tightest is not None and cutter.radius > tightest + ROUND_SLACK:
        return (
            f"{called} cannot reach the inside round of radius {work.say(tightest)}",
            f"a cutter of {work.say(2 * tightest)} or less would",
        )
    if isinstance(feature, Pocket):
        if feature.corner is not None and cutter.radius > feature.corner + ROUND_SLACK:
            return (
                f"{called} leaves corners of radius {work.say(cutter.radius)}, "
                f"{work.say(feature.corner)} is the most allowed",
                f"a cutter of {work.say(2 * feature.corner)} or less would do",
            )
        if grow(feature.area, -cutter.radius).empty:
            return f"{called} does not fit into the pocket", "name a smaller cutter"
    if isinstance(feature, Sector) and feature.from_radius is not None:
        width = abs(feature.radius - feature.from_radius)
        if cutter.diameter > width - ROUND_SLACK:
            return (
                f"{called} is not narrower than the {work.say(width)} between the radii",
                "name a smaller cutter, or leave from_radius out where there is only air",
            )
    if isinstance(feature, Profile) and feature.outline is not None and feature.side == "inside":
        inside = grow(feature.outline, -cutter.radius)
        if len(inside.parts) != len(feature.outline.parts):
            return f"{called} does not pass everywhere inside the outline", "name a smaller cutter"
    return None


def _tightest_round(feature: Feature) -> float | None:
    """Radius of the smallest drawn round that the cutter must roll into."""
    rings: list[tuple[Chain, bool]] = []
    if isinstance(feature, Pocket):
        rings = [(ring, True) for ring in feature.area.rings]
    elif isinstance(feature, Boss):
        rings = [(ring, False) for ring in feature.kept.rings]
        rings += [(ring, True) for ring in (feature.within.rings if feature.within else ())]
    elif isinstance(feature, Sector):
        return feature.radius if feature.side == "inside" else None
    elif isinstance(feature, Face):
        rings = [(ring, True) for ring in feature.outline.rings] if feature.outline else []
    elif isinstance(feature, Profile) and feature.outline is not None:
        if feature.side == "on":
            return None
        rings = [(ring, feature.side == "inside") for ring in feature.outline.rings]
    elif isinstance(feature, Profile) and feature.path is not None and feature.side != "on":
        rings = [(feature.path, feature.side == "left")]
    radii = [s.radius for ring, left in rings for s in ring if isinstance(s, Arc) and s.ccw == left]
    return min(radii, default=None)


def choose_all(
    work: Work, features: tuple[Feature, ...], heights: Heights
) -> tuple[dict[str, Chosen], list[PlanError]]:
    """Every feature's cutters, and every refusal."""
    chosen: dict[str, Chosen] = {}
    errors: list[PlanError] = []
    for feature in features:
        try:
            chosen[feature.name] = choose(work, feature, heights)
        except PlanError as error:
            errors.append(error)
    return chosen, errors
