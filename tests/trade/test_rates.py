"""Speeds and feeds: published envelopes, the machine's limits, and the order of things."""

import math
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.finishing import finishing
from gcodekit.trade.materials import find_material, materials
from gcodekit.trade.milling import chip_load, milling
from gcodekit.trade.milling_force import surface_speed
from gcodekit.trade.rates import (
    MOTOR_SHARE,
    CuttingLimits,
    SpindleLimits,
    drill_feed,
    drilling,
    reaming,
)

ENVELOPES = tomllib.loads((Path(__file__).parent / "envelopes.toml").read_text(encoding="utf-8"))
BY_NAME = {entry["name"]: entry for entry in ENVELOPES["material"]}
FREE = CuttingLimits(spindle=SpindleLimits(slowest=1, fastest=1e6), feed_max=1e6)
BENCH = SpindleLimits(slowest=100, fastest=2800, power=550)
ALL = pytest.mark.parametrize("material", materials(), ids=lambda m: m.name)


def cutter(diameter, *, kind="end mill", flutes=2, material="hss", out=3.0):
    return Cutter(
        number=1,
        name=f"{diameter} mm",
        kind=kind,
        diameter=diameter,
        flutes=flutes,
        material=material,
        flute_length=3 * diameter,
        stickout=out * diameter,
        shank=diameter,
    )


def said(rates):
    """What held the figures back, in words."""
    return "; ".join(r.text("mm") for r in rates.rulings if r.share < 1)


def found(name):
    material = find_material(name)
    assert material is not None
    return material


# ------------------------------------------------------------------ milling


@ALL
@pytest.mark.parametrize("tool", ["hss", "carbide"])
@pytest.mark.parametrize("diameter", [2, 3, 6, 10, 16, 50])
def test_milling_lies_inside_the_envelopes(material, tool, diameter):
    rates = milling(material, cutter(diameter, material=tool), FREE)
    low, high = BY_NAME[material.name][f"{tool}_end_mill_m_min"]
    assert low <= surface_speed(rates.speed, diameter) <= high
    # nothing of this spindle holds it back: what does is the machine's stiffness or the cutter's
    assert rates.limited_by in ("machine rigidity", "cutter deflection")


@ALL
@pytest.mark.parametrize(
    ("diameter", "low", "high"),
    list(
        zip(
            ENVELOPES["end_mill_feed"]["diameter"],
            ENVELOPES["end_mill_feed"]["fz_min"],
            ENVELOPES["end_mill_feed"]["fz_max"],
            strict=True,
        )
    ),
)
def test_feed_per_tooth_lies_inside_the_envelope(material, diameter, low, high):
    mill = cutter(diameter, flutes=3)
    rates = milling(material, mill, FREE)
    assert low <= rates.chip_per_turn / 3 <= high
    finish = finishing(material, mill, FREE, speed=rates.speed, width=0.1, depth=1).feed
    assert low <= finish / rates.speed / 3 <= rates.chip_per_turn / 3


@ALL
def test_depths_and_widths_for_a_light_machine(material):
    # Common practice, no source: full-width depth 0.25 to 0.5 d in aluminium, brass and plastics,
    # 0.1 to 0.25 d in steels and iron; between them in bronzes. Width 0.4 to 0.5 d.
    soft = material.name in ("aluminium", "brass", "acetal", "leaded bronze")
    low, high = (0.25, 0.5) if soft else (0.1, 0.25)
    rates = milling(material, cutter(10), FREE)
    assert low <= rates.stepdown / 10 <= high
    assert 0.4 <= rates.stepover / 10 <= 0.5
    assert rates.plunge_feed < rates.feed / 2


def test_a_worked_example():
    # n = 1000 vc / (pi D), vf = n z fz, from memory of machining textbooks: 25 m/min, 6 mm,
    # 0.03 mm a tooth.
    rates = milling(found("mild steel"), cutter(6), FREE)
    assert rates.speed == pytest.approx(1326.29, rel=1e-5)
    assert rates.feed == pytest.approx(79.577, rel=1e-4)


def test_order_of_materials():
    def removal(name):
        rates = milling(found(name), cutter(8), FREE)
        return rates.feed * rates.stepdown

    order = ["tool steel", "mild steel", "free-cutting steel", "leaded bronze", "brass"]
    amounts = [removal(name) for name in [*order, "aluminium"]]
    assert amounts == sorted(amounts)


def test_a_stiffer_machine_takes_more():
    by = [
        milling(found("mild steel"), cutter(8), replace(FREE, rigidity=rigidity))
        for rigidity in ("light", "medium", "heavy")
    ]
    depths, widths = [r.stepdown for r in by], [r.stepover for r in by]
    assert depths == sorted(set(depths))
    assert widths == sorted(set(widths))


def test_a_cutter_that_stands_out_far_takes_less():
    depths = [
        milling(found("brass"), cutter(6, out=out), FREE).stepdown for out in (2, 4, 5, 6, 8, 20)
    ]
    assert depths == sorted(depths, reverse=True)
    assert depths[0] == depths[1] > depths[2]
    # full to 4 diameters, then with the square (common practice, no source), until it bends too far
    assert depths[2] == pytest.approx(depths[0] * (4 / 5) ** 2)
    assert depths[-1] == pytest.approx(0.05 * 6)


# ------------------------------------------------------------------ the machine's limits


def test_chip_load_is_kept_where_the_spindle_is_the_limit():
    # 100 m/min and 3 mm want more than 5000 rev/min: the feed falls with the speed.
    mill = cutter(3)
    limits = replace(FREE, spindle=SpindleLimits(slowest=100, fastest=5000))
    slow = milling(found("aluminium"), mill, limits)
    assert slow.speed == 5000
    assert slow.feed == pytest.approx(chip_load(found("aluminium"), mill) * 2 * 5000)
    assert "highest speed 5000" in said(slow)


@pytest.mark.parametrize(
    ("diameter", "speed"),
    [
        pytest.param(6, 1200, id="the step below 1326"),
        pytest.param(16, 350, id="the step below 497"),
        pytest.param(25.0 * 1000 / math.pi / 700, 700, id="exactly a step"),
        pytest.param(60, 200, id="none below 133: the slowest"),
        pytest.param(1, 2500, id="none above: the fastest"),
    ],
)
def test_steps_of_a_belt_head(diameter, speed):
    head = SpindleLimits(slowest=200, fastest=2500, steps=(700, 200, 350, 1200, 2500))
    rates = milling(found("mild steel"), cutter(diameter), replace(FREE, spindle=head))
    assert rates.speed == speed


def test_a_spindle_that_cannot_turn_slower_says_so():
    router = SpindleLimits(slowest=8000, fastest=24000)
    rates = milling(found("tool steel"), cutter(6), replace(FREE, spindle=router))
    assert rates.speed == 8000
    assert said(rates) == "lowest speed 8000 rev/min, 151 m/min instead of 12 m/min"


def test_feed_limit():
    rates = milling(found("aluminium"), cutter(10), CuttingLimits(spindle=BENCH, feed_max=150))
    assert rates.feed == 150
    assert "feeds at most 150 mm/min" in said(rates)
    # below 0.02 mm a tooth a 10 mm cutter rubs: so the spindle turns slower
    slow = milling(found("aluminium"), cutter(10), CuttingLimits(spindle=BENCH, feed_max=50))
    assert slow.feed == 50
    assert slow.speed == pytest.approx(50 / (2 * 0.02))


def watts(material, mill, rates):
    """Power at the cutter of a full-width cut, P = ap ae vf kc / 60e6 kW (textbooks)."""
    mean_chip = 2 / math.pi * rates.feed / (rates.speed * mill.flutes)
    force = material.specific_force(mean_chip)
    return rates.stepdown * mill.diameter * rates.feed * force / 60_000


@ALL
@settings(max_examples=40, deadline=None)
@given(
    diameter=st.floats(1, 80),
    flutes=st.integers(1, 6),
    tool=st.sampled_from(["hss", "carbide"]),
    slowest=st.floats(50, 9000),
    span=st.floats(1, 20),
    power=st.floats(50, 3000),
    feed_max=st.floats(50, 5000),
    rigidity=st.sampled_from(["light", "medium", "heavy"]),
)
def test_milling_stays_inside_every_limit(
    material, diameter, flutes, tool, slowest, span, power, feed_max, rigidity
):
    mill = cutter(diameter, flutes=flutes, material=tool)
    spindle = SpindleLimits(slowest=slowest, fastest=slowest * span, power=power)
    limits = CuttingLimits(spindle=spindle, feed_max=feed_max, rigidity=rigidity)
    rates = milling(material, mill, limits)
    assert slowest <= rates.speed <= slowest * span
    assert 0 < rates.plunge_feed < rates.feed <= feed_max
    assert 0 < rates.stepdown <= diameter
    assert 0 < rates.stepover < diameter
    assert watts(material, mill, rates) <= power * MOTOR_SHARE * (1 + 1e-6)
    surface = surface_speed(rates.speed, diameter)
    high = BY_NAME[material.name][f"{tool}_end_mill_m_min"][1]
    assert surface <= high or (rates.speed == slowest and "lowest" in said(rates))


# ------------------------------------------------------------------ drilling and reaming


@ALL
@pytest.mark.parametrize("row", range(4))
def test_drill_feed_in_the_middle_of_each_row(material, row):
    edges = [1.8, *ENVELOPES["drill_feed"]["up_to"]]
    low, high = ENVELOPES["drill_feed"]["mm_per_rev"][row]
    assert low <= drill_feed(material, (edges[row] + edges[row + 1]) / 2) <= high


@ALL
def test_drills_over_an_inch_are_fed_as_smaller_ones(material):
    # on a small mill: never finer than the row below, never as coarse as a big machine's
    for diameter in (26, 32, 50):
        assert ENVELOPES["drill_feed"]["mm_per_rev"][3][0] <= drill_feed(material, diameter)
        assert drill_feed(material, diameter) <= ENVELOPES["drill_feed"]["over_the_last"][0]


@ALL
@pytest.mark.parametrize("diameter", [1, 3.2, 6, 10, 20])
def test_drilling_lies_inside_the_envelope(material, diameter):
    drill = cutter(diameter, kind="drill")
    rates = drilling(material, drill, FREE, depth=diameter)
    low, high = BY_NAME[material.name]["hss_drill_m_min"]
    assert low <= surface_speed(rates.speed, diameter) <= high
    assert rates.peck == 0


@pytest.mark.parametrize(
    ("ratio", "slower", "finer"),
    [
        (ratio, 1 - slower / 100, 1 - finer / 100)
        for ratio, slower, finer in zip(*list(ENVELOPES["deep_hole"].values())[:3], strict=True)
    ],
)
def test_deep_holes(ratio, slower, finer):
    brass, drill = found("brass"), cutter(5, kind="drill")
    plain = drilling(brass, drill, FREE, depth=5)
    deep = drilling(brass, drill, FREE, depth=5 * ratio)
    assert deep.speed / plain.speed == pytest.approx(slower)
    assert deep.chip_per_turn / plain.chip_per_turn == pytest.approx(finer)


@ALL
def test_pecks(material):
    # Common practice, no source: none up to 3 d; 0.5 to 1 d in steel, 1 to 2 d in brass, aluminium.
    drill = cutter(4, kind="drill")
    assert drilling(material, drill, FREE, depth=12).peck == 0
    peck = drilling(material, drill, FREE, depth=12.1).peck / 4
    soft = material.name in ("brass", "aluminium")
    assert (1 <= peck <= 2) if soft else (0.5 <= peck <= 1)


def test_a_big_drill_is_fed_as_the_motor_can():
    steel, drill = found("tool steel"), cutter(25, kind="drill")
    weak = SpindleLimits(slowest=50, fastest=3000, power=150)
    rates = drilling(steel, drill, replace(FREE, spindle=weak), depth=10)
    # P = kc (pi D^2 / 4) f n; the chip of one lip at 118 degrees is f / 2 sin 59 (textbooks)
    chip = rates.chip_per_turn / 2 * math.sin(math.radians(59))
    power = math.pi * 25**2 / 4 * rates.feed * steel.specific_force(chip) / 60_000
    assert power == pytest.approx(150 * MOTOR_SHARE, rel=1e-6)
    assert "150 W" in said(rates)


@ALL
@pytest.mark.parametrize("diameter", [3, 8, 20])
def test_reaming_lies_inside_the_envelope(material, diameter):
    reamer = cutter(diameter, kind="reamer", flutes=6)
    rates = reaming(material, reamer, FREE)
    low, high = BY_NAME[material.name]["hss_ream_m_min"]
    assert low <= surface_speed(rates.speed, diameter) <= high
    # Source: two to three times the feed of a drill, from memory of machining textbooks.
    assert 2 <= rates.chip_per_turn / drill_feed(material, diameter) * (1 + 1e-9) <= 3.000001
