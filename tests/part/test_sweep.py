"""Sweeps of a disc along lines that bend within its radius, against each segment's own sweep."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.geometry.chain import Arc, Chain, Line
from gcodekit.part.plane_regions import grown, line_of
from gcodekit.part.sweep import by_segments, is_true, swept
from gcodekit.proof.cutter_room import reachable, with_free
from gcodekit.proof.sections import capsules
from gcodekit.target import drawn_areas

# A slot's centre line: down, round a tight arc, and away. GEOS's own buffer of it holds places
# 1.6 mm beside the slot.
HOOK = Chain(
    (
        Line((15.0, 32.0), (17.0, 8.7)),
        Arc((17.0, 8.7), (17.1, 11.0), (15.600540623881143, 9.913019972874734), True),
        Line((17.1, 11.0), (46.0, 29.4)),
    )
)
HALF = 5.95


@pytest.mark.parametrize("flat_ends", [False, True])
def test_a_hook_is_swept_no_farther_than_the_disc(flat_ends: bool) -> None:
    line = line_of(HOOK)
    beside = shapely.Point(24.473, 6.725)
    assert line.distance(beside) > HALF + 1.6
    area = grown(line, HALF, flat_ends=flat_ends)
    assert not area.covers(beside)
    assert area.covers(shapely.Point(18.0, 25.0))
    assert shapely.distance(shapely.points(shapely.get_coordinates(area)), line).max() < HALF + 1e-6
    assert area.covers(shapely.Point(13.0, 33.0)) != flat_ends


@pytest.mark.parametrize("first", range(0, 25, 4))
def test_the_proof_sweeps_a_hook_no_farther_either(first: int) -> None:
    points = shapely.get_coordinates(line_of(HOOK))
    points = np.concatenate((np.repeat(points[:1], first, axis=0), points))
    pieces = capsules(points[:-1], points[1:], HALF)
    assert not shapely.union_all(pieces).covers(shapely.Point(24.473, 6.725))


@st.composite
def lines(draw: st.DrawFn) -> shapely.LineString:
    """Straights and arcs in fine chords, corners between them."""
    x = y = 0.0
    way = draw(st.floats(0.0, math.tau))
    points = [(x, y)]
    for _ in range(draw(st.integers(2, 4))):
        if draw(st.booleans()):
            radius, turn = draw(st.floats(0.3, 6.0)), draw(st.floats(0.3, 4.0))
            turn *= draw(st.sampled_from((-1, 1)))
            steps = max(2, math.ceil(abs(turn) / (2 * math.acos(1 - 0.0005 / radius))))
            for _ in range(steps):
                way += turn / steps
                x += radius * abs(turn) / steps * math.cos(way)
                y += radius * abs(turn) / steps * math.sin(way)
                points.append((x, y))
        else:
            length = draw(st.floats(1.0, 25.0))
            x, y = x + length * math.cos(way), y + length * math.sin(way)
            points.append((x, y))
        way += draw(st.floats(-2.9, 2.9))
    return shapely.LineString(points)


@settings(max_examples=40, deadline=None)
@given(lines(), st.floats(1.0, 8.0))
def test_a_sweep_is_that_of_its_segments(line: shapely.LineString, radius: float) -> None:
    found, truth = swept(line, radius, chords=48), by_segments(line, radius, chords=48)
    assert is_true(truth, line, radius)
    assert found.difference(truth.buffer(0.005)).area < 1e-6
    assert truth.difference(found.buffer(0.005)).area < 1e-6


def notched(radius: float, chords: int) -> shapely.Polygon:
    """A block's corner cut back to a boss and a line on either side of it: GEOS grows it by 8 mm
    with a web 1.3 mm wide in one corner where the boss is in chords this fine."""
    angles = np.radians(np.linspace(-46.0, 134.0, chords))
    boss = np.stack((8.001 + radius * np.cos(angles), 7.0993 + radius * np.sin(angles)), axis=1)
    ends = np.array([(0.0, 15.384578), (0.0, 0.0), (14.856714, 0.0)])
    return shapely.Polygon(np.concatenate((boss, ends)))


ROOMS = {"part": grown, "target": drawn_areas.grown}


@pytest.mark.parametrize("room", ROOMS)
@pytest.mark.parametrize("chords", [50, 200, 800])
def test_an_area_grows_no_farther_than_asked(room: str, chords: int) -> None:
    metal, by = notched(4.0, chords), 7.998
    beside = shapely.Point(7.6, 19.2)
    assert metal.distance(beside) > by + 0.1
    assert not ROOMS[room](metal, by).covers(beside)
    # the air round it shrinks by as much
    air = shapely.box(-40, -40, 60, 60).difference(metal)
    assert ROOMS[room](air, -by).covers(beside)


def test_what_a_cutter_gets_to_in_a_notch_is_not_excused() -> None:
    metal = notched(4.0, 200)
    air = shapely.box(-40, -40, 60, 60).difference(metal)
    along = shapely.Point(1.0, 14.4)  # on the wall, where a cutter of 16 mm gets to it
    assert along.distance(metal) < 0.1
    assert reachable(with_free(air, 8.0, metal), 8.0).buffer(0.05).covers(along)


@settings(max_examples=60, deadline=None)
@given(
    line=lines(),
    half=st.floats(0.2, 3.0),
    by=st.one_of(st.floats(0.1, 9.0), st.floats(-9.0, -0.1)),
    room=st.sampled_from(sorted(ROOMS)),
)
def test_any_area_is_resized_as_its_rim_is_swept(
    line: shapely.LineString, half: float, by: float, room: str
) -> None:
    area = by_segments(line, half, chords=24)
    band = by_segments(area.boundary, abs(by), chords=64)
    true = area.union(band) if by > 0 else area.difference(band)
    off = ROOMS[room](area, by).symmetric_difference(true)
    assert off.buffer(-0.003).is_empty


@given(lines(), st.floats(0.5, 8.0))
@settings(max_examples=60, deadline=None)
def test_square_ends_cost_the_rest_of_a_line_nothing(
    line: shapely.LineString, radius: float
) -> None:
    """With a disc at both ends again it is all that the disc sweeps: even where the line comes
    back past its own end, in bends tighter than the disc."""
    everything = by_segments(line, radius, chords=32)
    ends = [
        shapely.Point(p).buffer(radius, quad_segs=32) for p in (line.coords[0], line.coords[-1])
    ]
    found = (
        grown(line, radius, flat_ends=True),
        drawn_areas.grown(line, radius, flat_ends=True),
    )
    for square in found:
        whole = shapely.union_all([square, *ends])
        # hairs along the rim, where the chords of one lie elsewhere than those of the other
        assert whole.symmetric_difference(everything).area < 0.0015 * everything.length


@pytest.mark.parametrize("room", ROOMS)
def test_what_is_left_of_a_quarter_ring_is_not_lost(room: str) -> None:
    """GEOS's own answer is empty from 4.9 mm on: the ring is 10.6 mm wide."""
    angles = np.linspace(0.0, math.pi / 2, 143)
    spokes = np.stack((np.cos(angles), np.sin(angles)), axis=1)
    ring = shapely.Polygon(np.concatenate((13.0 * spokes, 2.4 * spokes[::-1])))
    for by in (4.0, 4.9, 4.9995):
        left = ROOMS[room](ring, -by)
        band = by_segments(ring.boundary, by, chords=64)
        assert left.symmetric_difference(ring.difference(band)).area < 0.01
