"""Depth and width together: what is chosen stays inside every limit, and is worth it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material, find_material, materials
from gcodekit.trade.milling import milling
from gcodekit.trade.milling_force import MillingCut, most_bend
from gcodekit.trade.pass_optimiser import (
    DEEP_WORTH_IT,
    PassPlan,
    passes_at_full_width,
    passes_from_the_side,
)
from gcodekit.trade.rates import MOTOR_SHARE, CuttingLimits, SpindleLimits

POWER = 350
BENCH = CuttingLimits(spindle=SpindleLimits(slowest=100, fastest=2500, power=POWER), feed_max=600)
LOST = 4 / 60 / 60


def mill(diameter: float, *, flute_length: float = 0.0, out: float = 3.5) -> Cutter:
    return Cutter(
        number=1,
        name="mill",
        kind="end mill",
        diameter=diameter,
        flutes=4,
        material="hss",
        flute_length=flute_length or 2 * diameter,
        stickout=out * diameter,
        shank=diameter,
    )


def material(name: str) -> Material:
    found = find_material(name)
    assert found is not None
    return found


def minutes(passes: PassPlan) -> float:
    return passes.down * passes.across * (1 / passes.rates.feed + LOST)


def side(metal: Material, cutter: Cutter, *, height: float, across: float) -> PassPlan:
    return passes_from_the_side(metal, cutter, BENCH, height=height, across=across, lost=LOST)


def full(metal: Material, cutter: Cutter, *, height: float, across: float) -> PassPlan:
    return passes_at_full_width(metal, cutter, BENCH, height=height, across=across)


def cut_of(metal: Material, cutter: Cutter, passes: PassPlan, *, width: float) -> MillingCut:
    rates = passes.rates
    return MillingCut(
        material=metal,
        cutter=cutter,
        width=width,
        depth=rates.stepdown,
        speed=rates.speed,
        feed=rates.feed,
    )


@settings(max_examples=60)
@given(
    metal=st.sampled_from(materials()),
    diameter=st.sampled_from([3.0, 6.0, 8.0, 12.0, 16.0]),
    height=st.floats(0.5, 25),
    across=st.floats(0.3, 20),
)
def test_inside_every_limit_and_worth_it(
    metal: Material, diameter: float, height: float, across: float
) -> None:
    cutter = mill(diameter)
    found, wide = (f(metal, cutter, height=height, across=across) for f in (side, full))
    if not found.only_side:
        assert found == wide
        return
    rates = found.rates
    assert found.down < wide.down
    assert minutes(found) <= (1 - DEEP_WORTH_IT) * minutes(wide)
    assert rates.stepdown == pytest.approx(height / found.down)
    assert rates.stepover == pytest.approx(across / found.across)
    assert rates.stepdown <= cutter.flute_length
    assert all(r.met for r in rates.rulings)
    cut = cut_of(metal, cutter, found, width=rates.stepover)
    assert cut.power <= POWER * MOTOR_SHARE * (1 + 1e-6)
    assert cut.bend <= most_bend(diameter) * (1 + 1e-6)


@pytest.mark.parametrize("name", ["aluminium", "mild steel", "brass"])
def test_no_heavier_on_the_machine_than_a_slot(name: str) -> None:
    """The mean force over a turn, which is power over speed at the rim."""
    metal, cutter = material(name), mill(12)
    found, slot = (f(metal, cutter, height=14, across=3) for f in (side, full))
    assert found.only_side
    # the slot as deep as the machine stands, not as the motor drives
    strong = CuttingLimits(spindle=SpindleLimits(slowest=100, fastest=2500), feed_max=1e9)
    deep = milling(metal, cutter, strong)
    heaviest = MillingCut(
        material=metal,
        cutter=cutter,
        width=12,
        depth=max(deep.stepdown, slot.rates.stepdown),
        speed=deep.speed,
        feed=deep.feed,
    )
    assert cut_of(metal, cutter, found, width=found.rates.stepover).torque <= heaviest.torque * 1.01


def test_a_narrow_strip_is_taken_in_one_deep_pass() -> None:
    found = side(material("brass"), mill(12), height=14, across=0.8)
    assert (found.down, found.across) == (1, 1)
    assert found.rates.stepdown == pytest.approx(14)
    assert found.rates.stepover == pytest.approx(0.8)


def test_short_flutes_hold_the_depth() -> None:
    found = side(material("brass"), mill(12, flute_length=5), height=14, across=0.8)
    assert found.only_side
    assert found.rates.stepdown <= 5
    assert found.down == 3


def test_what_a_slot_stands_at_once_is_left_as_it_is() -> None:
    found = side(material("aluminium"), mill(12), height=0.5, across=3)
    assert not found.only_side
    assert found.down == 1


def test_full_width_is_what_milling_says() -> None:
    cutter = mill(6)
    rates = milling(material("brass"), cutter, BENCH)
    found = full(material("brass"), cutter, height=10, across=10)
    assert found.rates == rates
    assert found.down == math.ceil(10 / rates.stepdown)
    assert found.across == math.ceil(10 / rates.stepover)
