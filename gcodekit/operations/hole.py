"""Holes: spotted, drilled, perhaps reamed, on the machine's drilling cycles."""

from __future__ import annotations

import math
from typing import Literal

from gcodekit.geometry.chain import Point, distance
from gcodekit.job.model import Bore, Hole
from gcodekit.operations.draft import Chosen, Draft, Phase, Work, overridden
from gcodekit.toolpath.moves import HoleCycle
from gcodekit.toolpath.path import APPROACH, Path
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.cutting import Rates, drilling, reaming

# A spot is this share of the hole's diameter, so that its rim is drilled away. Common practice,
# no source.
SPOT_SHARE = 0.8
# A drill goes deeper than a blind reamed hole by the reamer's lead and this much for the chips.
CHIP_ROOM = 1.0


def hole_drafts(work: Work, hole: Hole, chosen: Chosen, top: float) -> list[Draft]:
    """Spot, drill and ream every place, nearest next."""
    places = by_nearest(hole.places)
    drafts = []
    if chosen.spot is not None:
        drafts.append(_spot(work, hole, chosen, chosen.spot, places, top))
    if chosen.drill is not None:
        drafts.append(_drill(work, hole, chosen, chosen.drill, places, top))
    if chosen.reamer is not None:
        drafts.append(ream_draft(work, hole, chosen.reamer, places, top))
    return drafts


def spot_depth(cutter: Cutter, diameter: float) -> float:
    """How deep the spot drill's tip goes, mm."""
    wide = min(SPOT_SHARE * diameter, 0.95 * cutter.diameter)
    return wide / 2 / math.tan(cutter.tip_angle / 2)


def drilled_to(hole: Hole | Bore, drill: Cutter, reamer: Cutter | None) -> float:
    """Height of the drill's shoulder at the bottom of the hole."""
    depth = hole.depth
    if isinstance(hole, Hole) and hole.drill_depth is not None:
        return depth.top - hole.drill_depth
    if reamer is None or depth.through:
        return depth.cut_to
    return depth.cut_to - reamer.point_length - CHIP_ROOM


def by_nearest(places: tuple[Point, ...]) -> tuple[Point, ...]:
    """The places in the order of always going to the nearest one left, from the first."""
    left = list(places)
    order = [left.pop(0)]
    while left:
        here = order[-1]
        order.append(left.pop(min(range(len(left)), key=lambda i: distance(here, left[i]))))
    return tuple(order)


def _spot(
    work: Work,
    hole: Hole,
    chosen: Chosen,
    cutter: Cutter,
    places: tuple[Point, ...],
    top: float,
) -> Draft:
    rates = _drill_rates(work, chosen, cutter, hole, depth=cutter.diameter / 2)
    bottom = top - spot_depth(cutter, hole.diameter)
    path = work.path(rates)
    _holes(path, places, HoleCycle("drill", 0, 0, top + APPROACH, bottom, rates.feed))
    return work.draft(hole, "spot", cutter, rates.speed, path, Phase.START)


def _drill(
    work: Work,
    hole: Hole,
    chosen: Chosen,
    drill: Cutter,
    places: tuple[Point, ...],
    top: float,
) -> Draft:
    shoulder = drilled_to(hole, drill, chosen.reamer)
    rates = _drill_rates(work, chosen, drill, hole, depth=top - shoulder)
    peck = rates.peck if hole.peck is None else hole.peck
    bottom = shoulder - drill.point_length
    peck = peck if peck < top - bottom else 0.0
    kind: Literal["drill", "peck"] = "peck" if peck else "drill"
    path = work.path(rates)
    _holes(path, places, HoleCycle(kind, 0, 0, top + APPROACH, bottom, rates.feed, peck))
    return work.draft(hole, "drill", drill, rates.speed, path, Phase.START)


def ream_draft(
    work: Work, hole: Hole | Bore, reamer: Cutter, places: tuple[Point, ...], top: float
) -> Draft:
    """Feed in and feed out again; full size reaches the hole's depth."""
    machine = work.job.workshop.machine
    base = reaming(work.job.material, reamer, spindle=work.spindle, feed_max=machine.feed_max)
    rates = overridden(base, hole.cutting)
    bottom = hole.depth.cut_to - reamer.point_length
    path = work.path(rates)
    _holes(path, places, HoleCycle("ream", 0, 0, top + APPROACH, bottom, rates.feed))
    return work.draft(hole, "ream", reamer, rates.speed, path, Phase.SIZE)


def _drill_rates(work: Work, chosen: Chosen, cutter: Cutter, hole: Hole, *, depth: float) -> Rates:
    feed_max = work.job.workshop.machine.feed_max
    rates = drilling(
        work.job.material, cutter, depth=depth, spindle=work.spindle, feed_max=feed_max
    )
    return overridden(rates, chosen.figures(cutter, hole.cutting))


def _holes(path: Path, places: tuple[Point, ...], like: HoleCycle) -> None:
    for x, y in places:
        path.over((x, y))
        path.drop(like.retract)
        path.cycle(
            HoleCycle(like.kind, x, y, like.retract, like.bottom, like.feed, like.peck, like.dwell)
        )
