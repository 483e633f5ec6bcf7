"""Pockets: all inside an outline to a floor, but for islands."""

from __future__ import annotations

import math

from manifold3d import CrossSection

from gcodekit.geometry.overlay import less, union
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Box
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import area_of, tightest
from gcodekit.target.floors import to_floor
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.measured_walls import between_walls
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.setup_metal import SetupSoFar, plan
from gcodekit.target.volumes import Extent, Finish


class PocketTarget(KindTarget[Pocket]):
    """Drawn rounds must be reached, corners as far as `corner`; its islands are kept."""

    def demand(
        self, feature: Pocket, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """The outline less the islands."""
        del others
        area = less(area_of(feature.outline), union(area_of(i) for i in feature.islands))
        reach = min(
            used.cutter.radius,
            tightest(feature.area.rings, left=True, within=plan(so_far.setup)),
            math.inf if feature.corner is None else feature.corner,
        )
        return to_floor(feature, area, used, so_far.setup, reach, between_walls(feature))

    def drawn(self, feature: Pocket, whole: Demand) -> list[Box]:
        """Round its outline."""
        del whole
        return [area_of(feature.outline).bounds]

    def kept(self, feature: Pocket) -> tuple[Region, ...]:
        """Its islands."""
        return feature.islands

    def in_plan(
        self, feature: Pocket, setup: Setup, finish: Finish, extent: Extent
    ) -> CrossSection:
        """As drawn."""
        del setup, finish, extent
        return planar.area_of(feature.area)


TARGET: KindTarget[Pocket] = PocketTarget()
