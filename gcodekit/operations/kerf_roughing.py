"""Roughing a profile's kerf, closed or open: with what, how wide, over which tabs."""

from __future__ import annotations

from dataclasses import dataclass, replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain
from gcodekit.job.kinds.profile import Profile
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.planned_operation import (
    Phase,
    PlanContext,
    PlannedOperation,
    refuse,
    wall_allowance,
)
from gcodekit.operations.wide_kerf import WideKerf, beyond_kerf
from gcodekit.part.profile_side import beside
from gcodekit.part.tab_cores import core_of
from gcodekit.part.tab_places import tab_places
from gcodekit.toolpath.kerf import Span, spans_beside
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.slotting_rates import SlottingRates

# A way round less than this long, mm, off all tabs is none.
LEAST_RUN = 0.01


@dataclass(frozen=True, slots=True)
class KerfRoughing:
    """The roughing of a profile's kerf: cutter, allowance and top."""

    profile: Profile
    chosen: Chosen
    top: float

    @property
    def finishing(self) -> bool:
        """Tell whether a finishing pass follows."""
        cutting = self.profile.cutting
        return self.profile.side != "on" and cutting.finish and cutting.rough

    @property
    def wall(self) -> float:
        """The allowance left on the line, mm."""
        leave = self.profile.side != "on" and self.profile.cutting.rough
        return wall_allowance(self.profile, self.chosen.rough) if leave else 0.0

    @property
    def cutter(self) -> Cutter:
        """The one that goes into whole metal."""
        rough = self.finishing or not self.profile.cutting.finish
        return self.chosen.rough if rough else self.chosen.finish

    @property
    def widest(self) -> float:
        """The largest radius: roughing and finishing must leave the same tabs."""
        return max(self.chosen.rough.radius, self.chosen.finish.radius)

    @property
    def label(self) -> str:
        """The label of its operation."""
        return "rough" if self.finishing else "cut"

    def follow(self, work: PlanContext) -> SlottingRates:
        """The feeds of the kerf: in solid stock it is a full-width cut all the way."""
        figures = self.chosen.figures(self.cutter, self.profile.cutting)
        height = self.top - self.profile.depth.cut_to
        return work.following(self.cutter, figures, height, in_slots=1.0)

    def evenly(
        self, work: PlanContext, phase: Phase
    ) -> tuple[list[PlannedOperation], BaseGeometry, bool]:
        """Cut the kerf at constant engagement, where that is wanted; returns what is open then, and
        whether stock is left for passes along the line."""
        profile = self.profile
        if not beyond_kerf(profile, self.chosen):
            return [], shapely.Polygon(), True
        kerf = WideKerf(
            profile=profile,
            chosen=self.chosen,
            cutter=self.cutter,
            top=self.top,
            wall=self.wall,
            tab_top=top_of_tabs(work, profile),
            cores=lambda width: tab_cores(profile, width, self.widest),
        )
        drafts, opened, left = kerf.cut(work)
        drafts = [replace(d, label=self.label, phase=phase) for d in drafts]
        again = not self.finishing and profile.cutting.spring_passes > 0
        return drafts, opened, left or again


def too_big(work: PlanContext, profile: Profile, cutter: Cutter, where: str) -> Exception:
    """The error that a cutter does not fit there."""
    return refuse(
        profile,
        f"{work.called(cutter)} does not fit {where}",
        "use a smaller cutter",
    )


def tab_cores(profile: Profile, width: float, widest: float) -> BaseGeometry:
    """The tabs in plan, across a kerf of that width beside the outline."""
    if profile.tabs is None:
        return shapely.Polygon()
    line, half = beside(profile), profile.tabs.width / 2
    kerf = line.band(0.0, width)
    places = tab_places(profile, widest)
    cores = (core_of(tab, line, kerf, half=half, radius=width / 2) for tab in places)
    return shapely.union_all(list(cores))


def tab_spans(
    work: PlanContext, profile: Profile, ring: Chain, cores: BaseGeometry, cutter: Cutter
) -> tuple[Span, ...]:
    """The spans where the cutter has to rise over tabs; refuses tabs that leave it no room to go
    down."""
    spans = spans_beside(ring, cores, cutter.radius)
    if sum(end - start for start, end in spans) > ring.length - LEAST_RUN:
        raise refuse(
            profile,
            f"{work.called(cutter)} has no room to go down between the tabs",
            "use fewer or narrower tabs, or a smaller cutter",
            key="tabs",
        )
    return spans


def top_of_tabs(work: PlanContext, profile: Profile) -> float:
    """z; 0 where there are none."""
    return work.setup.left.low[2] + profile.tabs.height if profile.tabs is not None else 0.0
