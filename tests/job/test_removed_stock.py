"""Metal that one set-up takes away, as others see it."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.geometry.flattening import disc
from gcodekit.job.raw_stock import Stock
from gcodekit.job.stock.frames import Frame, seen_axes, seen_from
from gcodekit.job.stock.limits_left import limits_left
from gcodekit.job.stock.removed_stock import Removed, Slab, turned_area

UPS = ("top", "bottom", "front", "back", "left", "right")
BLOCK = Stock(shape="block", size=(60.0, 40.0, 20.0))
TOP = Frame(seen_axes("top", 0), (0.0, 0.0, 0.0))
# A step with a hole beside it, both from above.
SLABS = (
    Slab(shapely.box(-1, -1, 20, 41), 12.0, 21.0),
    Slab(disc((40, 25), 8.0), -1.0, 21.0),
    Slab(shapely.Polygon([(22, 2), (30, 2), (26, 9)]), 5.0, 21.0),
)
frames = st.builds(
    lambda up, turn, origin: Frame(seen_axes(up, turn), origin),
    st.sampled_from(UPS),
    st.integers(0, 3),
    st.tuples(*[st.integers(-50, 50).map(float)] * 3),
)


def holds(slabs: tuple[Slab, ...], p: tuple[float, float, float]) -> bool:
    at = shapely.Point(p[:2])
    return any(s.low < p[2] < s.high and s.area.contains(at) for s in slabs)


@given(
    own=frames,
    other=frames,
    p=st.tuples(st.floats(-0.9, 60), st.floats(-0.9, 40), st.floats(-0.9, 20.9)),
)
def test_a_place_is_gone_whoever_looks(
    own: Frame, other: Frame, p: tuple[float, float, float]
) -> None:
    """Of places off every wall: what holds the place in its own frame holds it in any."""
    seen = seen_from(own, other)
    x, y, z = seen.point(p)
    rims = shapely.union_all([s.area.boundary for s in SLABS])
    near_level = any(abs(p[2] - v) < 0.01 for s in SLABS for v in (s.low, s.high))
    if rims.distance(shapely.Point(p[:2])) < 0.01 or near_level:
        return
    assert Removed(SLABS, seen).section(z).contains(shapely.Point(x, y)) == holds(SLABS, p)


def test_a_round_hole_from_the_side_is_as_wide_as_its_chord() -> None:
    """Against the circle's own formula; the polygon's chords sag 0.0002 mm."""
    front = Frame(seen_axes("front", 0), (0.0, 0.0, 0.0))
    hole = Removed(SLABS[1:2], seen_from(TOP, front))
    for off in (0.0, 3.0, -6.5, 7.9):
        x0, y0, x1, y1 = hole.section(-(25 + off)).bounds
        half = math.sqrt(64 - off**2)
        # what the sag is worth across, where the circle leans so much
        slack = 0.0003 * 8 / half
        assert (x0, x1) == pytest.approx((40 - half, 40 + half), abs=slack)
        assert (y0, y1) == (-1, 21)
    assert hole.section(-33.001).is_empty


def test_levels_from_the_side_are_corners_and_what_reaches_furthest() -> None:
    front = Frame(seen_axes("front", 0), (0.0, 0.0, 0.0))
    step = Removed(SLABS[:1], seen_from(TOP, front))
    assert step.levels == (-41, 1)
    levels = Removed(SLABS[1:2], seen_from(TOP, front)).levels
    assert levels == pytest.approx((-33, -25, -17))


@pytest.mark.parametrize(
    ("slabs", "box"),
    [
        pytest.param((), ((0, 0, 0), (60, 40, 20)), id="nothing"),
        pytest.param(SLABS, ((0, 0, 0), (60, 40, 20)), id="a step and holes move no limit"),
        pytest.param((Slab(shapely.box(-1, -1, 61, 41), 17.5, 21),), ((0, 0, 0), (60, 40, 17.5)),
                     id="faced"),
        pytest.param((Slab(shapely.box(-1, -1, 5, 41), -1, 21),), ((5, 0, 0), (60, 40, 20)),
                     id="an edge"),
        pytest.param((Slab(shapely.box(-1, -1, 5, 41), 3, 21),
                      Slab(shapely.box(-1, -1, 61, 41), -1, 3)),
                     ((5, 0, 3), (60, 40, 20)), id="an edge, and its foot"),
        pytest.param((Slab(shapely.box(-1, -1, 61, 41).difference(disc((30, 20), 10)), -1, 21),),
                     ((20, 10, 0), (40, 30, 20)), id="a round boss"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("up", UPS)
def test_limits_of_what_is_left(
    slabs: tuple[Slab, ...], box: tuple[tuple[float, ...], ...], up: str
) -> None:
    """The same from every side: the slabs of one face up are given in its own frame."""
    frame = Frame(seen_axes(up, 0), (0.0, 0.0, 0.0))
    seen = seen_from(TOP, frame)
    ends = [seen.point(p) for p in ((0.0, 0.0, 0.0), BLOCK.size)]
    low = tuple(min(a, b) for a, b in zip(*ends, strict=True))
    size = tuple(abs(b - a) for a, b in zip(*ends, strict=True))
    # a stock that lies as the frame sees the block, its corner at 0
    stock = Stock(shape="block", size=size)  # type: ignore[arg-type]  # three
    mine = Frame(TOP.axes, (-low[0], -low[1], -low[2]))
    turned = Frame(tuple(zip(*frame.axes, strict=True)), mine.origin)  # type: ignore[arg-type]
    found = limits_left(stock, [(turned, slabs)], ((0.0, 0.0, 0.0), stock.size))
    assert found is not None
    wanted = [seen_from(turned, TOP).point(p) for p in box]  # type: ignore[arg-type]  # three
    for got, f in zip(found, (min, max), strict=True):
        assert got == pytest.approx([f(a, b) for a, b in zip(*wanted, strict=True)], abs=1e-9)


def test_nothing_left() -> None:
    slab = Slab(shapely.box(-1, -1, 61, 41), -1, 21)
    assert limits_left(BLOCK, [(TOP, (slab,))], ((0.0, 0.0, 0.0), BLOCK.size)) is None


def test_a_sliver_that_crosses_itself_once_turned_is_still_united() -> None:
    """Rounding alone turns the tip of this one inside out when it is seen a quarter round."""
    rim = [(44.667204134958475, 4.6521482701772365), (44.76079845174692, 4.617818208509648)]
    tip = [(48.819213100115, 3.354872781944031), (44.30097419147388, 4.760911755338156)]
    sliver = shapely.Polygon([*rim, *tip])
    block = shapely.box(44.0, 4.0, 46.0, 6.0)
    seen = seen_from(TOP, Frame(seen_axes("top", 1), (0.0, -28.0, 0.0)))
    assert sliver.is_valid
    assert not turned_area(sliver, seen).is_valid
    removed = Removed([Slab(sliver, 0.0, 1.0), Slab(block, 0.0, 1.0)], seen)
    assert all(p.is_valid for p in removed.pieces(0.5))
    assert removed.section(0.5).area == pytest.approx(sliver.union(block).area, abs=1e-5)
