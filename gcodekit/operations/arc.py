"""Arcs: cut to a radius about a centre, in concentric passes from the raw edge inward."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.overlay import less, union
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.arc import Sector
from gcodekit.operations.choosing.tool_suggestions import ROUND_SLACK
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.end_milling import EndMilled, first
from gcodekit.operations.kind_cutting import KindCutting, Unfit
from gcodekit.operations.passage import passes
from gcodekit.operations.planned_operation import (
    PLAN_SAG,
    PlanContext,
    PlannedOperation,
    wall_allowance,
)
from gcodekit.operations.wall_clearing import WallClearing, walled_drafts
from gcodekit.operations.wall_regions import (
    gone_beside,
    run_on_regions,
    sector_region,
    swept_within,
    with_free,
)
from gcodekit.part.plane_regions import area_of
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.part.planned_walls import ask_arc
from gcodekit.trade.cutter import Cutter

# Of what the smallest mill reaches of an arc, a larger one reaches so much, or is too large for it.
# Common practice, no source.
MOST_OF_IT = 0.75


def arc_drafts(
    work: PlanContext, arc: Sector, chosen: Chosen, top: float
) -> list[PlannedOperation]:
    """Concentric passes, the last one at the radius. Where no metal is to be kept beyond an end
    the cutter leaves along the tangent, elsewhere it stops short of it, or runs on where asked."""
    drawn = sector_region(work, arc)
    # no farther than the target allows: there the cutter has just left the sector
    widest = max(chosen.rough.diameter, chosen.finish.diameter)
    region = with_free(work, arc, [drawn, *run_on_regions(work, arc, widest)])
    return walled_drafts(
        work, WallClearing(feature=arc, region=region, drawn=drawn, chosen=chosen, top=top)
    )


class ArcCutting(EndMilled[Sector]):
    """How arcs are cut."""

    to_wall = True
    roughed_larger = True
    too_large = "cannot reach everywhere"

    def asked(self, feature: Sector, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """Its sector."""
        return ask_arc(feature, cut, around)

    def clears(self, feature: Sector) -> bool:
        """Once finished: unfinished it leaves its allowance round what others keep as well."""
        return feature.cutting.finish

    def cleared(self, work: PlanContext, feature: Sector) -> Region | None:
        """Its sector."""
        return sector_region(work, feature)

    def footprint(self, work: PlanContext, feature: Sector) -> BaseGeometry | None:
        """The same of the metal."""
        return to_shapely(sector_region(work, feature), PLAN_SAG).intersection(work.metal)

    def level_floor(self, feature: Sector) -> bool:
        """Always."""
        del feature
        return True

    def runs_on(self, work: PlanContext, feature: Sector, by: float) -> list[Region]:
        """Past its open ends."""
        return run_on_regions(work, feature, by)

    def taken(
        self, feature: Sector, chosen: Chosen, asked: PlannedTarget, z: float
    ) -> BaseGeometry:
        """Past its open ends as well."""
        del feature, chosen
        return union((asked.required_at(z), asked.allowed_at(z)))

    def tightest(self, feature: Sector) -> float | None:
        """Its own radius, from inside."""
        return feature.radius if feature.side == "inside" else None

    def limits(self, feature: Sector) -> list[float]:
        """The width between its radii."""
        if feature.from_radius is None:
            return []
        return [abs(feature.radius - feature.from_radius) - 2 * ROUND_SLACK]

    def fault(self, work: PlanContext, feature: Sector, cutter: Cutter) -> Unfit | None:
        """The refusal of a cutter too wide to go in between its radii."""
        if feature.from_radius is None:
            return None
        width = abs(feature.radius - feature.from_radius)
        if cutter.diameter <= width - ROUND_SLACK:
            return None
        return (
            f"{work.called(cutter)} is too wide for the {work.say(width)} between the radii",
            lambda: (
                f"use a cutter smaller than {work.say(width)}, or remove from_radius where there "
                "is "
                'only air, or cut a groove as wide as its cutter with kind = "slot"'
            ),
        )

    def obvious(
        self, work: PlanContext, feature: Sector, mills: list[Cutter], top: float
    ) -> Cutter | None:
        """The largest that gets everywhere but into the corners at the ends, best with its
        allowance left on the wall; else that gets in."""
        del top
        drawn = sector_region(work, feature)
        region = with_free(work, feature, [drawn])
        metal = to_shapely(drawn, PLAN_SAG).intersection(work.metal)
        # into what is its own, not only into what others clear beside it
        flat = to_shapely(drawn, PLAN_SAG).union(work.air)

        def enters(cutter: Cutter) -> bool:
            return bool(flat.buffer(-cutter.radius).dwithin(metal, cutter.radius - ROUND_SLACK))

        def reached(cutter: Cutter) -> float:
            inner = flat.buffer(-cutter.radius)
            return float(inner.buffer(cutter.radius).intersection(metal).area)

        # a corner at an end may be most of what there is
        fitting = [c for c in mills if self.unfit(work, feature, c) is None and enters(c)]
        enough = MOST_OF_IT * reached(fitting[-1]) if fitting else 0.0
        most = [c for c in fitting if reached(c) >= enough]
        return (
            first(most, lambda c: passes(region, c.radius + wall_allowance(feature, c)))
            or first(most, lambda c: passes(region, c.radius))
            or first(most)
        )

    def swept(self, work: PlanContext, feature: Sector, cut: FinishingCut) -> BaseGeometry | None:
        """Within all that is free, past its open ends as well."""
        widest = max(c.radius for c in cut.cutters)
        free = [sector_region(work, feature), *run_on_regions(work, feature, 2 * widest)]
        return swept_within(with_free(work, feature, free), cut)

    def drawn_by(self, feature: Sector) -> str:
        """Its radius."""
        del feature
        return "radius"

    def in_reach(self, work: PlanContext, feature: Sector, required: BaseGeometry) -> BaseGeometry:
        """All of its own metal."""
        return less(required, union(area_of(region) for region in gone_beside(work, feature)))

    def drafts(
        self, work: PlanContext, feature: Sector, chosen: Chosen, top: float, around: FeatureContext
    ) -> list[PlannedOperation]:
        """Concentric passes, the last one at the radius."""
        del around
        return arc_drafts(work, feature, chosen, top)


CUTTING: KindCutting[Sector] = ArcCutting()
