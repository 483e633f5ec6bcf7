"""Grooves along the middle of lines: as wide at every height as the drawing's line and the cutter's
shape make them."""

from __future__ import annotations

import math
from abc import abstractmethod
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

import shapely
from manifold3d import CrossSection, Manifold
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY
from gcodekit.job.features.engraved import Engraved
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Box
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.disc_sweep import by_segments
from gcodekit.target.drawn_areas import quarter
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.setup_metal import SetupSoFar
from gcodekit.target.volumes import Extent, Finish, joined
from gcodekit.trade.cutter import Cutter

E = TypeVar("E", bound=Engraved)

# Steps that a groove's solid has: its volume is right by their middles.
GROOVE_STEPS = 4


@dataclass(frozen=True, slots=True)
class Groove:
    """Along `middles`, `half` to either side by the height over its floor, from `floor` up to, not
    with, `surface`."""

    middles: BaseGeometry
    half: Callable[[float], float]
    floor: float
    surface: float
    _found: dict[float, BaseGeometry] = field(
        init=False, default_factory=dict, compare=False, repr=False
    )

    @property
    def levels(self) -> tuple[float, ...]:
        """Floor, middle and surface: it only grows upwards."""
        return (self.floor, (self.floor + self.surface) / 2, self.surface)

    @property
    def bounds(self) -> Box:
        """As wide as it is in the surface."""
        x0, y0, x1, y1 = self.middles.bounds
        half = self.half(self.surface - self.floor)
        return (x0 - half, y0 - half, x1 + half, y1 + half)

    def section(self, z: float) -> BaseGeometry:
        """Every line with round ends; none above the surface, where there is air."""
        half = self.half(z - self.floor)
        if not self.floor <= z < self.surface or half <= 0:
            return EMPTY
        if z not in self._found:
            self._found[z] = by_segments(self.middles, half, chords=quarter(half))
        return self._found[z]


def groove(feature: Engraved, middles: BaseGeometry, cutter: Cutter) -> Groove:
    """The groove of a feature. Where its line's width is given the cone follows from that: half of
    it in the surface, less by the cone's slope below, as far down as the tip is wide."""
    surface = feature.depth.top
    if feature.line_width is None:
        return Groove(middles, cutter.radius_at, feature.depth.cut_to, surface)
    slope = math.tan(cutter.tip_angle / 2)
    half, tip = feature.line_width / 2, cutter.tip_diameter / 2
    deep = (half - tip) / slope
    return Groove(middles, lambda over: half - (deep - over) * slope, surface - deep, surface)


class GrooveTarget(KindTarget[E]):
    """All its lines go, to their depth; nothing beside them may."""

    @abstractmethod
    def middles(self, feature: E) -> BaseGeometry:
        """The middles of all lines, from what is drawn."""

    def demand(
        self, feature: E, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """The whole groove."""
        del so_far, others
        whole = groove(feature, self.middles(feature), used.cutter)
        return Demand(name=feature.name, reach=0.0, required=(whole,), along=True)

    def drawn(self, feature: E, whole: Demand) -> list[Box]:
        """Round its lines."""
        del feature
        return [body.bounds for body in whole.required]

    def in_plan(self, feature: E, setup: Setup, finish: Finish, extent: Extent) -> CrossSection:
        """At its widest."""
        del setup, extent
        return _plan(self._groove(feature, finish), 1.0)

    def solid(
        self,
        feature: E,
        setup: Setup,
        finish: Finish,
        extent: Extent,
        stock: Manifold | None = None,
    ) -> Manifold:
        """In steps; at the most all of its width down to its floor, at the least nothing."""
        del setup, stock
        if extent == "least":
            return Manifold()
        whole = self._groove(feature, finish)
        steps = 1 if extent == "most" else GROOVE_STEPS
        high = (whole.surface - whole.floor) / steps
        layers = []
        for n in range(steps):
            share = 1.0 if extent == "most" else (n + 0.5) / steps
            layer = Manifold.extrude(_plan(whole, share), high)
            layers.append(layer.translate((0, 0, whole.floor + n * high)))
        return joined(layers)

    def _groove(self, feature: E, finish: Finish) -> Groove:
        if finish.cutter is None:
            raise ValueError(f"{feature.name}: the shape of its cutter is not known")
        return groove(feature, self.middles(feature), finish.cutter)


def _plan(whole: Groove, share: float) -> CrossSection:
    """Its width at a share of its height."""
    half = whole.half(share * (whole.surface - whole.floor))
    swept = by_segments(whole.middles, half, chords=max(2, planar.chords(half) // 4))
    return planar.area_from(shapely.make_valid(swept))
