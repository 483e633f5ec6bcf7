"""Programs run one after another, read as one."""

from __future__ import annotations

import pytest

from gcodekit.rs274 import Problem, ReadProgram, read_program
from gcodekit.rs274.joined_programs import join

FIRST = "G21 G90\nT1 M6\nS1000 M3\nG0 Z5\nX1 Y1\nG1 Z-1 F100\nG4 P2\nG0 Z5\nM2\n\n\n"
SECOND = "G20\n(MSG, go)\nT2 M6\nG0 Z1\nX1 Y1\nG1 Z-1\nM2\n"
THIRD = "%\nG21\nG0 Z5\n%\n"


@pytest.fixture
def readings() -> list[ReadProgram]:
    return [read_program(t, f) for t, f in ((FIRST, "a"), (SECOND, "b"), (THIRD, "c"))]


def test_one_alone_is_itself(readings: list[ReadProgram]) -> None:
    joined = join(readings[:1])
    assert joined.reading is readings[0]
    wrong = Problem("error", 6, 1, None, "x")
    assert joined.own(wrong) == (0, wrong)


def test_every_problem_comes_back_to_its_file_and_line(readings: list[ReadProgram]) -> None:
    joined = join(readings)
    assert joined.starts == (0, 9, 16)
    there = 0
    for which, reading in enumerate(readings):
        for move in reading.moves:
            counted = joined.reading.moves[there]
            own = joined.own(Problem("error", counted.line, 2, counted.end, "x"))
            assert own == (which, Problem("error", move.line, 2, move.end, "x"))
            there += 1
    assert there == len(joined.reading.moves)
    # no feed under G20 after F100 under G21 in the file before: each begins afresh
    assert joined.reading.moves[len(readings[0].moves)].known_before == ""
    assert [m.feed for m in joined.reading.moves if m.kind == "line"] == [100.0, 0.0]


def test_what_no_line_is_to_blame_for_is_said_of_the_last(readings: list[ReadProgram]) -> None:
    whole = Problem("error", 0, 0, None, "metal left")
    assert join(readings).own(whole) == (2, whole)


def test_events_stand_before_the_same_moves(readings: list[ReadProgram]) -> None:
    joined = join(readings).reading
    changes = [e for e in joined.events if e.kind == "tool change"]
    assert [joined.moves[e.before].cutter for e in changes] == [1, 2]
    assert [e.line for e in changes] == [2, 12]


def test_counts_and_ends(readings: list[ReadProgram]) -> None:
    assert join(readings).reading.blocks == sum(r.blocks for r in readings)
    assert join(readings[:2]).reading.ended
    joined = join([readings[0], readings[2], readings[1]])
    assert not joined.reading.ended
    # the line where the file that has no M2 stops
    assert joined.own(Problem("warning", joined.reading.last_line, 0, None, "x"))[0] == 1
