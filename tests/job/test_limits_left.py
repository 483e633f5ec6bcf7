"""The box of what set-ups leave, where round or slanted cuts from the side leave ridges."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.geometry.flattening import disc
from gcodekit.job.raw_stock import Stock
from gcodekit.job.stock.frames import Frame, seen_axes
from gcodekit.job.stock.limits_left import limits_left
from gcodekit.job.stock.removed_stock import Slab

BLOCK = Stock(shape="block", size=(30.0, 20.0, 30.0))
WHOLE = ((0.0, 0.0, 0.0), BLOCK.size)
# From the front: x as in the stock's frame, its z is our y.
FRONT = Frame(seen_axes("front", 0), (0.0, 0.0, 0.0))


def limits(*areas: shapely.Geometry, low: float = -31.0) -> tuple[tuple[float, ...], ...] | None:
    return limits_left(BLOCK, [(FRONT, [Slab(a, low, 1.0) for a in areas])], WHOLE)


def outside_disc(x: float, z: float, radius: float) -> shapely.Geometry:
    """All over the height of a disc's centre that lies outside it."""
    return shapely.box(-1, z, 31, 31).difference(disc((x, z), radius))


@given(x=st.floats(10, 20), z=st.floats(5, 19.9), radius=st.floats(2, 10))
def test_a_rounded_top_is_as_high_as_its_arc(x: float, z: float, radius: float) -> None:
    """Against the closed form; chords take 0.0002 mm more than their arc."""
    found = limits(outside_disc(x, z, radius))
    assert found is not None
    assert found[0] == (0, 0, 0)
    assert found[1] == pytest.approx((30, 20, z + radius), abs=0.0005)


def test_a_round_that_just_reaches_the_top_leaves_it_where_it_was() -> None:
    found = limits(outside_disc(10, 20, 10))
    assert found == ((0, 0, 0), (30, 20, 30))


def test_a_round_from_the_end_leaves_its_side() -> None:
    """Half an arm's end rounded off: what is left is as long as the arc reaches."""
    found = limits(shapely.box(20, -1, 31, 31).difference(disc((20, 15), 9.5)))
    assert found is not None
    assert found[1] == pytest.approx((29.5, 20, 30), abs=0.0005)


@pytest.mark.parametrize("slope", [0.2, 1.0, 3.0])
def test_a_roof_is_as_high_as_its_ridge(slope: float) -> None:
    """Two slanted cuts that leave a ridge at 25 mm, each half of it."""
    left = shapely.Polygon([(-1, 31), (-1, 25 - 16 * slope), (15, 25), (15, 31)])
    right = shapely.Polygon([(15, 31), (15, 25), (31, 25 - 16 * slope), (31, 31)])
    found = limits(left, right)
    assert found is not None
    # metal thinner than 0.002 mm counts as none: of a steep ridge that is a little height
    assert found[1][2] == pytest.approx(25, abs=0.001 + 0.001 * slope)


def test_a_spire_between_two_arcs_is_not_missed() -> None:
    """What stands between two round cuts comes to a point between the levels of either."""
    cut = shapely.union_all([shapely.box(-1, 28, 31, 31), *(disc((x, 28), 8) for x in (7, 22))])
    found = limits(cut, shapely.box(-1, 20, 7, 31), shapely.box(22, 20, 31, 31))
    assert found is not None
    # where the two circles meet, 7.5 mm to the side of either
    assert found[1][2] == pytest.approx(28 - math.sqrt(8**2 - 7.5**2), abs=0.004)


def test_nothing_is_left_by_cuts_that_share_a_slanted_side() -> None:
    half = shapely.Polygon([(-1, -1), (31, 31), (-1, 31)])
    assert limits(half, shapely.Polygon([(-1, -1), (31, -1), (31, 31)])) is None
