"""Profiles along an open path: roughed down along its side, finished one way."""

from __future__ import annotations

import math

import shapely

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.offset import offset_chain
from gcodekit.job.kinds.profile import Profile
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.kerf_roughing import (
    KerfRoughing,
    tab_cores,
    tab_spans,
    too_big,
    top_of_tabs,
)
from gcodekit.operations.measured_correction import correction_of, deepened
from gcodekit.operations.planned_operation import (
    Phase,
    PlanContext,
    PlannedOperation,
    finishing_step,
    refuse,
)
from gcodekit.toolpath.kerf import OpenRun, along_one_way, along_open
from gcodekit.toolpath.path import depth_steps

# A cutter this near to straight beside a path's end is abreast of it, mm.
ABREAST = 0.01


def open_drafts(
    work: PlanContext, profile: Profile, line: Chain, chosen: Chosen, top: float
) -> list[PlannedOperation]:
    """Rough beside the path, then finish along it, in the direction of the cut."""
    deeper = deepened(profile, correction_of(profile))
    rough = KerfRoughing(profile if profile.cutting.rough else deeper, chosen, top)
    cutter, wall, tab_top = rough.cutter, rough.wall, top_of_tabs(work, profile)
    chains = _beside(work, profile, line, cutter.radius + wall)
    if not chains:
        raise too_big(work, profile, cutter, "beside the path")
    drafts, _, left = rough.evenly(work, Phase.ROUGH)
    if left:
        drafts.append(_runs(work, rough, chains))
    if not rough.finishing or (wall == 0 and deeper == profile):
        return drafts
    finish = chosen.finish
    follow = work.finishing_feeds(finish, profile.cutting, wall)
    path = work.path(follow.rates, feed=follow.feeds[0])
    levels = depth_steps(top, deeper.depth.cut_to, finishing_step(finish))
    cores = tab_cores(profile, finish.diameter, rough.widest)
    for chain in _beside(work, profile, line, finish.radius):
        run = OpenRun(chain, tab_spans(work, profile, chain, cores, finish), tab_top)
        along_one_way(path, run, levels, top, rounds=1 + profile.cutting.spring_passes)
    speed = follow.rates.speed
    drafts.append(
        work.draft(profile, "finish", finish, speed, path, Phase.FINISH, following=follow)
    )
    return drafts


def _runs(work: PlanContext, rough: KerfRoughing, chains: list[Chain]) -> PlannedOperation:
    """Down along every open chain, over the tabs."""
    profile, cutter, top = rough.profile, rough.cutter, rough.top
    follow = rough.follow(work)
    rates, tab_top = follow.rates, top_of_tabs(work, profile)
    path = work.path(rates)
    levels = depth_steps(top, profile.depth.cut_to, rates.stepdown)
    cores = tab_cores(profile, cutter.diameter + rough.wall, rough.widest)
    for chain in chains:
        run = OpenRun(chain, tab_spans(work, profile, chain, cores, cutter), tab_top)
        along_open(path, run, levels, top)
        if not rough.finishing and profile.cutting.spring_passes:
            again = profile.cutting.spring_passes
            along_one_way(path, run, levels[-1:], levels[-1], rounds=again)
        path.lift()
    speed = rates.speed
    return work.draft(profile, rough.label, cutter, speed, path, Phase.ROUGH, following=follow)


def _beside(work: PlanContext, profile: Profile, line: Chain, distance: float) -> list[Chain]:
    if profile.side == "on":
        return [line]
    left = profile.side == "left"
    chains = list(offset_chain(line, distance, left=left))
    if chains:
        _check_ends(work, profile, line, (chains[0].start, chains[-1].end), distance)
    # With the metal on the right of the way the cut is climb: so it is on the left of the line.
    keeps_turn = (profile.side == "left") == (profile.cutting.direction == "climb")
    return [c if keeps_turn else c.reversed() for c in chains]


def _check_ends(
    work: PlanContext, profile: Profile, line: Chain, ends: tuple[Point, Point], distance: float
) -> None:
    """Refuse a path with an end that the cutter cannot come abreast of: it would stand across
    that end, in metal that nothing asks for."""
    side = distance if profile.side == "left" else -distance
    for s, found in zip((0.0, line.length), ends, strict=True):
        (x, y), (tx, ty) = line.point_at(s), line.tangent_at(s)
        if math.dist(found, (x - side * ty, y + side * tx)) > ABREAST:
            raise refuse(
                profile,
                "the path is too narrow for the cutter at its end "
                f"{work.say_at(shapely.Point(x, y))}: it comes no nearer than "
                f"{work.say(distance)} to the rest of the path",
                "use a smaller cutter, or draw that end longer",
                key="path",
            )
