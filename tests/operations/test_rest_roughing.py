"""What a larger cutter leaves in corners is all that a smaller one takes, from the open side."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import shapely

from gcodekit.planning.plan import Plan
from gcodekit.planning.program import Operation
from gcodekit.toolpath.moves import ArcFeed, Feed, Rapid

RACK: list[tuple[str, float]] = [("end mill", 20), ("end mill", 10)]
STOCK = "block = [80, 60, 20]"
HOLD = "vise = { grip = 6, jaw_width = 100, jaw_depth = 25 }"
POCKET = """
[[setup.feature]]
name = "well"
kind = "pocket"
outline = { rectangle = [60, 40], centre = [0, 0] }
depth = 6
rough_with = 1
cutter = 2
"""


def rest(plan: Plan) -> Operation:
    (found,) = (o for o in plan.program.operations if o.label == "rest rough")
    return found


def cuts(operation: Operation) -> list[tuple[shapely.Point, float]]:
    """Where its feeds below the top end, and how fast."""
    return [
        (shapely.Point(m.x, m.y), m.feed)
        for m in operation.moves
        if isinstance(m, Feed | ArcFeed) and m.z < 0
    ]


def engagement(operation: Operation) -> float:
    assert operation.load is not None
    assert operation.load.engagement is not None
    return operation.load.engagement


def down(operation: Operation) -> list[float]:
    return sorted({m.z for m in operation.moves if isinstance(m, Feed | ArcFeed) and m.z < 0})


@pytest.fixture(name="made")
def _made(plan_of: Callable[..., Plan]) -> Callable[[str], Operation]:
    return lambda more: rest(plan_of(POCKET + more, rack=RACK, stock=STOCK, hold=HOLD))


def test_only_in_the_corners(made: Callable[[str], Operation]) -> None:
    places = [place for place, _ in cuts(made(""))]
    corners = shapely.MultiPoint([(x, y) for x in (-25, 25) for y in (-15, 15)])
    # 4 mm of the larger cutter's corners stand
    assert places
    assert max(place.distance(corners) for place in places) < 10


def test_from_the_open_side_and_deeper(made: Callable[[str], Operation]) -> None:
    found, along = made(""), made('rough = "contour parallel"\n')
    assert found.how == "constant engagement, from the side that is already open"
    assert engagement(found) < 100 < engagement(along)
    assert len(down(found)) < len(down(along))


def test_down_where_nothing_stands(made: Callable[[str], Operation]) -> None:
    found, at = made(""), None
    # what the larger one clears with 0.2 mm left, its corners as round as it is
    opened = shapely.box(-29.8, -19.8, 29.8, 19.8).buffer(-10).buffer(10.001)
    for move in found.moves:
        if isinstance(move, Rapid):
            at = (move.x, move.y) if move.x is not None and move.y is not None else at
        elif isinstance(move, Feed) and at == (move.x, move.y) and move.z < 0:
            assert opened.buffer(-5).covers(shapely.Point(move.x, move.y))
        if isinstance(move, Feed | ArcFeed):
            at = (move.x, move.y)
