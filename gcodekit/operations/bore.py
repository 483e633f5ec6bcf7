"""Bores: opened by a helix, widened if need be, and finished to size."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.shapes import circle
from gcodekit.job.kinds.bore import Bore
from gcodekit.operations.area import area_drafts
from gcodekit.operations.boring import boring_drafts
from gcodekit.operations.choosing.mouth_cutters import BORE_TO_CUTTER
from gcodekit.operations.choosing.sized_bores import for_sized_bore
from gcodekit.operations.choosing.tool_suggestions import mills_for
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.cycles import in_short_order, ream_draft, room_for_reamer
from gcodekit.operations.effort import refuse_excess
from gcodekit.operations.end_milling import EndMilled
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.outline_clearing import Area
from gcodekit.operations.planned_operation import PlanContext, PlannedOperation
from gcodekit.part.planned_solids import ask_bore
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.hole_cutting import BORING_LEFT, reaming_allowance


def bore_drafts(
    work: PlanContext, bore: Bore, chosen: Chosen, top: float
) -> list[PlannedOperation]:
    """Every place roughed and finished in one visit of each cutter."""
    places = in_short_order(work, bore.places)
    drafts = [] if chosen.opened else _milled(work, bore, chosen, places, top)
    if chosen.reamer is not None:
        drafts.append(ream_draft(work, bore, chosen.reamer, places, top))
    elif chosen.boring is not None:
        opened = chosen.opened or bore.diameter - BORING_LEFT
        drafts += boring_drafts(work, bore, chosen.boring, top, opened)
    return drafts


def _milled(
    work: PlanContext, bore: Bore, chosen: Chosen, places: tuple[Point, ...], top: float
) -> list[PlannedOperation]:
    """The milling to size, or to what a reamer or boring head is left."""
    diameter = bore.diameter
    if chosen.reamer is not None:
        diameter -= reaming_allowance(bore.diameter)
    elif chosen.boring is not None:
        diameter -= BORING_LEFT
    opened = bore
    if chosen.reamer is not None and not bore.depth.opens:
        floor = bore.depth.cut_to - room_for_reamer(work, bore, chosen.reamer)
        opened = replace(bore, depth=replace(bore.depth, cut_to=floor))
    by_label: dict[tuple[str, int], list[PlannedOperation]] = {}
    for place in places:
        area = Area(feature=opened, region=circle(diameter, centre=place), top=top, chosen=chosen)
        for draft in area_drafts(work, area):
            by_label.setdefault((draft.label, draft.cutter.number), []).append(draft)
    return [_joined(group) for group in by_label.values()]


def _joined(group: list[PlannedOperation]) -> PlannedOperation:
    moves = tuple(move for draft in group for move in draft.moves)
    return replace(group[0], moves=moves)


class BoreCutting(EndMilled[Bore]):
    """How bores are cut."""

    enclosed = True
    any_mill = True
    goes_in = "that can go in on a helix"
    how_in = " to go in on a helix"
    instead = ', or drill and ream it with kind = "hole"'

    def asked(self, feature: Bore, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """Its cylinders to their floor."""
        return ask_bore(feature, cut, around)

    def footprint(self, work: PlanContext, feature: Bore) -> BaseGeometry | None:
        """Its discs."""
        del work
        return shapely.MultiPoint(list(feature.places)).buffer(feature.widest / 2)

    def clears(self, feature: Bore) -> bool:
        """Always."""
        del feature
        return True

    def level_floor(self, feature: Bore) -> bool:
        """Tell whether an end mill finishes its floor."""
        return feature.finish_with == "end mill"

    def width(self, feature: Bore) -> float | None:
        """The widest cutter that can go in on a helix."""
        return feature.diameter / BORE_TO_CUTTER

    def obvious(
        self, work: PlanContext, feature: Bore, mills: list[Cutter], top: float
    ) -> Cutter | None:
        """The largest that goes round in it; a helix has room for any allowance."""
        fitting = [c for c in mills if c.diameter * BORE_TO_CUTTER <= feature.diameter]
        return self.to_clear(work, feature, fitting, top, lambda _: True)

    def choose(
        self, work: PlanContext, feature: Bore, top: float, footprint: BaseGeometry | None
    ) -> Chosen:
        """A mill, or with it the reamer or boring head that brings it to size."""
        if feature.finish_with == "end mill":
            return EndMilled.choose(self, work, feature, top, footprint)
        found = for_sized_bore(work, feature, top, mills=mills_for(work, 0.0))
        if not found.opened:
            refuse_excess(work, feature, found.rough, top, footprint)
        return found

    def enclosed_areas(
        self, work: PlanContext, feature: Bore, chosen: Chosen, top: float
    ) -> Iterator[Area]:
        """Each of its discs."""
        for place in feature.places:
            region = circle(feature.diameter, centre=place)
            yield Area(feature=feature, region=region, top=top, chosen=chosen)

    def drafts(
        self, work: PlanContext, feature: Bore, chosen: Chosen, top: float, around: FeatureContext
    ) -> list[PlannedOperation]:
        """Every place roughed and finished in one visit of each cutter."""
        del around
        return bore_drafts(work, feature, chosen, top)


CUTTING: KindCutting[Bore] = BoreCutting()
