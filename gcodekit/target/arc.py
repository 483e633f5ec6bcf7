"""Arcs: a sector beyond a radius or within it."""

from __future__ import annotations

import math

import numpy as np
import shapely
from manifold3d import CrossSection, FillRule
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import EMPTY, common, less, union
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Box
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import AREA_SAG, discs, rectangle
from gcodekit.target.floors import ASKED_BEYOND, to_floor
from gcodekit.target.kind_target import KindTarget
from gcodekit.target.measured_walls import floor_alone
from gcodekit.target.neighbours import Neighbours, kept_beside, spared
from gcodekit.target.setup_metal import SetupSoFar, plan
from gcodekit.target.volumes import Extent, Finish, beyond_stock


class ArcTarget(KindTarget[Sector]):
    """It takes from outside, or from a middle; where nothing limits it, all of the metal."""

    trims = True

    def demand(
        self, feature: Sector, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """The sector beyond the radius or within it. At an open end a cutter's diameter more may
        go, never past the radius."""
        del others
        setup = so_far.setup
        x0, y0, x1, y1 = plan(setup).bounds
        corners = ((x0, y0), (x0, y1), (x1, y0), (x1, y1))
        limit = max(math.dist(feature.centre, c) for c in corners) + ASKED_BEYOND
        inner, outer = _between(feature, limit)
        reach = math.inf if feature.side == "outside" else feature.radius
        area = _sector(feature, inner, outer)
        allowed: BaseGeometry = EMPTY
        if feature.open_ends and not feature.whole:
            ends = _past_ends(feature, inner, outer, 2 * used.widest)
            allowed = less(ends, union(spared(feature, area, setup)))
        reach, moved = min(used.cutter.radius, reach), floor_alone(feature)
        return to_floor(feature, area, used, setup, reach, moved, allowed)

    def drawn(self, feature: Sector, whole: Demand) -> list[Box]:
        """None."""
        del feature, whole
        return []

    def in_plan(
        self, feature: Sector, setup: Setup, finish: Finish, extent: Extent
    ) -> CrossSection:
        """The ring or pie, less what others keep."""
        del finish
        area = _solid_sector(feature, *_between(feature, beyond_stock(feature.centre, setup)))
        return area if extent == "most" else area - planar.union(kept_beside(feature, setup))


def _between(arc: Sector, limit: float) -> tuple[float, float]:
    """From which radius to which it goes; `limit`: where it has no end."""
    if arc.side == "outside":
        return arc.radius, arc.from_radius or limit
    return arc.from_radius or 0.0, arc.radius


def _sector(arc: Sector, inner: float, outer: float) -> BaseGeometry:
    """Between two radii, from the arc's start to its end."""
    if arc.whole:
        return _ring(arc.centre, inner, outer)
    steps = max(2, math.ceil((arc.end - arc.start) / (2 * math.acos(1 - AREA_SAG / outer))))
    angles = np.linspace(arc.start, arc.end, steps + 1)
    ways = np.column_stack((np.cos(angles), np.sin(angles)))
    rim = np.array(arc.centre) + outer * ways
    back = np.array(arc.centre) + inner * ways[::-1] if inner else np.array([arc.centre])
    return shapely.Polygon(np.concatenate((rim, back)))


def _ring(centre: Point, inner: float, outer: float) -> BaseGeometry:
    return less(discs([centre], outer), discs([centre], inner))


def _past_ends(arc: Sector, inner: float, outer: float, by: float) -> BaseGeometry:
    """Beside both ends, `by` wide, between the radii."""
    strips = []
    for angle, turn in ((arc.start, -1.0), (arc.end, 1.0)):
        out = (math.cos(angle), math.sin(angle))
        middle = (
            arc.centre[0] - turn * out[1] * by / 2,
            arc.centre[1] + turn * out[0] * by / 2,
        )
        strips.append(rectangle(middle, out, (0.0, outer), by / 2))
    return common(union(strips), _ring(arc.centre, inner, outer))


def _solid_sector(arc: Sector, inner: float, outer: float) -> CrossSection:
    """The same for the solids."""
    ring = planar.discs([arc.centre], outer) - planar.discs([arc.centre], inner)
    if arc.whole:
        return ring
    steps = max(2, math.ceil((arc.end - arc.start) / (math.pi / 4)))
    angles = np.linspace(arc.start, arc.end, steps + 1)
    # far enough out that the chords between these points clear the ring
    x, y = arc.centre
    rim = [(x + 2 * outer * math.cos(a), y + 2 * outer * math.sin(a)) for a in angles]
    return ring ^ CrossSection([[arc.centre, *rim]], FillRule.NonZero)


TARGET: KindTarget[Sector] = ArcTarget()
