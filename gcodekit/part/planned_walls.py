"""Edges, bosses and arcs: the metal beyond a wall."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.flattening import disc
from gcodekit.geometry.overlay import common, less, union
from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.model import Setup
from gcodekit.part.plane_regions import area_of, grown, strip, tightest_round
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.part.setup_stock import plan
from gcodekit.part.solids import Prism

# A groove as wide as the roughing cutter and its allowance counts as reached: the disc it is
# opened with is this much smaller, mm.
ROUGH_SLACK = 0.0005
# What goes is asked this far beyond the metal, mm, where there is only air.
IN_AIR = 10.0


def ask_edge(edge: Edge, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
    """The metal beyond the plane, to the depth. Cutters run past it in air only."""
    area = beyond_plane(edge, around.setup)
    return _asked(edge, area, cut, around.setup, reach=cut.cutter.radius)


def beyond_plane(edge: Edge, setup: Setup) -> BaseGeometry:
    """Everything near the metal on the far side of the plane."""
    middle = shapely.box(*plan(setup).bounds).centroid
    far = _far(setup, edge.point) + math.dist(edge.point, (middle.x, middle.y))
    return strip(edge.point, edge.away, (0.0, far), far)


def _far(setup: Setup, point: Point) -> float:
    """The distance of the metal's farthest corner from a point, and some more."""
    x0, y0, x1, y1 = plan(setup).bounds
    return max(math.dist(point, c) for c in ((x0, y0), (x1, y0), (x0, y1), (x1, y1))) + IN_AIR


def ask_boss(boss: Boss, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
    """The target round the boss, as far as `within` or to the edge of the stock; not what other
    features keep, unless the boss stands on it."""
    setup, kept = around.setup, area_of(boss.kept)
    whole = grown(plan(setup).envelope, IN_AIR) if boss.within is None else area_of(boss.within)
    area = less(whole, union((kept, *_spared(boss, kept, setup))))
    rim = boss.within.rings if boss.within else ()
    # a cutter lies to the right of what is kept, and to the left of the rim
    reach = min(
        cut.cutter.radius,
        tightest_round(boss.kept.rings, left=False, within=plan(setup)),
        tightest_round(rim, left=True, within=plan(setup)),
    )
    return _asked(boss, area, cut, setup, reach=reach)


def _spared(feature: Boss | Sector, touched: BaseGeometry, setup: Setup) -> list[BaseGeometry]:
    """Bodies of other features that stand higher than the feature's floor, and apart from what
    it touches."""
    bodies = map(area_of, setup.kept_higher(feature))
    return [b for b in bodies if common(b, touched).is_empty]


def ask_arc(arc: Sector, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
    """The sector beyond the radius or within it; corners at its ends are out of the cutter's
    reach. An open end may be run on by a cutter's diameter, never past the radius."""
    outer = arc.from_radius or _far(around.setup, arc.centre)
    inner = arc.radius
    if arc.side == "inside":
        inner, outer = arc.from_radius or 0.0, arc.radius
    area = wedge(arc, inner, outer)
    allowed: tuple[BaseGeometry, ...] = ()
    if arc.open_ends and not arc.whole:
        widest = max(2 * c.radius for c in cut.cutters)
        bodies = union(_spared(arc, area, around.setup))
        allowed = (less(run_on(arc, inner, outer, widest), bodies),)
    reach = min(cut.cutter.radius, arc.radius if arc.side == "inside" else math.inf)
    return _asked(arc, area, cut, around.setup, reach=reach, beside=allowed)


def wedge(arc: Sector, inner: float, outer: float) -> BaseGeometry:
    """Between two radii and the arc's two angles."""
    if arc.whole:
        return less(disc(arc.centre, outer), disc(arc.centre, inner))
    points = [*_along(arc, outer), *reversed(_along(arc, inner) if inner else [arc.centre])]
    return shapely.Polygon(points)


def _along(arc: Sector, radius: float) -> list[Point]:
    """Points of a circle about the arc's centre from start to end, METAL_SAG off at most."""
    step = 2 * math.acos(max(0.0, 1 - METAL_SAG / radius))
    count = max(2, math.ceil((arc.end - arc.start) / step) + 1)
    angles = np.linspace(arc.start, arc.end, count)
    xs, ys = arc.centre[0] + radius * np.cos(angles), arc.centre[1] + radius * np.sin(angles)
    return [(float(x), float(y)) for x, y in zip(xs, ys, strict=True)]


def run_on(arc: Sector, inner: float, outer: float, by: float) -> BaseGeometry:
    """The areas beside both ends, `by` wide, between the same radii."""
    ring = less(disc(arc.centre, outer), disc(arc.centre, inner))
    strips = []
    for angle, side in ((arc.start, -1.0), (arc.end, 1.0)):
        along = (math.cos(angle), math.sin(angle))
        middle = (
            arc.centre[0] - side * along[1] * by / 2,
            arc.centre[1] + side * along[0] * by / 2,
        )
        strips.append(strip(middle, along, (0.0, outer), by / 2))
    return common(union(strips), ring)


def _asked(
    feature: Edge | Boss | Sector,
    area: BaseGeometry,
    cut: FinishingCut,
    setup: Setup,
    *,
    reach: float,
    beside: tuple[BaseGeometry, ...] = (),
) -> PlannedTarget:
    """An area down to the feature's depth, less what is left on purpose; `beside`: what may go
    as well."""
    floor = feature.depth.cut_to
    allowed = tuple(Prism(b, floor) for b in beside)
    if not (cut.left or cut.left_on_floor):
        return PlannedTarget(
            name=feature.name, reach=reach, required=(Prism(area, floor),), allowed=allowed
        )
    required = area
    if cut.left:
        required = common(area, _roughed(union((area, *beside)), cut, setup))
    return PlannedTarget(
        name=feature.name,
        reach=reach,
        required=(Prism(required, floor + cut.left_on_floor),),
        allowed=(Prism(area, floor), *allowed),
    )


def _roughed(area: BaseGeometry, cut: FinishingCut, setup: Setup) -> BaseGeometry:
    """The area that the roughing cutter reaches with its allowance off every wall."""
    air = less(grown(plan(setup).envelope, 4 * cut.cutter.radius + IN_AIR), plan(setup))
    room = grown(union((area, air)), -(cut.left + cut.cutter.radius - ROUGH_SLACK))
    return grown(room, cut.cutter.radius - ROUGH_SLACK)
