"""Closed profiles: along an outline, with tabs where asked, roughed off the wall and finished
once."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.flattening import sound
from gcodekit.geometry.offset import grow
from gcodekit.job.kinds.profile import Profile
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.kerf_roughing import (
    KerfRoughing,
    tab_cores,
    tab_spans,
    too_big,
    top_of_tabs,
)
from gcodekit.operations.measured_correction import NO_CORRECTION, correction_of, deepened
from gcodekit.operations.planned_operation import (
    PLAN_SAG,
    Phase,
    PlanContext,
    PlannedOperation,
    finishing_step,
)
from gcodekit.toolpath.kerf import Kerf
from gcodekit.toolpath.leads import LEAD_SLACK, find_leads, start_places
from gcodekit.toolpath.path import Path, depth_steps
from gcodekit.toolpath.wall import Wall
from gcodekit.trade.cutter import Cutter


def _phases(profile: Profile) -> tuple[Phase, Phase]:
    frees = (profile.depth.through or profile.skin is not None) and profile.path is None
    return (Phase.FREE, Phase.FREE) if frees else (Phase.ROUGH, Phase.FINISH)


def rings_at(work: PlanContext, profile: Profile, distance: float) -> list[Chain]:
    """The outline's rings at a distance on the cutter's side, turned the way they are cut."""
    outline = profile.outline
    if outline is None:
        return []
    if profile.side == "on":
        rings = tuple(work.line_in_arcs(profile, ring) for ring in outline.rings)
    else:
        outline = work.in_arcs(profile, outline, inward=profile.side == "inside")
        rings = grow(outline, distance if profile.side == "outside" else -distance).rings
    # A region's rings go counter-clockwise round metal that is inside: climb when the cutter
    # stands inside, conventional when it stands outside.
    keeps_turn = (profile.cutting.direction == "climb") == (profile.side != "outside")
    return [ring if keeps_turn else ring.reversed() for ring in rings]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Passes:
    """Cutter, allowance and heights of a profile's passes; `beyond`: how far they go past the drawn
    wall, mm; `widest`: the largest radius of all cutters of the profile."""

    cutter: Cutter
    allowance: float
    beyond: float
    levels: list[float]
    widest: float


def closed_drafts(
    work: PlanContext, profile: Profile, chosen: Chosen, top: float
) -> list[PlannedOperation]:
    """Along every ring: roughed, then finished where that leaves an allowance."""
    rough, by = KerfRoughing(profile, chosen, top), correction_of(profile)
    cutter, wall, finishing = rough.cutter, rough.wall, rough.finishing
    rough_phase, finish_phase = _phases(profile)
    if not finishing:
        # its only pass finishes it
        rough, wall = KerfRoughing(deepened(profile, by), chosen, top), wall - by.wall
    rings = rings_at(work, profile, cutter.radius + wall)
    if not rings:
        raise too_big(work, profile, cutter, "inside the outline")
    drafts, opened, left = rough.evenly(work, rough_phase)
    if left:
        drafts.append(_kerfs(work, rough, rings, rough_phase))
        opened = opened.union(_swept(rings, cutter.radius))
    if finishing and (wall > 0 or by != NO_CORRECTION):
        floor = profile.depth.cut_to - by.floor
        passes = _Passes(
            cutter=chosen.finish,
            allowance=wall + by.wall,
            beyond=by.wall,
            levels=depth_steps(top, floor, finishing_step(chosen.finish)),
            widest=rough.widest,
        )
        drafts.append(_finish(work, profile, passes, opened, top, finish_phase))
    return drafts


def _kerfs(
    work: PlanContext, rough: KerfRoughing, rings: list[Chain], phase: Phase
) -> PlannedOperation:
    """Down along every ring, over the tabs."""
    profile, cutter = rough.profile, rough.cutter
    follow = rough.follow(work)
    rates = follow.rates
    levels = depth_steps(rough.top, profile.depth.cut_to, rates.stepdown)
    path = work.path(rates)
    cores = tab_cores(profile, cutter.diameter + rough.wall, rough.widest)
    again = 0 if rough.finishing else profile.cutting.spring_passes
    for ring in rings:
        tabs = tab_spans(work, profile, ring, cores, cutter)
        kerf = Kerf(ring=ring, tabs=tabs, tab_top=top_of_tabs(work, profile))
        kerf.rough(path, levels, rough.top, again=again)
    return work.draft(profile, rough.label, cutter, rates.speed, path, phase, following=follow)


def _finish(
    work: PlanContext,
    profile: Profile,
    passes: _Passes,
    opened: BaseGeometry,
    top: float,
    phase: Phase,
) -> PlannedOperation:
    cutter, cutting = passes.cutter, profile.cutting
    follow = work.finishing_feeds(cutter, cutting, passes.allowance)
    path = work.path(follow.rates, feed=follow.feeds[0])
    rounds = 1 + cutting.spring_passes
    climb = cutting.direction == "climb"
    cores = tab_cores(profile, cutter.diameter, passes.widest)
    standing = cores.buffer(cutter.radius)
    for ring in rings_at(work, profile, cutter.radius - passes.beyond):
        tabs = tab_spans(work, profile, ring, cores, cutter)
        kerf = Kerf(ring=ring, tabs=tabs, tab_top=top_of_tabs(work, profile))
        wall = Wall(
            ring=ring,
            radius=cutter.radius,
            climb=climb,
            free=opened.buffer(-cutter.radius + passes.allowance + LEAD_SLACK),
            opened=opened,
            allowance=passes.allowance,
            room=_room(ring, cutter, climb=climb),
        )
        if not kerf.tabs:
            wall.cut(path, passes.levels, top, rounds=rounds)
            continue
        _finish_over_tabs(path, kerf, wall, standing, passes, top, rounds)
    speed = follow.rates.speed
    return work.draft(profile, "finish", cutter, speed, path, phase, following=follow)


def _room(ring: Chain, cutter: Cutter, *, climb: bool) -> BaseGeometry:
    """The area on the free side of the ring of a cutter's centre."""
    inside = sound(shapely.Polygon(ring.flattened(PLAN_SAG)))
    if (ring.area > 0) == climb:
        return inside
    return inside.envelope.buffer(2 * cutter.diameter).difference(inside)


def _finish_over_tabs(
    path: Path,
    kerf: Kerf,
    wall: Wall,
    standing: BaseGeometry,
    passes: _Passes,
    top: float,
    rounds: int,
) -> None:
    shape = (wall.radius, math.acos(1 - passes.allowance / wall.radius))
    margin = 2 * wall.radius * math.sin(shape[1]) + 1.0
    starts = kerf.free_starts(start_places(kerf.ring), margin)
    starts += kerf.free_starts([i * kerf.ring.length / 64 for i in range(64)], margin)
    if wall.opened is None:
        return
    down = wall.opened.buffer(-wall.radius + LEAD_SLACK).difference(standing)
    leads = find_leads(
        kerf.ring, left=wall.climb, shapes=[shape], free=wall.free, down=down, starts=starts
    )
    if leads is None:
        kerf.rough(path, passes.levels, top, again=rounds - 1)
        return
    for z in passes.levels:
        kerf.finish(path, leads, top, z, rounds=rounds if z == passes.levels[-1] else 1)


def _swept(rings: list[Chain], radius: float) -> BaseGeometry:
    lines = [shapely.LineString(ring.flattened(PLAN_SAG / 4)) for ring in rings]
    return shapely.union_all([line.buffer(radius, quad_segs=64) for line in lines])
