"""What a set-up loses hold of: pieces that come free, edges that zero was set on, work in jaws that
grip too little of it."""

from __future__ import annotations

from gcodekit.job.feature import Feature
from gcodekit.job.keys.reading import Table
from gcodekit.job.model import Setup
from gcodekit.job.stock.drawn_removal import narrowest
from gcodekit.job.workshop.machine import Workshop


def frees_part(feature: Feature) -> bool:
    """Tell whether a feature cuts the part out of its metal."""
    freed = feature.freed
    return freed is not None and not freed.slug and not feature.standing


def warn_of_lost_zero(setup: Setup, table: Table, workshop: Workshop) -> None:
    """Warn where zero was set on an edge that this set-up cuts away.

    A top that is faced away needs none: program and sheet name another surface for it.
    """
    for feature in setup.features:
        if not feature.depth.through:
            continue
        axis = feature.zero_lost(setup.sure, narrowest(workshop))
        if axis is not None:
            table.warn(
                ("zero", axis),
                f"zero is on an edge that {feature.name} cuts away",
                "put zero on an edge that stays, or it cannot be found again",
            )
            return


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
                f"a grip of {say(jaws.grip)} is small for {deepest.name}, "
                f"{say(round(depth, 3))} deep",
                f"grip {say(round(GRIP_OF_DEPTH * depth, 1))} or more, or take light cuts",
            )
