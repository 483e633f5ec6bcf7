"""A profile's kerf cut at constant engagement: wider than the cutter, in loops that meet the metal
at no more than the angle of their width."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.region import Region
from gcodekit.job.kinds.profile import Profile
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.engagement_clearing import (
    ENGAGEMENT_SPARE,
    engagement_rates,
    evenly,
    left_over,
    taken_along,
)
from gcodekit.operations.outline_clearing import Area
from gcodekit.operations.planned_operation import PlanContext, PlannedOperation, refuse
from gcodekit.part.plane_regions import lead_radius
from gcodekit.part.profile_side import beside
from gcodekit.toolpath.engagement_passes.remaining_stock import FINE_CHORDS
from gcodekit.toolpath.entry import HELIX_NARROWEST
from gcodekit.trade.cutter import Cutter

# What a wide kerf stays inside what leads may take beside it, mm.
INSIDE_LEADS = 0.05
# Tabs are left a little wide, mm, as passes keep off walls.
BESIDE_TABS = 0.01

Cores = Callable[[float], BaseGeometry]


def beyond_kerf(profile: Profile, chosen: Chosen) -> float:
    """How much wider than the roughing cutter a profile's kerf is roughed, mm: by what the leads of
    the finishing pass may need as well."""
    if profile.cutting.way != "constant engagement":
        return 0.0
    return lead_radius(chosen.finish) - INSIDE_LEADS


@dataclass(frozen=True, slots=True, kw_only=True)
class WideKerf:
    """`wall` is left on the drawn line, mm; `cores` gives tabs across a kerf of a width, up to
    `tab_top`."""

    profile: Profile
    chosen: Chosen
    cutter: Cutter
    top: float
    wall: float
    tab_top: float
    cores: Cores

    def cut(self, work: PlanContext) -> tuple[list[PlannedOperation], BaseGeometry, bool]:
        """The kerf down to its depth; what is open all the way then; and whether metal is left
        that the cutter reaches on its way along the line."""
        depth, tabbed = self.profile.depth, self.profile.tabs is not None
        low = max(depth.cut_to, self.tab_top) if tabbed else depth.cut_to
        room = self._room(work)
        drafts, opened = self._down(work, self.top, low, room)
        if low > depth.cut_to:
            beside_tabs = room.difference(self._kept)
            more, opened = self._down(work, low, depth.cut_to, beside_tabs)
            drafts += more
        return (
            [replace(d, how="constant engagement") for d in drafts],
            opened,
            self._left(work, opened),
        )

    @property
    def _width(self) -> float:
        """The distance from the drawn line to the kerf's other side, mm."""
        return self.wall + self.cutter.diameter + beyond_kerf(self.profile, self.chosen)

    @property
    def _kept(self) -> BaseGeometry:
        """The area beside tabs where the centre must not be."""
        return self.cores(self._width).buffer(self.cutter.radius + BESIDE_TABS, quad_segs=64)

    def _room(self, work: PlanContext) -> BaseGeometry:
        """The area where the centre may be."""
        near, far = (
            self.wall + self.cutter.radius + ENGAGEMENT_SPARE,
            self._width - self.cutter.radius,
        )
        if far - near < 2 * HELIX_NARROWEST * self.cutter.radius:
            raise refuse(
                self.profile,
                f"the kerf has no room for {work.called(self.cutter)} at constant engagement "
                "beside "
                f"{work.called(self.chosen.finish)}, which finishes it",
                "use the same cutter for both, or remove rough",
                key="rough",
            )
        return beside(self.profile).band(near, far)

    def _area(self, top: float) -> Area:
        outline = self.profile.outline or Region()
        return Area(feature=self.profile, region=outline, top=top, chosen=self.chosen)

    def _down(
        self, work: PlanContext, top: float, floor: float, room: BaseGeometry
    ) -> tuple[list[PlannedOperation], BaseGeometry]:
        area, over = self._area(top), floor - self.profile.depth.cut_to
        return evenly(
            work,
            area,
            self.cutter,
            engagement_rates(work, area, self.cutter, over),
            over,
            room=room,
            clear=work.air,
            lowered=work.air,
            wall=self.wall,
        )

    def _left(self, work: PlanContext, opened: BaseGeometry) -> bool:
        radius = self.cutter.radius
        way = beside(self.profile).path(radius + self.wall)
        if self.profile.tabs is not None:
            way = way.difference(self._kept)
        swept = way.buffer(radius, quad_segs=FINE_CHORDS)
        uncut = swept.difference(shapely.union_all([opened, work.air]))
        area = self._area(self.top)
        if taken_along(area, self.wall):
            # beside a tab the finishing pass takes no more than along the line
            return not uncut.buffer(-self.wall / 2).is_empty
        return not left_over(work, area, uncut, self.wall).is_empty
