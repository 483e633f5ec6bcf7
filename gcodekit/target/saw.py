"""Saw cuts: the blade's way from the line its rim reaches out of the work, between two heights."""

from __future__ import annotations

import math

from manifold3d import CrossSection, Manifold
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.job.kinds.saw import Saw
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Box, Upright
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import grown, rectangle
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.neighbours import Neighbours
from gcodekit.target.setup_metal import SetupSoFar, plan
from gcodekit.target.volumes import Extent, Finish, beyond_stock
from gcodekit.units import Units


class SawTarget(KindTarget[Saw]):
    """The kerf is as thick as the blade is and as round at its ends: nothing more may go."""

    def demand(
        self, feature: Saw, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """All that the blade passes over, no higher and no lower."""
        del others
        x0, y0, x1, y1 = plan(so_far.setup).bounds
        corners = ((x0, y0), (x0, y1), (x1, y0), (x1, y1))
        far = max(math.dist(feature.start, corner) for corner in corners) + feature.diameter
        low, high = feature.depth.floor, feature.depth.top
        return Demand(
            name=feature.name,
            reach=used.cutter.radius,
            required=(Upright(_passed_over(feature, far), low, high),),
        )

    def drawn(self, feature: Saw, whole: Demand) -> list[Box]:
        """Round its line: toward its side it goes on until it is out of the stock."""
        del whole
        (ax, ay), (bx, by) = feature.start, feature.end
        return [(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))]

    def in_plan(self, feature: Saw, setup: Setup, finish: Finish, extent: Extent) -> CrossSection:
        """All that the blade passes over, as far as stock goes."""
        del finish, extent
        far = beyond_stock(feature.start, setup) + feature.diameter
        radius = feature.diameter / 2
        middle, along, long = _middles(feature, far)
        return planar.grown(planar.turned_box(middle, along, far - radius, long), radius)

    def solid(
        self,
        feature: Saw,
        setup: Setup,
        finish: Finish,
        extent: Extent,
        stock: Manifold | None = None,
    ) -> Manifold:
        """That between the kerf's two faces: the same at the most and at the least."""
        del stock
        low, high = feature.depth.floor, feature.depth.top
        area = self.in_plan(feature, setup, finish, extent)
        return Manifold.extrude(area, high - low).translate((0, 0, low))

    def remedy(self, feature: Saw, plate: int, units: Units) -> str:
        """A piece above a kerf is held by nothing but clamps or jaws of its own."""
        del feature, plate, units
        return "clamp both pieces, or leave a web and break it"


def _middles(saw: Saw, far: float) -> tuple[Point, Point, float]:
    """The rectangle of all places of the blade's axis, up to `far` from the line: its middle, the
    unit direction away from the line, and its width along that."""
    (ax, ay), (bx, by) = saw.start, saw.end
    long = math.hypot(bx - ax, by - ay)
    hand = 1.0 if saw.side == "left" else -1.0
    away = (-hand * (by - ay) / long, hand * (bx - ax) / long)
    half = (saw.diameter / 2 + far) / 2
    return ((ax + bx) / 2 + half * away[0], (ay + by) / 2 + half * away[1]), away, long


def _passed_over(saw: Saw, far: float) -> BaseGeometry:
    """What the blade passes over with its axis up to `far` from the line."""
    middle, away, long = _middles(saw, far)
    half = (far - saw.diameter / 2) / 2
    return grown(rectangle(middle, away, (-half, half), long / 2), saw.diameter / 2)


TARGET: KindTarget[Saw] = SawTarget()
