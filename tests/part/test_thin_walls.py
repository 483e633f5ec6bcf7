"""Thin walls found in what a set-up leaves standing."""

from __future__ import annotations

import math

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.job.holdings import Hold
from gcodekit.job.model import Place, Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.job.stock.removed_stock import Slab
from gcodekit.part.thin_walls import ThinWall, thin_walls

BLOCK = RawStock(shape="block", low=(-40.0, -30.0, -20.0), high=(40.0, 30.0, 0.0))
SETUP = Setup(
    name="top",
    place=Place(),
    raw=BLOCK,
    zero_text="",
    clearance=2.0,
    breakthrough=0.5,
    work_offset=1,
    hold=Hold(),
    features=(),
)


def found(*gone: tuple[BaseGeometry, float], thinner: float = 2.0) -> list[ThinWall]:
    slabs = [Slab(area, low, 5.0) for area, low in gone]
    return thin_walls(SETUP, slabs, thinner)


def box(x0: float, y0: float, x1: float, y1: float, round_: float = 4.0) -> BaseGeometry:
    return shapely.box(x0, y0, x1, y1).buffer(-round_).buffer(round_, quad_segs=32)


def test_a_wall_between_two_pockets() -> None:
    (wall,) = found((box(-30, -20, -0.5, 20), -12), (box(0.5, -20, 30, 20), -9))
    assert wall.thickness == pytest.approx(1.0, abs=0.02)
    # as long as it is straight, and a little into the fillets
    assert 32 <= wall.length <= 38
    # one pocket is shallower: below its floor the wall stands in solid
    assert (wall.low, wall.top) == (-9, 0)
    assert wall.rooted
    assert wall.ends == 2
    assert not wall.closed


def test_a_pocket_near_the_edge_and_a_fin() -> None:
    (rim,) = found((box(-39, -20, 0, 20), -5))
    assert rim.thickness == pytest.approx(1.0, abs=0.02)
    assert rim.ends == 2
    clear = shapely.box(-40, -30, 40, 30).difference(shapely.box(-10, -0.75, 10, 0.75))
    (fin,) = found((clear, -8))
    assert (fin.thickness, fin.length) == pytest.approx((1.5, 20), abs=0.02)
    assert fin.rooted
    assert fin.ends == 0
    assert fin.height == 8


def test_a_tube_stands_all_round() -> None:
    ring = shapely.Point(0, 0).buffer(15, quad_segs=64)
    clear = shapely.box(-40, -30, 40, 30).difference(ring)
    bore = shapely.Point(0, 0).buffer(14, quad_segs=64)
    (tube,) = found((clear, -10), (bore, -10))
    assert tube.closed
    assert tube.rooted
    assert tube.thickness == pytest.approx(1.0, abs=0.03)
    assert tube.length == pytest.approx(2 * math.pi * 14.5, rel=0.03)


def test_what_goes_down_to_the_bottom_stands_on_nothing() -> None:
    (strip,) = found((box(-30, -20, 30, -1), -21), (box(-30, 0.2, 30, 20), -21))
    assert not strip.rooted
    assert strip.ends == 2
    assert strip.height == 20


@pytest.mark.parametrize(
    "areas",
    [
        pytest.param([box(-20, -20, 20, 20)], id="thick all round"),
        pytest.param([shapely.box(-40, -30, 0, 30)], id="square corners"),
        pytest.param([shapely.Polygon([(-40, -30), (30, -30), (-40, 29)])], id="sharp corners"),
        pytest.param(
            [shapely.Point(x, 0).buffer(8, quad_segs=64) for x in (-9, 9)], id="two bores"
        ),
        pytest.param(
            [shapely.Point(-32, 0).buffer(8, quad_segs=64)], id="a bore that just meets the edge"
        ),
    ],
)
def test_what_is_no_wall(areas: list[BaseGeometry]) -> None:
    walls = found(*((area, -10.0) for area in areas))
    assert walls == []
