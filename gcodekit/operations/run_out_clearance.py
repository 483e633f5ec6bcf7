"""Run-outs over the stock's edge kept off what holds the work beside it."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.boolean import common, minus, union
from gcodekit.geometry.flattening import region_from, to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Feature
from gcodekit.operations.planned_operation import PLAN_SAG, PlanContext, refuse
from gcodekit.part.keep_out import Body, held_by
from gcodekit.toolpath.level_clearing import LOWERED_BESIDE
from gcodekit.trade.cutter import Cutter

# So near to a holding a cutter goes where there is no room for more, mm.
NEAREST_HOLDING = 0.05
# What is left uncut no thicker than twice this is chords, mm.
THIN_CHORDS = 0.01


def off_holdings(
    work: PlanContext, feature: Feature, region: Region, cutters: set[Cutter]
) -> Region:
    """The part of `region` where the cutters' bodies stay clear of holdings that stand beside the
    stock higher than the feature's floor. Raises `PlanError` where stock could not be reached
    then."""
    floor, setup = feature.depth.cut_to, work.setup
    flat = to_shapely(region, PLAN_SAG)
    bodies = [
        b
        for b in held_by(setup.holds[feature.stage], setup)
        if b.top > floor
        and flat.dwithin(b.outline, _beyond(cutters, b.top - floor) + LOWERED_BESIDE)
    ]
    beside = [b for b in bodies if not b.outline.covers(work.metal)]
    if not beside:
        return region
    for off in (LOWERED_BESIDE, NEAREST_HOLDING):
        free = _without(work, region, beside, cutters, floor, off)
        missed = {b.name: _missed(work, region, free, cutters, b) for b in beside}
        if all(m.is_empty for m in missed.values()):
            return free
    name, place = next((n, m) for n, m in missed.items() if not m.is_empty)
    raise refuse(
        feature,
        f"{name} is in the cutter's way: stock at {work.say_at(place)} cannot be reached beside it",
        f"move {name.split(' (')[0]}, or use a smaller cutter",
    )


def _beyond(cutters: set[Cutter], height: float) -> float:
    """By how much shank or holder are wider than the cutter, up to a height above its tip, mm."""
    wider = [
        c.body_radius_at(h) - c.radius
        for c in cutters
        for h in (c.flute_length, c.reach or 0.0, c.stickout)
        if h <= height
    ]
    return max([0.0, *wider])


def _without(
    work: PlanContext,
    region: Region,
    bodies: list[Body],
    cutters: set[Cutter],
    floor: float,
    off: float,
) -> Region:
    stood = [grow(region_from(b.outline), off + _beyond(cutters, b.top - floor)) for b in bodies]
    inside = common([region, work.outline])
    return union([inside, minus(region, union([work.outline, *stood]))])


def _missed(
    work: PlanContext, region: Region, free: Region, cutters: set[Cutter], body: Body
) -> BaseGeometry:
    """The stock that the smallest cutter no longer reaches, or would have to cut under a
    holding."""
    radius = min(c.radius for c in cutters)
    before, now = (
        to_shapely(grow(grow(r, -radius), radius), PLAN_SAG).intersection(work.metal)
        for r in (region, free)
    )
    lost = before.difference(now).union(now.intersection(body.outline))
    near = lost.buffer(-THIN_CHORDS).intersection(body.outline.buffer(4 * radius))
    return near if not near.is_empty else shapely.Polygon()
