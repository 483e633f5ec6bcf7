"""The order of a set-up's operations.

Features that touch keep their written order, and `after` holds; what frees a piece comes last.
Among the orders left one with the fewest changes of cutter is taken, and among those one that
has starting holes first, sizes after roughing, and what parts the work last.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point, distance
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.model import Setup
from gcodekit.operations.cycles import cycles_over
from gcodekit.operations.planned_operation import PlanContext, PlannedOperation
from gcodekit.planning.precedence import Precedence, phase_of, preferred, required
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Rapid
from gcodekit.toolpath.path import Path

# Ways followed side by side while the fewest changes are looked for.
MOST_WAYS = 100

Rank = tuple[int, bool, int]


def in_sequence(
    setup: Setup, drafts: list[PlannedOperation], footprints: dict[str, BaseGeometry | None]
) -> list[PlannedOperation]:
    """The drafts (each feature's in its own order) in the order they are to be cut."""
    index = {f.name: i for i, f in enumerate(setup.features)}
    written = sorted(drafts, key=lambda d: index[d.feature.name])
    if setup.order == "as written" or not drafts:
        return written
    precedence = required(setup, written, footprints)
    ranks = [_rank(d, index[d.feature.name]) for d in written]
    cutters = [d.cutter.number for d in written]
    tried: list[list[int]] = []
    for way in preferred(precedence, written):
        tried += _tried(_SequenceSearch(way, way.after, cutters, ranks))
        if visits(tried[-1], cutters) == len(set(cutters)):
            break
    tried.append(_as_written(precedence))
    # of equal ones the first, which has most preferences
    best = min(tried, key=lambda order: visits(order, cutters))
    return [written[i] for i in best]


def _tried(yard: _SequenceSearch) -> list[list[int]]:
    """The obvious order, and where that changes cutters needlessly the best one found."""
    greedy = yard.greedy()
    if visits(greedy, yard.cutters) == len(set(yard.cutters)):
        return [greedy]
    return [greedy, yard.searched()]


def visits(order: Sequence[int], cutters: Sequence[int]) -> int:
    """The number of times a cutter is put in the spindle."""
    return sum(1 for k, i in enumerate(order) if not k or cutters[i] != cutters[order[k - 1]])


def _rank(draft: PlannedOperation, index: int) -> Rank:
    """The rank of an operation, smaller first: among those that part the work, windows before
    rims."""
    outer = isinstance(draft.feature, Profile) and draft.feature.side in ("outside", "on")
    return int(phase_of(draft)), outer, index


def _as_written(precedence: Precedence) -> list[int]:
    """The written order, but for what has to wait."""
    return _Way.begun(precedence).run(
        precedence.after, precedence.drafts, lambda i: (i,), lambda i: True
    )


@dataclass(slots=True)
class _Way:
    """How far a way has come: what each still waits for, and what is free to come next."""

    waiting: list[int]
    free: set[int]
    order: list[int]
    path: tuple[Rank, ...] = ()

    @staticmethod
    def begun(given: Precedence) -> _Way:
        waiting = [len(b) for b in given.before]
        return _Way(waiting, {i for i, w in enumerate(waiting) if not w}, [])

    def copied(self) -> _Way:
        return _Way(self.waiting[:], set(self.free), self.order[:], self.path)

    def run(
        self,
        after: list[list[int]],
        drafts: int,
        rank: Callable[[int], tuple[int, ...]],
        wanted: Callable[[int], bool],
    ) -> list[int]:
        """Do all that is free and wanted, and what becomes free by it; the order so far."""
        heap = [(rank(i) if i < drafts else (), i) for i in self.free if i >= drafts or wanted(i)]
        heapq.heapify(heap)
        while heap:
            _, i = heapq.heappop(heap)
            self.free.discard(i)
            if i < drafts:
                self.order.append(i)
            for j in after[i]:
                self.waiting[j] -= 1
                if not self.waiting[j]:
                    self.free.add(j)
                    if j >= drafts or wanted(j):
                        heapq.heappush(heap, (rank(j) if j < drafts else (), j))
        return self.order


@dataclass(frozen=True, slots=True)
class _SequenceSearch:
    """The search for a sequence: precedence, and each operation's cutter and rank."""

    given: Precedence
    after: list[list[int]]
    cutters: list[int]
    ranks: list[Rank]

    def greedy(self) -> list[int]:
        """Always on with the cutter of what is due first."""
        way = _Way.begun(self.given)
        while len(way.order) < self.given.drafts:
            (_, cutter), *_ = self._next(way)
            self._visit(way, cutter)
        return way.order

    def searched(self) -> list[int]:
        """The sequence with the fewest cutter changes among `MOST_WAYS` ways tried side by side."""
        ways = [_Way.begun(self.given)]
        while True:
            grown: dict[frozenset[int], _Way] = {}
            for way in ways:
                for rank, cutter in self._next(way):
                    new = way.copied()
                    self._visit(new, cutter)
                    new.path = (*way.path, rank)
                    done = frozenset(new.order)
                    if done not in grown or new.path < grown[done].path:
                        grown[done] = new
            ways = sorted(grown.values(), key=lambda w: (-len(w.order), w.path))[:MOST_WAYS]
            if len(ways[0].order) == self.given.drafts:
                return ways[0].order

    def _next(self, way: _Way) -> list[tuple[Rank, int]]:
        """The cutters that can go on, by the first of what each is due for."""
        due: dict[int, Rank] = {}
        for i in self._open(way):
            cutter, rank = self.cutters[i], self.ranks[i]
            due[cutter] = min(rank, due.get(cutter, rank))
        return sorted((rank, cutter) for cutter, rank in due.items())

    def _open(self, way: _Way) -> list[int]:
        way.run(self.after, self.given.drafts, lambda i: (), lambda i: False)
        return [i for i in way.free if i < self.given.drafts]

    def _visit(self, way: _Way, cutter: int) -> None:
        way.run(
            self.after,
            self.given.drafts,
            lambda i: self.ranks[i],
            lambda i: self.cutters[i] == cutter,
        )


def from_nearer_end(
    work: PlanContext, ordered: Sequence[PlannedOperation]
) -> list[PlannedOperation]:
    """The drafts in their order, holes of each the other way round where that saves way."""
    if work.setup.order == "as written":
        return list(ordered)
    park = work.job.workshop.machine.park
    found: list[PlannedOperation] = []
    at: Point | None = None
    for draft in ordered:
        if park is not None and (not found or found[-1].cutter.number != draft.cutter.number):
            at = park
        found.append(_turned(work, draft, at))
        cuts = (m for m in reversed(found[-1].moves) if isinstance(m, HoleCycle | Feed | ArcFeed))
        at = next(((m.x, m.y) for m in cuts), at)
    return found


def _turned(work: PlanContext, draft: PlannedOperation, at: Point | None) -> PlannedOperation:
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
