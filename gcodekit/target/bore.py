"""Bores: full diameter to the depth; a point or a reamer's lead below it."""

from __future__ import annotations

from manifold3d import CrossSection

from gcodekit.job.kinds.bore import Bore
from gcodekit.job.model import Setup
from gcodekit.target.bodies import DemandBody, Upright
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import discs
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.measured_walls import between_walls
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.round_holes import RoundTarget, below, cylinder, drilled_to
from gcodekit.target.setup_metal import SetupSoFar
from gcodekit.target.volumes import Extent, Finish
from gcodekit.trade.cutter import SIDE_MILLS, Cutter


class BoreTarget(RoundTarget[Bore]):
    """A mill goes round in it and reaches all of it; it may go deeper for a reamer."""

    def demand(
        self, feature: Bore, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """Full diameter to the depth; a point or a reamer's lead below it."""
        del so_far, others
        deep = drilled_to(feature, used)
        return cylinder(
            feature,
            used,
            tuple(p for c in used.cutters for p in _below(feature, c, deep)),
            between_walls(feature),
        )

    def low(self, feature: Bore, finish: Finish, extent: Extent, setup: Setup) -> float:
        """To its depth."""
        low = super().low(feature, finish, extent, setup)
        # a drill or an end mill opens it for the reamer, deeper by lead and chips
        return low - feature.diameter if extent == "most" else low

    def reached(self, area: CrossSection, setup: Setup, finish: Finish) -> CrossSection:
        """All of it."""
        del setup, finish
        return area


def _below(bore: Bore, cutter: Cutter, deep: float) -> tuple[DemandBody, ...]:
    """The solid that a cutter may take below the depth of full diameter."""
    if cutter.kind not in SIDE_MILLS:
        return below(bore, cutter, deep)
    # the mill that opens a blind bore for its reamer
    floor = bore.depth.cut_to
    return (Upright(discs(bore.places, bore.diameter / 2), deep, floor),) if deep < floor else ()


TARGET: KindTarget[Bore] = BoreTarget()
