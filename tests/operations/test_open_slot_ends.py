"""Where an open slot's end runs to, in the plan and in what the drawing asks."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from gcodekit.errors import PlanError
from gcodekit.job.model import Job
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.part.planned_slot import runs_on
from gcodekit.part.planned_target import FeatureContext, FinishingCut
from gcodekit.planning.plan import Plan
from gcodekit.toolpath.moves import ArcFeed, Feed

RACK = [("end mill", 6.0), ("end mill", 8.0), ("end mill", 4.0)]
SLOT = (
    '[[setup.feature]]\nname = "slot"\nkind = "slot"\nfrom = [-10, 0]\nto = [%g, 0]\nwidth = 8\n'
    'depth = 3\nends = { start = "round", end = "open" }\ncutter = %d\n'
)
POCKET = (
    '[[setup.feature]]\nkind = "pocket"\ndepth = %g\n'
    "outline = { rectangle = [20, 40], centre = [30, 0], round = 5 }\n"
)
STEP = (
    '[[setup.feature]]\nkind = "face"\ndepth = 3\noutline = { rectangle = [30, 70], '
    "centre = [45, 0] }\n"
)
RIM = (
    '[[setup.feature]]\nname = "rim"\nkind = "profile"\nside = "outside"\nthrough = true\n'
    "outline = { rectangle = [%g, 50], centre = [0, 0] }\n"
    "tabs = { count = 3, width = 6, height = 1 }\n"
)
ISLAND = (
    '[[setup.feature]]\nname = "tray"\nkind = "pocket"\ndepth = 3\n'
    "outline = { rectangle = [30, 40], centre = [30, 0], round = 5 }\n"
    "islands = [{ circle = 10, centre = [%g, 0] }]\n"
)


def slot(to: float, cutter: int = 1) -> str:
    return SLOT % (to, cutter)


def run(job: Job) -> float:
    """How far the rule lets the slot's second end run on."""
    around = FeatureContext(job.setups[0])
    for feature in job.setups[0].features:
        if feature.kind == "slot":
            return runs_on(feature, around)[1].by
        cut = FinishingCut(cutter=job.workshop.cutters[0])
        around.add(cutting_of(feature).asked(feature, cut, around))
    raise AssertionError("no slot")


@pytest.mark.parametrize(
    ("before", "to", "by"),
    [
        pytest.param("", 50.0, 1.0, id="drawn to the block's edge"),
        pytest.param("", 44.0, 7.0, id="drawn short of it"),
        pytest.param("", 50.4, 0.6, id="less than 1 mm past it"),
        pytest.param("", 51.0, 0.0, id="1 mm past it"),
        pytest.param("", 60.0, 0.0, id="in air"),
        pytest.param(POCKET % 3, 20.0, 1.0, id="to a pocket"),
        pytest.param(POCKET % 3, 15.0, 6.0, id="short of a pocket"),
        pytest.param(POCKET % 3, 25.0, 0.0, id="into a pocket"),
        pytest.param(POCKET % 2, 20.0, 31.0, id="under a shallower pocket"),
        pytest.param(STEP, 30.0, 1.0, id="into a step faced away"),
        pytest.param(STEP, 28.0, 3.0, id="short of the step"),
        pytest.param(RIM % 60, 30.0, 1.0, id="part cut out before"),
    ],
)
def test_until_1_mm_clear(job_of: Callable[..., Job], before: str, to: float, by: float) -> None:
    """Lengths by hand: from the drawn end to the metal's end, and 1 mm."""
    assert run(job_of(before + slot(to), rack=RACK)) == pytest.approx(by, abs=1e-3)


def _rightmost(move: Feed | ArcFeed) -> float:
    """Of a move's end, and of the half turn round the slot's end."""
    if isinstance(move, ArcFeed) and abs(move.cy) < 1e-6:
        return move.cx + math.hypot(move.x - move.cx, move.y - move.cy)
    return move.x


@pytest.mark.parametrize("cutter", [pytest.param(1, id="narrower"), pytest.param(2, id="full")])
@pytest.mark.parametrize(
    ("before", "to", "end"),
    [
        pytest.param("", 46.0, 51.0, id="off the edge"),
        pytest.param(POCKET % 3, 20.0, 21.0, id="to a pocket"),
        pytest.param(STEP, 30.0, 31.0, id="to a step"),
        pytest.param("", 55.0, 55.0, id="in air"),
    ],
)
def test_the_plan_runs_as_far(
    plan_of: Callable[..., Plan], before: str, to: float, end: float, cutter: int
) -> None:
    """The rim of the widest cutter that may be used stands half a slot past the run-on's end."""
    plan = plan_of(before + slot(to, cutter), rack=RACK)
    reached = max(
        _rightmost(move) + operation.cutter.radius
        for operation in plan.program.operations
        if operation.feature == "slot"
        for move in operation.moves
        if isinstance(move, Feed | ArcFeed)
    )
    assert reached == pytest.approx(end + 4, abs=1e-3)


@pytest.mark.parametrize(
    ("before", "to", "after", "words"),
    [
        pytest.param("", 30, RIM % 60, "21 mm beyond the part", id="too far from the part"),
        pytest.param("", 18, RIM % 60, "21 mm beyond the part", id="drawn short as well"),
        pytest.param(ISLAND % 26, 18.5, "", "cuts into what tray keeps", id="into an island"),
        pytest.param("", 10, ISLAND % 30, "cuts into what tray keeps", id="island still to come"),
    ],
)
def test_what_is_refused(
    plan_of: Callable[..., Plan], before: str, to: float, after: str, words: str
) -> None:
    with pytest.raises(PlanError) as caught:
        plan_of(before + slot(to) + after, rack=RACK)
    (fault,) = caught.value.faults
    assert fault.place.key.endswith(".ends")
    assert words in fault.message


def test_a_narrow_rest_round_the_part_is_run_through(plan_of: Callable[..., Plan]) -> None:
    """4 mm of waste and 1 mm: less than the cutter's 6."""
    plan = plan_of(slot(46) + RIM % 92, rack=RACK)
    xs = [m.x for o in plan.program.operations for m in o.moves if isinstance(m, Feed | ArcFeed)]
    assert max(xs) >= 51
