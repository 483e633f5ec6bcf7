"""Bosses: clear round what stays standing, from the metal's edge inward or inside a rim."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.boss import Boss
from gcodekit.operations.area import area_drafts
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.end_milling import EndMilled, first
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.outline_clearing import Area
from gcodekit.operations.planned_operation import PLAN_SAG, Phase, PlanContext, PlannedOperation
from gcodekit.operations.wall_clearing import WallClearing, walled_drafts
from gcodekit.operations.wall_regions import (
    METAL_OVERLAP,
    gone_beside,
    outline_at,
    round_boss,
    swept_within,
    with_free,
)
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.part.planned_walls import ask_boss
from gcodekit.trade.cutter import Cutter


def boss_drafts(
    work: PlanContext, boss: Boss, chosen: Chosen, top: float
) -> list[PlannedOperation]:
    """Cut from outside inward where there is an outside; within a rim in the stock as a pocket with
    islands."""
    drafts = _drafts(work, boss, chosen, top)
    # cut through all round, the part is free: that comes last
    return [replace(d, phase=Phase.FREE) for d in drafts] if boss.depth.through else drafts


def _drafts(work: PlanContext, boss: Boss, chosen: Chosen, top: float) -> list[PlannedOperation]:
    drawn = round_boss(work, boss)
    # a lying bar's flank has its edge at the floor further in than in plan; a rim on the edge is
    # run out over
    metal = to_shapely(outline_at(work, boss.depth.cut_to), PLAN_SAG).buffer(-METAL_OVERLAP)
    if not gone_beside(work, boss) and metal.covers(to_shapely(drawn, PLAN_SAG)):
        return area_drafts(work, Area(feature=boss, region=drawn, top=top, chosen=chosen))
    region = with_free(work, boss, [drawn])
    return walled_drafts(
        work, WallClearing(feature=boss, region=region, drawn=drawn, chosen=chosen, top=top)
    )


class BossCutting(EndMilled[Boss]):
    """How bosses are cut."""

    to_wall = True
    roughed_larger = True

    def asked(self, feature: Boss, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """All round it."""
        return ask_boss(feature, cut, around)

    def clears(self, feature: Boss) -> bool:
        """Once finished: unfinished it leaves its allowance round what others keep as well."""
        return feature.cutting.finish

    def cleared(self, work: PlanContext, feature: Boss) -> Region | None:
        """All round it, and round what others keep."""
        return round_boss(work, feature)

    def footprint(self, work: PlanContext, feature: Boss) -> BaseGeometry | None:
        """The same of the metal."""
        return to_shapely(round_boss(work, feature), PLAN_SAG).intersection(work.metal)

    def level_floor(self, feature: Boss) -> bool:
        """Always."""
        del feature
        return True

    def rounds(self, feature: Boss) -> Iterable[tuple[Chain, bool]]:
        """Its own from outside, those of its rim from inside."""
        rim = feature.within.rings if feature.within else ()
        return [*((ring, False) for ring in feature.kept.rings), *((ring, True) for ring in rim)]

    def area(self, work: PlanContext, feature: Boss, cutter: Cutter) -> Region | None:
        """All that it clears."""
        del cutter
        return round_boss(work, feature)

    def obvious(
        self, work: PlanContext, feature: Boss, mills: list[Cutter], top: float
    ) -> Cutter | None:
        """The largest that passes everywhere."""
        del top
        return first(
            mills,
            lambda c: self.unfit(work, feature, c) is None and self.passes_in(work, feature, c),
        )

    def swept(self, work: PlanContext, feature: Boss, cut: FinishingCut) -> BaseGeometry | None:
        """Within all that is free."""
        return swept_within(with_free(work, feature, [round_boss(work, feature)]), cut)

    def drafts(
        self, work: PlanContext, feature: Boss, chosen: Chosen, top: float, around: FeatureContext
    ) -> list[PlannedOperation]:
        """From outside inward where there is an outside; within a rim in the metal as a pocket
        with islands."""
        del around
        return boss_drafts(work, feature, chosen, top)


CUTTING: KindCutting[Boss] = BossCutting()
