"""Forces of helical teeth: the laws that hold whatever the material, and the pass they are for."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.trade.cutter import usual_end_mill
from gcodekit.trade.finishing import FINISHING_BEND, finishing
from gcodekit.trade.materials import find_material, material_names
from gcodekit.trade.milling import finest_chip
from gcodekit.trade.milling_force import USUAL_HELIX, MillingCut, surface_speed
from gcodekit.trade.rates import CuttingLimits, SpindleLimits

STEEL = find_material("mild steel")
assert STEEL is not None
FREE = CuttingLimits(spindle=SpindleLimits(slowest=1, fastest=1e6), feed_max=1e6)


def cut(
    *, flutes: int = 2, width: float = 0.2, depth: float = 5.0, chip: float = 0.02
) -> MillingCut:
    assert STEEL is not None
    mill = usual_end_mill(6, flutes, "hss")
    feed = chip * flutes * 1000
    return MillingCut(material=STEEL, cutter=mill, width=width, depth=depth, speed=1000, feed=feed)


@settings(max_examples=80, deadline=None)
@given(
    flutes=st.integers(1, 6),
    width=st.floats(0.05, 6),
    depth=st.floats(0.01, 20),
    chip=st.floats(0.004, 0.05),
)
def test_a_helix_lies_between_the_mean_and_straight_teeth(
    flutes: int, width: float, depth: float, chip: float
) -> None:
    taken = cut(flutes=flutes, width=width, depth=depth, chip=chip)
    helical, straight = taken.force, replace(taken, helix=0.0).force
    # the mean over a turn is the same whatever the helix: each slice has its straight tooth's
    arc = math.acos(1 - 2 * width / 6)
    steps = 4000
    angles = [arc * (k + 0.5) / steps for k in range(steps)]
    chips = [chip * math.sin(a) for a in angles]
    mean = sum(c * taken.material.specific_force(c) for c in chips) * arc / steps
    mean *= depth * flutes / (2 * math.pi)
    assert mean * (1 - 5e-3) <= helical <= straight * (1 + 5e-3)


@pytest.mark.parametrize("flutes", [1, 2, 4])
def test_a_lag_of_whole_pitches_runs_even(flutes: int) -> None:
    # teeth that trail by just their pitch load the cutter evenly: the greatest force is the mean
    pitch = 2 * math.pi / flutes
    taken = cut(flutes=flutes, depth=pitch * 3 / math.tan(USUAL_HELIX))
    deeper = replace(taken, depth=2 * taken.depth)
    assert deeper.force == pytest.approx(2 * taken.force, rel=5e-3)


def test_no_helix_is_straight_teeth() -> None:
    straight = replace(cut(), helix=0.0).force
    assert replace(cut(), helix=1e-3).force == pytest.approx(straight, rel=1e-2)
    assert cut().force < straight / 3


def test_deeper_than_its_arc_a_tooth_feels_no_more() -> None:
    forces = [cut(depth=depth).force for depth in (0.5, 1, 2, 4, 8)]
    assert forces[0] < forces[1] < forces[2]
    # arc 0.367 rad times 3 mm over tan 30 degrees: from 1.9 mm on the tooth is in along its arc
    assert forces[2] == pytest.approx(forces[4], rel=1e-2)


# ------------------------------------------------------------------ finishing passes


@settings(max_examples=80, deadline=None)
@given(
    name=st.sampled_from(material_names()),
    diameter=st.floats(1, 20),
    flutes=st.integers(1, 6),
    out=st.floats(2, 8),
    width=st.floats(0.05, 0.5),
)
def test_a_finishing_pass_bends_no_more_than_is_allowed_or_says_so(
    name: str, diameter: float, flutes: int, out: float, width: float
) -> None:
    material = find_material(name)
    assert material is not None
    mill = usual_end_mill(diameter, flutes, "hss", stickout=out * diameter)
    speed = 1000 * material.mill.hss / (math.pi * diameter)
    rates = finishing(material, mill, FREE, speed=speed, width=width, depth=mill.flute_length)
    taken = MillingCut(
        material=material,
        cutter=mill,
        width=rates.engaged,
        depth=rates.stepdown,
        speed=speed,
        feed=rates.feed,
    )
    assert taken.chip_load >= finest_chip(mill) * (1 - 1e-9)
    unmet = [r for r in rates.rulings if not r.met]
    assert (taken.bend > FINISHING_BEND * (1 + 1e-5)) == bool(unmet)
    assert surface_speed(speed, diameter) == pytest.approx(material.mill.hss)


def test_a_slim_cutter_is_fed_slower_and_why() -> None:
    assert STEEL is not None
    stout, slim = (usual_end_mill(6, 4, "hss", stickout=out) for out in (20, 36))
    both = [finishing(STEEL, mill, FREE, speed=1326, width=0.2, depth=10) for mill in (stout, slim)]
    assert both[1].feed < both[0].feed
    assert both[0].limited_by == "cutting speed"
    assert both[1].limited_by == "cutter deflection"
    assert "spring passes" in both[1].rulings[-1].text("mm")
