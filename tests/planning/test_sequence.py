"""The order of operations: laws over small random set-ups, and cases known by heart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise, permutations
from typing import Any

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import FaultList, Place
from gcodekit.geometry.shapes import rectangle
from gcodekit.job.feature import Cutting, Depth, Feature
from gcodekit.job.features.tabs import Tabs
from gcodekit.job.holdings import Hold
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.model import Setup
from gcodekit.job.order import put_after
from gcodekit.job.raw_stock import RawStock
from gcodekit.operations.planned_operation import Phase, PlannedOperation
from gcodekit.planning.sequence import in_sequence
from gcodekit.trade.cutter import Cutter

PHASES = {
    "pocket": (Phase.ROUGH, Phase.FINISH),
    "bore": (Phase.ROUGH, Phase.FINISH),
    "hole": (Phase.START, Phase.START),
    "reamed": (Phase.START, Phase.SIZE),
    "rim on tabs": (Phase.FREE, Phase.FREE),
    "window": (Phase.FREE, Phase.FREE),
    "rim": (Phase.FREE, Phase.FREE),
}


def feature(name: str, kind: str, box: tuple[float, ...], after: str | None = None) -> Feature:
    outline = rectangle(box[2], box[3], centre=(box[0] + box[2] / 2, box[1] + box[3] / 2))
    base: dict[str, Any] = {
        "name": name,
        "place": Place("part.toml", 9),
        "depth": Depth(top=0, floor=-10, through=True, cut_to=-10.5),
        "cutting": Cutting(),
        "after": after,
    }
    middle = (box[0] + box[2] / 2, box[1] + box[3] / 2)
    if kind == "pocket":
        return Pocket(outline=outline, area=outline, **base)
    if kind == "bore":
        return Bore(places=(middle,), diameter=box[2], **base)
    if kind in ("hole", "reamed"):
        return Hole(places=(middle,), diameter=box[2], **base)
    tabs = Tabs(count=3, width=5, height=1) if kind == "rim on tabs" else None
    return Profile(
        outline=outline, side="inside" if kind == "window" else "outside", tabs=tabs, **base
    )


def cutter(number: int) -> Cutter:
    return Cutter(
        number=number,
        name=f"cutter {number}",
        kind="end mill",
        diameter=6.0,
        flute_length=20.0,
        stickout=30.0,
        shank=6.0,
    )


class Case:
    """A set-up of features given as (kind, box, cutters, after), and its drafts."""

    def __init__(self, *rows: tuple[str, tuple[float, ...], tuple[int, ...], int | None]) -> None:
        features = tuple(
            feature(f"f{i}", kind, box, None if after is None else f"f{after}")
            for i, (kind, box, _, after) in enumerate(rows)
        )
        setup = Setup(
            name="one",
            place=Place("part.toml", 5),
            raw=RawStock(shape="block", low=(0.0, 0.0, -10.0), high=(100.0, 60.0, 0.0)),
            zero_text="",
            clearance=5.0,
            breakthrough=0.5,
            work_offset=1,
            hold=Hold(),
            features=features,
        )
        faults = FaultList()
        names = [f.name for f in features]
        (self.setup,) = put_after(
            [setup], places=dict.fromkeys(names, setup.place), names=names, faults=faults
        )
        self.sound = not faults.faults
        kinds = {f"f{i}": (kind, cutters) for i, (kind, _, cutters, _) in enumerate(rows)}
        self.kinds = {name: kind for name, (kind, _) in kinds.items()}
        self.drafts = [
            PlannedOperation(
                feature=f, label=str(k), cutter=cutter(c), speed=1000.0, moves=(), phase=p
            )
            for f in self.setup.features
            for k, (c, p) in enumerate(
                zip(kinds[f.name][1], PHASES[kinds[f.name][0]], strict=False)
            )
        ]
        boxes = {f"f{i}": box for i, (_, box, _, _) in enumerate(rows)}
        self.footprints: dict[str, BaseGeometry | None] = {
            name: shapely.box(x, y, x + w, y + h) for name, (x, y, w, h) in boxes.items()
        }

    def planned(self) -> list[PlannedOperation]:
        return in_sequence(self.setup, self.drafts, self.footprints)

    def written(self) -> list[PlannedOperation]:
        return in_sequence(replace(self.setup, order="as written"), self.drafts, self.footprints)

    def touch(self, a: str, b: str) -> bool:
        first, second = self.footprints[a], self.footprints[b]
        assert first is not None
        assert second is not None
        return bool(first.buffer(-0.01).intersects(second))

    def pairs(self) -> list[tuple[int, int]]:
        """Drafts by identity, the first to come before the second: each feature's own order,
        written order between features that touch, and `after`."""
        features = [f.name for f in self.setup.features]
        after = {f.name: f.after for f in self.setup.features}
        found = []
        for (i, d), (j, e) in permutations(enumerate(self.drafts), 2):
            one, two = d.feature.name, e.feature.name
            sooner = features.index(one) < features.index(two)
            if (one == two and i < j) or after[two] == one or (sooner and self.touch(one, two)):
                found.append((id(d), id(e)))
        return found


def kept(order: Sequence[PlannedOperation], pairs: list[tuple[int, int]]) -> bool:
    at = {id(d): i for i, d in enumerate(order)}
    return all(at[a] < at[b] for a, b in pairs)


def changes(order: Sequence[PlannedOperation]) -> int:
    return sum(a.cutter.number != b.cutter.number for a, b in pairwise(order))


def label(order: list[PlannedOperation]) -> list[str]:
    return [f"{d.feature.name}.{d.label}" for d in order]


rows = st.tuples(
    st.sampled_from(list(PHASES)),
    st.tuples(*(st.integers(0, 5) for _ in "xy"), *(st.integers(1, 3) for _ in "wh")),
    st.tuples(st.integers(1, 3), st.integers(1, 3)),
    st.none() | st.integers(0, 5),
)


def cases(most: int, kinds: tuple[str, ...] = tuple(PHASES)) -> st.SearchStrategy[Case]:
    row = rows.filter(lambda r: r[0] in kinds)
    return st.lists(row, min_size=1, max_size=most).map(
        lambda found: Case(
            *((k, b, c, a if a is not None and a < len(found) else None) for k, b, c, a in found)
        )
    )


HELD = ("pocket", "bore", "hole", "reamed", "rim on tabs")


@settings(max_examples=60, deadline=None)
@given(case=cases(6))
def test_every_operation_once_and_in_an_order_that_is_kept(case: Case) -> None:
    assume(case.sound)
    planned = case.planned()
    assert sorted(map(id, planned)) == sorted(map(id, case.drafts))
    assert kept(planned, case.pairs())


@settings(max_examples=60, deadline=None)
@given(case=cases(6))
def test_as_written_is_the_written_order(case: Case) -> None:
    assume(case.sound)
    assert case.written() == case.drafts
    assert kept(case.written(), case.pairs())


@settings(max_examples=60, deadline=None)
@given(case=cases(6, HELD))
def test_never_more_changes_than_as_written(case: Case) -> None:
    assume(case.sound)
    assert changes(case.planned()) <= changes(case.written())


@settings(max_examples=40, deadline=None)
@given(case=cases(3, HELD))
def test_no_order_that_is_kept_has_fewer_changes(case: Case) -> None:
    assume(case.sound)
    pairs = case.pairs()
    every = (order for order in permutations(case.drafts) if kept(order, pairs))
    assert changes(case.planned()) == min(map(changes, every))


@settings(max_examples=60, deadline=None)
@given(case=cases(6))
def test_what_comes_free_comes_last(case: Case) -> None:
    """Nothing is cut after a piece is loose but what has to come after its profile."""
    assume(case.sound)
    planned = [d.feature.name for d in case.planned()]
    loose = [n for n, kind in case.kinds.items() if kind in ("window", "rim")]
    bound, grown = set(loose), True
    after = {f.name: f.after for f in case.setup.features}
    names = [f.name for f in case.setup.features]
    while grown:
        more = {
            b
            for b in names
            for a in bound
            if b not in bound
            and (after[b] == a or (names.index(a) < names.index(b) and case.touch(a, b)))
        }
        bound, grown = bound | more, bool(more)
    first = min((planned.index(n) for n in loose), default=len(planned))
    assert set(planned[first:]) <= bound


FAR = [(10.0 * i, 0.0, 5.0, 5.0) for i in range(6)]


@pytest.mark.parametrize(
    ("case", "order"),
    [
        pytest.param(
            Case(("pocket", FAR[0], (1, 1), None), ("hole", FAR[1], (2, 3), None)),
            ["f1.0", "f1.1", "f0.0", "f0.1"],
            id="starting holes first",
        ),
        pytest.param(
            Case(("reamed", FAR[0], (2, 4), None), ("pocket", FAR[1], (1, 1), None)),
            ["f0.0", "f1.0", "f1.1", "f0.1"],
            id="reaming after roughing",
        ),
        pytest.param(
            Case(("bore", FAR[0], (1, 1), None), ("pocket", FAR[1], (2, 2), None)),
            ["f1.0", "f1.1", "f0.0", "f0.1"],
            id="boring to size after roughing",
        ),
        pytest.param(
            Case(("rim on tabs", FAR[0], (1, 1), None), ("pocket", FAR[1], (2, 2), None)),
            ["f1.0", "f1.1", "f0.0", "f0.1"],
            id="round the part last, on tabs too",
        ),
        pytest.param(
            Case(("rim", FAR[0], (1,), None), ("window", FAR[1], (2,), None)),
            ["f1.0", "f0.0"],
            id="windows before the rim",
        ),
        pytest.param(
            Case(("pocket", (0, 0, 9, 9), (1, 1), None), ("hole", (2, 2, 3, 3), (2, 3), None)),
            ["f0.0", "f0.1", "f1.0", "f1.1"],
            id="a hole in a pocket after it",
        ),
        pytest.param(
            Case(("hole", FAR[0], (2, 3), 1), ("pocket", FAR[1], (1, 1), None)),
            ["f1.0", "f1.1", "f0.0", "f0.1"],
            id="after",
        ),
        pytest.param(
            # greedy would begin with cutter 1 and come back to it
            Case(
                ("pocket", FAR[0], (1, 1), None),
                ("pocket", FAR[1], (2,), None),
                ("pocket", FAR[1], (1,), None),
            ),
            ["f1.0", "f0.0", "f2.0", "f0.1"],
            id="one visit of each cutter",
        ),
    ],
)
def test_known_orders(case: Case, order: list[str]) -> None:
    assert label(case.planned()) == order


def test_many_features_with_few_cutters_are_soon_in_order() -> None:
    chain = [("pocket", (0.0, 0.0, 5.0, 5.0), (1 + i % 2,), None) for i in range(60)]
    case = Case(*chain)
    assert case.planned() == case.drafts


def test_a_face_keeps_its_place() -> None:
    """A face of the whole top has no footprint and touches everything."""
    case = Case(("hole", FAR[0], (2, 3), None), ("pocket", FAR[1], (1, 1), None))
    case.footprints["f1"] = None
    assert label(case.planned()) == ["f0.0", "f0.1", "f1.0", "f1.1"]
