"""Where a cutter's path touches what stands beside it."""

from __future__ import annotations

import math

import pytest
import shapely

from gcodekit.geometry.chain import Chain
from gcodekit.toolpath.kerf import KERF_CLEAR, spans_beside

SQUARE = Chain.of_points([(0, 0), (40, 0), (40, 40), (0, 40)], closed=True)
LINE = Chain.of_points([(0, 0), (40, 0)], closed=False)
# a disc of radius 3 touches a box whose side is 2 off its path over this much more than the box
CORNER = math.sqrt((3 + KERF_CLEAR) ** 2 - 2**2)


def box(x: float, y: float = 2.0) -> shapely.Polygon:
    return shapely.box(x, y, x + 6, y + 3)


@pytest.mark.parametrize(
    ("chain", "standing", "spans"),
    [
        pytest.param(SQUARE, shapely.Polygon(), (), id="nothing"),
        pytest.param(SQUARE, box(10, 4), (), id="out of reach"),
        pytest.param(SQUARE, box(10), ((10 - CORNER, 16 + CORNER),), id="beside"),
        pytest.param(
            SQUARE,
            shapely.union(box(5), box(25)),
            ((5 - CORNER, 11 + CORNER), (25 - CORNER, 31 + CORNER)),
            id="two",
        ),
        pytest.param(
            SQUARE,
            shapely.box(-2, -2, 2, 2),
            ((160 - 5 - KERF_CLEAR, 160 + 5 + KERF_CLEAR),),
            id="over the ring's start",
        ),
        pytest.param(LINE, box(-4), ((0, 2 + CORNER),), id="at a line's start"),
        pytest.param(LINE, box(38), ((38 - CORNER, 40),), id="at a line's end"),
        pytest.param(LINE, shapely.box(-9, -9, 49, 9), ((0, 40),), id="all along"),
        pytest.param(SQUARE, shapely.box(-9, -9, 49, 49), ((0, 160),), id="all round"),
    ],
)
def test_spans(
    chain: Chain, standing: shapely.Polygon, spans: tuple[tuple[float, float], ...]
) -> None:
    found = spans_beside(chain, standing, 3.0)
    assert [s for span in found for s in span] == pytest.approx(
        [s for span in spans for s in span], abs=1e-5
    )
