"""How far one region reaches outside another: a hair left standing is measured, and has a place."""

from __future__ import annotations

import pytest
import shapely

from gcodekit.proof.cutter_room import without_hairs
from gcodekit.proof.reach import reach


@pytest.mark.parametrize("wide", [1e-3, 4e-7, 1e-8])
def test_a_hair_is_as_far_out_as_it_is_long(wide: float) -> None:
    """Thinner than the grid of differences nothing of it is left to point at, and yet it has a
    place of its own."""
    hair = shapely.box(0.0, 0.0, 2.0, wide)
    found = reach(hair, shapely.box(-1.0, -1.0, 0.5, 1.0))
    assert found.distance == pytest.approx(1.5, rel=0.01)
    assert found.at is not None
    assert hair.buffer(1e-9).covers(shapely.Point(found.at))


def test_what_lies_inside_reaches_nowhere() -> None:
    assert reach(shapely.box(0.0, 0.0, 1.0, 1.0), shapely.box(-1.0, -1.0, 2.0, 2.0)).distance == 0.0


def test_spikes_go_and_corners_stay() -> None:
    square = shapely.box(0.0, 0.0, 10.0, 10.0)
    spiked = square.union(shapely.Polygon([(10, 0), (12, 0), (10, 2e-6)]))
    assert without_hairs(spiked).symmetric_difference(square).area < 1e-4
    assert without_hairs(square).equals_exact(square, 1e-9, normalize=True)
