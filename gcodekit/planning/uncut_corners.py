"""Metal that a cutter following a feature would leave, and another way round would reach: corners
just off the metal's edge, and gaps that are narrower than the cutter by next to nothing."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, common, less, union
from gcodekit.job.feature import Feature
from gcodekit.job.stock.raw_metal import stock_levels
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import PlanContext, refuse
from gcodekit.part.plane_regions import grown
from gcodekit.part.planned_target import FinishingCut, PlannedTarget
from gcodekit.part.setup_stock import metal, plan, whole

# What share of the job's tolerance may stand.
STANDING_SHARE = 0.8
# A disc that passes by so much, mm, passes.
PASSES_BY = 0.0005
# Less than this, mm^2, is no metal.
NO_METAL = 1e-6


def check_from_outside(
    work: PlanContext, feature: Feature, asked: PlannedTarget, cut: FinishingCut
) -> None:
    """Refuse a profile that leaves the metal, or what is cut in a lying bar, with a corner so near
    the metal's edge that a cutter following it on its own side would leave it standing; and what
    has a gap that the cutter would pass if it were half a micrometre smaller."""
    kind = cutting_of(feature)
    swept = kind.swept(work, feature, cut)
    if swept is None:
        return
    # where a bar's edge goes in all the way up there is more between the heights looked at
    share = STANDING_SHARE / 2 if stock_levels(work.setup.left) else STANDING_SHARE
    within = grown(swept, share * work.job.tolerance)
    corners: BaseGeometry = EMPTY
    for z in _heights(work, feature, asked):
        reached = _reachable(work, feature, asked, z)
        left = less(less(reached, within), corners)
        if left.area > NO_METAL:
            raise refuse(feature, *_said(work, feature, cut, left), key=kind.drawn_by(feature))
        standing = common(_to_go(work, asked, z), metal(work.setup, z))
        corners = union((corners, less(standing, reached)))


def _said(
    work: PlanContext, feature: Feature, cut: FinishingCut, left: BaseGeometry
) -> tuple[str, str]:
    """Return what is wrong, and the remedy."""
    if cutting_of(feature).follows_line or stock_levels(work.setup.left):
        return (
            f"its corner near {work.say_at(left)} is so near the edge of the stock that the "
            "cutter, "
            f"{work.say(cut.cutter.diameter)}, leaves it uncut",
            "draw it farther out over the edge, or round the corner",
        )
    return (
        f"{work.called(cut.cutter)} is slightly too large: would leave stock uncut near "
        f"{work.say_at(left)}",
        "use a smaller cutter, or draw it slightly wider there",
    )


def _heights(work: PlanContext, feature: Feature, asked: PlannedTarget) -> list[float]:
    """Heights by the tolerance over each floor, where a lying bar is narrower already."""
    bottom, top = work.setup.left.low[2], work.setup.left.high[2]
    floor = max(bottom, feature.depth.cut_to)
    levels = {floor, *stock_levels(work.setup.left), *asked.levels}
    return [z + work.job.tolerance for z in sorted(levels) if floor <= z < top]


def _reachable(work: PlanContext, feature: Feature, asked: PlannedTarget, z: float) -> BaseGeometry:
    """The feature's stock that a cutter coming from anywhere would reach at a height."""
    here, required, kind = whole(work.setup, z), _to_go(work, asked, z), cutting_of(feature)
    open_ = less(union((asked.required_at(z), asked.allowed_at(z))), asked.kept_at(z))
    # along its line a profile's cutter turns in the corners, beyond the metal's edge as well
    beyond = EMPTY if kind.follows_line else less(_frame(work, asked.reach), here)
    room = union((open_, beyond))
    radius = asked.reach - PASSES_BY
    found = common(required, grown(grown(room, -radius), radius))
    return found if found.area else kind.in_reach(work, feature, required)


def _to_go(work: PlanContext, asked: PlannedTarget, z: float) -> BaseGeometry:
    """The metal at a height that has to go."""
    return common(less(asked.required_at(z), asked.kept_at(z)), whole(work.setup, z))


def _frame(work: PlanContext, radius: float) -> BaseGeometry:
    return grown(plan(work.setup).envelope, 4 * radius + 1.0).envelope
