"""Forces of a milling cut: laws of its geometry, and what the limits make of them."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.trade.cutter import usual_end_mill
from gcodekit.trade.materials import find_material, material_names
from gcodekit.trade.milling import chip_load, milling
from gcodekit.trade.milling_force import (
    FLUTED,
    MODULUS,
    MillingCut,
    bend,
    left_on_walls,
    most_bend,
    second_moment,
    surface_speed,
    thinning,
)
from gcodekit.trade.rates import MOTOR_SHARE, CuttingLimits, SpindleLimits

BENCH = SpindleLimits(slowest=100, fastest=2800, power=550)
FREE = SpindleLimits(slowest=1, fastest=1e6)


def found(name):
    material = find_material(name)
    assert material is not None
    return material


# 2 J/mm3 whatever the chip: then force is 2000 N/mm2 times the chip, and sums are easy to follow
EVEN = replace(found("mild steel"), kc=None, energy=2.0)


def cut(*, flutes=2, width=10.0, depth=1.0, chip=0.05, material=EVEN, helix=0.0):
    mill = usual_end_mill(10, flutes, "hss")
    return MillingCut(
        material=material,
        cutter=mill,
        width=width,
        depth=depth,
        speed=1000,
        feed=chip * flutes * 1000,
        helix=helix,
    )


@pytest.mark.parametrize(
    ("flutes", "width", "teeth"),
    [
        pytest.param(2, 10, 1.0, id="slot, one tooth at its thickest"),
        pytest.param(4, 10, math.sqrt(2), id="slot, two teeth at 45 degrees"),
        pytest.param(6, 10, 2.0, id="slot, three teeth at 30, 90 and 150 degrees"),
        pytest.param(2, 5, 1.0, id="half, a tooth about to leave"),
        pytest.param(4, 2, 0.8, id="a fifth: 2 sqrt(0.2 * 0.8) of the chip"),
        pytest.param(12, 2, 0.8 + math.sin(math.acos(0.6) - math.pi / 6), id="two in a short arc"),
    ],
)
def test_greatest_force(flutes, width, teeth):
    # by hand, from h = fz sin(phi); 2000 N/mm2 * 0.05 mm * 1 mm is 100 N a whole tooth
    assert cut(flutes=flutes, width=width).force == pytest.approx(100 * teeth, rel=1e-3)


@settings(max_examples=60, deadline=None)
@given(
    flutes=st.integers(1, 8),
    width=st.floats(0.05, 10),
    depth=st.floats(0.01, 20),
    chip=st.floats(0.005, 0.2),
)
def test_power_is_the_mean_force_times_the_rim_s_speed(flutes, width, depth, chip):
    taken = cut(flutes=flutes, width=width, depth=depth, chip=chip)
    # the mean of the teeth's forces, looked at over a turn in even steps
    steps, arc, total = 20_000, math.acos(1 - 2 * width / 10), 0.0
    for k in range(steps):
        angle = 2 * math.pi * (k + 0.5) / steps
        if angle < arc:
            total += flutes * 2000 * depth * chip * math.sin(angle)
    rim = surface_speed(1000, 10) / 60
    assert taken.power == pytest.approx(total / steps * rim, rel=5e-3)
    assert taken.torque == pytest.approx(total / steps * 0.005, rel=5e-3)
    assert taken.force >= total / steps * (1 - 5e-3)


def test_force_and_bend_go_with_the_depth():
    shallow, deep = cut(depth=0.7), cut(depth=2.1)
    assert deep.force == pytest.approx(3 * shallow.force)
    assert deep.bend == pytest.approx(3 * shallow.bend)
    assert deep.power == pytest.approx(3 * shallow.power)


def test_thin_chips_take_more_force_for_their_size():
    # Kienzle: half the chip, 2^(mc - 1) of the force
    steel = found("mild steel")
    thick, thin = cut(material=steel, chip=0.1), cut(material=steel, chip=0.05)
    assert thin.force / thick.force == pytest.approx(2 ** (0.21 - 1))


def test_a_stout_shank_bends_less():
    # integral of M^2 over a cantilever in two pieces, from memory of strength of materials
    slim = replace(usual_end_mill(3, 2, "hss", stickout=20), flute_length=8)
    stout = replace(slim, shank=6)
    flutes = 8**3 / second_moment(FLUTED * 3)
    for mill, shank in ((slim, 3), (stout, 6)):
        whole = 10 * (flutes + (20**3 - 8**3) / second_moment(shank)) / (3 * MODULUS["hss"])
        assert bend(mill, 10) == pytest.approx(whole)
    assert bend(stout, 10) < bend(slim, 10) / 2


# ------------------------------------------------------------------ a cut that is asked for


def rates(
    name="mild steel",
    diameter=6,
    *,
    flutes=4,
    spindle=FREE,
    feed_max=1e6,
    rigidity="light",
    **asked,
):
    limits = CuttingLimits(spindle=spindle, feed_max=feed_max, rigidity=rigidity)
    stickout = asked.pop("stickout", None)
    mill = usual_end_mill(diameter, flutes, asked.pop("tool", "hss"), stickout=stickout)
    return mill, milling(found(name), mill, limits, **asked)


def test_a_narrow_cut_is_fed_faster_for_its_thin_chips():
    _, slot = rates()
    mill, narrow = rates(width=0.6)
    # a tenth of the diameter: chips 2 sqrt(0.1 * 0.9) = 0.6 as thick
    assert narrow.feed == pytest.approx(slot.feed / 0.6)
    chip = narrow.feed / narrow.speed / mill.flutes * thinning(0.6, 6)
    assert chip == pytest.approx(chip_load(found("mild steel"), mill))
    assert narrow.plunge_feed == pytest.approx(slot.plunge_feed)
    assert narrow.stepover == 0.6


def test_the_feed_is_made_up_to_three_times_at_most():
    _, slot = rates()
    _, hair = rates(width=0.01)
    assert hair.feed == pytest.approx(3 * slot.feed)


def test_a_narrower_cut_may_be_deeper_and_a_deeper_one_must_be_narrower():
    depths = [rates(width=width)[1].stepdown for width in (6, 3, 1.5, 0.6)]
    assert depths == sorted(set(depths))
    widths = [rates(depth=depth)[1].stepover for depth in (1, 3, 6, 12)]
    assert widths == sorted(widths, reverse=True)
    assert widths[0] == pytest.approx(0.4 * 6)
    assert widths[-1] < widths[0]


def test_full_width_asked_for_is_the_slot():
    assert rates(width=6)[1].stepdown == pytest.approx(rates()[1].stepdown)
    assert rates(width=6)[1].feed == pytest.approx(rates()[1].feed)


@pytest.mark.parametrize(
    ("asked", "limit"),
    [
        pytest.param({}, "machine rigidity", id="nothing else"),
        pytest.param({"width": 0.6, "depth": 0.5}, "cutting speed", id="a light cut"),
        pytest.param(
            {"spindle": SpindleLimits(slowest=50, fastest=800)}, "spindle range", id="too slow"
        ),
        pytest.param(
            {"spindle": SpindleLimits(slowest=8000, fastest=24000)}, "spindle range", id="too fast"
        ),
        pytest.param({"feed_max": 100}, "feed limit", id="slow feed"),
        pytest.param({"feed_max": 20}, "minimum chip load", id="slower, and it would rub"),
        pytest.param(
            {"spindle": SpindleLimits(slowest=50, fastest=5000, power=10)},
            "spindle power",
            id="weak motor",
        ),
        pytest.param({"stickout": 48}, "cutter deflection", id="stands out far"),
        pytest.param({"depth": 6, "width": 6}, "machine rigidity", id="too much asked"),
    ],
)
def test_the_limit_that_ruled(asked, limit):
    _, found_rates = rates(diameter=6, **asked)
    assert found_rates.limited_by == limit


@settings(max_examples=150, deadline=None)
@given(
    name=st.sampled_from(material_names()),
    diameter=st.floats(0.5, 60),
    flutes=st.integers(1, 8),
    tool=st.sampled_from(["hss", "carbide"]),
    out=st.floats(1, 12),
    width=st.none() | st.floats(0.01, 1),
    depth=st.none() | st.floats(0.01, 4),
    power=st.floats(30, 2000),
    feed_max=st.floats(20, 5000),
    rigidity=st.sampled_from(["light", "medium", "heavy"]),
)
def test_a_cut_stays_inside_every_limit_or_says_so(
    name, diameter, flutes, tool, out, width, depth, power, feed_max, rigidity
):
    spindle = SpindleLimits(slowest=100, fastest=5000, power=power)
    mill, got = rates(
        name,
        diameter,
        flutes=flutes,
        tool=tool,
        stickout=out * diameter,
        spindle=spindle,
        feed_max=feed_max,
        rigidity=rigidity,
        width=None if width is None else width * diameter,
        depth=None if depth is None else depth * diameter,
    )
    taken = MillingCut(
        material=found(name),
        cutter=mill,
        width=got.stepover,
        depth=got.stepdown,
        speed=got.speed,
        feed=got.feed,
    )
    broken = {ruling.limit for ruling in got.rulings if not ruling.met}
    slack = 1 + 1e-6
    assert 100 <= got.speed <= 5000
    assert 0 < got.plunge_feed < got.feed <= feed_max * slack
    assert taken.power <= power * MOTOR_SHARE * slack or "spindle power" in broken
    assert taken.bend <= most_bend(diameter) * slack or "cutter deflection" in broken
    # whatever is lowered, a tooth still cuts: unless the spindle turns no slower
    floor = 0.002 * min(diameter, 16)
    chip = taken.chip_load * max(thinning(taken.width, diameter), 1 / 3)
    assert chip >= floor / slack or got.speed == 100 or width is None
    if "spindle power" in broken and width is not None and depth is not None:
        assert chip <= floor * slack  # fed slower the teeth would rub: it is not held back before
    if depth is None:
        assert 0 < got.stepdown <= diameter * slack
    assert got.stepover <= diameter


def test_bend_is_half_of_what_is_left_on_the_wall():
    assert [left_on_walls(d) for d in (2, 4, 20)] == pytest.approx([0.1, 0.2, 0.2])
    assert most_bend(20) == pytest.approx(0.1)
    mill, got = rates("aluminium", 6, stickout=36, spindle=BENCH)
    slot = MillingCut(
        material=found("aluminium"),
        cutter=mill,
        width=6,
        depth=got.stepdown,
        speed=got.speed,
        feed=got.feed,
    )
    assert slot.bend == pytest.approx(0.1)
    assert "cutter deflection" in {r.limit for r in got.rulings}


def test_a_feed_is_lowered_until_the_motor_can_drive_the_cut():
    """Power goes with feed^(1 - mc), not with the feed: lowered in proportion it stays over."""
    power = 190
    spindle = SpindleLimits(slowest=100, fastest=3000, power=power)
    mill, got = rates("aluminium", 10, width=4, depth=3, spindle=spindle)
    taken = MillingCut(
        material=found("aluminium"),
        cutter=mill,
        width=4,
        depth=3,
        speed=got.speed,
        feed=got.feed,
    )
    assert taken.power == pytest.approx(power * MOTOR_SHARE)
    assert {r.limit: r.met for r in got.rulings} == {"spindle power": True}
