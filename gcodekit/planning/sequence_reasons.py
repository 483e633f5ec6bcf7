"""The reasons for each operation's place in the sequence, in words for the machinist."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry.base import BaseGeometry

from gcodekit.job.model import Setup
from gcodekit.operations.planned_operation import Phase, PlannedOperation
from gcodekit.planning.precedence import asked_pairs, frees, phase_of, touching

# What is due when, said of an operation that nothing else holds back.
_DUE = {
    Phase.FACE: "the top is faced before anything is measured from it",
    Phase.START: "holes are started and drilled before milling",
    Phase.ROUGH: "roughing comes before finishing to size",
    Phase.FINISH: "as written",
    Phase.SIZE: "finishing to size comes after the roughing around it",
    Phase.FREE: "cutting a piece free comes last",
}


def reasons(
    setup: Setup, ordered: Sequence[PlannedOperation], footprints: dict[str, BaseGeometry | None]
) -> tuple[str, ...]:
    """The reason for each operation's place, in the order they are cut: what it comes after, and
    why."""
    if setup.order == "as written":
        return ('order = "as written"',) * len(ordered)
    done = {d.feature.name for d in ordered}
    features = [f for f in setup.features if f.name in done]
    after = _by_later(asked_pairs(features))
    touched = _by_later(touching(features, footprints))
    found = []
    for i, draft in enumerate(ordered):
        before = ordered[:i]
        why = [
            *_behind_stop(setup, before, draft),
            *_behind_features(before, draft, after, touched),
            *_due(before, draft),
        ]
        found.append("; ".join(why))
    return tuple(found)


def _by_later(pairs: Sequence[tuple[str, str]]) -> dict[str, set[str]]:
    """The features that each one comes behind."""
    found: dict[str, set[str]] = {}
    for earlier, later in pairs:
        found.setdefault(later, set()).add(earlier)
    return found


def _behind_stop(
    setup: Setup, before: Sequence[PlannedOperation], draft: PlannedOperation
) -> list[str]:
    stage = draft.feature.stage
    if stage == (before[-1].feature.stage if before else 0):
        return []
    return [f"after {setup.stops[stage - 1].name}"]


def _behind_features(
    before: Sequence[PlannedOperation],
    draft: PlannedOperation,
    after: dict[str, set[str]],
    touched: dict[str, set[str]],
) -> list[str]:
    """The operation of its own before it, or the features that its first one has to wait for."""
    name = draft.feature.name
    own = [d for d in before if d.feature.name == name]
    if own:
        return [f"after its own {own[-1].label}"]
    latest = [d.feature.name for d in reversed(before)]
    why = []
    for names, words in (
        (after, "as set by after"),
        (touched, "which it touches and which is listed first"),
    ):
        last = next((n for n in latest if n in names.get(name, ())), None)
        if last is not None:
            why.append(f"after {last}, {words}")
    return why


def _due(before: Sequence[PlannedOperation], draft: PlannedOperation) -> list[str]:
    """The reason that decides among operations that nothing holds back."""
    if frees(draft.feature):
        return ["it cuts the work free, so it comes last"]
    if before and before[-1].cutter.number == draft.cutter.number:
        return ["its cutter is already in the spindle"]
    return [_DUE[phase_of(draft)]]
