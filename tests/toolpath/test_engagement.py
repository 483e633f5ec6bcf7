"""The planner's engagement against closed forms and against areas cut out with shapely."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from gcodekit.toolpath.cuts_in_plan import cuts_of
from gcodekit.toolpath.engagement import RIM_PLACES, THINNEST_METAL, Reuse, engagements
from gcodekit.toolpath.moves import ArcFeed, Feed, Move, Rapid

R = 3.0
BLOCK = shapely.box(0, 0, 60, 40)
# A reading is the nearest of RIM_PLACES parts of the half rim.
PART = math.pi / RIM_PLACES


def looked_at(moves: list[Move], metal: BaseGeometry = BLOCK) -> tuple[np.ndarray, np.ndarray]:
    """The move and the engagement of each place, degrees."""
    found = engagements(cuts_of(moves, R), -1.0, metal, [], reuse=Reuse())
    return found.move, np.degrees(found.angle)


def down(x: float, y: float) -> list[Move]:
    return [Rapid(x=x, y=y), Rapid(z=1.0), Feed(x, y, -1.0, 50)]


def test_a_slot_is_half_of_the_rim() -> None:
    move, angle = looked_at([*down(-5, 20), Feed(65, 20, -1.0, 100)])
    where = np.linspace(-5, 65, len(move))
    assert angle[(where > 4) & (where < 56)] == pytest.approx(180.0)
    assert angle[where < -4] == pytest.approx(0.0)


@pytest.mark.parametrize("width", [0.3, 0.6, 1.2, 3.0, 4.5, 5.9])
def test_a_pass_along_the_edge(width: float) -> None:
    """phi = arccos(1 - ae / R)."""
    move, angle = looked_at([*down(-5, width - R), Feed(65, width - R, -1.0, 100)])
    where = np.linspace(-5, 65, len(move))
    middle = angle[(where > 4) & (where < 56)]
    want = math.degrees(math.acos(1 - width / R))
    # metal thinner than THINNEST_METAL counts as none, which at the tangent is an angle
    most = math.degrees(PART + math.sqrt(2 * THINNEST_METAL / R))
    assert np.abs(middle - want).max() < most


@pytest.mark.parametrize("grow", [0.4, 1.2, 2.4])
def test_a_turn_round_a_disc_already_cleared(grow: float) -> None:
    """(rho0 + R)^2 = rho^2 + R^2 + 2 rho R cos phi, a round hollow of rho0 + R cut to rho + R."""
    rho0, rho = 9.0, 9.0 + grow
    moves = [
        *down(30 + rho0, 20),
        ArcFeed(30 + rho0, 20, -1.0, 30, 20, True, 100),
        Feed(30 + rho, 20, -1.0, 100),
        ArcFeed(30 + rho, 20, -1.0, 30, 20, True, 100),
    ]
    move, angle = looked_at(moves)
    cosine = ((rho0 + R) ** 2 - rho**2 - R**2) / (2 * rho * R)
    turn = angle[move == 5]
    # at its start the step out has cut, at its end the start
    steady = turn[len(turn) // 4 : -len(turn) // 4]
    want = math.degrees(math.acos(cosine))
    assert np.abs(steady - want).max() < math.degrees(PART + math.sqrt(2 * THINNEST_METAL / R))


places = st.tuples(st.integers(4, 56), st.integers(4, 36))


@settings(max_examples=25)
@given(st.lists(places, min_size=3, max_size=6, unique=True))
def test_any_way_as_areas_cut_out_say(points: list[tuple[int, int]]) -> None:
    moves = [*down(*points[0]), *(Feed(x, y, -1.0, 100) for x, y in points[1:])]
    cuts = cuts_of(moves, R)
    found = engagements(cuts, -1.0, BLOCK, [], reuse=Reuse())
    before: BaseGeometry = shapely.Polygon()
    for row, (a, b) in enumerate(pairwise(points)):
        own = np.flatnonzero(found.move == row + 3)
        length, heading = math.dist(a, b), math.atan2(b[1] - a[1], b[0] - a[0])
        for i in own[:: max(1, len(own) // 4)]:
            s = found.at[i] / length
            x, y = a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])
            turn = heading + np.linspace(-math.pi / 2, math.pi / 2, 721)
            half = shapely.LineString(np.stack((x + R * np.cos(turn), y + R * np.sin(turn)), 1))
            stands = BLOCK.difference(before.buffer(THINNEST_METAL))
            want = half.intersection(stands).length / R
            # a place at each end of a stretch may fall to either side
            assert found.angle[i] == pytest.approx(want, abs=3 * PART)
        before = before.union(shapely.LineString([a, b]).buffer(R, quad_segs=64))


def test_what_another_operation_cut_deeper_is_no_metal() -> None:
    other = cuts_of([*down(-5, 20), Feed(65, 20, -2.0, 100), Feed(-5, 20, -2.0, 100)], 4.0)
    cuts = cuts_of([*down(-5, 22), Feed(65, 22, -1.0, 100)], R)
    found = engagements(cuts, -1.0, BLOCK, [other], reuse=Reuse())
    middle = found.angle[len(found.angle) // 3 : -len(found.angle) // 3]
    # it stands 1 mm beyond the wider slot
    want = math.acos(1 - 1.0 / R)
    assert np.abs(middle - want).max() < PART + math.sqrt(2 * THINNEST_METAL / R)
    shallow = cuts_of([*down(-5, 20), Feed(65, 20, -0.5, 100)], 4.0)
    alone = engagements(cuts, -1.0, BLOCK, [shallow], reuse=Reuse())
    assert float(np.median(alone.angle)) == pytest.approx(math.pi)
