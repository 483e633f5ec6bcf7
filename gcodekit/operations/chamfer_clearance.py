"""Room for a chamfer's cutter: what it takes on its ways, and what it would run into beside the
edge, below it, and where it comes down and goes up."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.overlay import less
from gcodekit.job.kinds.chamfer import Chamfer
from gcodekit.operations.chamfer_ways import (
    GRAZED,
    Stroke,
    lines_of,
    off_wall,
    open_stroke,
    round_stroke,
    tip_of,
    ways_of,
)
from gcodekit.operations.planned_operation import PlanContext
from gcodekit.part.keep_out import held_by
from gcodekit.part.plane_regions import RUN_OFF, grown
from gcodekit.part.planned_bevel import Slope, wall_round
from gcodekit.part.planned_target import BELOW, FeatureContext
from gcodekit.part.setup_stock import metal_levels
from gcodekit.trade.cutter import Cutter

# The tip stays this far above a floor below the edge, mm.
OVER_FLOOR = 0.1
# Cutters that may be plunged into a hole.
PLUNGING = ("spot drill", "chamfer mill")


def edge_ways(
    chamfer: Chamfer, cutter: Cutter, around: FeatureContext, work: PlanContext
) -> list[Chain]:
    """The ways of the cutter's centre along the edge as its wall has been cut."""
    return ways_of(chamfer, cutter, wall_round(chamfer, around), work)


def slope_of(chamfer: Chamfer, cutter: Cutter, around: FeatureContext) -> Slope:
    """Its slope as far as the cutter reaches."""
    if plunges(chamfer, cutter, around):
        return Slope(chamfer)
    rounded = wall_round(chamfer, around)
    ways = ways_of(chamfer, cutter, rounded)
    return slope_on(chamfer, cutter, ways, rounded)


def slope_on(chamfer: Chamfer, cutter: Cutter, ways: list[Chain], rounded: float = 0.0) -> Slope:
    """What the cutter takes on its ways; round holes that is all."""
    if chamfer.places or not ways:
        return Slope(chamfer)
    return Slope(chamfer, lines_of(ways), off_wall(cutter), rounded)


def centre_lines(chamfer: Chamfer, cutter: Cutter, ways: list[Chain]) -> tuple[BaseGeometry, float]:
    """Lines of the cutter's centre; in holes their axes, and how far it goes round those."""
    if not chamfer.places:
        return lines_of(ways), 0.0
    return shapely.MultiPoint(chamfer.places), chamfer.diameter / 2 - off_wall(cutter)


def plunges(chamfer: Chamfer, cutter: Cutter, around: FeatureContext) -> bool:
    """Tell whether the cutter does a hole's edge at one stroke: as wide as that, and its tip in the
    air of the hole."""
    if not chamfer.places or cutter.kind not in PLUNGING:
        return False
    if chamfer.diameter / 2 + chamfer.width > cutter.radius + 1e-6:
        return False
    axes, tip = shapely.MultiPoint(chamfer.places), plunged_to(chamfer, cutter)
    return next(stock_met(Slope(chamfer), cutter, axes, around, tip=tip), None) is None


def plunged_to(chamfer: Chamfer, cutter: Cutter) -> float:
    """z of the tip of a cutter plunged into a hole."""
    point = chamfer.depth.floor - chamfer.diameter / 2 / math.tan(chamfer.slope)
    return point + cutter.missing_point


def stock_met(
    slope: Slope,
    cutter: Cutter,
    ways: BaseGeometry,
    around: FeatureContext,
    *,
    more: float = 0.0,
    tip: float | None = None,
) -> Iterator[tuple[BaseGeometry, float]]:
    """What the cutter would run into along some lines of its centre, and all within `more` of them,
    but for its slope, with its height; `tip`: z of its tip, as it goes along the edge unless
    given."""
    tip = tip_of(slope.chamfer, cutter) if tip is None else tip
    highest = around.setup.left.high[2]
    lowest = tip - OVER_FLOOR
    levels = {lowest, slope.low, slope.high, highest, *metal_levels(around.setup)}
    widest = ways.buffer(more + max(cutter.body_radius_at(cutter.stickout), cutter.radius))
    levels |= {z for asked in around.near(widest) for z in asked.levels}
    # the cutter is wider the higher it is: it meets a step at the top of that first
    looks = {z + by for z in levels for by in (-BELOW, BELOW)}
    for z in sorted(z for z in looks if lowest < z < highest):
        body = grown(ways, more + max(cutter.body_radius_at(z - tip), OVER_FLOOR))
        met = grown(less(around.standing(body, z), slope.swept(z)), -GRAZED)
        if not met.is_empty:
            yield met, z


def holding_met(
    chamfer: Chamfer,
    cutter: Cutter,
    ways: BaseGeometry,
    around: FeatureContext,
    *,
    more: float = 0.0,
) -> Iterator[str]:
    """The names of what holds the work in the cutter's way."""
    tip = tip_of(chamfer, cutter)
    for body in held_by(around.setup.holds[chamfer.stage], around.setup):
        if body.top <= tip:
            continue
        heights = {max(body.bottom, tip), min(body.top, tip + cutter.stickout + 1.0)}
        wide = max(cutter.body_radius_at(max(z - tip, 0.0)) for z in heights)
        wide = max(wide, cutter.radius)
        if ways.dwithin(body.outline, more + wide + OVER_FLOOR):
            yield body.name


def strokes(
    work: PlanContext, chamfer: Chamfer, cutter: Cutter, around: FeatureContext
) -> Iterator[Stroke]:
    """Every way with where the cutter comes down and goes up."""
    ways = edge_ways(chamfer, cutter, around, work)
    slope = slope_on(chamfer, cutter, ways)

    def clear(point: Point, to: Point) -> bool:
        line = shapely.LineString([point, to])
        free = next(stock_met(slope, cutter, line, around), None) is None
        return free and next(holding_met(chamfer, cutter, line, around), None) is None

    if chamfer.path is None:
        yield from (round_stroke(chamfer, ring, clear) for ring in ways)
        return
    for way in ways:
        ends = (_past(chamfer, way, cutter, clear, last) for last in (False, True))
        yield open_stroke(chamfer, way, clear, (next(ends), next(ends)))


def _past(
    chamfer: Chamfer,
    way: Chain,
    cutter: Cutter,
    clear: Callable[[Point, Point], bool],
    last: bool,
) -> float:
    """How far the cutter runs off past an end of a path, mm: where nothing is in its way."""
    by = off_wall(cutter) + chamfer.width + RUN_OFF
    s, out = (way.length, by) if last else (0.0, -by)
    (x, y), (dx, dy) = way.point_at(s), way.tangent_at(s)
    return by if clear((x + out * dx, y + out * dy), (x, y)) else 0.0
