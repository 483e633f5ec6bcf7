"""What is left of a chamfer's edge when its turn comes."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, less, union
from gcodekit.job.kinds.chamfer import Chamfer
from gcodekit.job.stock.raw_metal import stock_levels
from gcodekit.operations.chamfer_ways import GRAZED
from gcodekit.part.plane_regions import grown
from gcodekit.part.planned_bevel import Slope
from gcodekit.part.planned_target import BELOW, FeatureContext
from gcodekit.part.setup_stock import metal, metal_levels

# Metal that is not upright is looked at every so far down the slope, mm, but no more often.
LOOK_EVERY, MOST_LOOKS = 0.01, 100


def is_stock(strip: BaseGeometry | None, metal: BaseGeometry) -> bool:
    """Tell whether there is any metal in a strip."""
    return strip is not None and bool(strip.intersection(metal).area > GRAZED)


def gone(chamfer: Chamfer, around: FeatureContext) -> bool:
    """Tell whether others have cut all along the edge, where that is no fault."""
    if not chamfer.optional:
        return False
    slope = Slope(chamfer)
    heights = _looks(slope, around)
    return not any(_is_left(slope.section(z), around, z) for z in heights)


def on_the_round(chamfer: Chamfer, around: FeatureContext) -> BaseGeometry:
    """The part of an edge of a feature, in plan, that lies lower than the chamfer because a lying
    bar's round does; empty on other stock."""
    setup = around.setup
    owner = next((f for f in setup.features if f.name == chamfer.edge_of), None)
    if owner is None or not stock_levels(setup.raw):
        return EMPTY
    slope = Slope(chamfer)
    strip = slope.section(slope.high - BELOW)
    round_ = grown(less(strip, metal(setup, slope.low + BELOW)), -GRAZED)
    pieces = [p for p in shapely.get_parts(round_) if not p.is_empty]
    return union(p for p in pieces if around.top_over(p) > owner.depth.cut_to + BELOW)


def _looks(slope: Slope, around: FeatureContext) -> Iterator[float]:
    """Heights that show whether there is any metal in a slope, from its top down. It is wider the
    higher it is: upright metal shows under its own top."""
    setup = around.setup
    near = around.near(slope.section(slope.high - BELOW))
    levels = {slope.high, *metal_levels(setup), *(z for asked in near for z in asked.levels)}
    yield from (z - BELOW for z in sorted(levels, reverse=True) if slope.low < z <= slope.high)
    if stock_levels(setup.raw) or not all(r.upright for r in setup.gone):
        # what lies or was cut from the side widens downwards as the slope grows narrow
        drop = slope.high - slope.low
        steps = min(math.ceil(drop / LOOK_EVERY), MOST_LOOKS)
        yield from (slope.high - n / steps * drop for n in range(1, steps))


def _is_left(strip: BaseGeometry, around: FeatureContext, z: float) -> bool:
    left = around.standing(strip, z)
    return bool(left.area > GRAZED) and not grown(left, -GRAZED).is_empty


def lower(chamfer: Chamfer, around: FeatureContext) -> BaseGeometry:
    """The part of the strip where the stock ends lower than the chamfer, in plan."""
    slope = Slope(chamfer)
    strip = slope.section(slope.high - BELOW)
    missing = less(strip, around.standing(strip, slope.low + BELOW))
    pieces = [p for p in shapely.get_parts(grown(missing, -GRAZED)) if not p.is_empty]
    bottom = around.setup.left.low[2]
    return union(p for p in pieces if around.top_over(p) > bottom + BELOW)
