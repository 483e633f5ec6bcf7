"""Cutters in use for one feature that had better clear another too: a smaller one never fails to
reach where the larger does."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from gcodekit.job.feature import Feature
from gcodekit.operations.choosing.roughing_cutter import roughing_seconds
from gcodekit.operations.choosing.tool_suggestions import mills_for
from gcodekit.operations.chosen_cutters import Chosen, CutterReason
from gcodekit.operations.end_milling import milled
from gcodekit.operations.entry_room import has_way_in
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import PlanContext, finishing_step, wall_allowance
from gcodekit.planning.heights import Heights
from gcodekit.trade.cutter import Cutter

# An estimate says so much less before it is believed. Common practice, no source.
BETTER = 0.1


def with_those_in_use(
    work: PlanContext,
    features: Iterable[Feature],
    chosen: Mapping[str, Chosen],
    heights: Heights,
) -> dict[str, Chosen]:
    """The choice with bores and pockets, one by one as written, given to a smaller mill in use
    where that is done sooner; if it saves a change, so much the better."""
    found = dict(chosen)
    for feature in features:
        own = found.get(feature.name)
        if own is None or not _free_to_choose(feature, own):
            continue
        top = heights.top_of(feature)
        others = _used(c for name, c in found.items() if name != feature.name)
        with_own = _seconds(work, feature, own.finish, heights)
        best, most = own, BETTER * with_own
        for mill in mills_for(work, top - feature.depth.cut_to):
            if mill.diameter >= own.finish.diameter or mill.number not in others:
                continue
            gain = with_own - _seconds(work, feature, mill, heights)
            if gain > most and (other := _with(work, feature, mill, top)) is not None:
                best, most = replace(other, picks=(_why(own, mill, others, gain),)), gain
        found[feature.name] = best
    return found


def _free_to_choose(feature: Feature, chosen: Chosen) -> bool:
    """Tell whether it is cut by one mill of the plan's own choice alone."""
    if not cutting_of(feature).any_mill:
        return False
    cutting = feature.cutting
    named = cutting.cutter is not None or cutting.rough_with is not None
    # at constant engagement a larger mill goes as much deeper as it is wider
    return not named and cutting.way != "constant engagement" and len(chosen.every) == 1


def _with(work: PlanContext, feature: Feature, mill: Cutter, top: float) -> Chosen | None:
    """The feature's cutters with a smaller mill, where that has a way in and room for its
    allowance."""
    able = has_way_in(work, feature, mill, top) and milled(feature).leaves_room(feature, mill)
    return Chosen(finish=mill, rough=mill) if able else None


def _used(chosen: Iterable[Chosen]) -> set[int]:
    """The numbers of all cutters of some features."""
    return {c.number for each in chosen for c in each.every}


def _seconds(work: PlanContext, feature: Feature, cutter: Cutter, heights: Heights) -> float:
    """About how long it is cut with one mill, s: roughed, and once round its walls."""
    area = heights.footprints[feature.name]
    assert area is not None  # what has an outline of its own
    metal = area.intersection(work.metal)
    seconds = roughing_seconds(work, feature, cutter, float(metal.area))
    cutting = feature.cutting
    if not (cutting.rough and cutting.finish):
        return seconds
    depth = heights.top_of(feature) - feature.depth.cut_to
    rounds = max(1.0, depth / finishing_step(cutter)) + cutting.spring_passes
    feeds = work.finishing_feeds(cutter, cutting, wall_allowance(feature, cutter)).feeds
    return seconds + 60 * rounds * float(metal.length) / feeds[0]


def _why(own: Chosen, mill: Cutter, others: set[int], gain: float) -> CutterReason:
    change = "" if own.finish.number in others else " and a tool change"
    more = f"cutter {own.finish.number} would take about {gain / 60:.0f} min more{change}"
    return CutterReason(mill, own.picks[0].part, f"already used for another feature: {more}")
