"""Depth and width of roughing passes chosen together: deep and narrow, or shallow and wide.

A pass that never takes more than its width from the side may go deeper than one that may meet metal
all round its cutter: the machine stands the same force either way. Where the engagement is bounded
like that, every number of equal passes down is tried with every number of equal passes across, each
at the speed and feed that `milling` finds for it, and the pair that takes the least time is taken.
Slots, first ways in, and paths that turn into corners need the depth of a cut at full width.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material
from gcodekit.trade.milling import milling
from gcodekit.trade.rates import CuttingLimits, Rates

# No narrower than this share of the diameter, and no more passes across than MOST_ACROSS: chips so
# thin that no feed makes up for them only take time.
NARROWEST_PASS = 0.05
MOST_ACROSS = 40
# Deep passes are taken only if they save this share of the time: they ask more of what holds the
# work than shallow ones do. Common practice, no source.
DEEP_WORTH_IT = 0.1


def equal_passes(size: float, step: float) -> int:
    """The number of equal passes, none larger than a step, that make a size; at least one."""
    return max(1, math.ceil(size / step - 1e-6))


@dataclass(frozen=True, slots=True, kw_only=True)
class PassPlan:
    """A plan of equal roughing passes: `down` deep, `across` at each depth, with their rates;
    `only_side` says that they hold from the side only, at no more than their width."""

    rates: Rates
    down: int
    across: int
    only_side: bool


def passes_at_full_width(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    height: float,
    across: float,
) -> PassPlan:
    """The passes that hold at any engagement: no deeper than a full-width cut may be."""
    rates = milling(material, cutter, limits)
    return PassPlan(
        rates=rates,
        down=equal_passes(height, rates.stepdown),
        across=equal_passes(across, rates.stepover),
        only_side=False,
    )


def passes_from_the_side(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    height: float,
    across: float,
    lost: float = 0.0,
) -> PassPlan:
    """The quickest for passes that take no more than their width from the side.

    Parameters
    ----------
    height, across : of the metal to be cleared, down and from the side, mm
    lost : minutes that go on getting from pass to pass, for each mm of a pass
    """
    wide = passes_at_full_width(material, cutter, limits, height=height, across=across)
    if height <= 0 or across <= 0:
        return wide
    tried = [
        passes
        for down in range(1, wide.down)
        for passes in _held(material, cutter, limits, height=height, across=across, down=down)
    ]
    best = min(tried, key=lambda p: _time(p, lost), default=wide)
    return best if _time(best, lost) < (1 - DEEP_WORTH_IT) * _time(wide, lost) else wide


def _time(passes: PassPlan, lost: float) -> float:
    """The time for each mm of wall, minutes."""
    return passes.down * passes.across * (1 / passes.rates.feed + lost)


def _held(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    height: float,
    across: float,
    down: int,
) -> Iterator[PassPlan]:
    """Every width that holds at so many passes down."""
    depth = height / down
    if depth > cutter.flute_length:
        return
    # as deep as this it is no wider than what the machine stands
    fewest = equal_passes(across, milling(material, cutter, limits, depth=depth).stepover)
    for count in range(fewest, fewest + MOST_ACROSS):
        width = across / count
        if count > fewest and width < NARROWEST_PASS * cutter.diameter:
            return
        rates = milling(material, cutter, limits, width=width, depth=depth)
        if rates.within_limits:
            yield PassPlan(rates=rates, down=down, across=count, only_side=True)
