"""Pockets: clear to a flat floor, islands left standing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.boolean import common, union
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.operations.area import area_drafts
from gcodekit.operations.choosing.tool_suggestions import ROUND_SLACK, narrower
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.end_milling import EndMilled
from gcodekit.operations.kind_cutting import KindCutting, Unfit
from gcodekit.operations.outline_clearing import Area
from gcodekit.operations.passage import passes
from gcodekit.operations.planned_operation import PLAN_SAG, PlanContext, PlannedOperation
from gcodekit.operations.run_out_clearance import off_holdings
from gcodekit.operations.wall_regions import bored_beside, gone_beside, run_out, swept_within
from gcodekit.part.planned_solids import ask_pocket
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.trade.cutter import Cutter

# So much farther than a cutter's width into what others clear, mm: the cutter then passes the place
# where they meet without seeing where this ends.
FITTED = 1.0


def _with_beside(work: PlanContext, pocket: Pocket, radius: float, top: float) -> Region:
    """The pocket, and a cutter's width of what others clear as deep where they meet: where they do
    there is no corner, and no cutter's radius stays in it."""
    beside = gone_beside(work, pocket) + bored_beside(work, pocket)
    if not beside or top < work.setup.left.high[2]:
        # how high metal stands over the others is not known here
        return pocket.area
    near = grow(pocket.area, 2 * radius + FITTED)
    close = (region for region in beside if region.may_meet(near))
    touching = [part for region in close if not (part := common([region, near])).empty]
    return union([pocket.area, *touching]) if touching else pocket.area


def pocket_area(work: PlanContext, pocket: Pocket, chosen: Chosen, top: float) -> Area:
    """The area cleared of a pocket; it is open where its outline meets the edge of the stock."""
    radius = max(chosen.rough.radius, chosen.finish.radius)
    area = work.in_arcs(pocket, _with_beside(work, pocket, radius, top), inward=True)
    region = run_out(area, work, radius, pocket.depth.cut_to)
    region = off_holdings(work, pocket, region, {chosen.rough, chosen.finish})
    return Area(feature=pocket, region=region, top=top, chosen=chosen)


class PocketCutting(EndMilled[Pocket]):
    """How pockets are cut."""

    enclosed = True
    either_way = True
    roughed_larger = True
    any_mill = True

    def asked(self, feature: Pocket, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """Its area to its floor."""
        return ask_pocket(feature, cut, around)

    def footprint(self, work: PlanContext, feature: Pocket) -> BaseGeometry | None:
        """Its area."""
        del work
        return to_shapely(feature.area, PLAN_SAG)

    def clears(self, feature: Pocket) -> bool:
        """Always."""
        del feature
        return True

    def cleared(self, work: PlanContext, feature: Pocket) -> Region | None:
        """Its area."""
        del work
        return feature.area

    def level_floor(self, feature: Pocket) -> bool:
        """Always."""
        del feature
        return True

    def rounds(self, feature: Pocket) -> Iterable[tuple[Chain, bool]]:
        """Those of its outlines, from inside."""
        return [(ring, True) for ring in feature.area.rings]

    def area(self, work: PlanContext, feature: Pocket, cutter: Cutter) -> Region | None:
        """As drawn."""
        del work, cutter
        return feature.area

    def limits(self, feature: Pocket) -> list[float]:
        """The largest radius that its corners may keep."""
        return [] if feature.corner is None else [2 * feature.corner]

    def fault(self, work: PlanContext, feature: Pocket, cutter: Cutter) -> Unfit | None:
        """The refusal of a cutter that leaves corners too large, or does not go in."""
        area, corner, called = feature.area, feature.corner, work.called(cutter)
        if corner is not None and cutter.radius > corner + ROUND_SLACK:
            return (
                f"{called} leaves corners of radius {work.say(cutter.radius)}, "
                f"at most {work.say(corner)} allowed",
                lambda: (
                    f"use a cutter of {work.say(2 * corner)} or less, or set corner = "
                    f"{work.say(cutter.radius).split()[0]}"
                ),
            )
        if grow(area, -cutter.radius).empty:
            return f"{called} does not fit into the pocket", lambda: narrower(work, area, cutter)
        return None

    def has_room(self, feature: Pocket, cutter: Cutter, wall: float) -> bool:
        """Wherever it passes."""
        return passes(feature.area, cutter.radius + wall)

    def obvious(
        self, work: PlanContext, feature: Pocket, mills: list[Cutter], top: float
    ) -> Cutter | None:
        """The largest that passes everywhere and has a way in."""
        fitting = [
            c
            for c in mills
            if self.unfit(work, feature, c) is None and passes(feature.area, c.radius)
        ]
        return self.to_clear(work, feature, fitting, top, lambda c: self.leaves_room(feature, c))

    def enclosed_areas(
        self, work: PlanContext, feature: Pocket, chosen: Chosen, top: float
    ) -> Iterator[Area]:
        """All of it."""
        yield pocket_area(work, feature, chosen, top)

    def swept(self, work: PlanContext, feature: Pocket, cut: FinishingCut) -> BaseGeometry | None:
        """Within its outlines, run out over the metal's edge."""
        area = work.in_arcs(feature, feature.area, inward=True)
        widest = max(c.radius for c in cut.cutters)
        return swept_within(run_out(area, work, widest, feature.depth.cut_to), cut)

    def drafts(
        self, work: PlanContext, feature: Pocket, chosen: Chosen, top: float, around: FeatureContext
    ) -> list[PlannedOperation]:
        """Roughed and finished."""
        del around
        return area_drafts(work, pocket_area(work, feature, chosen, top))


CUTTING: KindCutting[Pocket] = PocketCutting()
