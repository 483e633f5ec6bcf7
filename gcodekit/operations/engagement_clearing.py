"""Clearing an area at constant engagement; what is too narrow for that, along its outline."""

from __future__ import annotations

from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.boolean import common
from gcodekit.geometry.flattening import region_from, to_shapely
from gcodekit.operations.outline_clearing import Area, cleared_by_rings, too_big
from gcodekit.operations.planned_operation import Phase, PlanContext, PlannedOperation
from gcodekit.toolpath.engagement_passes.clearing import ClearedRoom, EngagementFeeds, even_pieces
from gcodekit.toolpath.engagement_passes.remaining_stock import FINE_CHORDS
from gcodekit.toolpath.engagement_passes.room_passes import LEFT_IN_CORNERS
from gcodekit.toolpath.entry import HELIX_NARROWEST
from gcodekit.toolpath.level_clearing import LOWERED_BESIDE
from gcodekit.toolpath.path import depth_steps
from gcodekit.toolpath.rings import room_for
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.rates import Rates

# Width of a cut at constant engagement, in diameters, where no other holds, and the widest: then
# the metal is met at a right angle. Common practice, no source.
ENGAGEMENT_WIDTH = 0.2
WIDEST_EVEN = 0.5
# Rooms narrower than twice this share of the radius are cleared along their outline: there is no
# helix into them, and passes across them are hardly longer than they are wide.
NARROW_ROOM = HELIX_NARROWEST
# Passes stay this far from where the wall is left, mm: chords and fitted arcs.
ENGAGEMENT_SPARE = 0.0006
ENGAGEMENT_SAG = 0.0004
# What is left nowhere thicker than twice this, mm, is as good as cleared, and so much stays in
# corners; where no finishing pass follows twice this share of the tolerance, and as little as
# may be.
LEFT_SHARE = 0.02
CORNERS = 0.03
TOLERATED = 0.4
# A corner that was rounded when narrow places were looked for is sharp again up to so many times.
MITRE = 5.0
# What is left narrower than this beside it goes with a place that is cleared again, mm.
LOOSE = 0.3


def cleared_at_engagement(
    work: PlanContext,
    area: Area,
    cutter: Cutter,
    wall: float,
    floor: float,
    *,
    before: BaseGeometry | None = None,
) -> tuple[list[PlannedOperation], BaseGeometry]:
    """An area cleared with the allowances left, and what is open then; `before`: what of it is open
    already, down to the same floor."""
    room = room_for(area.region, cutter.radius + wall + ENGAGEMENT_SPARE, air=work.air)
    if room.empty:
        raise too_big(work, area.feature, cutter)
    rates = engagement_rates(work, area, cutter, floor)
    clear = work.air if before is None else work.air.union(before)
    drafts, opened = evenly(
        work,
        area,
        cutter,
        rates,
        floor,
        room=to_shapely(room, ENGAGEMENT_SAG),
        clear=clear,
        lowered=clear,
        wall=wall,
    )
    widest = to_shapely(room_for(area.region, cutter.radius + wall, air=work.air), ENGAGEMENT_SAG)
    reach = widest.buffer(cutter.radius, quad_segs=FINE_CHORDS)
    left = left_over(work, area, reach.difference(opened.union(clear)), wall)
    if not left.is_empty:
        around = left.buffer(2.2 * cutter.radius + LOOSE, quad_segs=4).simplify(LOOSE)
        part = common([area.region, region_from(around)])
        label = f"{area.label}narrow "
        draft, more = cleared_by_rings(
            work, replace(area, region=part, label=label), cutter, wall, floor
        )
        drafts.append(draft)
        opened = shapely.union_all([opened, more])
    return drafts, opened


def left_over(work: PlanContext, area: Area, left: BaseGeometry, wall: float) -> BaseGeometry:
    """The area still uncut, without strips so thin that the finishing pass takes them along, or
    that are within the tolerance where none follows."""
    missed = LEFT_SHARE if taken_along(area, wall) else TOLERATED * work.job.tolerance
    return left.buffer(-missed).buffer(missed)


def taken_along(area: Area, wall: float) -> bool:
    """Tell whether a finishing pass follows that takes thin strips along."""
    return area.feature.cutting.finish and wall > 0


def evenly(
    work: PlanContext,
    area: Area,
    cutter: Cutter,
    rates: Rates,
    floor: float,
    *,
    room: BaseGeometry,
    clear: BaseGeometry,
    lowered: BaseGeometry,
    wall: float,
) -> tuple[list[PlannedOperation], BaseGeometry]:
    """The wide pieces of a room cleared, and what is open then.

    Parameters
    ----------
    room : where the cutter's centre may be
    clear : where nothing has to go
    lowered : where nothing stands, for the cutter to come down in
    wall : what stays on walls for a finishing pass, mm
    """
    narrow = NARROW_ROOM * cutter.radius
    wide = room.buffer(-narrow, quad_segs=FINE_CHORDS)
    wide = wide.buffer(narrow, join_style="mitre", mitre_limit=MITRE)
    pieces = even_pieces(
        wide.intersection(room),
        radius=cutter.radius,
        width=rates.stepover,
        climb=area.feature.cutting.direction == "climb",
        clear=clear,
        lowered=lowered.buffer(-(cutter.radius + LOWERED_BESIDE)),
        left=CORNERS if taken_along(area, wall) else LEFT_IN_CORNERS,
    )
    pieces = tuple(p for p in pieces if p.even.steps)
    opened = shapely.union_all([p.even.swept for p in pieces])
    return ([_draft(work, area, cutter, pieces, rates, floor)] if pieces else []), opened


def engagement_rates(work: PlanContext, area: Area, cutter: Cutter, floor: float) -> Rates:
    """Depth, width and feed of the passes."""
    figures = area.chosen.figures(cutter, area.feature.cutting)
    if figures.stepover is not None:
        figures = replace(figures, stepover=min(figures.stepover, WIDEST_EVEN * cutter.diameter))
    height = area.top - area.feature.depth.cut_to - floor
    found = work.even_pass(cutter, figures, height)
    if found is not None:
        return found.rates
    return work.milling(cutter, figures, width=ENGAGEMENT_WIDTH * cutter.diameter)


def _feeds(work: PlanContext, area: Area, cutter: Cutter, rates: Rates) -> EngagementFeeds:
    """The feeds of the ways to the passes."""
    figures = area.chosen.figures(cutter, area.feature.cutting)
    solid = work.milling(cutter, figures)
    link = max(rates.feed, work.job.workshop.machine.feed_max)
    return EngagementFeeds(entry=min(rates.feed, solid.feed), link=link)


def _draft(
    work: PlanContext,
    area: Area,
    cutter: Cutter,
    pieces: tuple[ClearedRoom, ...],
    rates: Rates,
    floor: float,
) -> PlannedOperation:
    cutting = area.feature.cutting
    follow = work.evenly(cutter, area.chosen.figures(cutter, cutting), rates)
    feeds = _feeds(work, area, cutter, rates)
    levels = depth_steps(area.top, area.feature.depth.cut_to + floor, rates.stepdown)
    path = work.path(rates)
    for piece in pieces:
        piece.cut(path, levels, area.top, feeds)
    label = f"{area.label}rough" if cutting.finish else f"{area.label}clear"
    return work.draft(area.feature, label, cutter, rates.speed, path, Phase.ROUGH, following=follow)
