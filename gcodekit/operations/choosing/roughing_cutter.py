"""The choice of a larger cutter to rough what needs a small one to finish."""

from __future__ import annotations

from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Feature
from gcodekit.operations.entry_room import has_way_in
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import FLOOR_WIDTH, PLAN_SAG, PlanContext, wall_allowance
from gcodekit.trade.cutter import Cutter

# Another cutter must save this much cutting time, s: what a change by hand with touching off
# takes, and the corners that the small one then clears apart. Common practice, no source.
WORTH_A_CHANGE = 240.0


def rougher(
    work: PlanContext, feature: Feature, finish: Cutter, mills: list[Cutter], top: float
) -> Cutter:
    """The mill that clears the feature soonest when `finish` clears what it leaves; `finish`
    itself where no other is worth a change."""
    best, most = finish, WORTH_A_CHANGE
    for cutter in mills:
        if cutter.diameter <= finish.diameter:
            continue
        saved = seconds_saved(work, feature, finish, cutter)
        if saved > most and has_way_in(work, feature, cutter, top):
            best, most = cutter, saved
    return best


def seconds_saved(work: PlanContext, feature: Feature, finish: Cutter, rough: Cutter) -> float:
    """Cutting time that a larger cutter saves before `finish`, s."""
    region, wall = cutting_of(feature).cleared(work, feature), wall_allowance(feature, rough)
    assert region is not None  # what a larger one may rough clears an area
    reached = grow(grow(region, -(rough.radius + wall)), rough.radius)
    area, opened = _metal(work, region), _metal(work, reached)
    if opened <= 0:
        return 0.0
    rest = area - opened
    seconds = roughing_seconds(work, feature, rough, opened)
    seconds += roughing_seconds(work, feature, finish, rest)
    seconds += 0.0 if feature.depth.through else _floor_seconds(work, feature, finish, area)
    return roughing_seconds(work, feature, finish, area) - seconds


def _metal(work: PlanContext, region: Region) -> float:
    """The area of a region that is stock, mm2."""
    return float(to_shapely(region, PLAN_SAG).intersection(work.metal).area)


def _floor_seconds(work: PlanContext, feature: Feature, finish: Cutter, area: float) -> float:
    """The time that the finishing cutter takes over the floor that another one has left."""
    rates = work.milling(finish, feature.cutting)
    return 60 * area / (FLOOR_WIDTH * finish.diameter * rates.feed)


def roughing_seconds(work: PlanContext, feature: Feature, cutter: Cutter, area: float) -> float:
    """The time that a cutter takes to rough an area of the feature."""
    depth = work.setup.left.high[2] - feature.depth.cut_to
    follow = work.following(cutter, feature.cutting, depth)
    passes = max(1.0, depth / follow.rates.stepdown)
    return 60 * passes * area / (follow.rates.stepover * follow.usual_feed)
