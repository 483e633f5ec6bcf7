"""Clearing an area to a flat floor and finishing its walls: the heart of pockets, slots, bores."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.boolean import common, minus, union
from gcodekit.geometry.flat import region_from, to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.job.model import Feature
from gcodekit.operations.draft import (
    FLOOR_ALLOWANCE,
    FLOOR_WIDTH,
    PLAN_SAG,
    Chosen,
    Draft,
    Phase,
    Work,
    finishing_step,
    refuse,
    wall_allowance,
)
from gcodekit.toolpath.clear import BESIDE, Clearing, NoWayInError
from gcodekit.toolpath.path import Path, depth_steps
from gcodekit.toolpath.rings import FLAT_SAG, Rings, plan_rings, room_for
from gcodekit.toolpath.to_and_fro import ToAndFro
from gcodekit.toolpath.wall import Wall
from gcodekit.trade.cutter import Cutter

# An area that meets the metal's edge is run out over it by this much more than the cutter needs,
# and overlaps the metal by this little so that both join cleanly.
RUN_OUT = 2.0
JOIN = 0.001
# A finishing pass takes the allowance, and in corners half as much again; where it would meet more,
# a neck has been left that must be cleared before it. Common practice, no source.
NECK_SHARE = 1.5
# What is left narrower than twice this, mm, the finishing pass takes along: the tips of acute
# corners. Common practice, no source.
THIN = 0.1
LOOSE = 0.3
# Of the way round an area so much is taken to be in corners, nearly a slot. Common practice, no
# source.
IN_CORNERS = 0.05
# What the finishing cutter covers is open already when it lies within what roughing swept, mm.
OPENED_SLACK = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """One area to clear: `region` is where the cutter's body may be, run-outs included."""

    feature: Feature
    region: Region
    top: float
    chosen: Chosen
    label: str = ""


def run_out(region: Region, work: Work, radius: float) -> Region:
    """The region, run out over the metal's edge wherever it meets it."""
    flat = to_shapely(region, PLAN_SAG)
    if work.metal.buffer(-JOIN).covers(flat):
        return region
    reach = 2 * radius + 2 * BESIDE + RUN_OUT
    beyond = minus(grow(region, reach), grow(work.outline, -JOIN))
    near = grow(work.outline, reach)
    return common([union([region, beyond]), near])


def area_drafts(work: Work, area: Area) -> list[Draft]:
    """Rough the area, then finish its walls (and its floor, if some was left)."""
    cutting = area.feature.cutting
    if not cutting.rough:
        return [_rough(work, area, area.chosen.finish, 0.0, 0.0)[0]]
    rough, finish = area.chosen.rough, area.chosen.finish
    wall = _fitting_allowance(area, rough, wall_allowance(area.feature, rough))
    floor = cutting.floor_allowance
    if floor is None:
        floor = FLOOR_ALLOWANCE if rough.number != finish.number else 0.0
    floor = floor if not area.feature.depth.through else 0.0
    draft, opened = _rough(work, area, rough, wall, floor)
    drafts = [draft]
    if not cutting.finish:
        return drafts
    rests, opened = _rests(work, area, opened, wall)
    drafts += rests
    drafts += _finish(work, area, opened, wall, floor, rest_cleared=bool(rests))
    return drafts


def _fitting_allowance(area: Area, cutter: Cutter, wall: float) -> float:
    """The allowance, or none where the cutter with it would not fit in at all."""
    return 0.0 if grow(area.region, -(cutter.radius + wall)).empty else wall


def _rough(
    work: Work, area: Area, cutter: Cutter, wall: float, floor: float
) -> tuple[Draft, BaseGeometry]:
    cutting = area.feature.cutting
    figures = area.chosen.figures(cutter, cutting)
    step = min(work.milling(cutter, figures).stepover, 0.95 * cutter.diameter)
    clearing: Clearing | ToAndFro
    if cutting.way == "to and fro" and not area.label:
        clearing = _to_and_fro(work, area, cutter, wall, step)
        share, room = clearing.first_share, clearing.flat
    else:
        rings = plan_rings(
            area.region, radius=cutter.radius, allowance=wall, stepover=step, air=work.air
        )
        clearing = _clearing(work, area, cutter, rings)
        share, room = rings.first_share, rings.room
    if room.is_empty:
        raise too_big(work, area.feature, cutter)
    height = area.top - area.feature.depth.cut_to - floor
    follow = work.following(cutter, figures, height, in_slots=share + IN_CORNERS)
    rates = follow.rates
    levels = depth_steps(area.top, area.feature.depth.cut_to + floor, rates.stepdown)
    path = work.path(rates)
    _cut(clearing, path, levels, area, cutter)
    label = f"{area.label}rough" if cutting.rough and cutting.finish else f"{area.label}clear"
    draft = work.draft(
        area.feature, label, cutter, rates.speed, path, Phase.ROUGH, following=follow
    )
    return draft, room.buffer(cutter.radius)


def _clearing(work: Work, area: Area, cutter: Cutter, rings: Rings) -> Clearing:
    return Clearing(
        rings=rings,
        radius=cutter.radius,
        centre_cutting=cutter.centre_cutting,
        climb=area.feature.cutting.direction == "climb",
        fence=rings.room.buffer(FLAT_SAG),
        open_to=work.air.buffer(-(cutter.radius + BESIDE)),
    )


def _to_and_fro(work: Work, area: Area, cutter: Cutter, wall: float, step: float) -> ToAndFro:
    room = room_for(area.region, cutter.radius + wall, air=work.air)
    return ToAndFro(
        room=room,
        flat=to_shapely(room, FLAT_SAG),
        radius=cutter.radius,
        stepover=step,
        climb=area.feature.cutting.direction == "climb",
        centre_cutting=cutter.centre_cutting,
        air=work.air.buffer(-(cutter.radius + BESIDE)),
    )


def _cut(
    clearing: Clearing | ToAndFro, path: Path, levels: list[float], area: Area, cutter: Cutter
) -> None:
    try:
        clearing.cut(path, levels, area.top)
    except NoWayInError:
        raise refuse(
            area.feature,
            f"cutter {cutter.number} ({cutter.name}) does not cut at its centre and has no room "
            "to ramp or helix in",
            "name a centre-cutting end mill, or drill a starting hole first",
        ) from None


def too_big(work: Work, feature: Feature, cutter: Cutter) -> Exception:
    """The error that a cutter goes nowhere in its feature."""
    return refuse(
        feature,
        f"{work.called(cutter)} does not fit into the {feature.kind}",
        "name a smaller cutter",
    )


def _rests(
    work: Work, area: Area, opened: BaseGeometry, wall: float
) -> tuple[list[Draft], BaseGeometry]:
    """What roughing could not reach and is more than the finishing pass takes: first whatever the
    finishing cutter can clear with the allowance left, then necks that have no room for it."""
    drafts: list[Draft] = []
    cutter, floor = area.chosen.finish, area.feature.cutting.floor_allowance
    room = to_shapely(room_for(area.region, cutter.radius, air=work.air), PLAN_SAG)
    final = room.buffer(cutter.radius)
    deep: BaseGeometry
    if wall > 0:
        deep = final.buffer(-NECK_SHARE * wall)
    else:
        deep = final.difference(room.boundary.buffer(cutter.radius))
    if cutter.radius < area.chosen.rough.radius:
        rest = _with_region(area, area.region, "rest ")
        opened = _cleared(work, rest, deep, opened, (wall, 0.0), drafts)
    if wall > 0:
        neck = _with_region(area, area.region, "neck ")
        opened = _cleared(work, neck, deep, opened, (0.0, floor or 0.0), drafts)
    return drafts, opened


def _cleared(
    work: Work,
    area: Area,
    wanted: BaseGeometry,
    opened: BaseGeometry,
    allowances: tuple[float, float],
    drafts: list[Draft],
) -> BaseGeometry:
    """Clear what of `wanted` is not opened yet; returns all that is opened then."""
    radius = area.chosen.finish.radius
    left = wanted.difference(opened).buffer(-THIN)
    if left.is_empty:
        return opened
    # its rim lies in what is open already, so few corners will do
    around = left.buffer(2.2 * radius + THIN + LOOSE, quad_segs=4).simplify(LOOSE)
    region = common([area.region, region_from(around)])
    if room_for(region, radius + allowances[0], air=work.air).empty:
        return opened
    piece = _with_region(area, region, area.label)
    draft, more = _rough(work, piece, area.chosen.finish, *allowances)
    drafts.append(draft)
    return shapely.union_all([opened, more])


def _with_region(area: Area, region: Region, label: str) -> Area:
    return Area(feature=area.feature, region=region, top=area.top, chosen=area.chosen, label=label)


def _finish(
    work: Work, area: Area, opened: BaseGeometry, wall: float, floor: float, *, rest_cleared: bool
) -> list[Draft]:
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
        _cut(_clearing(work, area, cutter, rings), path, [depth.cut_to], floor_pass, cutter)
    if wall > 0 or rest_cleared or cutting.spring_passes:
        levels = depth_steps(area.top, depth.cut_to, finishing_step(cutter))
        for ring in wall_rings(work, area, cutter, opened, wall):
            ring.cut(path, levels, area.top, rounds=1 + cutting.spring_passes)
    if not path.moves:
        return []
    speed = follow.rates.speed
    return [work.draft(area.feature, "finish", cutter, speed, path, Phase.FINISH, following=follow)]


def wall_rings(
    work: Work, area: Area, cutter: Cutter, opened: BaseGeometry, wall: float
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
