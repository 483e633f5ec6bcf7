"""Cutting back to a wall from the raw edge inward, then finishing along it: the heart of edges,
bosses and arcs."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.boolean import union
from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Feature
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.engagement_clearing import (
    ENGAGEMENT_SAG,
    ENGAGEMENT_SPARE,
    engagement_rates,
    evenly,
    left_over,
)
from gcodekit.operations.measured_correction import correction_of, deepened
from gcodekit.operations.outline_clearing import Area, too_big
from gcodekit.operations.planned_operation import (
    PLAN_SAG,
    Phase,
    PlanContext,
    PlannedOperation,
    finishing_step,
    floor_left,
    refuse,
    wall_allowance,
)
from gcodekit.operations.side_milling import Roughing, roughing_from_side
from gcodekit.operations.wall_regions import outline_at
from gcodekit.part.plane_regions import RUN_OFF
from gcodekit.toolpath.engagement_passes.remaining_stock import FINE_CHORDS
from gcodekit.toolpath.level_clearing import LOWERED_BESIDE
from gcodekit.toolpath.path import Path, depth_steps
from gcodekit.toolpath.wall import Wall
from gcodekit.toolpath.wall_passes import Passes, PassRoom, inward_passes, wall_passes
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.rates import Rates
from gcodekit.trade.slotting_rates import SlottingRates

BESIDE_OTHERS = "no constant engagement beside stock that another feature clears"
# The widest pass, as a share of the cutter's diameter.
WIDEST_PASS = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class WallClearing:
    """The stock cut back to a wall: `region` is where the cutter's body may be, air included;
    `drawn` what has to go. `rooms` keeps offsets of the region once they are worked out."""

    feature: Feature
    region: Region
    drawn: Region
    chosen: Chosen
    top: float
    rooms: dict[float, Region] = field(default_factory=dict)


def walled_drafts(work: PlanContext, back: WallClearing) -> list[PlannedOperation]:
    """Rough from outside inward, then finish along the wall (and the floor, if some was left)."""
    cutting, chosen = back.feature.cutting, back.chosen
    if _to_cut(work, back).buffer(-PLAN_SAG).is_empty:
        raise refuse(
            back.feature,
            "cuts nothing: there is no stock above its floor",
            "check its place and depth",
            key="kind",
        )
    if _kept(work, back).area == 0.0:
        raise refuse(
            back.feature,
            "cuts nothing: the other features clear all the stock above its floor",
            "check their places",
            key="kind",
        )
    if not cutting.rough:
        only = replace(_corrected(back), chosen=replace(chosen, rough=chosen.finish))
        passes, drafts = _rough(work, only, 0.0, 0.0)
        return _some(work, back, drafts)
    wall = _fitting_allowance(work, back, wall_allowance(back.feature, chosen.rough))
    floor = floor_left(back.feature, chosen.rough, chosen.finish, back.top)
    passes, drafts = _rough(work, back, wall, floor)
    if not cutting.finish:
        return _some(work, back, drafts)
    rest, cleared = _rest(work, back, passes, wall)
    by = correction_of(back.feature)
    last = _finish(work, _corrected(back), cleared, wall + by.wall, floor + by.floor)
    return _some(work, back, drafts + rest + last)


def _corrected(back: WallClearing) -> WallClearing:
    """The same as the finishing pass cuts it."""
    by = correction_of(back.feature)
    deeper = replace(back, feature=deepened(back.feature, by))
    if not by.wall:
        return deeper
    drawn = grow(back.drawn, by.wall)
    return replace(deeper, region=union([back.region, drawn]), drawn=drawn, rooms={})


def _fitting_allowance(work: PlanContext, back: WallClearing, wall: float) -> float:
    """The allowance, or none where the cutter with it would not get everywhere it fits."""
    walled = _walled(work, back, back.chosen.rough, _to_cut(work, back))
    parts = len(walled.room(walled.radius).parts)
    return wall if len(walled.room(walled.radius + wall).parts) == parts else 0.0


def _some(
    work: PlanContext, back: WallClearing, drafts: list[PlannedOperation]
) -> list[PlannedOperation]:
    if not drafts:
        raise too_big(work, back.feature, back.chosen.rough)
    return drafts


def _walled(
    work: PlanContext, back: WallClearing, cutter: Cutter, to_cut: BaseGeometry
) -> PassRoom:
    return PassRoom(
        region=back.region,
        to_cut=to_cut,
        kept=_kept(work, back),
        clear=_clear(work, back),
        radius=cutter.radius,
        climb=back.feature.cutting.direction == "climb",
        run_off=RUN_OFF,
        rooms=back.rooms,
    )


def _metal(work: PlanContext, back: WallClearing) -> BaseGeometry:
    return to_shapely(outline_at(work, back.feature.depth.cut_to), PLAN_SAG)


def _kept(work: PlanContext, back: WallClearing) -> BaseGeometry:
    return _metal(work, back).difference(to_shapely(back.region, PLAN_SAG))


def _to_cut(work: PlanContext, back: WallClearing) -> BaseGeometry:
    return to_shapely(back.drawn, PLAN_SAG).intersection(_metal(work, back))


def _clear(work: PlanContext, back: WallClearing) -> BaseGeometry:
    """The area where nothing stands as high as the floor."""
    return work.air.union(work.metal.difference(_metal(work, back)))


def _step(rates: Rates, cutter: Cutter) -> float:
    return min(rates.stepover, WIDEST_PASS * cutter.diameter)


def _follow(work: PlanContext, back: WallClearing, cutter: Cutter, floor: float) -> SlottingRates:
    figures = back.chosen.figures(cutter, back.feature.cutting)
    return work.following(cutter, figures, back.top - back.feature.depth.cut_to - floor)


def _rough(
    work: PlanContext, back: WallClearing, wall: float, floor: float
) -> tuple[Passes, list[PlannedOperation]]:
    cutter, cutting, depth = back.chosen.rough, back.feature.cutting, back.feature.depth
    if cutting.way == "constant engagement" and not _beside_others(work, back):
        return _rough_evenly(work, back, wall, floor)
    follow = _follow(work, back, cutter, floor)
    rates = follow.rates
    walled = _walled(work, back, cutter, _to_cut(work, back))
    walled = replace(walled, both_ways=cutting.way == "zigzag")
    passes = inward_passes(walled, allowance=wall, stepover=_step(rates, cutter))
    height = back.top - depth.cut_to - floor
    cut = Roughing(passes, rates, follow.feed(rates.stepover))
    if all(f is None for f in (cutting.stepdown, cutting.stepover, cutting.feed, cutting.speed)):
        cut = roughing_from_side(work, walled, cutter, cut, allowance=wall, height=height)
    path = work.path(cut.rates)
    levels = depth_steps(back.top, depth.cut_to + floor, cut.rates.stepdown)
    cut.passes.cut(path, levels, back.top)
    label = "rough" if cutting.rough and cutting.finish else "clear"
    if cut.how:
        follow = work.evenly(cutter, back.chosen.figures(cutter, cutting), cut.rates)
    drafts = _drafts(work, back, label, cutter, path, Phase.ROUGH, follow)
    asked = cutting.way == "constant engagement"
    how = f"contour parallel: {BESIDE_OTHERS}" if asked else cut.how
    return cut.passes, [replace(d, how=how) for d in drafts]


def _beside_others(work: PlanContext, back: WallClearing) -> bool:
    """Tell whether metal stands where the cutter may go and nothing of this feature has to: what
    another one clears, or what an open end runs on into. How much of it there is a pass would not
    know."""
    mine = _to_cut(work, back).union(_kept(work, back))
    return not _metal(work, back).difference(mine).buffer(-PLAN_SAG).is_empty


def _rough_evenly(
    work: PlanContext, back: WallClearing, wall: float, floor: float
) -> tuple[Passes, list[PlannedOperation]]:
    """Rough from outside inward at constant engagement; what is left in narrow places by passes."""
    cutter, to_cut = back.chosen.rough, _to_cut(work, back)
    walled = _walled(work, back, cutter, to_cut)
    # no farther out than the cutter needs to come down: something may hold the work there
    near = to_cut.buffer(cutter.radius + LOWERED_BESIDE + RUN_OFF, quad_segs=16)
    room = to_shapely(walled.room(cutter.radius + wall + ENGAGEMENT_SPARE), ENGAGEMENT_SAG)
    area = Area(feature=back.feature, region=back.region, top=back.top, chosen=back.chosen)
    drafts, opened = evenly(
        work,
        area,
        cutter,
        engagement_rates(work, area, cutter, floor),
        floor,
        room=room.intersection(near),
        clear=shapely.box(*near.buffer(cutter.diameter).bounds).difference(to_cut),
        lowered=walled.clear,
        wall=wall,
    )
    rest, narrow = _narrow(work, back, walled, opened, (wall, floor))
    swept = shapely.union_all([opened, rest.swept])
    return Passes((), swept, to_cut.difference(swept)), drafts + narrow


def _narrow(
    work: PlanContext,
    back: WallClearing,
    walled: PassRoom,
    opened: BaseGeometry,
    left: tuple[float, float],
) -> tuple[Passes, list[PlannedOperation]]:
    """Clear by passes what is too narrow for constant engagement; `left` on wall and floor, mm."""
    cutter, (wall, floor) = back.chosen.rough, left
    widest = to_shapely(walled.room(cutter.radius + wall), ENGAGEMENT_SAG)
    reach = widest.buffer(cutter.radius, quad_segs=FINE_CHORDS)
    area = Area(feature=back.feature, region=back.region, top=back.top, chosen=back.chosen)
    uncut = walled.to_cut.intersection(reach).difference(opened)
    stands = left_over(work, area, uncut, wall)
    rest = inward_passes(
        replace(walled, to_cut=stands, clear=walled.clear.union(opened)),
        allowance=wall,
        stepover=cutter.radius,
    )
    if not rest.passes:
        return rest, []
    follow = _follow(work, back, cutter, floor)
    path = work.path(follow.rates)
    levels = depth_steps(back.top, back.feature.depth.cut_to + floor, follow.rates.stepdown)
    rest.cut(path, levels, back.top)
    return rest, _drafts(work, back, "narrow rough", cutter, path, Phase.ROUGH, follow)


def _rest(
    work: PlanContext, back: WallClearing, passes: Passes, wall: float
) -> tuple[list[PlannedOperation], BaseGeometry]:
    """Clear what the roughing cutter could not reach and is more than the finishing pass takes;
    returns all that is cleared then as well."""
    cutter = back.chosen.finish
    if cutter.radius >= back.chosen.rough.radius:
        return [], passes.swept
    follow = _follow(work, back, cutter, 0.0)
    rates = follow.rates
    walled = _walled(work, back, cutter, passes.left)
    rest = inward_passes(walled, allowance=wall, stepover=_step(rates, cutter))
    path = work.path(rates)
    rest.cut(path, depth_steps(back.top, back.feature.depth.cut_to, rates.stepdown), back.top)
    drafts = _drafts(work, back, "rest rough", cutter, path, Phase.ROUGH, follow)
    return drafts, shapely.union_all([passes.swept, rest.swept])


def _finish(
    work: PlanContext, back: WallClearing, cleared: BaseGeometry, wall: float, floor: float
) -> list[PlannedOperation]:
    cutter, cutting, depth = back.chosen.finish, back.feature.cutting, back.feature.depth
    follow = work.finishing_feeds(cutter, cutting, wall, skim=floor)
    rates = follow.rates
    path = work.path(rates, feed=follow.feeds[0])
    walled = _walled(work, back, cutter, _to_cut(work, back))
    if floor > 0:
        passes = inward_passes(walled, allowance=wall, stepover=_step(rates, cutter))
        # from the top: where it runs on into what another feature clears, metal may yet stand
        passes.cut(path, [depth.cut_to], back.top)
    if wall > 0 or cutting.spring_passes:
        levels = depth_steps(back.top, depth.cut_to, finishing_step(cutter))
        _along_wall(path, replace(walled, clear=walled.clear.union(cleared)), wall, levels, back)
    return _drafts(work, back, "finish", cutter, path, Phase.FINISH, follow)


def _along_wall(
    path: Path, walled: PassRoom, wall: float, levels: list[float], back: WallClearing
) -> None:
    """Open stretches from air to air; closed rings on and off along the tangent."""
    rounds = 1 + back.feature.cutting.spring_passes
    passes = wall_passes(walled)
    stretches = tuple(p for p in passes.passes if not p.chain.closed)
    Passes(stretches, passes.swept, passes.left).cut(path, levels, back.top, rounds=rounds)
    free = to_shapely(walled.room(walled.radius), PLAN_SAG)
    for ring in (p.chain for p in passes.passes if p.chain.closed):
        Wall(
            ring=ring,
            radius=walled.radius,
            climb=walled.climb,
            free=free,
            opened=walled.clear,
            allowance=wall,
        ).cut(path, levels, back.top, rounds=rounds)


def _drafts(
    work: PlanContext,
    back: WallClearing,
    label: str,
    cutter: Cutter,
    path: Path,
    phase: Phase,
    follow: SlottingRates,
) -> list[PlannedOperation]:
    """One draft, or none where there was nothing to cut."""
    if not path.moves:
        return []
    speed = follow.rates.speed
    return [work.draft(back.feature, label, cutter, speed, path, phase, following=follow)]
