"""Edges: one side milled back to a plane, in straight passes from the raw edge inward."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.edge import Edge
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.end_milling import EndMilled, first
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.planned_operation import PLAN_SAG, PlanContext, PlannedOperation
from gcodekit.operations.wall_clearing import WallClearing, walled_drafts
from gcodekit.operations.wall_regions import beyond_plane
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.part.planned_walls import ask_edge
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.rates import Rates


def edge_drafts(
    work: PlanContext, edge: Edge, chosen: Chosen, top: float
) -> list[PlannedOperation]:
    """Passes along the plane, run past the metal at both ends, the last one on it."""
    drawn = beyond_plane(work, edge)
    return walled_drafts(
        work, WallClearing(feature=edge, region=drawn, drawn=drawn, chosen=chosen, top=top)
    )


class EdgeCutting(EndMilled[Edge]):
    """How edges are cut."""

    to_wall = True

    def asked(self, feature: Edge, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """All beyond its plane."""
        return ask_edge(feature, cut, around)

    def clears(self, feature: Edge) -> bool:
        """Once finished: unfinished it leaves its allowance round what others keep as well."""
        return feature.cutting.finish

    def cleared(self, work: PlanContext, feature: Edge) -> Region | None:
        """All beyond its plane."""
        return beyond_plane(work, feature)

    def footprint(self, work: PlanContext, feature: Edge) -> BaseGeometry | None:
        """The same of the metal."""
        return to_shapely(beyond_plane(work, feature), PLAN_SAG).intersection(work.metal)

    def level_floor(self, feature: Edge) -> bool:
        """Always."""
        del feature
        return True

    def obvious(
        self, work: PlanContext, feature: Edge, mills: list[Cutter], top: float
    ) -> Cutter | None:
        """The largest."""
        del work, feature, top
        return first(mills)

    def widest_cut(self, feature: Edge, cutter: Cutter, rates: Rates) -> float:
        """From outside inward."""
        del feature
        return min(rates.stepover, cutter.diameter)

    def drafts(
        self, work: PlanContext, feature: Edge, chosen: Chosen, top: float, around: FeatureContext
    ) -> list[PlannedOperation]:
        """Passes along the plane, run past the metal at both ends, the last one on it."""
        del around
        return edge_drafts(work, feature, chosen, top)


CUTTING: KindCutting[Edge] = EdgeCutting()
