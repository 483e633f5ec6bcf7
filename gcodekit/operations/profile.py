"""Profiles: along an outline, with tabs where asked, roughed off the wall and finished once."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import PlanError
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.flat import sound
from gcodekit.geometry.offset import grow
from gcodekit.geometry.overlay import less
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.stock.raw_metal import stock_levels
from gcodekit.operations.choosing.wanted import narrower
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import (
    PLAN_SAG,
    Draft,
    Phase,
    Work,
    finishing_step,
    refuse,
)
from gcodekit.operations.kerf_reach import check_reach, widest_kerf
from gcodekit.operations.kerf_roughing import (
    KerfRoughing,
    tab_cores,
    tab_spans,
    too_big,
    top_of_tabs,
)
from gcodekit.operations.kind_cutting import KindCutting, Unfit
from gcodekit.operations.milled import Milled, first
from gcodekit.operations.open_profile import open_drafts
from gcodekit.operations.passing import passes
from gcodekit.part.asked import Around, Asked, FinishingCut
from gcodekit.part.asked_profile import ask_profile
from gcodekit.part.beside import beside
from gcodekit.part.metal import plan
from gcodekit.part.plane import area_of, grown, line_of
from gcodekit.part.tab_places import tab_places
from gcodekit.toolpath.kerf import Kerf
from gcodekit.toolpath.leads import LEAD_SLACK, find_leads, start_places
from gcodekit.toolpath.path import Path, depth_steps
from gcodekit.toolpath.wall import Wall
from gcodekit.trade.cutter import Cutter

# The cutter taken when none is named, mm: what a small spindle drives well.
LIKED = 6.0
# What lies so near its line may be touched by it, mm.
NEAR_LINE = 6.0
# Less metal than this in plan, mm^2, is none: what grazing along an edge takes.
GRAZED_AREA = 1e-3


def profile_drafts(work: Work, profile: Profile, chosen: Chosen, top: float) -> list[Draft]:
    """Rough beside the line, then finish on it."""
    if profile.path is not None:
        return open_drafts(work, profile, work.line_in_arcs(profile, profile.path), chosen, top)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Passes:
    """Cutter, allowance and heights of a profile's passes; `widest`: the largest radius of all
    cutters of the profile."""

    cutter: Cutter
    allowance: float
    levels: list[float]
    widest: float


def _closed_drafts(work: Work, profile: Profile, chosen: Chosen, top: float) -> list[Draft]:
    rough = KerfRoughing(profile, chosen, top)
    cutter, wall, finishing = rough.cutter, rough.wall, rough.finishing
    rough_phase, finish_phase = _phases(profile)
    rings = rings_at(work, profile, cutter.radius + wall)
    if not rings:
        raise too_big(work, profile, cutter, "inside the outline")
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


def _kerfs(work: Work, rough: KerfRoughing, rings: list[Chain], phase: Phase) -> Draft:
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
    """What lies on the free side of the ring of a cutter's centre."""
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


class ProfileCutting(Milled[Profile]):
    """How profiles are cut."""

    follows_line = True
    one_stroke = True

    def asked(self, feature: Profile, cut: FinishingCut, around: Around) -> Asked:
        """Its kerf, but for what holds its piece."""
        return ask_profile(feature, cut, around)

    def footprint(self, work: Work, feature: Profile) -> BaseGeometry | None:
        """What lies near its line."""
        del work
        lines = [shapely.LineString(c.flattened(PLAN_SAG)) for c in feature.chains]
        return shapely.union_all(lines).buffer(NEAR_LINE)

    def taken(self, feature: Profile, chosen: Chosen, asked: Asked, z: float) -> BaseGeometry:
        """All of its kerf, as wide as it is roughed."""
        return less(widest_kerf(feature, chosen), asked.stay_at(z))

    def rounds(self, feature: Profile) -> Iterable[tuple[Chain, bool]]:
        """Those of its line, on its cutter's side."""
        if feature.side == "on":
            return []
        return [(chain, feature.side in ("inside", "left")) for chain in feature.chains]

    def widest_area(self, feature: Profile) -> Region | None:
        """Within an outline that it goes round inside."""
        return feature.outline if feature.side == "inside" else None

    def fault(self, work: Work, feature: Profile, cutter: Cutter) -> Unfit | None:
        """It does not pass inside."""
        outline = self.widest_area(feature)
        if outline is None or len(grow(outline, -cutter.radius).parts) == len(outline.parts):
            return None
        text = f"{work.called(cutter)} does not pass everywhere inside the outline"
        return text, lambda: narrower(work, outline, cutter)

    def has_room(self, feature: Profile, cutter: Cutter, wall: float) -> bool:
        """Inside an outline wherever it passes."""
        outline = self.widest_area(feature)
        return outline is None or passes(outline, cutter.radius + wall)

    def why(self, feature: Profile) -> str:
        """Outside and along a path not the largest."""
        if feature.side == "inside":
            return ""
        return "nearest to 6 mm that cuts the outline true: a small spindle drives that well"

    def obvious(
        self, work: Work, feature: Profile, mills: list[Cutter], top: float
    ) -> Cutter | None:
        """The one nearest to what a small spindle drives well."""
        del top
        liked = sorted(mills, key=lambda c: abs(c.diameter - LIKED))
        fitting = [c for c in liked if self.unfit(work, feature, c) is None]
        return first(fitting, lambda c: self.leaves_room(feature, c)) or first(fitting)

    def choose(
        self, work: Work, feature: Profile, top: float, footprint: BaseGeometry | None
    ) -> Chosen:
        """As any, and tabs must have room."""
        found = Milled.choose(self, work, feature, top, footprint)
        widest = max(found.finish.radius, found.rough.radius)
        tab_places(feature, widest, units=work.job.units)
        return found

    def misses(self, work: Work, feature: Profile, chosen: Chosen) -> PlanError | None:
        """Its cutter runs beside the metal."""
        kerf = beside(feature).band(0.0, chosen.finish.diameter)
        if kerf.intersection(work.metal).area > GRAZED_AREA:
            return None
        return refuse(
            feature,
            f"{feature.name} takes no metal away: its cutter runs beside the metal",
            "look at its side, and at the outline's place",
            key="side",
        )

    def check_beside(self, work: Work, feature: Profile, chosen: Chosen, around: Around) -> None:
        """Its roughing, and its cutter past the ends of a path."""
        check_reach(work, feature, chosen, around)

    def swept(self, work: Work, feature: Profile, cut: FinishingCut) -> BaseGeometry | None:
        """Along its line; a side along the metal's edge leaves corners that are open to the
        outside."""
        if feature.side == "on":
            return None
        outline, path = feature.outline, feature.path
        drawn = area_of(outline) if outline is not None else line_of(path) if path else None
        inside = drawn is not None and plan(work.setup).contains_properly(drawn)
        if inside and not stock_levels(work.setup.left):
            return None
        radius = cut.cutter.radius
        return grown(beside(feature).path(radius + cut.left), radius)

    def drawn_by(self, feature: Profile) -> str:
        """Its path or its outline."""
        return "path" if feature.path is not None else "outline"

    def drafts(
        self, work: Work, feature: Profile, chosen: Chosen, top: float, around: Around
    ) -> list[Draft]:
        """Roughed beside the line, then finished on it."""
        del around
        return profile_drafts(work, feature, chosen, top)


CUTTING: KindCutting[Profile] = ProfileCutting()
