"""How a finishing pass comes onto a wall where there is little room beside it."""

from __future__ import annotations

import math

import pytest
import shapely

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.toolpath.moves import ArcFeed, Rapid
from gcodekit.toolpath.path import Path
from gcodekit.toolpath.wall import LOWERING, Wall

R, ALLOWANCE = 2.0, 0.2


def walls(area: Region) -> list[Wall]:
    """The finishing rings of an area roughed by the same cutter, climb."""
    room = grow(area, -R)
    roughed = to_shapely(grow(area, -(R + ALLOWANCE)), 0.002).buffer(R, quad_segs=64)
    free = to_shapely(room, 0.002)
    return [
        Wall(ring=ring, radius=R, climb=True, free=free, opened=roughed, allowance=ALLOWANCE)
        for ring in room.rings
    ]


def box(x0: float, y0: float, x1: float, y1: float) -> Chain:
    return Chain.of_points([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True)


@pytest.mark.parametrize(
    ("beside", "least"),
    [
        # the arc must stand 0.25 off the wall at its start, and fit between both walls
        pytest.param(0.6, 0.2, id="0.6 mm"),
        pytest.param(1.2, 0.5, id="1.2 mm"),
        pytest.param(4.0, 0.8, id="4 mm"),
    ],
)
def test_the_widest_arc_that_fits(beside: float, least: float) -> None:
    (wall,) = walls(Region.of(box(0, 0, 30, 2 * R + beside)))
    leads = wall.leads()
    assert leads is not None
    assert leads.on.radius >= least * R - 1e-9
    ground = wall.opened.buffer(-R - LOWERING + 1e-3) if wall.opened is not None else None
    assert ground is not None
    assert ground.covers(shapely.Point(leads.on.start))
    (ax, ay), (bx, by) = leads.on.tangent_at(leads.on.length), leads.along.tangent_at(0.0)
    assert (ax, ay) == pytest.approx((bx, by))
    assert abs(leads.on.sweep) >= math.pi / 4 - 1e-9


def test_from_wall_to_wall_without_a_lift_where_the_ground_is_open() -> None:
    """Round an island in a small pocket: both walls in one visit at depth."""
    area = Region.of(box(0, 0, 30, 22), Chain.circle((15, 11), 4))
    path = Path(5.0, feed=300, plunge_feed=100)
    for wall in walls(area):
        wall.cut(path, [-3.0], 0.0)
    path.lift()
    lifts = sum(isinstance(m, Rapid) and m.z == 5.0 for m in path.moves)
    assert lifts == 1
    assert sum(isinstance(m, ArcFeed) for m in path.moves) >= 4
