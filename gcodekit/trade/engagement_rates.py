"""Depth and width of passes at constant engagement: deep and narrow against shallow and wide.

Where no cut is wider than its passes are meant to be, a pass may be deeper than a slot may: the
machine stands the same force either way. Every number of equal passes down is tried with every
width, each at the speed and feed that `milling` finds, and the pair that clears soonest is taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material
from gcodekit.trade.milling import milling
from gcodekit.trade.pass_optimiser import equal_passes
from gcodekit.trade.rates import CuttingLimits, Rates
from gcodekit.trade.slotting_rates import SlottingRates

# Widths tried, of the diameter. Wider, and the metal is met nearly head on.
WIDTH_SHARES = (0.08, 0.1, 0.125, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4)
# Lengths of cut and of way between cuts, in areas over widths: measured in a pocket of several
# islands and necks; an open one has less of both.
CUT = 1.3
WAY_BETWEEN = 0.7
# Of the same for a path along the outline.
ALONG_OUTLINE = 0.87
# Constant engagement is worth its longer program where it saves this much of the time. Common
# practice, no source.
ENGAGEMENT_WORTH_IT = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class EngagementPass:
    """Rates of passes no wider than `rates.stepover`, `down` of them; `minutes`: how long they take
    for each mm2 of the area."""

    rates: Rates
    down: int
    minutes: float


def even_pass(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    height: float,
    stepdown: float | None = None,
    stepover: float | None = None,
) -> EngagementPass | None:
    """The pair that clears `height` mm soonest; `stepdown` and `stepover` where the job gives them;
    None where no pair holds."""
    widths = [stepover] if stepover else [share * cutter.diameter for share in WIDTH_SHARES]
    found: list[EngagementPass] = []
    for width in widths:
        for count in _counts(height, cutter, stepdown):
            rates = milling(material, cutter, limits, width=width, depth=height / count)
            if rates.within_limits or stepdown is not None:
                minutes = count * (CUT / rates.feed + WAY_BETWEEN / limits.feed_max) / width
                deep = replace(rates, stepdown=height / count, stepover=width)
                found.append(EngagementPass(rates=deep, down=count, minutes=minutes))
    return min(found, key=lambda each: each.minutes, default=None)


def _counts(height: float, cutter: Cutter, stepdown: float | None) -> Iterator[int]:
    """The numbers of passes to try, from what the flutes reach to what a thin cut needs."""
    if stepdown is not None:
        yield equal_passes(height, stepdown)
        return
    fewest = equal_passes(height, cutter.flute_length)
    yield from range(fewest, fewest + max(3, math.ceil(8 * height / cutter.diameter)))


def along_outline(follow: SlottingRates, height: float) -> float:
    """The time that a path along the outline takes for each mm2 of the area, minutes."""
    passes = equal_passes(height, follow.rates.stepdown)
    return passes * ALONG_OUTLINE / (follow.rates.stepover * follow.usual_feed)
