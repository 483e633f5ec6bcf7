"""Depth and feeds of roughing along the outline, against the milling rules they are made of."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material, find_material
from gcodekit.trade.milling import milling
from gcodekit.trade.rates import CuttingLimits, Rates, SpindleLimits
from gcodekit.trade.slotting_rates import WIDTHS, SlottingRates, following

LIMITS = CuttingLimits(spindle=SpindleLimits(slowest=100, fastest=2800, power=550), feed_max=600.0)


def mill(diameter: float) -> Cutter:
    return Cutter(
        number=1, name="mill", kind="end mill", diameter=diameter, flutes=4,
        flute_length=2.5 * diameter, stickout=4.5 * diameter, shank=diameter, centre_cutting=True,
    )  # fmt: skip


def known(name: str) -> Material:
    found = find_material(name)
    assert found is not None
    return found


def rates_of(
    material: str, diameter: float, width: float | None = None, depth: float | None = None
) -> Rates:
    return milling(known(material), mill(diameter), LIMITS, width=width, depth=depth)


def follow(material: str, diameter: float, height: float, **given: float) -> SlottingRates:
    return following(known(material), mill(diameter), LIMITS, height=height, **given)


@given(
    st.sampled_from(["mild steel", "aluminium", "brass", "cast iron", "acetal"]),
    st.sampled_from([3.0, 6.0, 10.0, 12.0]),
    st.floats(0.5, 20),
)
def test_every_feed_is_what_the_machine_stands_at_that_width(
    material: str, diameter: float, height: float
) -> None:
    found = follow(material, diameter, height)
    depth, slot = found.rates.stepdown, rates_of(material, diameter)
    assert depth <= diameter
    at_width = [rates_of(material, diameter, w * diameter, depth) for w in WIDTHS]
    if depth > slot.stepdown + 1e-9:
        assert all(r.met for r in at_width[-1].rulings)
    for k, width in enumerate(WIDTHS):
        # a narrower cut may be held at a wider one's feed, never above its own
        allowed = max(
            r.feed for r in (*at_width[k:], slot if depth <= slot.stepdown else at_width[k])
        )
        assert found.feed(width * diameter) <= min(LIMITS.feed_max, allowed) + 1e-9


def test_passes_get_deeper_where_little_is_in_slots() -> None:
    slot = follow("mild steel", 6.0, 8.0, in_slots=1.0)
    open_pocket = follow("mild steel", 6.0, 8.0, in_slots=0.1)
    assert open_pocket.rates.stepdown > 1.2 * slot.rates.stepdown
    assert open_pocket.rates.feed < slot.rates.feed
    assert open_pocket.feed(6.0) == pytest.approx(open_pocket.rates.feed)


def test_a_depth_that_the_job_gives_stays() -> None:
    found = follow("mild steel", 6.0, 8.0, stepdown=0.5, stepover=1.5)
    assert found.rates.stepdown == 0.5
    assert found.rates.stepover == 1.5


def test_between_two_widths_the_feed_changes_evenly() -> None:
    found = follow("aluminium", 6.0, 6.0)
    for a, b in ((0.2, 0.3), (0.9, 1.0)):
        middle = found.feed((a + b) / 2 * 6.0)
        assert middle == pytest.approx((found.feed(a * 6.0) + found.feed(b * 6.0)) / 2)
