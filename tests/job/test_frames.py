"""How stock sits in a set-up, against the job file's own table of frames."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.job.raw_stock import Stock
from gcodekit.job.stock.frames import StockPlacement, along, seen_axes

BLOCK = Stock(shape="block", size=(130.0, 70.0, 4.0))
UPS = ("top", "bottom", "front", "back", "left", "right")


# The table of the job file's reference: face up, then what x, y and z are in the stock's frame.
@pytest.mark.parametrize(
    ("up", "x", "y", "z"),
    [
        ("top", (1, 0, 0), (0, 1, 0), (0, 0, 1)),
        ("bottom", (1, 0, 0), (0, -1, 0), (0, 0, -1)),
        ("front", (1, 0, 0), (0, 0, 1), (0, -1, 0)),
        ("back", (1, 0, 0), (0, 0, -1), (0, 1, 0)),
        ("left", (0, 0, 1), (0, 1, 0), (-1, 0, 0)),
        ("right", (0, 0, -1), (0, 1, 0), (1, 0, 0)),
    ],
)
def test_axes_seen_with_a_face_up(
    up: str, x: tuple[int, ...], y: tuple[int, ...], z: tuple[int, ...]
) -> None:
    assert seen_axes(up, 0) == (x, y, z)


def test_a_quarter_turn_takes_what_was_right_to_the_back() -> None:
    axes = seen_axes("top", 1)
    right = (1.0, 0.0, 0.0)
    assert [along(row, right) for row in axes] == [0, 1, 0]


@pytest.mark.parametrize("up", UPS)
@pytest.mark.parametrize("turns", range(4))
def test_frames_are_right_handed(up: str, turns: int) -> None:
    x, y, z = seen_axes(up, turns)
    cross = (
        x[1] * y[2] - x[2] * y[1],
        x[2] * y[0] - x[0] * y[2],
        x[0] * y[1] - x[1] * y[0],
    )
    assert cross == z


@pytest.mark.parametrize(
    ("up", "turns", "size"),
    [
        pytest.param("top", 0, (130, 70, 4), id="as it is"),
        pytest.param("top", 1, (70, 130, 4), id="turned"),
        pytest.param("bottom", 0, (130, 70, 4), id="turned over"),
        pytest.param("front", 0, (130, 4, 70), id="front up"),
        pytest.param("left", 0, (4, 70, 130), id="left up"),
        pytest.param("left", 3, (70, 4, 130), id="left up and turned"),
    ],
)
def test_size_as_it_sits(up: str, turns: int, size: tuple[float, ...]) -> None:
    assert StockPlacement.of(BLOCK, up, turns).size == size


@pytest.mark.parametrize(("up", "axis"), [("top", "x"), ("front", "x"), ("left", "z")])
def test_a_round_bar_keeps_its_axis(up: str, axis: str) -> None:
    bar = Stock(shape="round", size=(100.0, 50.0, 50.0), axis="x")
    assert StockPlacement.of(bar, up, 0).axis == axis


@given(
    up=st.sampled_from(UPS),
    turns=st.integers(0, 3),
    zero=st.tuples(*[st.floats(-50, 200)] * 3),
)
def test_the_stock_s_corners_stay_its_corners(
    up: str, turns: int, zero: tuple[float, float, float]
) -> None:
    """Program zero found in the stock's frame brings the raw box back onto the stock."""
    sitting = StockPlacement.of(BLOCK, up, turns)
    raw, origin = sitting.raw(zero), sitting.in_stock(zero)
    back = []
    for seen in (raw.low, raw.high):
        back.append(
            tuple(origin[k] + sum(seen[i] * sitting.axes[i][k] for i in range(3)) for k in range(3))
        )
    low, high = (tuple(f(c) for c in zip(*back, strict=True)) for f in (min, max))
    assert low == pytest.approx((0, 0, 0), abs=1e-9)
    assert high == pytest.approx(BLOCK.size, abs=1e-9)
