"""Holes begun at whichever end of their way the cutter is nearer to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from gcodekit.geometry.chain import Point, distance
from gcodekit.operations.cycles import cycles_over
from gcodekit.operations.draft import Draft, Work
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Rapid
from gcodekit.toolpath.path import Path


def from_nearer_end(work: Work, ordered: Sequence[Draft]) -> list[Draft]:
    """The drafts in their order, holes of each the other way round where that saves way."""
    if work.setup.order == "as written":
        return list(ordered)
    park = work.job.workshop.machine.park
    found: list[Draft] = []
    at: Point | None = None
    for draft in ordered:
        if park is not None and (not found or found[-1].cutter.number != draft.cutter.number):
            at = park
        found.append(_turned(work, draft, at))
        cuts = (m for m in reversed(found[-1].moves) if isinstance(m, HoleCycle | Feed | ArcFeed))
        at = next(((m.x, m.y) for m in cuts), at)
    return found


def _turned(work: Work, draft: Draft, at: Point | None) -> Draft:
    holes = [m for m in draft.moves if isinstance(m, HoleCycle)]
    only_holes = all(isinstance(m, HoleCycle | Rapid) for m in draft.moves)
    if at is None or not only_holes or not _is_nearer(at, holes[-1], holes[0]):
        return draft
    path = Path(work.safe_z, feed=0.0, plunge_feed=0.0)
    cycles_over(path, holes[::-1])
    path.lift()
    return replace(draft, moves=tuple(path.moves))


def _is_nearer(at: Point, one: HoleCycle, other: HoleCycle) -> bool:
    return distance(at, (one.x, one.y)) < distance(at, (other.x, other.y))
