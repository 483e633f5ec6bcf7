"""Rates of countersinking, tapping and boring."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.post.numbers import ControlGrid
from gcodekit.proof.settings import PITCH_NEAR
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.hole_cutting import BORING_FASTEST, boring, countersinking, tapping
from gcodekit.trade.materials import find_material
from gcodekit.trade.rates import CuttingLimits, SpindleLimits
from gcodekit.trade.threads import threads

STEEL = find_material("mild steel")
assert STEEL is not None
STEPLESS = CuttingLimits(spindle=SpindleLimits(slowest=100, fastest=2500), feed_max=600)
STEPPED = CuttingLimits(
    spindle=SpindleLimits(slowest=120, fastest=2000, steps=(120, 250, 480, 950, 2000)),
    feed_max=600,
)


def cutter(kind: str, diameter: float, pitch: float | None = None) -> Cutter:
    return Cutter(
        number=1,
        name=kind,
        kind=kind,  # type: ignore[arg-type]  # a word of the rack
        diameter=diameter,
        flute_length=20,
        stickout=40,
        shank=diameter,
        pitch=pitch,
    )


@pytest.mark.parametrize("inch", [False, True], ids=["mm", "inch"])
def test_a_tap_moves_its_pitch_a_turn(inch: bool) -> None:
    grid = ControlGrid(
        inch=inch, decimals=5 if inch else 4, feed_decimals=2 if inch else 1, point=False
    )
    for thread in threads():
        tap = cutter("tap", thread.major, thread.pitch)
        rates = tapping(STEEL, tap, STEPLESS, inch=inch)
        assert rates.feed == pytest.approx(thread.pitch * rates.speed, rel=1e-12), thread.name
        assert rates.speed == round(rates.speed)
        assert 100 <= rates.speed <= 400, thread.name
        # as the program writes it: within a thousandth, over 20 mm of thread 0.02 mm
        written = float(grid.feed(rates.feed)) * (25.4 if inch else 1)
        assert written == pytest.approx(rates.feed, rel=PITCH_NEAR), thread.name


@given(st.floats(100, 700), st.sampled_from([0.5, 0.7, 0.8, 1.0, 1.25, 1.27]))
def test_a_tapping_speed_is_never_above_the_one_asked(speed: float, pitch: float) -> None:
    tap = cutter("tap", 6, pitch)
    rates = tapping(STEEL, tap, STEPLESS, inch=False, speed=speed)
    assert rates.speed <= speed + 1e-6
    assert rates.feed <= 600 * (1 + 1e-9)


def test_a_stepped_spindle_taps_at_a_step() -> None:
    tap = cutter("tap", 8, 1.25)
    rates = tapping(STEEL, tap, STEPPED, inch=False)
    assert rates.speed in STEPPED.spindle.steps
    assert rates.feed == 1.25 * rates.speed


def test_a_boring_head_turns_no_faster_than_it_is_balanced() -> None:
    brass = find_material("brass")
    assert brass is not None
    head = cutter("boring head", 12)
    rates = boring(brass, head, STEPLESS, diameter=12)
    assert rates.speed <= BORING_FASTEST
    # 0.03 to 0.08 mm a turn for a finishing cut: common practice, no source
    assert 0.03 <= rates.feed / rates.speed <= 0.08
    assert boring(brass, head, STEPPED, diameter=12).speed == 950


def test_a_wider_countersink_turns_slower() -> None:
    tool = cutter("chamfer mill", 20)
    small, large = (countersinking(STEEL, tool, STEPLESS, diameter=d) for d in (6, 18))
    assert small.speed > large.speed
