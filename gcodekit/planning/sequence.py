"""The order of a set-up's operations.

Features that touch keep their written order; an operation of a feature follows the one before it.
Among what is free to come next: what the cutter in the spindle can do, then starting holes, then
roughing, finishing, sizing, and last whatever frees the part.
"""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gcodekit.job.model import Feature, Setup
from gcodekit.operations.draft import Draft, Phase
from gcodekit.planning.heights import COVER


def in_sequence(
    setup: Setup, drafts: list[Draft], footprints: dict[str, BaseGeometry | None]
) -> list[Draft]:
    """The drafts (each feature's in its own order) in the order they are to be cut."""
    index = {f.name: i for i, f in enumerate(setup.features)}
    before = _before(setup, drafts, footprints)
    left = list(range(len(drafts)))
    done: set[int] = set()
    order: list[Draft] = []
    while left:
        ready = [i for i in left if before[i] <= done]
        here = order[-1].cutter.number if order else None
        best = min(ready, key=lambda i: _rank(drafts[i], index, here))
        left.remove(best)
        done.add(best)
        order.append(drafts[best])
    return order


def _rank(draft: Draft, index: dict[str, int], here: int | None) -> tuple[bool, bool, int, int]:
    """What comes first has the smaller rank."""
    other = draft.cutter.number != here
    freeing = draft.phase == Phase.FREE
    return freeing, other, int(draft.phase), index[draft.feature.name]


def _before(
    setup: Setup, drafts: list[Draft], footprints: dict[str, BaseGeometry | None]
) -> list[set[int]]:
    """For each draft, those that must be done before it."""
    index = {f.name: i for i, f in enumerate(setup.features)}
    written = setup.order == "as written"
    before: list[set[int]] = []
    for j, draft in enumerate(drafts):
        mine = index[draft.feature.name]
        own: set[int] = set()
        for i, other in enumerate(drafts):
            theirs = index[other.feature.name]
            if theirs == mine:
                if i < j:
                    own.add(i)
            elif theirs < mine and (written or _touch(other.feature, draft.feature, footprints)):
                own.add(i)
        before.append(own)
    return before


def _touch(a: Feature, b: Feature, footprints: dict[str, BaseGeometry | None]) -> bool:
    first, second = footprints[a.name], footprints[b.name]
    if first is None or second is None:
        return True
    return bool(first.buffer(-COVER).intersects(second))
