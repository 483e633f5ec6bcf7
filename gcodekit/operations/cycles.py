"""Holes of one cutter after another on the machine's drilling cycles."""

from __future__ import annotations

from dataclasses import replace

from gcodekit.geometry.chain import Point, distance
from gcodekit.job.model import Bore, Hole
from gcodekit.operations.draft import Draft, Phase, Work, overridden
from gcodekit.toolpath.moves import HoleCycle
from gcodekit.toolpath.path import APPROACH, Path
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.cutting import Rates, drilling, reaming


def by_nearest(places: tuple[Point, ...]) -> tuple[Point, ...]:
    """The places in the order of always going to the nearest one left, from the first."""
    left = list(places)
    order = [left.pop(0)]
    while left:
        here = order[-1]
        order.append(left.pop(min(range(len(left)), key=lambda i: distance(here, left[i]))))
    return tuple(order)


def cycle_over(path: Path, places: tuple[Point, ...], like: HoleCycle) -> None:
    """The same cycle at every place."""
    for x, y in places:
        path.over((x, y))
        path.drop(like.retract)
        path.cycle(replace(like, x=x, y=y))


def drill_rates(work: Work, cutter: Cutter, hole: Hole, *, depth: float) -> Rates:
    """Rates of a drill, with what the job says put in their place."""
    feed_max = work.job.workshop.machine.feed_max
    rates = drilling(
        work.job.material, cutter, depth=depth, spindle=work.spindle, feed_max=feed_max
    )
    return overridden(rates, hole.cutting)


def ream_draft(
    work: Work, hole: Hole | Bore, reamer: Cutter, places: tuple[Point, ...], top: float
) -> Draft:
    """Feed in and feed out again; full size reaches the hole's depth."""
    machine = work.job.workshop.machine
    base = reaming(work.job.material, reamer, spindle=work.spindle, feed_max=machine.feed_max)
    rates = overridden(base, hole.cutting) if isinstance(hole, Hole) else base
    bottom = hole.depth.cut_to - reamer.point_length
    path = work.path(rates)
    cycle_over(path, places, HoleCycle("ream", 0, 0, top + APPROACH, bottom, rates.feed))
    return work.draft(hole, "ream", reamer, rates.speed, path, Phase.SIZE)
