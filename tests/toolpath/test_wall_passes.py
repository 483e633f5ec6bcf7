"""Passes from outside inward: a stepover from the side each, one direction, beginning and ending
beside the metal."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
import shapely

from gcodekit.geometry.boolean import minus, union
from gcodekit.geometry.chain import Arc, Chain, Line
from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.region import Region
from gcodekit.geometry.shapes import circle, rectangle, sector
from gcodekit.toolpath.moves import Rapid
from gcodekit.toolpath.path import Path
from gcodekit.toolpath.wall_passes import PassRoom, inward_passes, wall_passes

R = 4.0
PLATE = shapely.box(0, 0, 60, 40)
AROUND = rectangle(400, 400, centre=(30, 20))


def walled(region: Region, *, climb: bool = True) -> PassRoom:
    flat = to_shapely(region, 0.001)
    return PassRoom(
        region=region,
        to_cut=flat.intersection(PLATE),
        kept=PLATE.difference(flat),
        clear=shapely.box(-500, -500, 600, 600).difference(PLATE),
        radius=R,
        climb=climb,
        run_off=1.0,
    )


def beyond(x: float) -> Region:
    return rectangle(200, 400, corner=(x, -180))


def swept(chain: Chain) -> Any:
    return shapely.LineString(chain.flattened(0.001)).buffer(R, quad_segs=64)


@pytest.mark.parametrize("climb", [True, False])
def test_an_edge_is_cut_in_straight_passes(climb: bool) -> None:
    passes = inward_passes(walled(beyond(50), climb=climb), allowance=0.2, stepover=3.0).passes
    chains = [p.chain for p in passes]
    assert all(len(c) == 1 and isinstance(c.segments[0], Line) for c in chains)
    # from the raw edge inward, the last one allowance off the plane
    assert [c.start[0] for c in chains] == pytest.approx([63.2, 60.2, 57.2, 54.2])
    for c in chains:
        # climb has what stays on the right hand: going to the front here
        assert (c.end[1] < c.start[1]) == climb
        low, high = sorted((c.start[1], c.end[1]))
        assert (low, high) == pytest.approx((-R - 1.0, 40 + R + 1.0))
    assert all(p.down == p.chain.start for p in passes)


def test_each_pass_takes_a_stepover_from_the_side() -> None:
    wall = walled(minus(AROUND, circle(16, centre=(30, 20))))
    made = inward_passes(wall, allowance=0.0, stepover=2.5)
    left = wall.to_cut
    for each in made.passes:
        taken = left.intersection(swept(each.chain))
        # nothing the pass takes lies farther than a stepover from what was open before it
        opened = shapely.union_all([wall.clear, PLATE.difference(left)])
        assert taken.difference(opened.buffer(2.5 + 0.01)).is_empty
        left = left.difference(taken)
    assert left.buffer(-0.01).is_empty


def test_no_pass_enters_what_is_kept() -> None:
    wall = walled(minus(AROUND, circle(16, centre=(30, 20))))
    for each in inward_passes(wall, allowance=0.3, stepover=3.0).passes:
        assert swept(each.chain).distance(wall.kept) > 0.3 - 0.002


def test_a_boss_is_closed_in_on_in_rings() -> None:
    passes = inward_passes(
        walled(minus(AROUND, circle(16, centre=(30, 20)))), allowance=0.2, stepover=3.0
    ).passes
    radii = [abs(math.dist(p.chain.start, (30, 20))) for p in passes if p.chain.closed]
    assert radii == sorted(radii, reverse=True)
    assert radii[-1] == pytest.approx(8 + R + 0.2)
    for before, after in pairwise(passes):
        if before.chain.closed and after.chain.closed:
            # straight on from where the ring before ended
            assert after.down == before.chain.end


def test_along_a_wall_that_ends_in_the_metal() -> None:
    """Round a quarter about the middle and out along the rays it ends on."""
    air = minus(AROUND, rectangle(60, 40, centre=(30, 20)))
    quarter = sector(10, 200, start=0.2, end=1.2, centre=(30, 20))
    wall = walled(union([air, quarter]))
    (one,) = wall_passes(wall).passes
    arcs = [s for s in one.chain if isinstance(s, Arc) and math.dist(s.centre, (30, 20)) < 1e-6]
    assert [a.radius for a in arcs] == pytest.approx([10 + R])
    assert swept(one.chain).intersection(wall.kept).area < 0.02
    assert one.down == one.chain.start
    for end in (one.chain.start, one.chain.end):
        assert shapely.Point(end).distance(PLATE) >= R - 0.01


def test_where_nothing_is_open_it_ramps_in() -> None:
    ring = minus(circle(30, centre=(30, 20)), circle(10, centre=(30, 20)))
    made = inward_passes(walled(ring), allowance=0.0, stepover=3.0)
    assert made.passes[0].down is None
    path = Path(5.0, feed=100.0, plunge_feed=50.0)
    made.cut(path, [-1.0, -2.0], 0.0)
    rapids = [m for m in path.moves if isinstance(m, Rapid) and m.z is not None]
    assert all(m.z is not None and m.z >= 0.0 for m in rapids)
    assert made.left.buffer(-0.01).is_empty
