"""The mouth of a hole: counterbores plunged or milled, countersinks."""

from __future__ import annotations

from dataclasses import replace

from gcodekit.geometry.chain import Point
from gcodekit.job.feature import Cutting, Depth
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.operations.bore import bore_drafts
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.cycles import cycle_over, straight_down
from gcodekit.operations.planned_operation import Phase, PlanContext, PlannedOperation, refuse
from gcodekit.toolpath.moves import HoleCycle
from gcodekit.toolpath.path import APPROACH
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.hole_cutting import PLUNGED, countersinking

# At the bottom the cutter waits for this many turns, so that floor or cone comes out round.
# Common practice, no source.
TURNS_AT_BOTTOM = 3
# A mouth this little above the metal is at it, mm.
AT_METAL = 1e-4


def sinks_first(hole: Hole, chosen: Chosen) -> bool:
    """Tell whether the spot drill makes the countersink in the place of a spot."""
    sink = hole.countersink
    if sink is None or chosen.countersink is None:
        return False
    same = chosen.spot is not None and chosen.spot.number == chosen.countersink.number
    return not hole.drilled or (same and sink.mouth == hole.depth.top and not hole.counterbore)


def _check_metal(work: PlanContext, hole: Hole, key: str, mouth: float, top: float) -> None:
    """Refuse a mouth in the air: an earlier feature has taken its metal."""
    if top < mouth - AT_METAL and not (hole.counterbore and mouth == hole.counterbore.floor):
        text = (
            f"it starts at z {work.say(mouth)}, but the stock there is already cut down to z "
            f"{work.say(top)}"
        )
        hint = f"set top = {work.say(top).split()[0]}, or list the hole before what cuts that"
        raise refuse(hole, text, hint, key=key)


def sink_draft(
    work: PlanContext,
    hole: Hole,
    chosen: Chosen,
    places: tuple[Point, ...],
    top: float,
    *,
    phase: Phase,
) -> PlannedOperation:
    """Straight down until the cone is as wide as asked at its mouth."""
    sink, cutter = hole.countersink, chosen.countersink
    assert sink is not None
    assert cutter is not None
    _check_metal(work, hole, "countersink", sink.mouth, top)
    base = countersinking(work.job.material, cutter, work.limits, diameter=sink.diameter)
    rates = base if hole.drilled else straight_down(base, hole.cutting)
    path = work.path(rates)
    dwell = TURNS_AT_BOTTOM * 60 / rates.speed
    tip = sink.tip + cutter.missing_point
    like = HoleCycle("drill", 0, 0, top + APPROACH, tip, rates.feed, dwell=dwell)
    cycle_over(path, places, like)
    return work.draft(hole, "countersink", cutter, rates.speed, path, phase)


def counterbore_drafts(
    work: PlanContext, hole: Hole, cutter: Cutter, places: tuple[Point, ...], top: float
) -> list[PlannedOperation]:
    """Plunged by an end mill of its size, else milled as a bore is."""
    mouth = hole.counterbore
    assert mouth is not None
    _check_metal(work, hole, "counterbore", hole.depth.top, top)
    cutting = Cutting(direction=hole.cutting.direction)
    if abs(cutter.diameter - mouth.diameter) < PLUNGED:
        rates = work.milling(cutter, cutting)
        path = work.path(rates)
        dwell = TURNS_AT_BOTTOM * 60 / rates.speed
        feed = rates.plunge_feed
        like = HoleCycle("drill", 0, 0, top + APPROACH, mouth.floor, feed, dwell=dwell)
        cycle_over(path, places, like)
        return [work.draft(hole, "counterbore", cutter, rates.speed, path, Phase.FINISH)]
    depth = Depth(top=hole.depth.top, floor=mouth.floor, through=False, cut_to=mouth.floor)
    bore = Bore(
        name=hole.name,
        place=hole.place,
        depth=depth,
        cutting=cutting,
        places=places,
        diameter=mouth.diameter,
    )
    drafts = bore_drafts(work, bore, Chosen(finish=cutter, rough=cutter), top)
    return [replace(d, feature=hole, label=f"counterbore {d.label}") for d in drafts]
