"""How deep a spot is, and whether a spot drill has room beside metal that stands higher."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from gcodekit.job.kinds.hole import Hole
from gcodekit.job.stock.raw_metal import stock_levels
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.planned_operation import PlanContext, refuse
from gcodekit.part.plane_regions import discs
from gcodekit.part.planned_target import BELOW, FeatureContext
from gcodekit.part.setup_stock import metal_levels
from gcodekit.trade.cutter import Cutter

# A spot is this share of the hole's diameter, so that its rim is drilled away. Common practice,
# no source.
SPOT_SHARE = 0.8
# Heights at which a cone is held against a lying bar's flank.
FLANK_LOOKS = 33
# A spot drill may graze a wall by this share of the job's tolerance.
GRAZED_SHARE = 0.5


def spot_depth(cutter: Cutter, diameter: float) -> float:
    """The depth of the spot drill's tip, mm."""
    wide = min(SPOT_SHARE * diameter, 0.95 * cutter.diameter)
    return wide / 2 / math.tan(cutter.tip_angle / 2)


def with_spot_room(
    work: PlanContext, hole: Hole, chosen: Chosen, top: float, around: FeatureContext
) -> Chosen:
    """The cutters without the spot drill, and a warning, where on a floor so near a wall its cone
    would cut into that. Raises `PlanError` where the job asks for the spot."""
    spot = chosen.spot
    if spot is None:
        return chosen
    if not hole.drilled and _on_a_flank(work, hole):
        raise refuse(
            hole,
            "a spot on the flank of a lying bar has no surface to measure its depth from",
            "put it on the bar's crest, or give the hole a depth",
            key="at",
        )
    met = _cut_into(work, hole, spot, top, around)
    if met is None:
        return chosen
    what = f"{work.called(spot)} would cut into the wall beside the hole, at {met}"
    if hole.drilled and not hole.spot_asked and not chosen.countersink:
        hint = "add a smaller spot drill, or set spot = false"
        said = refuse(hole, f"drilled without a spot: {what}", hint, key="spot").faults
        warnings = (replace(fault, severity="warning") for fault in said)
        return replace(chosen, spot=None, warnings=(*chosen.warnings, *warnings))
    instead = "set spot = false" if hole.drilled else "remove it"
    raise refuse(hole, what, f"{instead}, or add a smaller spot drill", key="spot")


def _cut_into(
    work: PlanContext, hole: Hole, spot: Cutter, top: float, around: FeatureContext
) -> str | None:
    """Return where a spot drill would cut into what stands beside the hole, in words."""
    tip = top - spot_depth(spot, hole.diameter)
    levels = {work.setup.left.high[2], *metal_levels(work.setup)}
    levels.update(z for asked in around.asked for z in asked.levels)
    if stock_levels(work.setup.raw):
        # a lying bar's flank bulges into the cone between its levels
        high = min(work.setup.left.high[2], tip + spot.point_length)
        levels.update(np.linspace(top, max(top, high), FLANK_LOOKS).tolist())
    for z in sorted(z - BELOW for z in levels if z > top):
        wide = min(spot.radius, (z - tip) * math.tan(spot.tip_angle / 2))
        wide -= GRAZED_SHARE * work.job.tolerance
        met = around.standing(discs(hole.places, wide), z)
        if wide > hole.diameter / 2 and not met.is_empty:
            return f"{work.say_at(met)}, z {work.say(round(z, 3))}"
    return None


def _on_a_flank(work: PlanContext, hole: Hole) -> bool:
    """Tell whether it lies off the highest line of a lying bar."""
    left = work.setup.left
    if not stock_levels(left):
        return False
    across = 1 if left.axis == "x" else 0
    crest = (left.low[across] + left.high[across]) / 2
    return any(abs(p[across] - crest) > work.job.tolerance for p in hole.places)
