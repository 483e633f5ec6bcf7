"""Clearing in one tour: nothing left, nothing beyond the wall, few lifts, the old ways at depth."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.geometry.chain import Arc, Chain, Point
from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.region import Region
from gcodekit.toolpath.level_clearing import Clearing
from gcodekit.toolpath.moves import ArcFeed, Feed, Rapid
from gcodekit.toolpath.path import Path
from gcodekit.toolpath.rings import FLAT_SAG, plan_rings

R, STEP, SAFE = 3.0, 2.4, 5.0
LEVELS = [-1.0, -2.0]


def box(x0: float, y0: float, x1: float, y1: float) -> Chain:
    return Chain.of_points([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True)


def cleared(area: Region, *, climb: bool = True) -> Path:
    rings = plan_rings(area, radius=R, allowance=0.2, stepover=STEP)
    clearing = Clearing(
        rings=rings,
        radius=R,
        centre_cutting=True,
        climb=climb,
        fence=rings.room.buffer(FLAT_SAG),
        open_to=shapely.Polygon(),
    )
    path = Path(SAFE, feed=300, plunge_feed=100)
    clearing.cut(path, LEVELS, 0.0)
    path.lift()
    return path


def lines(path: Path, low: float) -> list[shapely.LineString]:
    """The ways cut at a level, arcs flattened."""
    found: list[shapely.LineString] = []
    at: Point | None = None
    z = SAFE
    for move in path.moves:
        if isinstance(move, Rapid):
            z = z if move.z is None else move.z
            if move.x is not None and move.y is not None:
                at = (move.x, move.y)
            continue
        assert isinstance(move, Feed | ArcFeed)
        assert at is not None
        end = (move.x, move.y)
        if z == move.z == low and isinstance(move, ArcFeed):
            arc = Arc(at, end, (move.cx, move.cy), move.ccw)
            found.append(shapely.LineString(Chain((arc,)).flattened(FLAT_SAG)))
        elif z == move.z == low and at != end:
            found.append(shapely.LineString([at, end]))
        at, z = end, move.z
    return found


def lifts(path: Path) -> int:
    return sum(isinstance(m, Rapid) and m.z == SAFE for m in path.moves)


TWO_ISLANDS = Region.of(box(0, 0, 68, 40), Chain.circle((16, 20), 6), box(46, 14, 58, 26))
ZOO = [
    pytest.param(Region.of(box(0, 0, 40, 30)), 1, id="rectangle"),
    pytest.param(Region.of(box(0, 0, 60, 7)), 1, id="narrow"),
    pytest.param(TWO_ISLANDS, 4, id="two islands"),
    # its corners are hollows farther apart than a way at depth is worth
    pytest.param(Region.of(box(0, 0, 40, 40), Chain.circle((20, 20), 12)), 6, id="round an island"),
    pytest.param(
        Region.of(box(0, 0, 100, 80), Chain.circle((28, 48), 12), box(62, 19, 82, 49)),
        10,
        id="two islands far apart",
    ),
    pytest.param(
        Region((*Region.of(box(0, 0, 20, 20)).parts, *Region.of(box(30, 0, 50, 20)).parts)),
        2,
        id="two parts",
    ),
]


@pytest.mark.parametrize("climb", [True, False], ids=["climb", "conventional"])
@pytest.mark.parametrize(("area", "most"), ZOO)
def test_all_is_cleared_with_few_lifts(area: Region, most: int, climb: bool) -> None:
    path = cleared(area, climb=climb)
    assert lifts(path) <= most
    for z in LEVELS:
        check_level(area, path, z)


def check_level(area: Region, path: Path, z: float) -> None:
    """The law: what a disc 0.2 off the walls can reach is swept, and nothing nearer the walls."""
    swept = shapely.union_all([way.buffer(R, quad_segs=64) for way in lines(path, z)])
    room = to_shapely(area, FLAT_SAG).buffer(-R - 0.2, quad_segs=64)
    reachable = room.buffer(R - 0.02, quad_segs=64)
    assert reachable.difference(swept).buffer(-0.01).is_empty
    assert swept.difference(room.buffer(R + 0.01, quad_segs=64)).is_empty


def test_every_level_takes_the_same_way() -> None:
    path = cleared(TWO_ISLANDS)
    first, second = (lines(path, z) for z in LEVELS)
    length = sum(way.length for way in first)
    assert length == pytest.approx(sum(way.length for way in second), rel=0.02)


def test_a_hollow_that_the_ring_round_it_clears_is_left_out() -> None:
    """The room is 5.8 wide; the ring inside it, 1 wide, is within 3 of the room's own."""
    area = Region.of(box(0, 0, 30, 2 * (R + 0.2 + STEP + 0.5)))
    rings = plan_rings(area, radius=R, allowance=0.2, stepover=STEP)
    innermost = shapely.LineString(rings.roots[0].inside[0].rings[0].flattened(FLAT_SAG))
    x0, y0, x1, y1 = innermost.bounds
    ways = shapely.union_all(lines(cleared(area), LEVELS[0]))
    # at one of its ends the helix may have come in
    far = max(ways.distance(shapely.Point(x, (y0 + y1) / 2)) for x in (x0, x1))
    assert far == pytest.approx(STEP, abs=0.01)


@settings(max_examples=12, deadline=None)
@given(
    width=st.floats(20, 60),
    height=st.floats(14, 45),
    islands=st.lists(
        st.tuples(st.floats(0.1, 0.9), st.floats(0.1, 0.9), st.floats(2, 6)), max_size=2
    ),
)
def test_whatever_the_islands(
    width: float, height: float, islands: list[tuple[float, float, float]]
) -> None:
    discs = [(u * width, v * height, r) for u, v, r in islands]
    inside = [d for d in discs if d[2] + 0.5 < min(d[0], d[1], width - d[0], height - d[1])]
    if (
        len(inside) == 2
        and math.dist(inside[0][:2], inside[1][:2]) < inside[0][2] + inside[1][2] + 0.5
    ):
        inside.pop()
    holes = [Chain.circle((x, y), r) for x, y, r in inside]
    area = Region.of(box(0, 0, width, height), *holes)
    if to_shapely(area, FLAT_SAG).buffer(-R - 0.3).is_empty:
        return
    path = cleared(area)
    for z in LEVELS:
        check_level(area, path, z)


def test_rings_set_closer_are_never_too_many(monkeypatch: pytest.MonkeyPatch) -> None:
    """What they miss they would take closer together: not past the most that anybody cuts."""
    corners = [(0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (15.0, 12.0), (0.0, 40.0)]
    area = Region.of(Chain.of_points(corners, closed=True))
    assert plan_rings(area, radius=2.0, allowance=0.0, stepover=3.5).stepover < 2.0
    monkeypatch.setattr("gcodekit.toolpath.rings.MOST_RINGS", 3)
    assert plan_rings(area, radius=2.0, allowance=0.0, stepover=3.5).stepover == 3.5
