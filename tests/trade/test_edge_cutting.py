"""Engraving, chamfering, slitting, and what is looked up for any kind of cutter."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.edge_cutting import SAW_SPEED, chamfering, engraving, line_width, slitting
from gcodekit.trade.materials import find_material, material_names
from gcodekit.trade.milling_force import surface_speed
from gcodekit.trade.other_cutters import POINTS, TEETH, Kind, load_by_kind, usual_cutter
from gcodekit.trade.rates import MOTOR_SHARE, CuttingLimits, SpindleLimits

KINDS: tuple[Kind, ...] = (
    "drill", "spot drill", "reamer", "tap", "boring head",
    "chamfer mill", "engraving cutter", "slitting saw",
)  # fmt: skip
FREE = CuttingLimits(spindle=SpindleLimits(slowest=1, fastest=1e6), feed_max=1e6)
STEEL, BRASS = find_material("mild steel"), find_material("brass")
assert STEEL is not None
assert BRASS is not None


def cutter(kind: Kind, diameter: float, **more: float) -> Cutter:
    return usual_cutter(
        kind,
        diameter,
        flutes=TEETH.get(kind, 2),
        material="hss",
        stickout=4 * diameter,
        angle=math.radians(POINTS.get(kind, 180.0)),
        pitch=1.0,
        thickness=more.get("thickness", 1.6),
    )


def test_a_line_is_as_wide_as_its_point_goes_deep() -> None:
    point = cutter("engraving cutter", 6)
    # 60 degrees: 2 d tan 30
    assert line_width(point, 0.2) == pytest.approx(0.2309, abs=1e-4)
    assert line_width(point, 20) == 6


def test_a_flat_tip_adds_its_width_to_the_line() -> None:
    point = replace(cutter("engraving cutter", 6), tip_diameter=0.3)
    assert line_width(point, 0.2) == pytest.approx(0.3 + 0.2309, abs=1e-4)
    assert (line_width(point, 0.0), line_width(point, 20)) == (0.3, 6)
    # 2.85 mm of cone are left of 3 mm: 2.85 / tan 30, and 0.15 / tan 30 are gone
    assert point.point_length == pytest.approx(4.9363, abs=1e-4)
    assert point.missing_point == pytest.approx(0.2598, abs=1e-4)


def test_engraving_turns_fast_and_takes_little() -> None:
    assert BRASS is not None
    point = cutter("engraving cutter", 6)
    rates = engraving(BRASS, point, FREE, depth=0.2)
    assert surface_speed(rates.speed, line_width(point, 0.2)) == pytest.approx(BRASS.mill.hss)
    assert 0.004 <= rates.feed / rates.speed <= 0.03
    spindle = SpindleLimits(slowest=100, fastest=2500, power=350)
    slow = engraving(BRASS, point, CuttingLimits(spindle=spindle, feed_max=600), depth=0.2)
    assert (slow.speed, slow.limited_by) == (2500, "spindle range")
    deep = engraving(BRASS, point, FREE, depth=1.0)
    assert deep.stepdown == pytest.approx(0.3)
    assert deep.limited_by == "machine rigidity"


def test_a_wide_chamfer_is_taken_in_passes() -> None:
    assert STEEL is not None
    mill = cutter("chamfer mill", 10)
    narrow, wide = (chamfering(STEEL, mill, FREE, leg=leg) for leg in (0.5, 3))
    assert narrow.stepover == 0.5
    # 45 degrees: as deep as it is wide
    assert narrow.stepdown == pytest.approx(0.5)
    assert wide.stepover == pytest.approx(1.0)
    assert wide.limited_by == "machine rigidity"
    assert wide.speed < narrow.speed


def test_a_saw_turns_slowly_and_goes_in_by_passes() -> None:
    assert STEEL is not None
    saw = cutter("slitting saw", 63)
    rates = slitting(STEEL, saw, FREE, depth=12)
    assert surface_speed(rates.speed, 63) == pytest.approx(SAW_SPEED * STEEL.mill.hss)
    # 0.005 to 0.02 mm a tooth: common practice, no source
    assert 0.005 <= rates.feed / rates.speed / saw.flutes <= 0.02
    assert rates.stepdown == pytest.approx(3.2)
    feeble = replace(FREE, spindle=replace(FREE.spindle, power=2))
    weak = slitting(STEEL, saw, feeble, depth=12)
    assert weak.limited_by == "spindle power"
    assert weak.stepdown < rates.stepdown


@settings(max_examples=200, deadline=None)
@example("aluminium", "slitting saw", 8.0, 7.0, 1.0, 200.0, 200.0, "medium")
@given(
    name=st.sampled_from(material_names()),
    kind=st.sampled_from(KINDS),
    diameter=st.floats(1, 30),
    depth=st.floats(0.05, 40),
    leg=st.floats(0.05, 5),
    power=st.floats(200, 2000),
    feed_max=st.floats(200, 3000),
    rigidity=st.sampled_from(["light", "medium", "heavy", 1.5]),
)
def test_every_kind_stays_inside_the_machine(
    name: str,
    kind: Kind,
    diameter: float,
    depth: float,
    leg: float,
    power: float,
    feed_max: float,
    rigidity: float,
) -> None:
    material = find_material(name)
    assert material is not None
    spindle = SpindleLimits(slowest=60, fastest=4000, power=power)
    limits = CuttingLimits(spindle=spindle, feed_max=feed_max, rigidity=rigidity)
    tool = cutter(kind, diameter)
    load = load_by_kind(material, tool, limits, depth=depth, leg=leg)
    assert 60 <= load.speed <= 4000
    assert 0 < load.plunge_feed <= load.feed <= feed_max * (1 + 1e-9)
    assert load.chip_load == pytest.approx(load.feed / load.speed / tool.flutes)
    assert load.depth > 0
    assert load.why
    if kind in ("drill", "slitting saw"):
        assert load.power is not None
        assert load.power <= power * MOTOR_SHARE * (1 + 1e-3)
    if kind == "tap":
        assert load.feed == pytest.approx(load.speed * 1.0)
        assert load.speed <= 400


def test_a_tap_s_and_a_boring_head_s_own_speed_are_no_fault_of_the_spindle() -> None:
    assert BRASS is not None
    tap = load_by_kind(BRASS, cutter("tap", 3), FREE)
    assert "a tap has to stop and reverse, so at most 400 rev/min" in tap.why
    head = load_by_kind(BRASS, cutter("boring head", 10), FREE)
    assert "a boring head turns at most 1200 rev/min" in head.why
    slow = replace(FREE, spindle=SpindleLimits(slowest=50, fastest=300))
    assert "highest speed 300 rev/min" in load_by_kind(BRASS, cutter("tap", 3), slow).why
