"""Faces: all metal over a floor, within an outline or all over."""

from __future__ import annotations

from manifold3d import CrossSection

from gcodekit.job.kinds.face import Face
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Box
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import area_of, framed, tightest
from gcodekit.target.floors import ASKED_BEYOND, to_floor
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.measured_walls import floor_alone
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.setup_metal import SetupSoFar, plan
from gcodekit.target.volumes import Extent, Finish, everywhere


class FaceTarget(KindTarget[Face]):
    """It takes from the top alone, what stands above `top` as well."""

    trims = True

    def demand(
        self, feature: Face, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """All metal over the floor under the outline, or over all of it."""
        del others
        setup, reach, moved = so_far.setup, used.cutter.radius, floor_alone(feature)
        whole = plan(setup)
        if feature.outline is None:
            return to_floor(feature, framed(whole, ASKED_BEYOND), used, setup, reach, moved)
        reach = min(reach, tightest(feature.outline.rings, left=True, within=whole))
        return to_floor(feature, area_of(feature.outline), used, setup, reach, moved)

    def drawn(self, feature: Face, whole: Demand) -> list[Box]:
        """Round its outline."""
        del whole
        return [] if feature.outline is None else [area_of(feature.outline).bounds]

    def beyond(self, feature: Face, used: FeatureCutters) -> float:
        """A whole cutter: a spiral's first ring lies outside its outline by less than a radius,
        and is come to from a whole cutter farther out."""
        del feature
        return 2 * used.widest

    def in_plan(self, feature: Face, setup: Setup, finish: Finish, extent: Extent) -> CrossSection:
        """Its outline, or everywhere."""
        del finish, extent
        outline = feature.outline
        return everywhere(setup) if outline is None else planar.area_of(outline)


TARGET: KindTarget[Face] = FaceTarget()
