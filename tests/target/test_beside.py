"""The band beside an open path, as the second opinion on the stock has it, against shapely's own
sweep of a cutter along the offset path."""

from __future__ import annotations

import math

import pytest
import shapely
from manifold3d import CrossSection
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.offset import offset_chain
from gcodekit.target import planar

WIDTH = 6.0


def shape(area: CrossSection) -> BaseGeometry:
    rings = [shapely.Polygon(p) for p in area.to_polygons() if len(p) > 2]
    return shapely.make_valid(shapely.union_all(rings))


@pytest.mark.parametrize("turn", [-170, -160, -90, -30, 30, 90, 150])
@pytest.mark.parametrize("left", [True, False])
def test_all_that_a_cutter_takes_about_a_corner_is_in_it(turn: int, left: bool) -> None:
    angle = math.radians(turn)
    end = (40 * math.cos(angle), 40 * math.sin(angle))
    path = Chain.of_points([(-40.0, 0.0), (0.0, 0.0), end], closed=False)
    band = shape(planar.beside(path, WIDTH, left=left)).buffer(0.005)
    for chain in offset_chain(path, WIDTH / 2, left=left):
        swept = shapely.LineString(chain.flattened(0.001)).buffer(WIDTH / 2 - 0.005, quad_segs=128)
        assert swept.difference(band).area < 1e-6
    # and nothing farther from the path than the cutter is wide
    line = shapely.LineString(path.flattened(0.001))
    assert band.difference(line.buffer(WIDTH + 0.01, quad_segs=128)).is_empty
