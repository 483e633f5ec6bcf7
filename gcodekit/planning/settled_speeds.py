"""Spindle speeds that are set by hand, changed only where it matters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from gcodekit.job.model import Job
from gcodekit.operations.planned_operation import PlannedOperation
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move

# Nobody moves a belt or a knob for less than this, as a share. Common practice, no source.
AS_GOOD = 0.05


def settled_speeds(job: Job, drafts: Sequence[PlannedOperation]) -> list[PlannedOperation]:
    """The operations in running order, each at the speed of the one before where that is as good;
    at a lower one its feeds go down with it, so that no chip gets thicker. Speeds that the job
    gives, and those of taps, stay."""
    if not job.workshop.machine.spindle.by_hand:
        return list(drafts)
    found: list[PlannedOperation] = []
    for draft in drafts:
        set_to = found[-1].speed if found else 0.0
        found.append(_at(draft, set_to) if _as_good(draft, set_to) else draft)
    return found


def _as_good(draft: PlannedOperation, speed: float) -> bool:
    given = draft.feature.cutting.speed is not None or draft.cutter.kind == "tap"
    return not given and 0 < abs(speed - draft.speed) <= AS_GOOD * draft.speed


def _at(draft: PlannedOperation, speed: float) -> PlannedOperation:
    share = min(1.0, speed / draft.speed)
    return replace(draft, speed=speed, moves=tuple(_slower(m, share) for m in draft.moves))


def _slower(move: Move, share: float) -> Move:
    if isinstance(move, Feed | ArcFeed | HoleCycle):
        return replace(move, feed=move.feed * share)
    return move
