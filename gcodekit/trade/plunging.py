"""Power of cuts straight down: drills, reamers, boring heads, end mills plunged for a counterbore.

Source: Q = (pi D^2 / 4) f n, of the ring that is left for a reamer likewise; the chip of each of a
drill's two lips at 118 degrees is f / 2 sin 59. From memory of machining textbooks.
"""

from __future__ import annotations

import math

from gcodekit.trade.cutter import POINTED, Cutter
from gcodekit.trade.materials import Material

LIPS = 2
LIP_ANGLE = math.radians(59)


def plunging_power(
    material: Material,
    cutter: Cutter,
    *,
    feed: float,
    speed: float,
    wide: float,
    inside: float = 0.0,
) -> float:
    """Watts at the cutter of a hole opened from `inside` to `wide`, mm, at mm/min and rev/min."""
    if cutter.kind in POINTED:
        chip = feed / speed / LIPS * math.sin(LIP_ANGLE)
    else:
        chip = feed / speed / cutter.flutes
    removed = math.pi / 4 * (wide**2 - inside**2) * feed
    return removed * material.specific_force(chip) / 60_000
