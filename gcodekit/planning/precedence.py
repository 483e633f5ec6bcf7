"""The order of cuts: what must come before what, and what had better."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.job.feature import Feature
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.model import Setup
from gcodekit.job.order import families
from gcodekit.operations.planned_operation import Phase, PlannedOperation
from gcodekit.planning.heights import COVERED


@dataclass(frozen=True, slots=True)
class Precedence:
    """Drafts and barriers by number, drafts first: `before[i]` are those done before `i`. A
    barrier is no work: it only stands between all that come before it and all that come after."""

    drafts: int
    before: tuple[frozenset[int], ...]

    @property
    def after(self) -> list[list[int]]:
        """The other way round: those that wait for each."""
        found: list[list[int]] = [[] for _ in self.before]
        for i, earlier in enumerate(self.before):
            for j in earlier:
                found[j].append(i)
        return found

    def with_barrier(self, first: Iterable[int], then: Iterable[int]) -> Precedence:
        """All of `first` before all of `then`."""
        new = len(self.before)
        later = set(then)
        before = [b | {new} if i in later else b for i, b in enumerate(self.before)]
        return Precedence(self.drafts, (*before, frozenset(first)))

    def reached_from(self, starts: Iterable[int]) -> set[int]:
        """All that has to come after any of these, they themselves left out."""
        after, found, left = self.after, set[int](), list(starts)
        while left:
            for j in after[left.pop()]:
                if j not in found:
                    found.add(j)
                    left.append(j)
        return found


def phase_of(draft: PlannedOperation) -> Phase:
    """The phase of an operation; a bore's finishing pass makes its size as a reamer does."""
    if isinstance(draft.feature, Bore) and draft.phase == Phase.FINISH:
        return Phase.SIZE
    return draft.phase


def frees(feature: Feature) -> bool:
    """Tell whether a piece comes loose when the feature is cut."""
    return (
        isinstance(feature, Profile)
        and feature.outline is not None
        and feature.depth.through
        and feature.tabs is None
    )


def required(
    setup: Setup, drafts: Sequence[PlannedOperation], footprints: dict[str, BaseGeometry | None]
) -> Precedence:
    """The precedence that must hold: each feature's own order, listed order between features that
    touch, `after`, all of a stage before the stop that ends it, and cuts that free a piece after
    everything else."""
    first: dict[str, int] = {}
    last: dict[str, int] = {}
    before: list[set[int]] = []
    for i, draft in enumerate(drafts):
        name = draft.feature.name
        before.append({last[name]} if name in last else set())
        first.setdefault(name, i)
        last[name] = i
    features = [f for f in setup.features if f.name in first]
    for earlier, later in (*touching(features, footprints), *asked_pairs(features)):
        before[first[later]].add(last[earlier])
    whole = Precedence(len(drafts), tuple(map(frozenset, before)))
    for stage in range(1, len(setup.holds)):
        late = {i for i, d in enumerate(drafts) if d.feature.stage >= stage}
        whole = whole.with_barrier(set(range(len(drafts))) - late, late)
    return _last(whole, drafts, {i for i, d in enumerate(drafts) if frees(d.feature)})


def _last(given: Precedence, drafts: Sequence[PlannedOperation], parting: set[int]) -> Precedence:
    """The precedence that puts cuts which part the work after all that need not wait for them; rims
    after windows."""
    rims = {i for i in parting if _is_rim(drafts[i].feature)}
    for group in (parting, rims):
        if group:
            early = set(range(given.drafts)) - group - given.reached_from(group)
            given = given.with_barrier(early, group)
    return given


def _is_rim(feature: Feature) -> bool:
    return isinstance(feature, Profile) and feature.side != "inside"


def preferred(given: Precedence, drafts: Sequence[PlannedOperation]) -> list[Precedence]:
    """The precedences that should hold as well where they cost no change of cutter, the most
    important first: starting holes first, sizes after all roughing, cuts that part the work (tabs
    left or not) last."""
    ways = []
    for steps in (
        (_parting_last, _starts_first, _sizes_late),
        (_parting_last, _sizes_late),
        (_parting_last,),
        (),
    ):
        way = given
        for step in steps:
            way = step(way, drafts)
        ways.append(way)
    return ways


def _of(drafts: Sequence[PlannedOperation], *phases: Phase) -> set[int]:
    return {i for i, d in enumerate(drafts) if phase_of(d) in phases}


def _starts_first(given: Precedence, drafts: Sequence[PlannedOperation]) -> Precedence:
    """Holes drilled into untouched metal before any milling."""
    milled = _of(drafts, Phase.ROUGH, Phase.FINISH, Phase.SIZE, Phase.FREE)
    start = _of(drafts, Phase.START) - given.reached_from(milled)
    return given.with_barrier(start, milled)


def _sizes_late(given: Precedence, drafts: Sequence[PlannedOperation]) -> Precedence:
    """Reamed and bored sizes after the roughing that does not wait for them."""
    rough = _of(drafts, Phase.ROUGH)
    late = {s for s in _of(drafts, Phase.SIZE) if not given.reached_from([s]) & rough}
    return given.with_barrier(rough, late)


def _parting_last(given: Precedence, drafts: Sequence[PlannedOperation]) -> Precedence:
    """The precedence that puts profiles round a piece last, whether or not it is held by tabs."""
    return _last(given, drafts, _of(drafts, Phase.FREE))


def touching(
    features: Sequence[Feature], footprints: dict[str, BaseGeometry | None]
) -> list[tuple[str, str]]:
    """Pairs of features that touch, in written order."""
    if not features:
        return []
    shapes = [footprints[f.name] for f in features]
    flat = [shapely.Point() if s is None else s for s in shapes]
    tree = shapely.STRtree([s.buffer(-COVERED) for s in flat])
    late, early = tree.query(flat, predicate="intersects").tolist()
    pairs = {(i, j) for i, j in zip(early, late, strict=True) if i < j}
    whole = [i for i, s in enumerate(shapes) if s is None]
    pairs |= {(min(i, j), max(i, j)) for i in whole for j in range(len(features)) if i != j}
    return [(features[i].name, features[j].name) for i, j in sorted(pairs)]


def asked_pairs(features: Sequence[Feature]) -> list[tuple[str, str]]:
    """Pairs of features whose order the job asks for by `after`."""
    whose = families(features)
    return [(name, f.name) for f in features if f.after for name in whose.get(f.after, ())]
