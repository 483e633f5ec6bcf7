"""Holes of one cutter after another on the machine's drilling cycles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from gcodekit.geometry.chain import Point
from gcodekit.geometry.tolerances import SAME_POINT
from gcodekit.job.feature import Cutting
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.planned_operation import (
    Phase,
    PlanContext,
    PlannedOperation,
    overridden,
    refuse,
)
from gcodekit.toolpath.moves import HoleCycle
from gcodekit.toolpath.path import APPROACH, Path
from gcodekit.toolpath.shortest_way import shortest_way
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.rates import Rates, drilling, reaming

# A blind reamed hole is made deeper by the reamer's lead and this much, mm, for the chips. The job
# file's contract.
CHIP_ROOM = 1.0


def in_short_order(work: PlanContext, places: tuple[Point, ...]) -> tuple[Point, ...]:
    """The places in the order of a short way over all of them, or as written where the set-up asks
    for that."""
    return places if work.setup.order == "as written" else shortest_way(places)


def cycle_over(path: Path, places: tuple[Point, ...], like: HoleCycle) -> None:
    """The same cycle at every place."""
    cycles_over(path, [replace(like, x=x, y=y) for x, y in places])


def cycles_over(path: Path, holes: Sequence[HoleCycle]) -> None:
    """One cycle after another."""
    for hole in holes:
        path.over((hole.x, hole.y))
        path.drop(hole.retract)
        path.cycle(hole)


def drill_rates(
    work: PlanContext,
    chosen: Chosen,
    cutter: Cutter,
    hole: Hole,
    *,
    depth: float,
    wide: float | None = None,
) -> Rates:
    """Rates of a drill, with what the job says of it put in their place; `wide`: of a spot, mm."""
    rates = drilling(work.job.material, cutter, work.limits, depth=depth, wide=wide)
    return straight_down(rates, chosen.figures(cutter, hole.cutting))


def straight_down(rates: Rates, cutting: Cutting) -> Rates:
    """Rates of a cut straight down with the job's own figures: `plunge_feed` is then the feed."""
    return overridden(rates, replace(cutting, feed=cutting.plunge_feed or cutting.feed))


def room_for_reamer(work: PlanContext, feature: Hole | Bore, reamer: Cutter) -> float:
    """How much deeper than its full reamed size a blind hole is made, mm: by the lead and room for
    chips."""
    depth = feature.depth
    if depth.opens:
        check_room_beyond(work, feature, reamer.point_length, "reamer")
        return 0.0
    deeper = reamer.point_length + CHIP_ROOM
    check_room(work, feature, depth.cut_to - deeper, deeper, "reamer")
    return deeper


def check_room(
    work: PlanContext, feature: Hole | Bore, floor: float, deeper: float, last: str
) -> None:
    """Refuse a blind hole whose reamer or tap asks for a starting hole through the metal."""
    bottom = work.setup.left.low[2]
    if floor < bottom:
        raise refuse(
            feature,
            f"its starting hole must go {work.say(deeper)} deeper than the {last}'s full size, to "
            f"z {work.say(floor)}: the stock ends at z {work.say(bottom)}",
            "set through = true, or a smaller depth"
            + (", or set drill_depth to what there is" if isinstance(feature, Hole) else ""),
            key="depth",
        )


def check_room_beyond(work: PlanContext, feature: Hole | Bore, lead: float, last: str) -> None:
    """Refuse a hole whose reamer or tap would run with its lead, mm, into the far side of what the
    hole breaks into."""
    depth = feature.depth
    if lead and depth.cut_to - lead < depth.far - SAME_POINT:
        raise refuse(
            feature,
            f"the {last}'s lead, {work.say(lead)}, has no room in {depth.into}: there is "
            f"{work.say_about(depth.cut_to - depth.far)} to its far side",
            f"use a {last} with a shorter lead, or give a depth",
            key="until",
        )


def ream_draft(
    work: PlanContext, hole: Hole | Bore, reamer: Cutter, places: tuple[Point, ...], top: float
) -> PlannedOperation:
    """Feed in and feed out again; full size reaches the hole's depth."""
    rates = straight_down(reaming(work.job.material, reamer, work.limits), hole.cutting)
    bottom = hole.depth.cut_to - reamer.point_length
    path = work.path(rates)
    cycle_over(path, places, HoleCycle("ream", 0, 0, top + APPROACH, bottom, rates.feed))
    return work.draft(hole, "ream", reamer, rates.speed, path, Phase.SIZE)
