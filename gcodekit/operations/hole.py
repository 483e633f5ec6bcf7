"""Holes: spotted, drilled, their mouths shaped, reamed or tapped."""

from __future__ import annotations

from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.job.kinds.hole import Hole
from gcodekit.operations.choosing.holes import for_hole
from gcodekit.operations.choosing.tool_suggestions import mills_for
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.cycles import (
    check_room,
    check_room_beyond,
    cycle_over,
    drill_rates,
    in_short_order,
    ream_draft,
    room_for_reamer,
)
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.mouth import counterbore_drafts, sink_draft, sinks_first
from gcodekit.operations.planned_operation import Phase, PlanContext, PlannedOperation
from gcodekit.operations.spot_room import spot_depth, with_spot_room
from gcodekit.operations.tapping import lead_of_tap, room_for_tap, tap_draft
from gcodekit.part.plane_regions import discs
from gcodekit.part.planned_solids import ask_hole
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.toolpath.moves import HoleCycle
from gcodekit.toolpath.path import APPROACH
from gcodekit.trade.cutter import Cutter


def hole_drafts(
    work: PlanContext, hole: Hole, chosen: Chosen, top: float
) -> list[PlannedOperation]:
    """Every place with each cutter in turn, on a short way over all of them."""
    places = in_short_order(work, hole.places)
    drafts = []
    early = sinks_first(hole, chosen)
    if early:
        drafts.append(sink_draft(work, hole, chosen, places, top, phase=Phase.START))
    elif chosen.spot is not None:
        drafts.append(_spot(work, hole, chosen, chosen.spot, places, top))
    if chosen.pilot is not None:
        drafts.append(_pilot(work, hole, chosen, chosen.pilot, places, top))
    if chosen.drill is not None:
        drafts.append(_drill(work, hole, chosen, chosen.drill, places, top))
    if chosen.counterbore is not None:
        drafts += counterbore_drafts(work, hole, chosen.counterbore, places, top)
    if chosen.countersink is not None and not early:
        drafts.append(sink_draft(work, hole, chosen, places, top, phase=Phase.FINISH))
    if chosen.reamer is not None:
        drafts.append(ream_draft(work, hole, chosen.reamer, places, top))
    if chosen.tap is not None:
        drafts.append(tap_draft(work, hole, chosen.tap, places, top))
    return drafts


def drilled_to(work: PlanContext, hole: Hole, chosen: Chosen) -> float:
    """Height of the drill's shoulder at the bottom of the hole."""
    depth = hole.depth
    if hole.drill_depth is not None:
        return depth.top - hole.drill_depth
    deeper = 0.0
    if chosen.reamer is not None:
        deeper = room_for_reamer(work, hole, chosen.reamer)
    elif hole.thread is not None and depth.opens:
        check_room_beyond(work, hole, lead_of_tap(hole.thread, chosen.tap), "tap")
    elif hole.thread is not None:
        deeper = room_for_tap(hole.thread, chosen.tap)
        check_room(work, hole, depth.cut_to - deeper, deeper, "tap")
    return depth.cut_to - deeper


def _spot(
    work: PlanContext,
    hole: Hole,
    chosen: Chosen,
    cutter: Cutter,
    places: tuple[Point, ...],
    top: float,
) -> PlannedOperation:
    deep = spot_depth(cutter, hole.diameter)
    wide = 2 * cutter.radius_at(deep)
    rates = drill_rates(work, chosen, cutter, hole, depth=deep, wide=wide)
    bottom = top - deep
    path = work.path(rates)
    cycle_over(path, places, HoleCycle("drill", 0, 0, top + APPROACH, bottom, rates.feed))
    return work.draft(hole, "spot", cutter, rates.speed, path, Phase.START)


def _pilot(
    work: PlanContext,
    hole: Hole,
    chosen: Chosen,
    pilot: Cutter,
    places: tuple[Point, ...],
    top: float,
) -> PlannedOperation:
    """Drill as deep as the drill after it, or less: its point stays within what that takes."""
    drill = chosen.drill
    assert drill is not None
    shoulder = drilled_to(work, hole, chosen)
    least = shoulder - drill.point_length + pilot.point_length
    shoulder = max(shoulder, least)
    return _drilled(work, hole, chosen, "pilot", pilot, places, top, shoulder)


def _drill(
    work: PlanContext,
    hole: Hole,
    chosen: Chosen,
    drill: Cutter,
    places: tuple[Point, ...],
    top: float,
) -> PlannedOperation:
    shoulder = drilled_to(work, hole, chosen)
    return _drilled(work, hole, chosen, "drill", drill, places, top, shoulder)


def _drilled(
    work: PlanContext,
    hole: Hole,
    chosen: Chosen,
    label: str,
    drill: Cutter,
    places: tuple[Point, ...],
    top: float,
    shoulder: float,
) -> PlannedOperation:
    rates = drill_rates(work, chosen, drill, hole, depth=top - shoulder)
    peck = rates.peck if hole.peck is None else hole.peck
    bottom = shoulder - drill.point_length
    peck = peck if peck < top - bottom else 0.0
    kind: Literal["drill", "peck"] = "peck" if peck else "drill"
    path = work.path(rates)
    cycle_over(path, places, HoleCycle(kind, 0, 0, top + APPROACH, bottom, rates.feed, peck))
    return work.draft(hole, label, drill, rates.speed, path, Phase.START)


class HoleCutting(KindCutting[Hole]):
    """How holes are made."""

    enclosed = True

    def asked(self, feature: Hole, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """Its cylinders, its mouths, its spots."""
        return ask_hole(feature, cut, around)

    def footprint(self, work: PlanContext, feature: Hole) -> BaseGeometry | None:
        """Its discs, as wide as its mouth."""
        del work
        return shapely.MultiPoint(list(feature.places)).buffer(feature.widest / 2)

    def surface(self, feature: Hole, top: float, around: FeatureContext) -> float:
        """A spot alone is measured from what stands there, and may lie in a kerf, which heights do
        not count."""
        if feature.drilled or feature.countersink:
            return top
        return min(top, around.top_over(discs(feature.places, feature.diameter / 2)))

    def choose(
        self, work: PlanContext, feature: Hole, top: float, footprint: BaseGeometry | None
    ) -> Chosen:
        """Drills, and what else it asks for."""
        del footprint
        return for_hole(work, feature, top, mills=mills_for(work, 0.0))

    def settled(
        self, work: PlanContext, feature: Hole, chosen: Chosen, top: float, around: FeatureContext
    ) -> Chosen:
        """Without a spot drill where that has no room."""
        return with_spot_room(work, feature, chosen, top, around)

    def drafts(
        self, work: PlanContext, feature: Hole, chosen: Chosen, top: float, around: FeatureContext
    ) -> list[PlannedOperation]:
        """Every place with each cutter in turn, on a short way over all of them."""
        del around
        return hole_drafts(work, feature, chosen, top)


CUTTING: KindCutting[Hole] = HoleCutting()
