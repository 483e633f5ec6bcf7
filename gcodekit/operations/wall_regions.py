"""The regions that edges, bosses and arcs clear in plan, and where else a cutter may be."""

from __future__ import annotations

import math

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.boolean import common, minus, union
from gcodekit.geometry.chain import Chain, Point, distance
from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.geometry.shapes import rectangle, sector
from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import PLAN_SAG, PlanContext
from gcodekit.part.plane_regions import grown
from gcodekit.part.planned_target import FinishingCut
from gcodekit.toolpath.level_clearing import LOWERED_BESIDE

# An area that meets the metal's edge is run out over it by this much more than the cutter needs,
# and overlaps the metal by this little so that both join cleanly.
RUN_OUT = 2.0
METAL_OVERLAP = 0.0001
# Floors nearer than this are one.
SAME_FLOOR = 1e-6


def sector_region(work: PlanContext, arc: Sector) -> Region:
    """An arc's sector, far beyond the metal where that is its limit."""
    inner, outer = _radii(work, arc)
    return sector(inner, outer, start=arc.start, end=arc.end, centre=arc.centre)


def beyond_metal(work: PlanContext) -> Region:
    """Metal and everything round it, far enough that no cutter comes near the outer rim."""
    x0, y0, x1, y1 = work.metal.bounds
    far = 2 * _reach_over(work)
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    return rectangle(x1 - x0 + 2 * far, y1 - y0 + 2 * far, centre=middle)


def _reach_over(work: PlanContext) -> float:
    """Farther than the metal is wide, and any cutter as well."""
    x0, y0, x1, y1 = work.metal.bounds
    mills = (c for c in work.job.workshop.cutters if not c.is_blade)
    widest = max((c.diameter for c in mills), default=0.0)
    return (x1 - x0) + (y1 - y0) + 4 * widest


def outline_at(work: PlanContext, floor: float) -> Region:
    """The metal's outline in plan at a floor and above it: a lying bar is narrower there than
    about its axis."""
    raw = work.setup.left
    axis = (raw.low[2] + raw.high[2]) / 2
    if raw.shape == "block" or raw.axis == "z" or floor <= axis:
        return work.outline
    half = math.sqrt(max((raw.high[2] - axis) ** 2 - (floor - axis) ** 2, 0.0))
    x0, y0, x1, y1 = work.metal.bounds
    size = (x1 - x0, 2 * half) if raw.axis == "x" else (2 * half, y1 - y0)
    return rectangle(*size, centre=((x0 + x1) / 2, (y0 + y1) / 2))


def run_out(region: Region, work: PlanContext, radius: float, floor: float) -> Region:
    """The region, run out over the metal's edge wherever it meets it; a lying bar's at `floor`."""
    metal = outline_at(work, floor)
    if to_shapely(metal, PLAN_SAG).buffer(-METAL_OVERLAP).covers(to_shapely(region, PLAN_SAG)):
        return region
    reach = 2 * radius + 2 * LOWERED_BESIDE + RUN_OUT
    beyond = minus(grow(region, reach), grow(metal, -METAL_OVERLAP))
    return common([union([region, beyond]), grow(metal, reach)])


def swept_within(region: Region, cut: FinishingCut) -> BaseGeometry | None:
    """The area that the finishing cutter sweeps within a region; None where it does not go in."""
    radius = cut.cutter.radius
    room = grow(region, -(radius + cut.left))
    # a room of no width is no valid polygon, and no union may be made of it
    return grown(to_shapely(room, METAL_SAG), radius) if not room.empty else None


def with_free(work: PlanContext, feature: Feature, regions: list[Region]) -> Region:
    """Regions, all the air round the metal, and what other features of the set-up clear at least
    as deep: no metal to be kept stands there."""
    metal = outline_at(work, feature.depth.cut_to)
    air = minus(beyond_metal(work), grow(metal, -METAL_OVERLAP))
    return union([*regions, *gone_beside(work, feature), air])


def gone_beside(work: PlanContext, feature: Feature) -> list[Region]:
    """The areas that other features of the set-up clear at least as deep."""
    deep = feature.depth.cut_to + SAME_FLOOR
    others = (f for f in work.setup.features if f.name != feature.name and f.depth.cut_to <= deep)
    found = (cutting_of(other).cleared(work, other) for other in others)
    return [region for region in found if region is not None]


def bored_beside(work: PlanContext, feature: Feature) -> list[Region]:
    """The areas that bores of the set-up clear at least as deep."""
    deep = feature.depth.cut_to + SAME_FLOOR
    return [
        Region.of(Chain.circle(place, other.diameter / 2))
        for other in work.setup.features
        if isinstance(other, Bore) and other.depth.cut_to <= deep
        for place in other.places
    ]


def beyond_plane(work: PlanContext, edge: Edge) -> Region:
    """All beyond an edge's plane, far beyond the metal."""
    (px, py), (dx, dy) = edge.point, edge.away
    x0, y0, x1, y1 = work.metal.bounds
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    # the foot of the metal's middle on the plane
    off = (middle[0] - px) * dx + (middle[1] - py) * dy
    foot = (middle[0] - off * dx, middle[1] - off * dy)
    far = 2 * _reach_over(work)
    out = far + abs(off)

    def at(along: float, away: float) -> Point:
        return (foot[0] - dy * along + dx * away, foot[1] + dx * along + dy * away)

    corners = [at(far, 0.0), at(-far, 0.0), at(-far, out), at(far, out)]
    return Region.of(Chain.of_points(corners, closed=True))


def round_boss(work: PlanContext, boss: Boss) -> Region:
    """Round the boss, and round what other features keep standing beside it."""
    standing = [work.in_arcs(boss, boss.kept, inward=False), *spared(work, boss, boss.kept)]
    rim = work.in_arcs(boss, boss.within, inward=True) if boss.within else beyond_metal(work)
    return minus(rim, union(standing))


def spared(work: PlanContext, feature: Feature, touched: Region) -> list[Region]:
    """Bodies that other features keep standing, higher than the feature's floor. One that the
    `touched` region lies on is worked on, and not spared."""
    bodies = work.setup.kept_higher(feature)
    return [body for body in bodies if common([body, touched]).empty]


def _radii(work: PlanContext, arc: Sector) -> tuple[float, float]:
    """The radii between which stock goes."""
    if arc.side == "inside":
        return arc.from_radius or 0.0, arc.radius
    x0, y0, x1, y1 = work.metal.bounds
    far = distance(arc.centre, ((x0 + x1) / 2, (y0 + y1) / 2)) + _reach_over(work)
    return arc.radius, arc.from_radius or far


def run_on_regions(work: PlanContext, arc: Sector, by: float) -> list[Region]:
    """The regions beside each open end of an arc, `by` wide, between the same radii, off what
    others keep."""
    if arc.whole or not arc.open_ends:
        return []
    inner, outer = _radii(work, arc)
    ring = sector(inner, outer, start=0.0, end=math.tau, centre=arc.centre)
    ends = ((arc.start, -by), (arc.end, by))
    bodies = union(spared(work, arc, sector_region(work, arc)))
    strips = [common([_strip(arc.centre, angle, across, outer), ring]) for angle, across in ends]
    return [minus(strip, bodies) for strip in strips]


def _strip(centre: Point, angle: float, by: float, length: float) -> Region:
    """Along the ray at an angle, on its left where `by` is more than 0."""
    c, s = math.cos(angle), math.sin(angle)

    def at(along: float, across: float) -> Point:
        return (centre[0] + c * along - s * across, centre[1] + s * along + c * across)

    corners = [at(0.0, 0.0), at(length, 0.0), at(length, by), at(0.0, by)]
    return Region.of(Chain.of_points(corners, closed=True))
