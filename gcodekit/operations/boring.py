"""Bores brought to size by a boring head, which is set by hand between its cuts."""

from __future__ import annotations

import math
from dataclasses import replace

from gcodekit.job.kinds.bore import Bore
from gcodekit.operations.cycles import cycle_over, in_short_order, straight_down
from gcodekit.operations.planned_operation import Phase, PlanContext, PlannedOperation
from gcodekit.toolpath.moves import HoleCycle, OperatorStop
from gcodekit.toolpath.path import APPROACH
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.hole_cutting import BORING_CUT, BORING_TRIAL, boring


def boring_drafts(
    work: PlanContext, bore: Bore, head: Cutter, top: float, opened: float
) -> list[PlannedOperation]:
    """Cuts that open the hole there is, one to be measured, then the last: each after a stop that
    says what to set. `opened`: diameter of the hole, mm."""
    *opening, trial, size = boring_settings(bore.diameter, opened)
    return [
        *(_cut(work, bore, head, top, d, f"bore to {work.say(d)}", _set(work, d)) for d in opening),
        _cut(work, bore, head, top, trial, "trial bore", _set(work, trial)),
        _cut(work, bore, head, top, size, "bore to size", _correct(work, trial, size)),
    ]


def boring_settings(size: float, opened: float) -> tuple[float, ...]:
    """The diameters a boring head is set to, one cut after another, mm, from a hole of `opened`:
    in equal cuts to the one that is measured, then to size."""
    trial = size - BORING_TRIAL
    cuts = max(1, math.ceil((trial - opened) / BORING_CUT - 1e-6))
    return (*(trial - (trial - opened) * i / cuts for i in range(cuts - 1, -1, -1)), size)


def _set(work: PlanContext, diameter: float) -> str:
    return f"set the boring head to diameter {work.say(diameter)}"


def _correct(work: PlanContext, trial: float, size: float) -> str:
    return (
        f"measure the bore, {work.say(trial)} expected, then open the head by the difference to "
        f"{work.say(size)}"
    )


def _cut(
    work: PlanContext, bore: Bore, head: Cutter, top: float, size: float, label: str, words: str
) -> PlannedOperation:
    """Feed in and feed out: a head cannot be stopped with its point clear of the wall."""
    base = boring(work.job.material, head, work.limits, diameter=size)
    rates = straight_down(base, bore.cutting)
    places = in_short_order(work, bore.places)
    path = work.path(rates)
    path.over(places[0])
    path.moves.append(OperatorStop(words))
    like = HoleCycle("ream", 0, 0, top + APPROACH, bore.depth.cut_to, rates.feed)
    cycle_over(path, places, like)
    return work.draft(bore, label, replace(head, diameter=size), rates.speed, path, Phase.SIZE)
