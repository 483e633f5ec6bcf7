"""Which cutters a feature is cut with: those the job names, or the obvious ones of the rack."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import PlanError
from gcodekit.geometry.chain import Arc, Chain
from gcodekit.geometry.flat import to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.job.model import Bore, Face, Feature, Hole, Pocket, Profile, Slot
from gcodekit.operations.area import run_out
from gcodekit.operations.draft import PLAN_SAG, Chosen, Work, refuse
from gcodekit.planning.heights import Heights
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.reaming import reaming_allowance

# A bore under this many cutter diameters is drilled and reamed rather than milled: no room for
# the helix and the chips. Common practice, no source.
BORE_TO_CUTTER = 1.2
# Diameters nearer than this are the same size of drill or reamer.
SAME_SIZE = 0.011
# A drawn inside round may be this much smaller than the cutter and still come out true.
ROUND_SLACK = 0.002
# Biggest cutter for profiles and faces when none is named: what a small spindle drives well.
PROFILE_CUTTER = 6.0


def choose(work: Work, feature: Feature, heights: Heights) -> Chosen:
    """The feature's cutters; raises `PlanError` naming what is missing or cannot do the work."""
    top = heights.top_of(feature)
    if isinstance(feature, Hole):
        return _for_hole(work, feature, top)
    if isinstance(feature, Bore) and feature.finish_with == "reamer":
        return _for_reamed_bore(work, feature, top)
    finish = feature.cutting.cutter or _obvious(work, feature, top)
    _check(work, feature, finish)
    rough = feature.cutting.rough_with or finish
    return Chosen(finish=finish, rough=rough)


def _mills(work: Work, depth: float) -> list[Cutter]:
    """End mills of the rack whose flutes reach, largest first."""
    mills = [
        c
        for c in work.job.workshop.cutters
        if c.kind == "end mill" and c.flute_length >= depth - 1e-6
    ]
    return sorted(mills, key=lambda c: -c.diameter)


def _first(cutters: Iterable[Cutter], fits: Callable[[Cutter], bool]) -> Cutter | None:
    return next((c for c in cutters if fits(c)), None)


def _obvious(work: Work, feature: Feature, top: float) -> Cutter:
    depth = top - feature.depth.cut_to
    mills = _mills(work, depth)
    found: Cutter | None = None
    if isinstance(feature, Face):
        facing = [c for c in work.job.workshop.cutters if c.kind in ("face mill", "fly cutter")]
        area = feature.outline
        if area is None:
            found = _first(facing, lambda c: True) or _first(mills, lambda c: True)
        else:
            found = _first(
                mills,
                lambda c: (
                    _fault(feature, c) is None
                    and _reaches(run_out(area, work, c.radius), c, air=work.air)
                ),
            )
    elif isinstance(feature, Pocket):
        found = _first(mills, lambda c: _fault(feature, c) is None and _reaches(feature.area, c))
    elif isinstance(feature, Slot):
        narrower = _first(mills, lambda c: c.diameter < feature.width * 0.95)
        exact = _first(mills, lambda c: abs(c.diameter - feature.width) < 0.005)
        found = narrower or exact
    elif isinstance(feature, Bore):
        found = _first(mills, lambda c: c.diameter * BORE_TO_CUTTER <= feature.diameter)
    elif isinstance(feature, Profile):
        found = _for_profile(feature, mills)
    if found is None:
        widest = max((c.flute_length for c in work.job.workshop.cutters), default=0.0)
        raise refuse(
            feature,
            f"no end mill of the rack can cut this {feature.kind}, {depth:g} mm deep",
            f"name one with `cutter`, or add one to the workshop (longest flutes: {widest:g} mm)",
        )
    return found


def _for_profile(feature: Profile, mills: list[Cutter]) -> Cutter | None:
    liked = sorted(mills, key=lambda c: abs(c.diameter - PROFILE_CUTTER))
    return _first(liked, lambda c: _fault(feature, c) is None)


def _check(work: Work, feature: Feature, cutter: Cutter) -> None:
    fault = _fault(feature, cutter)
    if fault is not None:
        raise refuse(feature, fault[0], fault[1])


def _fault(feature: Feature, cutter: Cutter) -> tuple[str, str] | None:
    """Why a cutter cannot make the shape that is drawn, with what would do."""
    called = f"cutter {cutter.number} ({cutter.name}, {cutter.diameter:g} mm)"
    tightest = _tightest_round(feature)
    if tightest is not None and cutter.radius > tightest + ROUND_SLACK:
        return (
            f"{called} cannot reach the inside round of radius {tightest:g} mm",
            f"a cutter of {2 * tightest:g} mm or less would",
        )
    if isinstance(feature, Pocket):
        if feature.corner is not None and cutter.radius > feature.corner + ROUND_SLACK:
            return (
                f"{called} leaves corners of radius {cutter.radius:g} mm, {feature.corner:g} "
                "mm is the most allowed",
                f"a cutter of {2 * feature.corner:g} mm or less would do",
            )
        if grow(feature.area, -cutter.radius).empty:
            return f"{called} does not fit into the pocket", "name a smaller cutter"
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


def _reaches(area: Region, cutter: Cutter, *, air: BaseGeometry | None = None) -> bool:
    """Whether the cutter passes every neck: all it misses lies in the corners, or in `air`."""
    flat = to_shapely(area, PLAN_SAG)
    room = flat.buffer(-cutter.radius)
    if room.is_empty:
        return False
    reached = room.buffer(cutter.radius + PLAN_SAG)
    left: BaseGeometry = flat.difference(reached).buffer(-0.005)
    if air is not None:
        left = left.difference(air)
    if left.is_empty:
        return True
    return bool(_corners(area, cutter.radius).covers(left))


def _corners(area: Region, radius: float) -> BaseGeometry:
    """Discs round the rings' corners, as far as a cutter stays off a right-angled one."""
    points = [s.start for ring in area.rings for s in ring]
    return shapely.union_all([shapely.Point(p).buffer(1.5 * radius) for p in points])


def _for_hole(work: Work, hole: Hole, top: float) -> Chosen:
    named, cutters = hole.cutting.cutter, work.job.workshop.cutters
    spot = None
    if hole.spot or not hole.drilled:
        spot = named if not hole.drilled and named else _first(cutters, _is_spot)
        if spot is None and not hole.drilled:
            raise refuse(hole, "the rack has no spot drill", "add one", key="spot")
    if not hole.drilled:
        assert spot is not None
        return Chosen(finish=spot, rough=spot, spot=spot)
    depth = top - hole.depth.cut_to
    if hole.ream:
        reamer = named or _sized(work, hole, "reamer", hole.diameter, hole.diameter, depth)
        wanted = hole.diameter - reaming_allowance(hole.diameter)
        most = hole.diameter - 0.5 * reaming_allowance(hole.diameter)
        drill = hole.cutting.rough_with or _sized(
            work, hole, "drill", wanted - max(0.3, 0.04 * hole.diameter), most, depth
        )
        return Chosen(finish=reamer, rough=drill, spot=spot, drill=drill, reamer=reamer)
    drill = named or _sized(work, hole, "drill", hole.diameter, hole.diameter, depth)
    return Chosen(finish=drill, rough=drill, spot=spot, drill=drill)


def _is_spot(cutter: Cutter) -> bool:
    return cutter.kind == "spot drill"


def _sized(
    work: Work, feature: Hole | Bore, kind: str, least: float, most: float, depth: float
) -> Cutter:
    """The largest drill or reamer of the rack between two diameters."""
    those = [c for c in work.job.workshop.cutters if c.kind == kind]
    fitting = [
        c
        for c in those
        if least - SAME_SIZE < c.diameter < most + SAME_SIZE and c.flute_length >= depth - 1e-6
    ]
    if fitting:
        return max(fitting, key=lambda c: c.diameter)
    middle = (least + most) / 2
    near = min(those, key=lambda c: abs(c.diameter - middle), default=None)
    size = f"{most:.3g} mm" if most - least < 0.01 else f"{least:.3g} to {most:.3g} mm"
    has = f"the nearest is {near.diameter:g} mm, number {near.number}" if near else "there is none"
    other = ', or say kind = "bore" to mill it' if kind == "drill" and not _reamed(feature) else ""
    raise refuse(
        feature,
        f"the rack has no {kind} of {size} that drills {depth:.4g} mm deep; {has}"
        if kind == "drill"
        else f"the rack has no {kind} of {size} that reaches {depth:.4g} mm deep; {has}",
        f"add one to the workshop{other}",
        key="diameter",
    )


def _reamed(feature: Hole | Bore) -> bool:
    return not isinstance(feature, Hole) or feature.ream


def _for_reamed_bore(work: Work, bore: Bore, top: float) -> Chosen:
    depth = top - bore.depth.cut_to
    named = bore.cutting.cutter
    reamer = named if named and named.kind == "reamer" else None
    if reamer is None:
        reamer = _sized(work, bore, "reamer", bore.diameter, bore.diameter, depth)
    mill = bore.cutting.rough_with or _first(
        _mills(work, depth), lambda c: c.diameter * BORE_TO_CUTTER <= bore.diameter
    )
    if mill is None:
        raise refuse(bore, "no end mill of the rack is small enough to open the bore", "add one")
    return Chosen(finish=mill, rough=mill, reamer=reamer)


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
