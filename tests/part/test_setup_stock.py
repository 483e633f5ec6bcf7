"""The metal's section against circle and chord formulas."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
import shapely

from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.part.setup_stock import heights, metal, metal_levels, plan

BLOCK = RawStock(shape="block", low=(-5, 2, -8), high=(45, 32, 0.5))
DISC = RawStock(shape="round", low=(-20, -20, 0), high=(20, 20, 12))
ALONG_X = RawStock(shape="round", low=(0, -15, -30), high=(80, 15, 0), axis="x")
ALONG_Y = RawStock(shape="round", low=(-15, 0, -30), high=(15, 80, 0), axis="y")


@pytest.mark.parametrize(
    ("raw", "z", "box"),
    [
        pytest.param(BLOCK, -3.0, (-5, 2, 45, 32), id="block"),
        pytest.param(BLOCK, -8.0, (-5, 2, 45, 32), id="block-bottom"),
        pytest.param(BLOCK, 0.5, (-5, 2, 45, 32), id="block-top"),
        pytest.param(DISC, 6.0, (-20, -20, 20, 20), id="disc"),
        # a chord 9 mm off the middle of a 30 mm circle is 24 mm long: 9, 12, 15
        pytest.param(ALONG_X, -6.0, (0, -12, 80, 12), id="lying-along-x"),
        pytest.param(ALONG_X, -24.0, (0, -12, 80, 12), id="lying-along-x-below-axis"),
        pytest.param(ALONG_Y, -15.0, (-15, 0, 15, 80), id="lying-along-y-at-axis"),
    ],
)
def test_section(make_setup: Callable[..., Setup], raw: RawStock, z: float, box: Any) -> None:
    assert metal(make_setup(raw=raw), z).bounds == pytest.approx(box, abs=1e-9)


@pytest.mark.parametrize("raw", [BLOCK, DISC, ALONG_X, ALONG_Y])
@pytest.mark.parametrize("off", [0.001, 50.0])
def test_no_metal_outside_its_height(
    make_setup: Callable[..., Setup], raw: RawStock, off: float
) -> None:
    setup = make_setup(raw=raw)
    bottom, top = heights(setup)
    assert metal(setup, bottom - off).is_empty
    assert metal(setup, top + off).is_empty
    assert not metal(setup, (bottom + top) / 2).is_empty


def test_chords_of_a_disc_lie_inside_it_within_their_sag(make_setup: Callable[..., Setup]) -> None:
    rim = metal(make_setup(raw=DISC), 5.0).boundary
    middles = [
        shapely.LineString(pair).centroid
        for pair in zip(rim.coords[:-1], rim.coords[1:], strict=True)
    ]
    far = [math.hypot(p.x, p.y) for p in middles]
    assert max(far) <= 20.0
    assert 20.0 - min(far) <= METAL_SAG < 0.0005


def test_levels_of_a_lying_bar_lie_between_bottom_and_top(
    make_setup: Callable[..., Setup],
) -> None:
    levels = metal_levels(make_setup(raw=ALONG_X))
    assert -15.0 in levels
    assert all(-30 < z < 0 for z in levels)
    assert metal_levels(make_setup(raw=BLOCK)) == metal_levels(make_setup(raw=DISC)) == ()


def test_plan_is_the_widest_section(make_setup: Callable[..., Setup]) -> None:
    assert plan(make_setup(raw=ALONG_X)).bounds == pytest.approx((0, -15, 80, 15))
    assert plan(make_setup(raw=BLOCK)).bounds == (-5, 2, 45, 32)
    assert plan(make_setup(raw=DISC)).area == pytest.approx(math.pi * 400, rel=1e-4)
