"""How far cutters may go beside what has to go: one figure each for planner and target."""

from __future__ import annotations

from gcodekit.trade.cutter import Cutter

# Faces and open slots run past the metal by the cutter's radius and this much, mm: the last cut
# is then behind the cutter's edge whatever the stock's edge is like. The job file's contract.
RUN_OFF = 1.0
# Largest tangential lead-in beside a kerf, mm: more eats stock and gains nothing.
# Common practice, no source.
LARGEST_LEAD = 5.0


def lead_radius(cutter: Cutter) -> float:
    """The largest radius of a tangential lead-in outside the kerf, mm.

    The cutter's own radius: a smaller arc turns harder than the cutter itself. Small cutters cut
    at the same load on it as in the kerf.
    """
    return min(cutter.radius, LARGEST_LEAD)
