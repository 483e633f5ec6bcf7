"""Slots: along their centre line with a cutter of their width, or as a narrow pocket."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Line
from gcodekit.geometry.offset import grow_chain
from gcodekit.job.kinds.slot import Slot
from gcodekit.operations.area import area_drafts
from gcodekit.operations.choosing.tool_suggestions import SAME_WIDTH
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.end_milling import EndMilled
from gcodekit.operations.engagement_clearing import NARROW_ROOM
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.measured_correction import NO_CORRECTION, correction_of
from gcodekit.operations.outline_clearing import Area
from gcodekit.operations.planned_operation import (
    PLAN_SAG,
    Phase,
    PlanContext,
    PlannedOperation,
    refuse,
)
from gcodekit.part.planned_slot import RunOn, ask_slot, runs_on
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.toolpath.kerf import OpenRun, along_one_way, along_open
from gcodekit.toolpath.path import APPROACH, Path, depth_steps
from gcodekit.trade.cutter import Cutter


def same_width(work: PlanContext, slot: Slot) -> float:
    """How far a cutter's diameter may be off the slot's width to cut it in one pass, mm."""
    return min(SAME_WIDTH, work.true_to(slot))


def slot_drafts(
    work: PlanContext, slot: Slot, chosen: Chosen, top: float, around: FeatureContext
) -> list[PlannedOperation]:
    """Full width along the centre line when the cutter is as wide as the slot, else a pocket."""
    ends = runs_on(slot, around)
    path = _extended(work, slot, chosen, work.line_in_arcs(slot, slot.path), ends)
    top = max(top, *(end.top for end in ends))
    if abs(chosen.finish.diameter - slot.width) > same_width(work, slot):
        region = grow_chain(path, slot.width / 2)
        return area_drafts(work, Area(feature=slot, region=region, top=top, chosen=chosen))
    if correction_of(slot) != NO_CORRECTION:
        raise refuse(
            slot,
            f"{work.called(chosen.finish)} is as wide as the slot, so no finishing pass can make "
            "up for what was measured",
            "give a smaller cutter, cut the slot and measure it again",
        )
    if slot.cutting.way == "constant engagement":
        raise refuse(
            slot,
            f"{work.called(chosen.finish)} is as wide as the slot, which leaves no "
            "room for constant engagement",
            "use a smaller cutter, or remove rough",
            key="rough",
        )
    return [_full_width(work, slot, chosen, path, top)]


def _full_width(
    work: PlanContext, slot: Slot, chosen: Chosen, line: Chain, top: float
) -> PlannedOperation:
    cutter = chosen.finish
    follow = work.following(cutter, slot.cutting, top - slot.depth.cut_to, in_slots=1.0)
    rates = follow.rates
    levels = depth_steps(top, slot.depth.cut_to, rates.stepdown)
    path = work.path(rates)
    if slot.cutting.direction == "conventional" and slot.ends[1] == "open":
        line = line.reversed()
    in_air = work.air.covers(shapely.Point(line.start).buffer(cutter.radius * 0.99))
    if in_air:
        _from_air(path, line, levels, top)
    else:
        along_open(path, OpenRun(line), levels, top)
    for _ in range(slot.cutting.spring_passes):
        along_one_way(path, OpenRun(line), [levels[-1]], levels[-1])
    return work.draft(slot, "clear", cutter, rates.speed, path, Phase.ROUGH, following=follow)


def _from_air(path: Path, line: Chain, levels: list[float], top: float) -> None:
    for z in levels:
        path.over(line.start)
        path.drop(top + APPROACH)
        path.sink(z, feed=path.feed)
        path.follow(line)


def _extended(
    work: PlanContext, slot: Slot, chosen: Chosen, line: Chain, ends: tuple[RunOn, RunOn]
) -> Chain:
    """The centre line, run straight on at open ends until the full width is clear of the metal."""
    first, last = ends
    path = _longer(work, slot, chosen, line, last)
    return _longer(work, slot, chosen, path.reversed(), first).reversed()


def _longer(work: PlanContext, slot: Slot, chosen: Chosen, path: Chain, end: RunOn) -> Chain:
    if end.through:
        longer = f", run out by {work.say_about(end.by)}," if end.by else ""
        raise refuse(
            slot,
            f"an open end{longer} cuts into what {end.through} keeps",
            "make that end round, or draw it where the way out is free",
            key="ends",
        )
    if end.blocked:
        raise refuse(
            slot,
            "an open end runs out into a gap too narrow for the cutter",
            "make that end round, or draw it where there is room",
            key="ends",
        )
    if end.past > chosen.finish.diameter:
        raise refuse(
            slot,
            f"an open end must run out {work.say_about(end.past)} beyond the part to clear the "
            "stock, "
            f"at most the cutter's {work.say(chosen.finish.diameter)}",
            "cut the outline before the slot, or make that end round",
            key="ends",
        )
    if end.by == 0.0:
        return path
    (x, y), (dx, dy) = path.end, path.tangent_at(path.length)
    return Chain((*path.segments, Line((x, y), (x + dx * end.by, y + dy * end.by))))


class SlotCutting(EndMilled[Slot]):
    """How slots are cut."""

    one_stroke = True
    either_way = True
    goes_in = "that fits"

    def asked(self, feature: Slot, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """Its sweep to its floor."""
        return ask_slot(feature, cut, around)

    def footprint(self, work: PlanContext, feature: Slot) -> BaseGeometry | None:
        """Its sweep, open ends not run on."""
        del work
        return shapely.LineString(feature.path.flattened(PLAN_SAG)).buffer(feature.width / 2)

    def clears(self, feature: Slot) -> bool:
        """Always."""
        del feature
        return True

    def level_floor(self, feature: Slot) -> bool:
        """Always."""
        del feature
        return True

    def width(self, feature: Slot) -> float | None:
        """Its own."""
        return feature.width

    def has_room(self, feature: Slot, cutter: Cutter, wall: float) -> bool:
        """Between its walls, at constant engagement with some to spare."""
        wide = 1 + NARROW_ROOM if feature.cutting.way == "constant engagement" else 1.0
        return wide * cutter.diameter + 2 * wall <= feature.width + SAME_WIDTH

    def obvious(
        self, work: PlanContext, feature: Slot, mills: list[Cutter], top: float
    ) -> Cutter | None:
        """The largest that goes in and has a way down."""
        widest = feature.width + same_width(work, feature)
        fitting = [c for c in mills if c.diameter < widest]
        return self.to_clear(work, feature, fitting, top, lambda c: self.leaves_room(feature, c))

    def enclosed_areas(
        self, work: PlanContext, feature: Slot, chosen: Chosen, top: float
    ) -> Iterator[Area]:
        """Of one without an open end, wider than its cutter."""
        narrower = abs(chosen.finish.diameter - feature.width) > same_width(work, feature)
        if "open" not in feature.ends and narrower:
            region = grow_chain(feature.path, feature.width / 2)
            yield Area(feature=feature, region=region, top=top, chosen=chosen)

    def drafts(
        self, work: PlanContext, feature: Slot, chosen: Chosen, top: float, around: FeatureContext
    ) -> list[PlannedOperation]:
        """Full width along the centre line when the cutter is as wide as the slot, else a
        pocket."""
        return slot_drafts(work, feature, chosen, top, around)


CUTTING: KindCutting[Slot] = SlotCutting()
