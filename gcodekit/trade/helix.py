"""Force of a cutter with helical teeth, in cuts deep enough for the helix to tell.

Straight teeth meet the metal over their whole length at once. Along a helix each height of a tooth
comes a little later than the one below it: a deep, narrow cut then loads the cutter evenly, with a
fraction of the force that straight teeth would feel.

Source: slices of a tooth added up, each with Kienzle's force; from memory of machining textbooks.
"""

from __future__ import annotations

import math
from itertools import accumulate

from gcodekit.trade.milling_force import STEPS, Cut, bend, engagement

# Of end mills as they are sold: common practice, no source.
USUAL_HELIX = math.radians(30)
SLICES = 400  # of a tooth's way through the metal


def helical_force(cut: Cut, *, helix: float = USUAL_HELIX) -> float:
    """The greatest tangential force of a turn, N, with teeth that lean by `helix`, radians."""
    lag = cut.depth * math.tan(helix) / cut.cutter.radius
    if lag < 1e-3:
        return cut.force
    arc = engagement(cut.width, cut.cutter.diameter)
    pitch = 2 * math.pi / cut.cutter.flutes
    upto = _upto(cut, arc)
    starts = [pitch * k / STEPS for k in range(STEPS)] + [arc % pitch, lag % pitch]
    most = max(_turned(start, lag, pitch, upto, arc) for start in starts)
    return most * cut.depth / lag


def helical_bend(cut: Cut) -> float:
    """How far the cutter's tip gives way under that force, mm."""
    return bend(cut.cutter, helical_force(cut))


def _upto(cut: Cut, arc: float) -> list[float]:
    """Force a mm of depth, added up over the angle from where a tooth enters, N rad / mm."""
    step = arc / SLICES
    chips = (cut.chip_load * math.sin((k + 0.5) * step) for k in range(SLICES))
    return [0.0, *accumulate(step * c * cut.material.specific_force(c) for c in chips)]


def _turned(start: float, lag: float, pitch: float, upto: list[float], arc: float) -> float:
    """Of all teeth, their lowest points at `start` and every `pitch` on; each trails by `lag`."""

    def at(angle: float) -> float:
        place = min(max(angle, 0.0), arc) / arc * SLICES
        low = min(int(place), SLICES - 1)
        return upto[low] + (upto[low + 1] - upto[low]) * (place - low)

    total, angle = 0.0, start
    while angle < arc + lag:
        total += at(angle) - at(angle - lag)
        angle += pitch
    return total
