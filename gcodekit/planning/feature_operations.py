"""Every operation of a set-up's features, as they are written."""

from __future__ import annotations

from collections.abc import Callable

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.overlay import common
from gcodekit.job.feature import Feature
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import PlanContext, PlannedOperation, refuse
from gcodekit.part.planned_target import BELOW, FeatureContext, PlannedTarget
from gcodekit.part.setup_stock import metal, metal_levels
from gcodekit.planning.conflicts import (
    neighbours_cut,
    skins_cut,
    tabs_cut,
)
from gcodekit.planning.cutter_assignment import finishing_cut, finishing_cuts
from gcodekit.planning.heights import Heights
from gcodekit.planning.tab_spacing import tabs_apart
from gcodekit.planning.uncut_corners import check_from_outside

# Less metal than this in plan, mm^2, is none: what grazing along an edge takes.
GRAZED_AREA = 1e-3


def all_drafts(
    work: PlanContext,
    heights: Heights,
    chosen: dict[str, Chosen],
    around: FeatureContext,
    progress: Callable[[str], None],
) -> list[PlannedOperation]:
    """Every feature's operations, as written; `chosen` loses the spot drills that have no room.
    Raises `PlanError` with all that is wrong."""
    setup = work.setup
    drafts: list[PlannedOperation] = []
    faults: list[Fault] = neighbours_cut(work, chosen)
    for feature in setup.features:
        progress(f"{setup.name}: {feature.name}")
        own, kind = chosen[feature.name], cutting_of(feature)
        cut = finishing_cut(feature, own)
        target = kind.asked(feature, cut, around)
        try:
            top = kind.surface(feature, heights.top_of(feature), around)
            if not feature.optional:  # that was looked at before
                _check_metal_over(work, feature, own, top, target)
            # one that runs into another part need not be told so twice
            if not feature.optional and not _blamed(feature, faults):
                kind.check_beside(work, feature, own, around)
            check_from_outside(work, feature, target, cut)
            own = chosen[feature.name] = kind.settled(work, feature, own, top, around)
            if not _all_gone(work, feature, top):
                top = heights.top_of_all(feature) if kind.to_wall else top
                drafts += kind.drafts(work, feature, own, top, around)
        except PlanError as error:
            faults += error.faults
        around.add(target)
    asked = {a.name: a for a in around.asked}
    faults += tabs_cut(work, asked, chosen)
    faults += skins_cut(work, asked, chosen)
    faults += tabs_apart(work, asked, finishing_cuts(setup, chosen))
    if faults:
        # copies have their first one's faults
        raise PlanError(dict.fromkeys(faults))
    return drafts


def _check_metal_over(
    work: PlanContext, feature: Feature, chosen: Chosen, top: float, target: PlannedTarget
) -> None:
    """Refuse a feature that would cut nothing: beside the metal, or where it is all gone when the
    feature's turn comes. What is cut back to a wall may well have lost its metal to another."""
    if work.setup.gone and feature.milled and not _lies_on_metal(work, target):
        raise refuse(
            feature,
            f"{feature.name} cuts nothing: no stock is left where it would cut",
            "remove it, or check its place and the set-up's zero",
            key="kind",
        )
    kind = cutting_of(feature)
    if not kind.to_wall and (missed := kind.misses(work, feature, chosen)) is not None:
        raise missed
    drilled = not feature.milled and feature.has_depth and bool(target.required)
    if (feature.milled or drilled) and not kind.follows_line and not _lies_on_metal(work, target):
        raise refuse(
            feature,
            f"{feature.name} cuts nothing: it lies beside the stock",
            "check its place and the set-up's zero",
            key="kind",
        )
    if kind.to_wall:
        return
    spot = not feature.has_depth
    bottom = work.setup.left.low[2]
    floor = bottom if spot else max(bottom, feature.depth.cut_to)
    if top <= floor + 1e-6:
        raise refuse(
            feature,
            f"the features listed before it cut all of its stock, down to z {work.say(top)}",
            "remove it" if spot else "make it deeper, or remove it",
            key="spot" if spot else "through" if feature.depth.through else "depth",
        )


def _lies_on_metal(work: PlanContext, target: PlannedTarget) -> bool:
    bottom = work.setup.left.low[2]
    levels = {*(max(z, bottom) for z in target.levels), *metal_levels(work.setup)}
    heights = (z + BELOW for z in levels)
    there = (common(target.required_at(z), metal(work.setup, z)) for z in heights)
    if not work.setup.gone:
        return any(area.area > GRAZED_AREA for area in there)
    # along what was cut before there may be slivers
    return any(not area.buffer(-work.job.tolerance).is_empty for area in there)


def _all_gone(work: PlanContext, feature: Feature, top: float) -> bool:
    """Tell whether what was cut before has taken all that lies beyond a wall."""
    floor = max(work.setup.left.low[2], feature.depth.cut_to)
    return cutting_of(feature).to_wall and top <= floor + 1e-6


def _blamed(feature: Feature, faults: list[Fault]) -> bool:
    return any(f.place.key.startswith(f"{feature.place.key}.") for f in faults)
