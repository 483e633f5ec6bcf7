"""Roughing back to a wall: as deep as the passes allow that only ever cut with their side."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain
from gcodekit.operations.planned_operation import PlanContext
from gcodekit.toolpath.path import TravelSpeeds
from gcodekit.toolpath.rings import FLAT_SAG
from gcodekit.toolpath.wall_passes import Pass, Passes, PassRoom, inward_passes
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.pass_optimiser import (
    DEEP_WORTH_IT,
    PassPlan,
    equal_passes,
    passes_from_the_side,
)
from gcodekit.trade.rates import Rates
from gcodekit.units import MM_PER_INCH

# A pass may take this much more than its width: the strips are not all equally wide.
OVER = 1.05
# Passes as far apart as their count asks, and by so much more, mm: rounding is to make no more.
PASS_ROUNDING = 1e-3
# Deep passes are no thinner than that so many lie side by side. Common practice, no source: a
# slim cutter's shavings, thousands of them, take hours to reckon with and wear out its corners.
MOST_SIDE_BY_SIDE = 200
# A turn by less is straight on, radians.
STRAIGHT_PASS = math.radians(1)


@dataclass(frozen=True, slots=True)
class Roughing:
    """Passes with their rates, and the feed at which they cut no wider than a step, mm/min; `how`:
    in words, how depth and width were shared out."""

    passes: Passes
    rates: Rates
    feed: float
    how: str = ""

    def minutes(self, height: float, lost: float) -> float:
        """The time for each mm along the wall, minutes."""
        down = equal_passes(height, self.rates.stepdown)
        return down * len(self.passes.passes) * (1 / self.feed + lost)


def roughing_from_side(
    work: PlanContext,
    walled: PassRoom,
    cutter: Cutter,
    wide: Roughing,
    *,
    allowance: float,
    height: float,
) -> Roughing:
    """Fewer and deeper passes where that is quicker and every pass only cuts with its side; else
    those for full width.

    `wide`: the passes for full width; `height`: of the metal above the floor, mm
    """
    metal = walled.kept.union(walled.to_cut)
    widths = _only_side(walled, wide, metal)
    if widths is None:
        return wide
    # the outermost pass takes what is left over
    across = widths[0] + (len(widths) - 1) * wide.rates.stepover
    lost = _lost(work, wide, height)
    best = passes_from_the_side(
        work.job.material, cutter, work.limits, height=height, across=across, lost=lost
    )
    if not best.only_side or across > MOST_SIDE_BY_SIDE * best.rates.stepover:
        return wide
    rates = replace(best.rates, stepover=best.rates.stepover + PASS_ROUNDING)
    passes = inward_passes(walled, allowance=allowance, stepover=rates.stepover)
    deep = Roughing(passes, rates, rates.feed, _how(work, best))
    if deep.minutes(height, lost) > (1 - DEEP_WORTH_IT) * wide.minutes(height, lost):
        return wide
    return deep if _only_side(walled, deep, metal) else wide


def _how(work: PlanContext, chosen: PassPlan) -> str:
    """The passes in words; passes deeper than a slot allows are never wider than a clearing
    pass."""
    passes = "1 pass" if chosen.down == 1 else f"{chosen.down} passes"
    fine = 0.001 * MM_PER_INCH if work.job.units == "inch" else 0.01
    deep, wide = (
        work.say(round(mm / fine) * fine) for mm in (chosen.rates.stepdown, chosen.rates.stepover)
    )
    return f"{passes} {deep} deep and {wide} wide: deep and narrow, from the side only"


def _lost(work: PlanContext, wide: Roughing, height: float) -> float:
    """Minutes from the end of a pass to the start of the next, for each mm of a pass."""
    machine = work.job.workshop.machine
    travel = TravelSpeeds(
        rapid=machine.rapid, feed=machine.feed_max, acceleration=machine.acceleration
    )
    chains = [p.chain for p in wide.passes.passes]
    length = sum(c.length for c in chains) / len(chains)
    lift = work.setup.clearance + height
    seconds = travel.seconds(length, travel.rapid) + 2 * travel.seconds(lift, travel.rapid)
    return seconds / 60 / length


def _only_side(walled: PassRoom, roughing: Roughing, metal: BaseGeometry) -> list[float] | None:
    """The widths that the passes take at most; None where one takes more than it should, turns
    into a corner, or goes down into metal."""
    left, widths = metal, []
    for each in roughing.passes.passes:
        if each.down is None or each.chain.closed or _turns_in(each, climb=walled.climb):
            return None
        widths.append(_widest(each.chain, walled.radius, left))
        if widths[-1] > OVER * roughing.rates.stepover:
            return None
        line = shapely.LineString(each.chain.flattened(FLAT_SAG))
        left = left.difference(line.buffer(walled.radius, quad_segs=32))
    return widths or None


def _turns_in(each: Pass, *, climb: bool) -> bool:
    """Tell whether a pass turns away from the metal on its right (climb) or left: a corner of the
    wall meets the cutter with more than its side."""
    segments = each.chain.segments
    if any(isinstance(s, Arc) and s.ccw == climb for s in segments):
        return True
    for before, after in pairwise(segments):
        (ax, ay), (bx, by) = before.tangent_at(before.length), after.tangent_at(0.0)
        turn = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
        if (turn if climb else -turn) > STRAIGHT_PASS:
            return True
    return False


def _widest(chain: Chain, radius: float, left: BaseGeometry) -> float:
    """The widest strip of what is left that any stretch of the chain takes, mm."""
    count = max(1, math.ceil(chain.length / radius))
    each = chain.length / count
    found = 0.0
    for i in range(count):
        line = shapely.LineString(chain.between(i * each, (i + 1) * each).flattened(FLAT_SAG))
        strip = line.buffer(radius, cap_style="flat").intersection(left)
        found = max(found, float(strip.area) / each)
    return found
