"""Thread milling: the groove of a disc led on a helix, against a swept cloud of points and the
closed form of a thin cutter; passes and feeds."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import find_material
from gcodekit.trade.milling import chip_load
from gcodekit.trade.rates import CuttingLimits, SpindleLimits
from gcodekit.trade.thread_limits import ThreadLimits, thread_limits
from gcodekit.trade.thread_milling import Groove, groove, reached, suits, thread_milling, widest

SLOPE = math.tan(math.radians(30))
MILL = Cutter(
    number=1, name="thread mill", kind="thread mill", diameter=10, flutes=4, flute_length=12,
    stickout=30, shank=10, tip_angle=math.radians(60), tip_flat=1.5 / 8, pitch=1.5, neck=8,
    reach=24,
)  # fmt: skip
INSIDE = thread_limits(major=20, pitch=1.5, fit="6H", internal=True)
OUTSIDE = thread_limits(major=20, pitch=1.5, fit="6g", internal=False)


@pytest.mark.parametrize(("thread", "radii"), [(INSIDE, (9.3, 9.6, 9.9)), (OUTSIDE, (9.3, 9.6))])
def test_the_groove_is_what_a_cloud_of_points_sweeps(
    thread: ThreadLimits, radii: tuple[float, ...]
) -> None:
    """Points of the tooth's flank (radius rho, angle beta about the cutter), each on its helix: how
    high the highest comes in the plane through the axis, near each radius."""
    cut = groove(MILL, thread)
    rho = np.linspace(MILL.radius - 1.2, MILL.radius, 1200)[:, None]
    beta = np.linspace(-0.6, 0.6, 2401) + (0.0 if thread.internal else math.pi)
    x, y = cut.orbit + rho * np.cos(beta), rho * np.sin(beta)
    r, ahead = np.hypot(x, y), np.arctan2(y, x)
    high = MILL.tip_flat / 2 + (MILL.radius - rho) * SLOPE - thread.pitch * ahead / math.tau
    for radius in radii:
        near = np.abs(r - radius) < 0.002
        assert cut.half_width(radius) == pytest.approx(float(high[near].max()), abs=0.002)


def test_a_thin_cutter_cuts_its_own_profile() -> None:
    """A tool with hardly a radius does not sweep beside itself: half a turned thread's groove."""
    thin = replace(MILL, diameter=3.0)
    cut = Groove(thin, 8.5, 1e-6)
    assert cut.half_width(9.5) == pytest.approx(MILL.tip_flat / 2 + 0.5 * SLOPE, abs=1e-6)


def test_groove_and_thread_are_equally_wide_at_the_middle_of_the_limits() -> None:
    for thread in (INSIDE, OUTSIDE):
        assert groove(MILL, thread).half_width(thread.aim / 2) == pytest.approx(1.5 / 4, abs=1e-9)


def test_larger_cutters_widen_the_groove_and_reach_less_deep() -> None:
    deep = [
        reached(groove(replace(MILL, diameter=d), INSIDE), INSIDE) for d in (6.0, 10.0, 14.0, 17.0)
    ]
    assert deep == sorted(deep, reverse=True)
    assert suits(MILL, INSIDE)
    most = widest(MILL, INSIDE)
    assert 16 < most < 18
    assert suits(replace(MILL, diameter=most - 0.01), INSIDE)
    assert not suits(replace(MILL, diameter=most + 0.1), INSIDE)


@pytest.mark.parametrize(("material", "fewest"), [("aluminium", 1), ("mild steel", 2)])
def test_passes_of_equal_sections(material: str, fewest: int) -> None:
    found = find_material(material)
    assert found is not None
    limits = CuttingLimits(
        spindle=SpindleLimits(slowest=100, fastest=5000, power=500), feed_max=1200
    )
    cut = groove(MILL, INSIDE)
    rates = thread_milling(found, MILL, limits, cut, INSIDE, length=10)
    assert len(rates.depths) >= fewest
    deep = reached(cut, INSIDE) - INSIDE.crest[0] / 2
    assert rates.depths[-1] == pytest.approx(deep)
    sections = np.diff([0.0, *(d * d for d in rates.depths)])
    assert sections == pytest.approx(sections[0])
    # the tips go faster than the middle, by their radius over the orbit's
    tips = rates.rates.feed * reached(cut, INSIDE) / cut.orbit
    chip = tips / rates.rates.speed / MILL.flutes
    assert chip == pytest.approx(chip_load(found, MILL) / 2)
