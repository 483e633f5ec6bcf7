"""Clearing an area to a flat floor and finishing its walls: the heart of pockets, slots, bores."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.boolean import common
from gcodekit.geometry.flattening import region_from, to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.job.feature import RoughWay
from gcodekit.job.kinds.slot import Slot
from gcodekit.operations.engagement_clearing import cleared_at_engagement
from gcodekit.operations.measured_correction import corrected_area, correction_of
from gcodekit.operations.outline_clearing import (
    Area,
    cleared_by_rings,
    cleared_in_zigzag,
    cut_area,
    quicker_way,
    rings_clearing,
)
from gcodekit.operations.planned_operation import (
    FLOOR_WIDTH,
    PLAN_SAG,
    Phase,
    PlanContext,
    PlannedOperation,
    finishing_step,
    floor_left,
    wall_allowance,
)
from gcodekit.toolpath.path import depth_steps
from gcodekit.toolpath.rings import plan_rings, room_for
from gcodekit.toolpath.wall import Wall
from gcodekit.trade.cutter import Cutter

Clear = Callable[
    [PlanContext, Area, Cutter, float, float], tuple[list[PlannedOperation], BaseGeometry]
]

# A finishing pass takes the allowance, and in corners half as much again; where it would meet more,
# a neck has been left that must be cleared before it. Common practice, no source.
NECK_SHARE = 1.5
# What is left narrower than twice this, mm, the finishing pass takes along: the tips of acute
# corners. Common practice, no source.
THIN_REST = 0.1
LOOSE = 0.3
# What the finishing cutter covers is open already when it lies within what roughing swept, mm.
OPENED_SLACK = 0.01


def area_drafts(work: PlanContext, area: Area) -> list[PlannedOperation]:
    """Rough the area, then finish its walls (and its floor, if some was left)."""
    cutting = area.feature.cutting
    if not cutting.rough:
        return [cleared_by_rings(work, corrected_area(work, area), area.chosen.finish, 0.0, 0.0)[0]]
    cutter, finish = area.chosen.rough, area.chosen.finish
    wall = fitting_allowance(area, cutter, wall_allowance(area.feature, cutter))
    floor = floor_left(area.feature, cutter, finish, area.top)
    way, why = (cutting.way, "") if cutting.way else quicker_way(work, area, cutter, floor)
    drafts, opened = CLEARING_WAYS[way](work, area, cutter, wall, floor)
    drafts = [replace(d, how=f"{way}: {why}" if why else way) for d in drafts]
    if not cutting.finish:
        return drafts
    rests, opened = _rests(work, area, opened, wall, floor)
    drafts += rests
    by = correction_of(area.feature)
    drafts += _finish(work, corrected_area(work, area), opened, wall + by.wall, floor + by.floor)
    return drafts


def _along_outline(
    work: PlanContext, area: Area, cutter: Cutter, wall: float, floor: float
) -> tuple[list[PlannedOperation], BaseGeometry]:
    draft, opened = cleared_by_rings(work, area, cutter, wall, floor)
    return [draft], opened


# So far about what is left over the body of the cutter may go, in radii: at constant engagement
# there has to be room beside it to come down and to turn.
AROUND, AROUND_AT_ENGAGEMENT = 2.2, 3.2
# Why that goes so.
FROM_OPEN_SIDE = "constant engagement, from the side that is already open"

CLEARING_WAYS: dict[RoughWay, Clear] = {
    "constant engagement": cleared_at_engagement,
    "contour parallel": _along_outline,
    "zigzag": cleared_in_zigzag,
}


def fitting_allowance(area: Area, cutter: Cutter, wall: float) -> float:
    """The allowance, or none where the cutter with it would not fit in at all; in a slot left to be
    finished, all along: there is room in a bend where there is none on the straight."""
    slot = area.feature
    if (
        isinstance(slot, Slot)
        and not slot.cutting.finish
        and cutter.diameter + 2 * wall > slot.width
    ):
        return 0.0
    return 0.0 if grow(area.region, -(cutter.radius + wall)).empty else wall


def _rests(
    work: PlanContext, area: Area, opened: BaseGeometry, wall: float, floor: float
) -> tuple[list[PlannedOperation], BaseGeometry]:
    """Clear what roughing could not reach and is more than the finishing pass takes: first what the
    finishing cutter can clear with the allowance left, then necks that have no room for it."""
    drafts: list[PlannedOperation] = []
    cutter = area.chosen.finish
    room = to_shapely(room_for(area.region, cutter.radius, air=work.air), PLAN_SAG)
    final = room.buffer(cutter.radius)
    deep: BaseGeometry
    if wall > 0:
        deep = final.buffer(-NECK_SHARE * wall)
    else:
        deep = final.difference(room.boundary.buffer(cutter.radius))
    if cutter.radius < area.chosen.rough.radius:
        rest = _with_region(area, area.region, "rest ")
        opened = _cleared(work, rest, deep, opened, (wall, floor), drafts)
    if wall > 0 and not _left(deep, opened).is_empty:
        neck = _with_region(area, area.region, "neck ")
        walls = wall_rings(work, area, cutter, opened, wall)
        corners = shapely.union_all([opened, *(swept for w in walls for swept in w.corners_swept)])
        if not _left(deep, corners).is_empty:
            opened = _cleared(work, neck, deep, opened, (0.0, floor), drafts)
    return drafts, opened


def _left(wanted: BaseGeometry, opened: BaseGeometry) -> BaseGeometry:
    return wanted.difference(opened).buffer(-THIN_REST)


def _cleared(
    work: PlanContext,
    area: Area,
    wanted: BaseGeometry,
    opened: BaseGeometry,
    allowances: tuple[float, float],
    drafts: list[PlannedOperation],
) -> BaseGeometry:
    """Clear what of `wanted` is not opened yet; returns all that is opened then.

    From the open side at constant engagement, unless the job says how; along its outline where
    there is no room for the allowance.
    """
    cutter, (wall, floor) = area.chosen.finish, allowances
    left = _left(wanted, opened)
    if left.is_empty:
        return opened
    evenly = wall > 0 and area.feature.cutting.way in (None, "constant engagement")
    around = (AROUND_AT_ENGAGEMENT if evenly else AROUND) * cutter.radius + THIN_REST + LOOSE
    # its rim lies in what is open already, so few corners will do
    about = left.buffer(around, quad_segs=4).simplify(LOOSE)
    region = common([area.region, region_from(about)])
    if room_for(region, cutter.radius + wall, air=work.air).empty:
        return opened
    piece = _with_region(area, region, area.label)
    if evenly:
        made, more = cleared_at_engagement(work, piece, cutter, wall, floor, before=opened)
        drafts += [replace(d, how=FROM_OPEN_SIDE) for d in made]
    else:
        draft, more = cleared_by_rings(work, piece, cutter, wall, floor)
        drafts.append(draft)
    return shapely.union_all([opened, more])


def _with_region(area: Area, region: Region, label: str) -> Area:
    return Area(feature=area.feature, region=region, top=area.top, chosen=area.chosen, label=label)


def _finish(
    work: PlanContext, area: Area, opened: BaseGeometry, wall: float, floor: float
) -> list[PlannedOperation]:
    cutter, cutting, depth = area.chosen.finish, area.feature.cutting, area.feature.depth
    figures = area.chosen.figures(cutter, cutting)
    follow = work.finishing_feeds(cutter, figures, wall, skim=floor)
    path = work.path(follow.rates, feed=follow.feeds[0])
    if floor > 0:
        rings = plan_rings(
            area.region,
            radius=cutter.radius,
            allowance=wall,
            stepover=FLOOR_WIDTH * cutter.diameter,
            air=work.air,
        )
        # where the roughing cutter did not come, metal stands to the top
        cleared = opened.buffer(OPENED_SLACK).covers(rings.room.buffer(cutter.radius))
        top = depth.cut_to + floor if cleared else area.top
        floor_pass = Area(feature=area.feature, region=area.region, top=top, chosen=area.chosen)
        clearing = rings_clearing(work, area, cutter, rings)
        cut_area(clearing, path, [depth.cut_to], floor_pass, cutter)
    # a larger cutter with no room for an allowance has left its corners
    if wall > 0 or cutter.radius < area.chosen.rough.radius or cutting.spring_passes:
        levels = depth_steps(area.top, depth.cut_to, finishing_step(cutter))
        for ring in wall_rings(work, area, cutter, opened, wall):
            ring.cut(path, levels, area.top, rounds=1 + cutting.spring_passes)
    if not path.moves:
        return []
    speed = follow.rates.speed
    return [work.draft(area.feature, "finish", cutter, speed, path, Phase.FINISH, following=follow)]


def wall_rings(
    work: PlanContext, area: Area, cutter: Cutter, opened: BaseGeometry, wall: float
) -> list[Wall]:
    """The finishing cutter's rings along every wall of the area."""
    room = room_for(area.region, cutter.radius, air=work.air)
    climb = area.feature.cutting.direction == "climb"
    free = to_shapely(room, PLAN_SAG)
    return [
        Wall(
            ring=ring if climb else ring.reversed(),
            radius=cutter.radius,
            climb=climb,
            free=free,
            opened=opened,
            allowance=wall,
        )
        for ring in room.rings
    ]
