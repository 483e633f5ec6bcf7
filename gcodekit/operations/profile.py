"""Profiles: along an outline, with tabs where asked, roughed off the wall and finished once."""

from __future__ import annotations

from collections.abc import Iterable

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import PlanError
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.offset import grow
from gcodekit.geometry.overlay import less
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.stock.raw_metal import stock_levels
from gcodekit.operations.choosing.tool_suggestions import narrower
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.closed_profile import closed_drafts
from gcodekit.operations.end_milling import EndMilled, first
from gcodekit.operations.kerf_reach import check_reach, widest_kerf
from gcodekit.operations.kind_cutting import KindCutting, Unfit
from gcodekit.operations.open_profile import open_drafts
from gcodekit.operations.passage import passes
from gcodekit.operations.planned_operation import (
    PLAN_SAG,
    PlanContext,
    PlannedOperation,
    refuse,
)
from gcodekit.part.plane_regions import area_of, grown, line_of
from gcodekit.part.planned_profile import ask_profile
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.part.profile_side import beside
from gcodekit.part.setup_stock import plan
from gcodekit.part.tab_places import tab_places
from gcodekit.trade.cutter import Cutter

# The cutter taken when none is named, mm: what a small spindle drives well.
LIKED = 6.0
# What lies so near its line may be touched by it, mm.
NEAR_LINE = 6.0
# Less metal than this in plan, mm^2, is none: what grazing along an edge takes.
GRAZED_AREA = 1e-3


def profile_drafts(
    work: PlanContext, profile: Profile, chosen: Chosen, top: float
) -> list[PlannedOperation]:
    """Rough beside the line, then finish on it."""
    if profile.path is not None:
        return open_drafts(work, profile, work.line_in_arcs(profile, profile.path), chosen, top)
    return closed_drafts(work, profile, chosen, top)


class ProfileCutting(EndMilled[Profile]):
    """How profiles are cut."""

    follows_line = True
    one_stroke = True

    def asked(self, feature: Profile, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """Its kerf, but for what holds its piece."""
        return ask_profile(feature, cut, around)

    def footprint(self, work: PlanContext, feature: Profile) -> BaseGeometry | None:
        """The area near its line."""
        del work
        lines = [shapely.LineString(c.flattened(PLAN_SAG)) for c in feature.chains]
        return shapely.union_all(lines).buffer(NEAR_LINE)

    def taken(
        self, feature: Profile, chosen: Chosen, asked: PlannedTarget, z: float
    ) -> BaseGeometry:
        """All of its kerf, as wide as it is roughed."""
        return less(widest_kerf(feature, chosen), asked.kept_at(z))

    def rounds(self, feature: Profile) -> Iterable[tuple[Chain, bool]]:
        """Those of its line, on its cutter's side."""
        if feature.side == "on":
            return []
        return [(chain, feature.side in ("inside", "left")) for chain in feature.chains]

    def widest_area(self, feature: Profile) -> Region | None:
        """Within an outline that it goes round inside."""
        return feature.outline if feature.side == "inside" else None

    def fault(self, work: PlanContext, feature: Profile, cutter: Cutter) -> Unfit | None:
        """The refusal of a cutter that cannot reach everywhere inside."""
        outline = self.widest_area(feature)
        if outline is None or len(grow(outline, -cutter.radius).parts) == len(outline.parts):
            return None
        text = f"{work.called(cutter)} cannot reach everywhere inside the outline"
        return text, lambda: narrower(work, outline, cutter)

    def has_room(self, feature: Profile, cutter: Cutter, wall: float) -> bool:
        """Inside an outline wherever it passes."""
        outline = self.widest_area(feature)
        return outline is None or passes(outline, cutter.radius + wall)

    def why(self, feature: Profile) -> str:
        """Outside and along a path not the largest."""
        if feature.side == "inside":
            return ""
        return (
            "of those that cut the outline true, the nearest to a size that a small spindle "
            "drives well"
        )

    def obvious(
        self, work: PlanContext, feature: Profile, mills: list[Cutter], top: float
    ) -> Cutter | None:
        """The one nearest to what a small spindle drives well."""
        del top
        liked = sorted(mills, key=lambda c: abs(c.diameter - LIKED))
        fitting = [c for c in liked if self.unfit(work, feature, c) is None]
        return first(fitting, lambda c: self.leaves_room(feature, c)) or first(fitting)

    def choose(
        self, work: PlanContext, feature: Profile, top: float, footprint: BaseGeometry | None
    ) -> Chosen:
        """The cutters as of any kind; refuses tabs without room."""
        found = EndMilled.choose(self, work, feature, top, footprint)
        widest = max(found.finish.radius, found.rough.radius)
        tab_places(feature, widest, units=work.job.units)
        return found

    def misses(self, work: PlanContext, feature: Profile, chosen: Chosen) -> PlanError | None:
        """The refusal of a profile whose cutter runs beside the stock."""
        kerf = beside(feature).band(0.0, chosen.finish.diameter)
        if kerf.intersection(work.metal).area > GRAZED_AREA:
            return None
        return refuse(
            feature,
            f"{feature.name} cuts nothing: its cutter runs beside the stock",
            "check its side and the place of the outline",
            key="side",
        )

    def check_beside(
        self, work: PlanContext, feature: Profile, chosen: Chosen, around: FeatureContext
    ) -> None:
        """Check its roughing, and its cutter past the ends of a path."""
        check_reach(work, feature, chosen, around)

    def swept(self, work: PlanContext, feature: Profile, cut: FinishingCut) -> BaseGeometry | None:
        """Along its line; a side along the metal's edge leaves corners that are open to the
        outside."""
        if feature.side == "on":
            return None
        outline, path = feature.outline, feature.path
        drawn = area_of(outline) if outline is not None else line_of(path) if path else None
        inside = drawn is not None and plan(work.setup).contains_properly(drawn)
        if inside and not stock_levels(work.setup.left):
            return None
        radius = cut.cutter.radius
        return grown(beside(feature).path(radius + cut.left), radius)

    def drawn_by(self, feature: Profile) -> str:
        """Its path or its outline."""
        return "path" if feature.path is not None else "outline"

    def drafts(
        self,
        work: PlanContext,
        feature: Profile,
        chosen: Chosen,
        top: float,
        around: FeatureContext,
    ) -> list[PlannedOperation]:
        """Roughed beside the line, then finished on it."""
        del around
        return profile_drafts(work, feature, chosen, top)


CUTTING: KindCutting[Profile] = ProfileCutting()
