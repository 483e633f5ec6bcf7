"""Rates of contour-parallel roughing: how deep its passes are, and how fast where the cutter meets
more or less stock than the width of a pass.

Such a path meets a full slot when it enters, in corners and where rings part. Passes as deep as a
full slot stands, at one feed, would waste most of the time; so they may be deeper, as long as a
feed that still cuts brings a full slot inside the machine's limits.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material
from gcodekit.trade.milling import finest_chip, milling
from gcodekit.trade.milling_force import MillingCut, feed_share
from gcodekit.trade.pass_optimiser import equal_passes
from gcodekit.trade.rates import CuttingLimits, Rates

# Of such a path so much is taken to be in full slots when its depth is chosen: measured, a tenth to
# a fifth in pockets of several widths.
IN_SLOTS = 0.15
# More of the rim than this above what a straight wall takes is no finishing cut, radians.
CORNER_ENGAGEMENT = math.radians(60.0)
# Widths for which a feed is worked out, of the diameter; between them it changes evenly.
WIDTHS = (0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class SlottingRates:
    """`rates`: depth and width of a pass, and the feed of a full slot at that depth; `feeds`: those
    at the widths of WIDTHS, mm/min. `skim`: metal no higher than this over the floor, mm, does not
    count: what is left there for a finishing pass."""

    diameter: float
    rates: Rates
    feeds: tuple[float, ...]
    skim: float = 0.0

    @property
    def usual_feed(self) -> float:
        """The mean of a way of which IN_SLOTS is in full slots, the rest as wide as a pass."""
        beside = max(self.feed(self.rates.stepover), self.rates.feed)
        return 1 / (IN_SLOTS / self.rates.feed + (1 - IN_SLOTS) / beside)

    def feed(self, width: float) -> float:
        """At the width of cut that an engagement stands for, mm; mm/min."""
        share = width / self.diameter
        if share <= WIDTHS[0]:
            return self.feeds[0]
        for k in range(1, len(WIDTHS)):
            if share <= WIDTHS[k]:
                along = (share - WIDTHS[k - 1]) / (WIDTHS[k] - WIDTHS[k - 1])
                return self.feeds[k - 1] + along * (self.feeds[k] - self.feeds[k - 1])
        return self.feeds[-1]


def following(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    height: float,
    stepdown: float | None = None,
    stepover: float | None = None,
    in_slots: float = IN_SLOTS,
) -> SlottingRates:
    """The depth that clears `height` mm soonest, and the feeds that go with it; `stepdown` and
    `stepover` where the job gives them. `in_slots`: the share of the path that is in full slots."""
    slot = milling(material, cutter, limits)
    across = min(stepover or slot.stepover, cutter.diameter)
    depth = stepdown or _soonest(
        material, cutter, limits, slot=slot, height=height, across=across, in_slots=in_slots
    )

    def at(width: float) -> Rates:
        return milling(material, cutter, limits, width=width, depth=depth)

    full = at(cutter.diameter) if depth > slot.stepdown else slot
    feeds = [min(at(w * cutter.diameter).feed, limits.feed_max) for w in WIDTHS]
    rates = replace(full, stepdown=depth, stepover=across)
    # more metal is never fed faster
    falling = (*(max(feeds[k:]) for k in range(len(feeds) - 1)), rates.feed)
    return SlottingRates(diameter=cutter.diameter, rates=rates, feeds=falling)


def slowed_in_corners(
    material: Material, cutter: Cutter, *, rates: Rates, feed: float, wall: float, skim: float
) -> SlottingRates:
    """The feeds of a finishing pass that takes `wall` mm: its own wherever the cutter meets no more
    than CORNER_ENGAGEMENT above what it does along a straight wall; where it meets more, as much
    less as keeps the load over a turn what it is there."""
    straight = math.acos(1 - min(wall / cutter.radius, 2.0))
    most = cutter.radius * (1 - math.cos(min(straight + CORNER_ENGAGEMENT, math.pi)))
    slowest = min(feed, finest_chip(cutter) * cutter.flutes * rates.speed)

    def load(width: float) -> float:
        cut = MillingCut(
            material=material, cutter=cutter, width=width, depth=1.0, speed=rates.speed, feed=feed
        )
        return cut.power

    def at(width: float) -> float:
        if width <= most:
            return feed
        return max(slowest, feed * feed_share(material, load(most) / load(width)))

    feeds = tuple(at(share * cutter.diameter) for share in WIDTHS)
    return SlottingRates(
        diameter=cutter.diameter, rates=replace(rates, feed=feeds[-1]), feeds=feeds, skim=skim
    )


def _soonest(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    slot: Rates,
    height: float,
    across: float,
    in_slots: float,
) -> float:
    """The depth of equal passes that takes the least time; that of a full-width cut where no deeper
    one can be brought inside the limits."""
    most = equal_passes(height, slot.stepdown)
    deepest = min(cutter.flute_length, cutter.diameter)
    best, least = slot.stepdown, math.inf
    for count in range(most, 0, -1):
        depth = height / count
        if depth > deepest:
            break
        full = slot
        if count < most:
            full = milling(material, cutter, limits, width=cutter.diameter, depth=depth)
        if not full.within_limits:
            break
        feed = milling(material, cutter, limits, width=across, depth=depth).feed
        time = count * (in_slots / full.feed + (1 - in_slots) / max(feed, full.feed))
        if time < least * (1 - 1e-9):
            best, least = (depth if count < most else slot.stepdown), time
    return best
