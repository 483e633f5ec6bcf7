"""How high the spindle goes for a change of cutter."""

from __future__ import annotations

import math
from collections.abc import Iterable

from gcodekit.planning.program import Operation, Program
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle
from gcodekit.trade.cutter import Cutter

# A cutter comes in from below its collet or chuck, and this much of its shank goes up into it, mm.
# Common practice, no source.
GRIPPED = 25.0


def change_height(program: Program, held: Cutter, to_come: Iterable[Cutter]) -> float:
    """Z of the tip of the cutter that is held, mm, for the change or the end: where the workshop
    parks it, or by hand so high that the longest cutter to come goes in above the work, as far as
    the machine's travel lets it. No lower than the safe height."""
    machine = program.job.workshop.machine
    if machine.park_z is not None:
        return max(machine.park_z, program.safe_z)
    longest = max((c.stickout for c in to_come), default=0.0)
    # where a hand is at Z it goes up as far as it needs without being told
    if machine.tool_change == "automatic" or longest == 0.0 or 2 in machine.by_hand:
        return program.safe_z
    wanted = program.safe_z + max(0.0, longest + GRIPPED - held.stickout)
    return max(program.safe_z, min(wanted, _travel_ends(program, held)))


def _travel_ends(program: Program, held: Cutter) -> float:
    """Z of the tip that travel surely reaches above the lowest place of the program."""
    travel = program.job.workshop.machine.travel
    if travel is None:
        return math.inf
    low = min(map(_lowest, program.operations))
    # the spindle's nose goes through its travel, a long cutter's tip is lower than a short one's
    nose = min(_lowest(o) + o.cutter.stickout for o in program.operations)
    return min(low, nose - held.stickout) + travel[2]


def _lowest(operation: Operation) -> float:
    heights = (
        m.bottom if isinstance(m, HoleCycle) else m.z
        for m in operation.moves
        if isinstance(m, HoleCycle | Feed | ArcFeed)
    )
    return min(heights, default=0.0)
