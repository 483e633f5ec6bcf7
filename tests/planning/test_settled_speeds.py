"""A speed set by hand is left alone where another would be no better."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from gcodekit.errors import Place
from gcodekit.job.feature import Cutting, Depth
from gcodekit.job.kinds.bore import Bore
from gcodekit.operations.planned_operation import Phase, PlannedOperation
from gcodekit.planning.settled_speeds import settled_speeds
from gcodekit.toolpath.moves import Feed, HoleCycle, Rapid
from gcodekit.trade.cutter import Cutter

SIZES: dict[str, float] = {"flute_length": 20, "stickout": 30, "shank": 6}
MILL = Cutter(number=1, name="mill", kind="end mill", diameter=6, **SIZES)
TAP = Cutter(number=2, name="tap", kind="tap", diameter=4, pitch=0.7, **SIZES)


def job(*, by_hand: bool) -> Any:
    return SimpleNamespace(
        workshop=SimpleNamespace(machine=SimpleNamespace(spindle=SimpleNamespace(by_hand=by_hand)))
    )


def draft(speed: float, cutter: Cutter = MILL, given: float | None = None) -> PlannedOperation:
    bore = Bore(
        name="seat",
        place=Place("part.toml", 9),
        depth=Depth(top=0, floor=-3, through=False, cut_to=-3),
        cutting=Cutting(speed=given),
        places=((0.0, 0.0),),
        diameter=20,
    )
    moves = (
        Rapid(0.0, 0.0),
        Feed(0.0, 0.0, -3.0, 100.0),
        HoleCycle("drill", 0.0, 0.0, 1.0, -3.0, 50.0),
    )
    return PlannedOperation(
        feature=bore, label="rough", cutter=cutter, speed=speed, moves=moves, phase=Phase.ROUGH
    )


@pytest.mark.parametrize(
    ("speeds", "settled"),
    [
        ([1000, 1040, 1060], [1000, 1000, 1060]),  # not a little more every time
        ([1000, 960, 1000], [1000, 1000, 1000]),
        ([1000, 940], [1000, 940]),
        ([1000, 1060, 1010], [1000, 1060, 1060]),
    ],
)
def test_within_a_twentieth(speeds: list[float], settled: list[float]) -> None:
    found = settled_speeds(job(by_hand=True), [draft(s) for s in speeds])
    assert [d.speed for d in found] == settled
    driven = settled_speeds(job(by_hand=False), [draft(s) for s in speeds])
    assert [d.speed for d in driven] == speeds


def test_no_chip_gets_thicker() -> None:
    slower, faster = (
        settled_speeds(job(by_hand=True), [draft(1000), draft(s)])[1] for s in (1040, 960)
    )
    share = 1000 / 1040
    feeds = [m.feed for m in slower.moves if isinstance(m, Feed | HoleCycle)]
    assert feeds == pytest.approx([100 * share, 50 * share])
    assert faster.moves == draft(960).moves


def test_taps_and_speeds_of_the_job_stay() -> None:
    drafts = [draft(300), draft(305, TAP), draft(310, given=310.0)]
    assert settled_speeds(job(by_hand=True), drafts) == drafts
