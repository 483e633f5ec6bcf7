"""The choice of cutters that bring a bore to size: a reamer or a boring head after what opens
it."""

from __future__ import annotations

from dataclasses import replace

from gcodekit.errors import PlanError
from gcodekit.job.kinds.bore import Bore
from gcodekit.operations.choosing import tool_suggestions
from gcodekit.operations.choosing.existing_holes import finds_hole, opened
from gcodekit.operations.choosing.holes import reamer_for
from gcodekit.operations.choosing.mouth_cutters import (
    BORE_TO_CUTTER,
    largest,
)
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.cycles import room_for_reamer
from gcodekit.operations.entry_room import has_way_in
from gcodekit.operations.planned_operation import PlanContext, refuse
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.hole_cutting import BORING_LEFT, BORING_MOST_LEFT, reaming_allowance


def for_sized_bore(work: PlanContext, bore: Bore, top: float, *, mills: list[Cutter]) -> Chosen:
    """A bore that is milled under size, or there as a hole, and brought to it by a reamer or a
    boring head."""
    depth = top - bore.depth.cut_to
    boring = _boring_head(work, bore, depth) if bore.finish_with == "boring head" else None
    reamer = None if boring else reamer_for(work, bore, depth)
    last = boring or reamer
    assert last is not None
    mill = bore.cutting.rough_with
    if mill is None:
        deeper = _room_below(work, bore, last)
        hole = opened(work, bore, top, deeper=deeper)
        mill = _opening_mill(work, bore, top, last, mills)
        most = 2 * reaming_allowance(bore.diameter) if reamer else BORING_MOST_LEFT
        unmilled = mill is None or not bore.cutting.rough or bore.diameter - hole <= most
        if unmilled and finds_hole(bore, last, hole):
            return Chosen(finish=last, rough=last, reamer=reamer, boring=boring, opened=hole)
    if mill is None:
        raise _no_opening_mill(work, bore, top, last)
    return Chosen(finish=mill, rough=mill, reamer=reamer, boring=boring)


def _under_size(bore: Bore, last: Cutter) -> float:
    """The diameter to which a bore is milled first, mm."""
    return bore.diameter - (BORING_LEFT if last.kind == "boring head" else 0.0)


def _room_below(work: PlanContext, bore: Bore, last: Cutter) -> float:
    """How much deeper than the bore the cutter that opens it goes, mm."""
    return room_for_reamer(work, bore, last) if last.kind == "reamer" else 0.0


def _milled_deep(work: PlanContext, bore: Bore, top: float, last: Cutter) -> float:
    return top - bore.depth.cut_to + _room_below(work, bore, last)


def _opening_mill(
    work: PlanContext, bore: Bore, top: float, last: Cutter, mills: list[Cutter]
) -> Cutter | None:
    """The largest end mill that opens a bore; one that finds a way in, where there is one."""
    under = _under_size(bore, last)
    fitting = [c for c in mills if c.diameter * BORE_TO_CUTTER <= under]
    rough = replace(bore, diameter=under)
    entering = [c for c in fitting if has_way_in(work, rough, c, top)]
    return largest(entering or fitting, _milled_deep(work, bore, top, last), lambda _: True)


def _no_opening_mill(work: PlanContext, bore: Bore, top: float, last: Cutter) -> PlanError:
    would_do = tool_suggestions.end_mill(
        work,
        _milled_deep(work, bore, top, last),
        most=_under_size(bore, last) / BORE_TO_CUTTER,
    )
    text = "no end mill in the rack is small and long enough to open the bore"
    first = "drill it first: list a hole before it"
    if last.kind == "boring head":
        first += f", wider than the head's bar of {work.say(last.shank)}, to be bored out"
    else:
        first += f", {work.say(reaming_allowance(bore.diameter))} under its size, to be reamed"
    return refuse(bore, text, f"use {would_do}, or {first}")


def _boring_head(work: PlanContext, bore: Bore, depth: float) -> Cutter:
    named = bore.cutting.cutter
    heads = [named] if named else [c for c in work.job.workshop.cutters if c.kind == "boring head"]
    able = [c for c in heads if c.bores(bore.diameter) and c.flute_length >= depth - 1e-6]
    if able:
        return min(able, key=lambda c: c.number)
    has = ", ".join(_reach(work, c) for c in heads)
    raise refuse(
        bore,
        f"the rack has no boring head for {work.say(bore.diameter)}, {work.say(depth)} deep",
        f"add one for that size and depth ({has})"
        if has
        else 'add one: kind = "boring head", with range and flute_length, the depth its bar '
        "reaches",
        key="finish_with",
    )


def _reach(work: PlanContext, head: Cutter) -> str:
    least, most = (work.say(d) for d in head.range or (0.0, 0.0))
    return f"cutter {head.number} bores {least} to {most}, {work.say(head.flute_length)} deep"
