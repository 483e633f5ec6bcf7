"""What is written is what was planned: read with nothing but regular expressions, and with the
project's own reader, which shares no code with the writer."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.post.contract import Post
from gcodekit.post.writer import write_program
from gcodekit.rs274 import read_program
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move, Rapid

SAFE_Z = 15.0
FULL = Post(name="full", description="")
LACKING = Post(name="lacking", description="", helices=False, full_circles=False, chord_error=0.05)
BARE = Post(name="bare", description="", arcs=False, chord_error=0.05)
COARSE = Post(name="coarse", description="", decimals_mm=3, decimals_inch=4)

coordinate = st.floats(-200, 200, allow_nan=False)
depth = st.floats(-20, 0.5)
feed = st.floats(1, 2000)


@st.composite
def arcs(draw: st.DrawFn, start: tuple[float, float, float]) -> ArcFeed:
    """From tiny to huge, from hardly turning to a full turn."""
    radius = 10 ** draw(st.floats(-4.5, 2.5))
    toward = draw(st.floats(0, math.tau))
    sweep = draw(st.one_of(st.floats(1e-6, math.tau - 1e-6), st.just(math.tau)))
    ccw = draw(st.booleans())
    cx, cy = start[0] + radius * math.cos(toward), start[1] + radius * math.sin(toward)
    end = toward + math.pi + (sweep if ccw else -sweep)
    x, y = cx + radius * math.cos(end), cy + radius * math.sin(end)
    if sweep == math.tau:
        x, y = start[:2]
    z = draw(st.one_of(st.just(start[2]), depth))
    return ArcFeed(x, y, z, cx, cy, ccw, draw(feed))


@st.composite
def paths(draw: st.DrawFn) -> tuple[Move, ...]:
    """Lines and arcs, from and to the safe height."""
    place = (draw(coordinate), draw(coordinate), draw(depth))
    moves: list[Move] = [Rapid(*place[:2]), Rapid(z=2.0), Feed(*place, draw(feed))]
    for _ in range(draw(st.integers(1, 6))):
        if draw(st.booleans()):
            move: Feed | ArcFeed = draw(arcs(place))
        else:
            move = Feed(draw(coordinate), draw(coordinate), draw(depth), draw(feed))
        moves.append(move)
        place = (move.x, move.y, move.z)
    return (*moves, Rapid(z=SAFE_Z))


def resolution(post: Post, units: str) -> float:
    return 10.0**-post.decimals_mm if units == "mm" else 25.4 * 10.0**-post.decimals_inch


def naive_ends(text: str, units: str) -> list[tuple[float, float, float]]:
    """Where each block with axis words ends, found without any knowledge of the language."""
    at = {"X": math.nan, "Y": math.nan, "Z": math.nan}
    ends = []
    for line in re.sub(r"\(.*?\)", "", text).splitlines():
        words = re.findall(r"([XYZ])(-?\d+(?:\.\d+)?)", line)
        at |= {axis: float(number) * (1 if units == "mm" else 25.4) for axis, number in words}
        if words:
            ends.append((at["X"], at["Y"], at["Z"]))
    return ends


@settings(max_examples=60, deadline=None)
@given(moves=paths(), units=st.sampled_from(["mm", "inch"]), post=st.sampled_from([FULL, COARSE]))
def test_every_end_is_written_within_rounding(
    kit: Any, moves: tuple[Move, ...], units: str, post: Post
) -> None:
    text = write_program(kit.program(kit.milling(*moves), units=units), post).text
    ends = naive_ends(text, units)
    near = 0.5 * resolution(post, units) + 1e-9
    found = 0
    for move in moves:
        if isinstance(move, Feed | ArcFeed):
            wanted = (move.x, move.y, move.z)
            assert any(
                all(abs(a - b) <= near for a, b in zip(wanted, end, strict=True)) for end in ends
            )
            found += 1
    assert found


@settings(max_examples=100, deadline=None)
@given(
    moves=paths(),
    units=st.sampled_from(["mm", "inch"]),
    post=st.sampled_from([FULL, COARSE, LACKING, BARE]),
)
def test_reader_finds_the_same_path(
    kit: Any, moves: tuple[Move, ...], units: str, post: Post
) -> None:
    text = write_program(kit.program(kit.milling(*moves), units=units), post).text
    assert not read_program(text, "t.nc").problems
    planned, found = kit.planned_legs(moves), kit.read_legs(text)
    # Ends, I and J are each off by half a count, or the centre by as much as the mending needs:
    # an arc's far side is then off by a few counts.
    near = 6 * resolution(post, units) + (post.chord_error if post in (LACKING, BARE) else 0.0)
    assert kit.strays(planned, found, near) == []
    assert kit.strays(found, planned, near) == []


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_plate_reads_clean(kit: Any, units: str) -> None:
    reading = read_program(write_program(kit.plate(units=units), FULL).text, "plate.nc")
    assert reading.problems == ()
    assert reading.ended
    assert reading.units == units
    assert [e.value for e in reading.events if e.kind == "tool change"] == [1, 2]
    assert reading.moves[0].known == "Z"


@pytest.mark.parametrize("kind", ["drill", "peck", "ream"])
@pytest.mark.parametrize("dwell", [0.0, 0.5])
def test_cycles_and_plain_moves_drill_the_same(kit: Any, kind: Any, dwell: float) -> None:
    def hole(x: float) -> HoleCycle:
        return HoleCycle(kind, x, 5.0, 2.0, -9.0, 90.0, peck=4.0, dwell=dwell)

    moves: list[Move] = []
    for x in (10.0, 20.0, 30.0):
        moves += [Rapid(x, 5.0), Rapid(z=2.0), hole(x), Rapid(z=SAFE_Z)]
    program = kit.program(kit.milling(*moves))
    with_cycles = read_program(write_program(program, FULL).text, "c.nc")
    plain = read_program(write_program(program, replace(FULL, cycles=())).text, "p.nc")
    for reading in (with_cycles, plain):
        assert reading.problems == ()
        lowest = {m.end[:2]: m.end[2] for m in reading.moves if m.kind != "rapid" and m.end[2] < -8}
        assert lowest == {(10.0, 5.0): -9.0, (20.0, 5.0): -9.0, (30.0, 5.0): -9.0}
        assert min(m.end[2] for m in reading.moves) == -9.0
        sideways = [
            m for m in reading.moves if m.start[:2] != m.end[:2] and m.known_before[-1:] == "Z"
        ]
        assert all(m.start[2] >= SAFE_Z for m in sideways)


def test_chords_stay_as_near_as_the_post_says(kit: Any) -> None:
    post = replace(FULL, arcs=False, chord_error=0.01)
    circle = ArcFeed(30.0, 0.0, 0.0, 0.0, 0.0, True, 100.0)
    moves = (Rapid(30.0, 0.0), Feed(30.0, 0.0, 0.0, 100.0), circle, Rapid(z=SAFE_Z))
    reading = read_program(write_program(kit.program(kit.milling(*moves)), post).text, "t.nc")
    chords = [m for m in reading.moves if m.kind == "line"][1:]
    middles = [math.hypot((m.start[0] + m.end[0]) / 2, (m.start[1] + m.end[1]) / 2) for m in chords]
    assert 30.0 - min(middles) <= 0.01 + 1e-4
    assert 100 < len(chords) < 140
    assert chords[-1].end[:2] == (30.0, 0.0)


@pytest.mark.parametrize(
    "sweep",
    [pytest.param(1e-5, id="hardly-any"), pytest.param(math.tau - 1e-5, id="nearly-full")],
)
def test_arc_whose_ends_round_together(kit: Any, sweep: float) -> None:
    """The one is nothing, the other a whole turn: neither becomes the other."""
    x, y = 2 * math.cos(sweep), 2 * math.sin(sweep)
    moves = (
        Rapid(2.0, 0.0),
        Feed(2.0, 0.0, 0.0, 100.0),
        ArcFeed(x, y, 0.0, 0.0, 0.0, True, 100.0),
        Rapid(z=SAFE_Z),
    )
    reading = read_program(write_program(kit.program(kit.milling(*moves)), FULL).text, "t.nc")
    turned = math.fsum(m.curve.sweep for m in reading.moves if m.curve)
    assert turned == pytest.approx(sweep, abs=1e-3)
