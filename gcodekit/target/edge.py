"""Edges: everything on the far side of a plane."""

from __future__ import annotations

import math

from manifold3d import CrossSection

from gcodekit.job.kinds.edge import Edge
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Box
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import rectangle
from gcodekit.target.floors import ASKED_BEYOND, to_floor
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.measured_walls import floor_alone
from gcodekit.target.neighbours import Neighbours, kept_beside
from gcodekit.target.setup_metal import SetupSoFar, plan
from gcodekit.target.volumes import Extent, Finish, beyond_stock


class EdgeTarget(KindTarget[Edge]):
    """It takes from one side alone, and has no end there."""

    trims = True

    def demand(
        self, feature: Edge, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """Everything on the far side of the plane."""
        del others
        x0, y0, x1, y1 = plan(so_far.setup).bounds
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        far = math.dist((x0, y0), (x1, y1)) + math.dist(feature.point, middle) + ASKED_BEYOND
        area = rectangle(feature.point, feature.away, (0.0, far), far)
        reach = used.cutter.radius
        return to_floor(feature, area, used, so_far.setup, reach, floor_alone(feature))

    def drawn(self, feature: Edge, whole: Demand) -> list[Box]:
        """None."""
        del feature, whole
        return []

    def in_plan(self, feature: Edge, setup: Setup, finish: Finish, extent: Extent) -> CrossSection:
        """The area beyond the plane as far as the stock goes, less what others keep."""
        del finish
        far = 2 * beyond_stock(feature.point, setup)
        (x, y), (dx, dy) = feature.point, feature.away
        middle = (x + dx * far / 2, y + dy * far / 2)
        area = planar.turned_box(middle, feature.away, far, 2 * far)
        return area if extent == "most" else area - planar.union(kept_beside(feature, setup))


TARGET: KindTarget[Edge] = EdgeTarget()
