"""A way between two cuts is lifted over unless going along at depth is quicker."""

from __future__ import annotations

import math

import pytest
import shapely

from gcodekit.geometry.boolean import minus
from gcodekit.geometry.chain import Arc, Chain, Line, Point
from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.region import Region
from gcodekit.geometry.shapes import rectangle
from gcodekit.toolpath.moves import ArcFeed, Feed, Rapid
from gcodekit.toolpath.path import Path, TravelSpeeds
from gcodekit.toolpath.wall_passes import PassRoom, inward_passes

SAFE = 5.0
SLOW = TravelSpeeds(rapid=3000.0, feed=200.0, acceleration=300.0)
FAST = TravelSpeeds(rapid=3000.0, feed=3000.0, acceleration=300.0)
WAY = Chain((Line((0.0, 0.0), (30.0, 0.0)),))


def down_at(travel: TravelSpeeds, z: float) -> Path:
    path = Path(SAFE, feed=300.0, plunge_feed=100.0, travel=travel)
    path.over((0.0, 0.0))
    path.sink(z)
    return path


@pytest.mark.parametrize(("travel", "stays"), [(SLOW, False), (FAST, True)])
def test_the_quicker_of_both_ways(travel: TravelSpeeds, stays: bool) -> None:
    path = down_at(travel, -2.0)
    before = len(path.moves)
    assert path.stays_down(WAY, above=0.0, z=-4.0) is stays
    if stays:
        along, down = path.moves[before:]
        assert along == Feed(30.0, 0.0, -2.0, 3000.0)
        assert down == Feed(30.0, 0.0, -4.0, 300.0)
    else:
        assert path.moves[before:] == []


def test_up_to_a_higher_level() -> None:
    path = down_at(FAST, -4.0)
    assert path.stays_down(WAY, above=0.0, z=-2.0)
    assert path.moves[-1] == Feed(30.0, 0.0, -2.0, 300.0)


def test_seconds_from_standing_to_standing() -> None:
    # 50 mm/s gathered and lost at 300 mm/s^2 takes 50^2 / 300 = 8.33 mm
    assert FAST.seconds(100.0, 3000.0) == pytest.approx(100 / 50 + 50 / 300)
    assert FAST.seconds(3.0, 3000.0) == pytest.approx(2 * math.sqrt(3 / 300))
    assert FAST.seconds(0.0, 3000.0) == 0.0


R = 4.0
PLATE = shapely.box(0, 0, 60, 40)


def edge() -> PassRoom:
    region: Region = minus(
        rectangle(400, 400, centre=(30, 20)), rectangle(200, 400, corner=(-150, -180))
    )
    flat = to_shapely(region, 0.001)
    return PassRoom(
        region=region,
        to_cut=flat.intersection(PLATE),
        kept=PLATE.difference(flat),
        clear=shapely.box(-500, -500, 600, 600).difference(PLATE),
        radius=R,
        climb=True,
        run_off=1.0,
    )


def cut_edge(travel: TravelSpeeds) -> Path:
    path = Path(SAFE, feed=300.0, plunge_feed=100.0, travel=travel)
    made = inward_passes(edge(), allowance=0.2, stepover=3.0)
    made.cut(path, [-1.5, -3.0], 0.0)
    path.lift()
    return path


def lifts(path: Path) -> int:
    return sum(isinstance(m, Rapid) and m.z == SAFE for m in path.moves)


def test_back_along_a_pass_instead_of_over_it() -> None:
    slow, fast = cut_edge(SLOW), cut_edge(FAST)
    assert lifts(slow) == 8
    assert lifts(fast) == 1


def test_what_is_fast_meets_nothing() -> None:
    """Neither sideways nor going down: what was cut before at the level has opened the way."""
    left: dict[float, shapely.Geometry] = {-1.5: PLATE, -3.0: PLATE}
    at: Point = (0.0, 0.0)
    z = SAFE
    quick = 0
    for move in cut_edge(FAST).moves:
        if isinstance(move, Rapid):
            at = at if move.x is None or move.y is None else (move.x, move.y)
            z = z if move.z is None else move.z
            continue
        assert isinstance(move, Feed | ArcFeed)
        end = (move.x, move.y)
        way = Chain((Line(at, end),) if at != end else ())
        if isinstance(move, ArcFeed):
            way = Chain((Arc(at, end, (move.cx, move.cy), move.ccw),))
        flat = shapely.LineString(way.flattened(0.001)) if at != end else shapely.Point(end)
        swept = flat.buffer(R, quad_segs=64)
        met = left[move.z].intersection(swept).buffer(-0.005) if move.z in left else None
        if move.feed == FAST.feed:
            quick += 1
            assert met is not None
            assert met.is_empty
        if move.z in left:
            assert move.z == z or met is None or met.is_empty
            left[move.z] = left[move.z].difference(swept)
        at, z = end, move.z
    assert quick >= 7
