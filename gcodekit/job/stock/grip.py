"""Whether a vise or chuck grips enough of the work for what is cut from it."""

from __future__ import annotations

from gcodekit.job.keys.reading import Table
from gcodekit.job.model import Setup

# Of the deepest milled cut, how much should be in the jaws. Common practice, no source.
GRIP_OF_DEPTH = 0.25


def warn_of_grip(setup: Setup, table: Table) -> None:
    """Warn once for each holding that grips less than the cuts made in it suggest."""
    for stage, hold in enumerate(setup.holds):
        jaws = hold.vise or hold.chuck
        milled = [f for f in setup.features if f.stage == stage and f.milled]
        if jaws is None or not milled:
            continue
        deepest = min(milled, key=lambda f: f.depth.floor)
        depth = setup.left.high[2] - max(deepest.depth.floor, setup.left.low[2])
        if jaws.grip < GRIP_OF_DEPTH * depth:
            say = table.source.say
            place = (
                setup.stops[stage - 1].place if stage else table.source.place(table.below("hold"))
            )
            table.source.faults.warn(
                place,
                f"{say(jaws.grip)} in the jaws is little for {deepest.name}, cut "
                f"{say(round(depth, 3))} deep",
                f"grip {say(round(GRIP_OF_DEPTH * depth, 1))} or more, or take light cuts",
            )
