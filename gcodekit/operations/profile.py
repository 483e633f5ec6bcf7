"""Profiles: along an outline, with tabs where asked, roughed off the wall and finished once."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.offset import grow, offset_chain
from gcodekit.job.model import Profile
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import (
    PLAN_SAG,
    Draft,
    Phase,
    Work,
    finishing_step,
    refuse,
    wall_allowance,
)
from gcodekit.operations.wide_kerf import WideKerf, beyond_kerf
from gcodekit.part.beside import beside
from gcodekit.part.tab_cores import core_of
from gcodekit.part.tabs import tab_places
from gcodekit.toolpath.kerf import Kerf, OpenRun, Span, along_one_way, along_open, spans_beside
from gcodekit.toolpath.leads import LEAD_SLACK, find_leads, start_places
from gcodekit.toolpath.path import Path, depth_steps
from gcodekit.toolpath.wall import Wall
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.following import Following

# A way round less than this long, mm, off all tabs is none.
LEAST_RUN = 0.01
# A cutter this near to straight beside a path's end is abreast of it, mm.
ABREAST = 0.01


def profile_drafts(work: Work, profile: Profile, chosen: Chosen, top: float) -> list[Draft]:
    """Rough beside the line, then finish on it."""
    if profile.path is not None:
        return _open_drafts(work, profile, work.line_in_arcs(profile, profile.path), chosen, top)
    return _closed_drafts(work, profile, chosen, top)


def _phases(profile: Profile) -> tuple[Phase, Phase]:
    frees = (profile.depth.through or profile.skin is not None) and profile.path is None
    return (Phase.FREE, Phase.FREE) if frees else (Phase.ROUGH, Phase.FINISH)


def rings_at(work: Work, profile: Profile, distance: float) -> list[Chain]:
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


def _too_big(work: Work, profile: Profile, cutter: Cutter, where: str) -> Exception:
    return refuse(
        profile,
        f"{work.called(cutter)} does not fit {where}",
        "name a smaller cutter",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Passes:
    """Cutter, allowance and heights of a profile's passes; `widest`: the largest radius of all
    cutters of the profile."""

    cutter: Cutter
    allowance: float
    levels: list[float]
    widest: float


@dataclass(frozen=True, slots=True)
class _Rough:
    """What a profile is roughed with, from where down."""

    profile: Profile
    chosen: Chosen
    top: float

    @property
    def finishing(self) -> bool:
        """Whether a pass of its own follows."""
        cutting = self.profile.cutting
        return self.profile.side != "on" and cutting.finish and cutting.rough

    @property
    def wall(self) -> float:
        """What is left on the line, mm."""
        leave = self.profile.side != "on" and self.profile.cutting.rough
        return wall_allowance(self.profile, self.chosen.rough) if leave else 0.0

    @property
    def cutter(self) -> Cutter:
        """The one that goes into whole metal."""
        rough = self.finishing or not self.profile.cutting.finish
        return self.chosen.rough if rough else self.chosen.finish

    @property
    def widest(self) -> float:
        """The largest radius: roughing and finishing must leave the same tabs."""
        return max(self.chosen.rough.radius, self.chosen.finish.radius)

    @property
    def label(self) -> str:
        """Of its operation."""
        return "rough" if self.finishing else "cut"

    def evenly(self, work: Work, phase: Phase) -> tuple[list[Draft], BaseGeometry, bool]:
        """Its kerf at an even load, where that is wanted; what is open then; and whether metal is
        left for passes along the line."""
        profile = self.profile
        if not beyond_kerf(profile, self.chosen):
            return [], shapely.Polygon(), True
        kerf = WideKerf(
            profile=profile,
            chosen=self.chosen,
            cutter=self.cutter,
            top=self.top,
            wall=self.wall,
            tab_top=_tab_top(work, profile),
            cores=lambda width: tab_cores(profile, width, self.widest),
        )
        drafts, opened, left = kerf.cut(work)
        drafts = [replace(d, label=self.label, phase=phase) for d in drafts]
        again = not self.finishing and profile.cutting.spring_passes > 0
        return drafts, opened, left or again


def _closed_drafts(work: Work, profile: Profile, chosen: Chosen, top: float) -> list[Draft]:
    rough = _Rough(profile, chosen, top)
    cutter, wall, finishing = rough.cutter, rough.wall, rough.finishing
    rough_phase, finish_phase = _phases(profile)
    rings = rings_at(work, profile, cutter.radius + wall)
    if not rings:
        raise _too_big(work, profile, cutter, "inside the outline")
    drafts, opened, left = rough.evenly(work, rough_phase)
    if left:
        drafts.append(_kerfs(work, rough, rings, rough_phase))
        opened = opened.union(_swept(rings, cutter.radius))
    if finishing and wall > 0:
        passes = _Passes(
            cutter=chosen.finish,
            allowance=wall,
            levels=depth_steps(top, profile.depth.cut_to, finishing_step(chosen.finish)),
            widest=rough.widest,
        )
        drafts.append(_finish(work, profile, passes, opened, top, finish_phase))
    return drafts


def _kerfs(work: Work, rough: _Rough, rings: list[Chain], phase: Phase) -> Draft:
    """Down along every ring, over the tabs."""
    profile, cutter = rough.profile, rough.cutter
    follow = _follow(work, profile, rough.chosen, cutter, rough.top)
    rates = follow.rates
    levels = depth_steps(rough.top, profile.depth.cut_to, rates.stepdown)
    path = work.path(rates)
    cores = tab_cores(profile, cutter.diameter + rough.wall, rough.widest)
    again = 0 if rough.finishing else profile.cutting.spring_passes
    for ring in rings:
        tabs = _tab_spans(work, profile, ring, cores, cutter)
        kerf = Kerf(ring=ring, tabs=tabs, tab_top=_tab_top(work, profile))
        kerf.rough(path, levels, rough.top, again=again)
    return work.draft(profile, rough.label, cutter, rates.speed, path, phase, following=follow)


def _follow(work: Work, profile: Profile, chosen: Chosen, cutter: Cutter, top: float) -> Following:
    """A kerf in whole metal is a slot all the way."""
    height = top - profile.depth.cut_to
    return work.following(cutter, chosen.figures(cutter, profile.cutting), height, in_slots=1.0)


def _finish(
    work: Work, profile: Profile, passes: _Passes, opened: BaseGeometry, top: float, phase: Phase
) -> Draft:
    cutter, cutting = passes.cutter, profile.cutting
    follow = work.finishing_feeds(cutter, cutting, passes.allowance)
    path = work.path(follow.rates, feed=follow.feeds[0])
    rounds = 1 + cutting.spring_passes
    climb = cutting.direction == "climb"
    cores = tab_cores(profile, cutter.diameter, passes.widest)
    standing = cores.buffer(cutter.radius)
    for ring in rings_at(work, profile, cutter.radius):
        tabs = _tab_spans(work, profile, ring, cores, cutter)
        kerf = Kerf(ring=ring, tabs=tabs, tab_top=_tab_top(work, profile))
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
    """What lies on the free side of the ring of a cutter's centre."""
    inside = shapely.Polygon(ring.flattened(PLAN_SAG))
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


def tab_cores(profile: Profile, width: float, widest: float) -> BaseGeometry:
    """The tabs in plan, across a kerf of that width beside the outline."""
    if profile.tabs is None:
        return shapely.Polygon()
    line, half = beside(profile), profile.tabs.width / 2
    kerf = line.band(0.0, width)
    places = tab_places(profile, widest)
    cores = (core_of(tab, line, kerf, half=half, radius=width / 2) for tab in places)
    return shapely.union_all(list(cores))


def _tab_spans(
    work: Work, profile: Profile, ring: Chain, cores: BaseGeometry, cutter: Cutter
) -> tuple[Span, ...]:
    """Where the cutter has to rise over tabs; refuses those that it never gets off."""
    spans = spans_beside(ring, cores, cutter.radius)
    if sum(end - start for start, end in spans) > ring.length - LEAST_RUN:
        raise refuse(
            profile,
            f"{work.called(cutter)} has no way down beside its tabs",
            "fewer or narrower tabs, or a smaller cutter",
            key="tabs",
        )
    return spans


def _tab_top(work: Work, profile: Profile) -> float:
    return work.setup.left.low[2] + profile.tabs.height if profile.tabs is not None else 0.0


def _swept(rings: list[Chain], radius: float) -> BaseGeometry:
    lines = [shapely.LineString(ring.flattened(PLAN_SAG / 4)) for ring in rings]
    return shapely.union_all([line.buffer(radius, quad_segs=64) for line in lines])


def _open_drafts(
    work: Work, profile: Profile, line: Chain, chosen: Chosen, top: float
) -> list[Draft]:
    rough = _Rough(profile, chosen, top)
    cutter, wall, tab_top = rough.cutter, rough.wall, _tab_top(work, profile)
    chains = _beside(work, profile, line, cutter.radius + wall)
    if not chains:
        raise _too_big(work, profile, cutter, "beside the path")
    drafts, _, left = rough.evenly(work, Phase.ROUGH)
    if left:
        drafts.append(_runs(work, rough, chains))
    if not rough.finishing or wall == 0:
        return drafts
    finish = chosen.finish
    follow = work.finishing_feeds(finish, profile.cutting, wall)
    path = work.path(follow.rates, feed=follow.feeds[0])
    levels = depth_steps(top, profile.depth.cut_to, finishing_step(finish))
    cores = tab_cores(profile, finish.diameter, rough.widest)
    for chain in _beside(work, profile, line, finish.radius):
        run = OpenRun(chain, _tab_spans(work, profile, chain, cores, finish), tab_top)
        along_one_way(path, run, levels, top, rounds=1 + profile.cutting.spring_passes)
    speed = follow.rates.speed
    drafts.append(
        work.draft(profile, "finish", finish, speed, path, Phase.FINISH, following=follow)
    )
    return drafts


def _runs(work: Work, rough: _Rough, chains: list[Chain]) -> Draft:
    """Down along every open chain, over the tabs."""
    profile, cutter, top = rough.profile, rough.cutter, rough.top
    follow = _follow(work, profile, rough.chosen, cutter, top)
    rates, tab_top = follow.rates, _tab_top(work, profile)
    path = work.path(rates)
    levels = depth_steps(top, profile.depth.cut_to, rates.stepdown)
    cores = tab_cores(profile, cutter.diameter + rough.wall, rough.widest)
    for chain in chains:
        run = OpenRun(chain, _tab_spans(work, profile, chain, cores, cutter), tab_top)
        along_open(path, run, levels, top)
        if not rough.finishing and profile.cutting.spring_passes:
            again = profile.cutting.spring_passes
            along_one_way(path, run, levels[-1:], levels[-1], rounds=again)
        path.lift()
    speed = rates.speed
    return work.draft(profile, rough.label, cutter, speed, path, Phase.ROUGH, following=follow)


def _beside(work: Work, profile: Profile, line: Chain, distance: float) -> list[Chain]:
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
    work: Work, profile: Profile, line: Chain, ends: tuple[Point, Point], distance: float
) -> None:
    """Refuse a path with an end that the cutter cannot come abreast of: it would stand across
    that end, in metal that nothing asks for."""
    side = distance if profile.side == "left" else -distance
    for s, found in zip((0.0, line.length), ends, strict=True):
        (x, y), (tx, ty) = line.point_at(s), line.tangent_at(s)
        if math.dist(found, (x - side * ty, y + side * tx)) > ABREAST:
            raise refuse(
                profile,
                "its path is too narrow for the cutter at the end "
                f"{work.say_at(shapely.Point(x, y))}: it comes no nearer than "
                f"{work.say(distance)} to the rest of the path",
                "name a smaller cutter, or draw that end longer",
                key="path",
            )
