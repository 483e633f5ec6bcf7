"""The bore or boss that a thread is milled in or on, and the room that its cutter needs there."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import less
from gcodekit.job.kinds.thread_mill import ThreadMill
from gcodekit.operations.planned_operation import PlanContext, refuse
from gcodekit.part.plane_regions import discs, grown
from gcodekit.part.planned_target import BELOW, FeatureContext
from gcodekit.part.setup_stock import metal_levels
from gcodekit.trade.cutter import Cutter

# A cutter keeps this far above the bottom of its bore, or a shoulder, mm: common practice, no
# source.
OVER_FLOOR = 0.2
# Stock thinner than twice this is none, mm; a size may be off by as much.
GRAZED = 0.005
# How wide a ring beyond its limits shows whether a bore has metal round it, mm; so much of it at
# least has to be there: a thread may be cut open at a side.
RING, AROUND = 0.02, 0.6


@dataclass(frozen=True, slots=True)
class ThreadReach:
    """A thread mill's middle goes round at `orbit`, its tip from `low` to `high`, mm. `lead`: the
    radius of the arcs in and out, outside."""

    cutter: Cutter
    orbit: float
    low: float
    high: float
    lead: float | None

    @property
    def farthest(self) -> float:
        """How far from the axis its teeth get."""
        if self.lead is None:
            return self.orbit + self.cutter.radius
        return math.hypot(self.orbit + self.lead, self.lead) + self.cutter.radius

    def body(self, z: float, *, teeth: bool) -> float:
        """The greatest radius of its body at a height z, above its teeth or with them; 0 for
        none."""
        steps = (0.0, self.cutter.flute_length, self.cutter.reach or 0.0, self.cutter.stickout)
        low, high = z - self.high, z - self.low
        heights = {min(max(h, low), high) for h in steps} | {low, high}
        least = 0.0 if teeth else self.cutter.flute_length
        return max((self.cutter.body_radius_at(h) for h in heights if h >= least), default=0.0)


def check_place(
    work: PlanContext,
    thread: ThreadMill,
    place: Point,
    reach: ThreadReach,
    around: FeatureContext,
) -> None:
    """Refuse a bore or boss that is not there, of another size, or not deep enough; and stock that
    cutter, shank or holder would meet. Raises `PlanError`."""
    highest = work.setup.left.high[2]
    found = {*metal_levels(work.setup), thread.depth.floor, reach.low - OVER_FLOOR}
    found |= {z for asked in around.asked for z in asked.levels} | {thread.depth.top}
    # where a body above the teeth begins
    found |= {reach.low + h for h in (reach.cutter.flute_length, reach.cutter.stickout)}
    heights = sorted(z + BELOW for z in found if reach.low - OVER_FLOOR <= z < highest)
    for z in heights:
        if thread.depth.floor <= z < thread.depth.top:
            _check_size(work, thread, place, around, z)
    for z in heights:
        _check_room(work, thread, place, reach, around, z)


def _check_size(
    work: PlanContext, thread: ThreadMill, place: Point, around: FeatureContext, z: float
) -> None:
    least, most = thread.limits.crest
    inner, outer = discs([place], least / 2 - GRAZED), discs([place], most / 2 + GRAZED)
    ring = less(discs([place], most / 2 + GRAZED + RING), outer)
    over = grown(around.standing(ring, z), -GRAZED)
    if thread.internal:
        small = not grown(around.standing(inner, z), -GRAZED).is_empty
        wide = around.standing(ring, z).area < AROUND * ring.area
    else:
        # it may be hollow
        wall = less(inner, discs([place], thread.limits.root[0] / 2))
        small = less(wall, around.standing(wall, z)).area > GRAZED * wall.length
        wide = not over.is_empty
    if small or wide:
        say, what = work.say, "bore" if thread.internal else "boss"
        size = f"{say(round(least, 3))} to {say(round(most, 3))}"
        wrong = f"the {what} for {thread.called} is missing or too small"
        if wide:
            wrong = f"the {what} for {thread.called} is too large"
        wrong += ", or open at its side," if thread.internal else ""
        how = (
            f"bore it to {say(round(math.fsum((least, most)) / 2, 2))} before ({size})"
            if thread.internal
            else f"mill a boss of {say(round(math.fsum((least, most)) / 2, 2))} before ({size})"
        )
        raise refuse(thread, f"{wrong} at z {say(round(z, 3))}", how, key="kind")


def _check_room(
    work: PlanContext,
    thread: ThreadMill,
    place: Point,
    reach: ThreadReach,
    around: FeatureContext,
    z: float,
) -> None:
    """Of teeth, neck, shank and holder in one plane."""
    in_thread = z < thread.depth.top
    met = grown(around.standing(_swept(thread, place, reach, z, in_thread=in_thread), z), -GRAZED)
    if met.is_empty:
        return
    say = work.say
    if z < thread.depth.floor:
        below = say(round(thread.depth.top - reach.low + OVER_FLOOR, 2))
        what = "bore" if thread.internal else "boss"
        raise refuse(
            thread,
            f"the {what} is not deep enough for {work.called(reach.cutter)} to run out",
            f"make the {what} {below} deep, or the thread less deep",
            key="depth",
        )
    raise refuse(
        thread,
        f"{work.called(reach.cutter)} would meet the work beside the thread, at "
        f"{work.say_at(met)}, z {say(round(z, 3))}",
        "clear the work there before, or use a cutter with a longer or slimmer neck",
    )


def _swept(
    thread: ThreadMill, place: Point, reach: ThreadReach, z: float, *, in_thread: bool
) -> BaseGeometry:
    """What has to be free at a height: of the thread's own zone what the body above the teeth
    sweeps, and the bore or the room round the boss."""
    body = reach.body(z, teeth=not in_thread)
    crest = thread.limits.crest
    if thread.internal:
        free = max(crest[0] / 2 - GRAZED if in_thread else 0.0, reach.orbit + body if body else 0.0)
        return discs([place], free)
    inner = crest[1] / 2 + GRAZED if in_thread else reach.farthest
    if body:
        inner = min(inner, reach.orbit - body)
    return less(discs([place], reach.farthest), discs([place], max(inner, 0.0)))
