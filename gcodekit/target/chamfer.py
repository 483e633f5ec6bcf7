"""Chamfers: a strip along an edge whose width grows with the height."""

from __future__ import annotations

import math
from dataclasses import dataclass

from manifold3d import CrossSection, Manifold
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, less
from gcodekit.job.kinds.chamfer import Chamfer
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Box
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import area_of, grown
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.setup_metal import SetupSoFar
from gcodekit.target.volumes import Extent, Finish, joined

# Steps that a chamfer's solid has: its volume is right by their middles.
STEPS = 8


@dataclass(frozen=True, slots=True)
class Bevel:
    """The solid beside the rim of `part`, in it or (`within` False) round it: as wide at a height
    as that is above `foot` times `spread`, up to `edge`."""

    part: BaseGeometry
    within: bool
    foot: float
    edge: float
    spread: float

    @property
    def levels(self) -> tuple[float, ...]:
        """Foot, middle and edge."""
        return (self.foot, (self.foot + self.edge) / 2, self.edge)

    @property
    def bounds(self) -> Box:
        """With all that it may be wide."""
        x0, y0, x1, y1 = self.part.bounds
        more = self.spread * (self.edge - self.foot)
        return (x0 - more, y0 - more, x1 + more, y1 + more)

    def section(self, z: float) -> BaseGeometry:
        """The strip at a height; none above the edge, where there is air."""
        if not self.foot <= z < self.edge:
            return EMPTY
        wide = (z - self.foot) * self.spread
        if self.within:
            return less(self.part, grown(self.part, -wide))
        return less(grown(self.part, wide), self.part)


class ChamferTarget(KindTarget[Chamfer]):
    """The strip goes all along, corners too: what is too sharp is refused before."""

    def demand(
        self, feature: Chamfer, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """The whole bevel."""
        del used, so_far, others
        edge, spread = feature.depth.top, math.tan(feature.slope)
        foot = edge - feature.width / spread
        bevel = Bevel(area_of(feature.outline), feature.side == "outside", foot, edge, spread)
        return Demand(name=feature.name, reach=0.0, required=(bevel,), along=True)

    def drawn(self, feature: Chamfer, whole: Demand) -> list[Box]:
        """Round its outline."""
        del feature
        return [body.bounds for body in whole.required]

    def in_plan(
        self, feature: Chamfer, setup: Setup, finish: Finish, extent: Extent
    ) -> CrossSection:
        """At its widest."""
        del setup, finish, extent
        return _strip(feature, feature.width)

    def solid(
        self,
        feature: Chamfer,
        setup: Setup,
        finish: Finish,
        extent: Extent,
        stock: Manifold | None = None,
    ) -> Manifold:
        """In steps; at the most all of its width down to its foot, at the least nothing."""
        del setup, finish, stock
        if extent == "least":
            return Manifold()
        edge, drop = feature.depth.top, feature.width / math.tan(feature.slope)
        steps = 1 if extent == "most" else STEPS
        layers = []
        for n in range(steps):
            share = 1.0 if extent == "most" else (n + 0.5) / steps
            layer = Manifold.extrude(_strip(feature, share * feature.width), drop / steps)
            layers.append(layer.translate((0, 0, edge - drop + n * drop / steps)))
        return joined(layers)


def _strip(chamfer: Chamfer, wide: float) -> CrossSection:
    area = planar.area_of(chamfer.outline)
    if chamfer.side == "outside":
        return area - planar.grown(area, -wide)
    return planar.grown(area, wide) - area


TARGET: KindTarget[Chamfer] = ChamferTarget()
