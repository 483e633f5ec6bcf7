"""Whatever a file holds, reading it ends soon, in bounded memory, with problems and no exception.

GCODEKIT_FUZZ=100000 makes as many cases of each kind instead of those of a usual run.
"""

from __future__ import annotations

import math
import os
import random as random_module
import time
import tracemalloc

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from gcodekit.rs274 import ReadProgram, Tool, read_program
from gcodekit.rs274.canned_cycles import MOST_CYCLE_MOVES
from gcodekit.rs274.program_read import MOST_PROBLEMS

CASES = int(os.environ.get("GCODEKIT_FUZZ", "0"))


def cases(usual: int) -> settings:
    """A law held against `usual` cases, or as many as a long run asks for."""
    return settings(
        max_examples=CASES or usual,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
    )


TOOLS = {1: Tool(3.0, 20.0), 2: Tool(-1.0), 5: Tool(0.0, 0.0), 7: Tool(6.0)}
HOMES = {5161: 0.0, 5162: 0.0, 5163: 0.0, 5221: 100.0, 5222: 50.0, 5223: -20.0, 5241: 3.0}

# Whole programs to be broken: every code of the language is among their lines.
PROGRAM = """%
N10 G21 G90 G17 G94 G40 G49 G80 G98 G54 G61
(MSG, begin) #1=10 #2=[#1*2-SIN[30]]
T1 M6 G43 H1 S1000 M3 M8
G0 X0 Y0 Z5
G1 Z-1 F100
G41 D1 X10 Y1
X20
G2 X25 Y-4 J-5
G1 Y-20 X25
G40 X40
G3 X40 Y-20 I5 J0 Z-2
G2 X45 Y-25 R5
G18 G2 X50 Z3 R40
G19 G3 Y-20 Z4 J2.5 K.5
G17 G91 G1 X#1 Y[#2/4] Z.5
G90 G99 G81 X1 Y1 Z-3 R1 L2
G82 X2 Z-3 R1 P.5
G83 X3 Z-3 R1 Q.7
G73 X3 Z-3 R1 Q.7
G84 X4 Z-3 R1
G85 X5 Z-3 R1
G86 X6 Z-3 R1 P1
G87 X7 Z-3 R1 I1 J1 K-1
G88 X8 Z-3 R1 P1
G89 X9 Z-3 R1 P1
G80
G92 X1 Y2 Z3
G0 X5
G92.2
G92.3
G92.1
G10 L2 P2 X3 Y4
G55 G0 X1
G53 G0 Z0
G28 X1 Y1
G30
G38.2 Z-9 F20
G93 G1 X3 F2
G94 G20 F10 X1
G64 P.01
G4 P.5
/ M48
M49 M9 M5 ; all off
M0
M60
M30
%"""
GOOD = PROGRAM.splitlines()
PIECES = st.one_of(
    st.sampled_from([p for line in GOOD for p in line.split()]),
    st.sampled_from(
        ["#", "[", "]", "(", ")", ";", "%", "/", "=", "**", "MOD[", "ATAN[1]/", "-", ".", "\x00"]
    ),
    st.sampled_from(["1e999", "NaN", "inf", "9" * 60, "L999999999", "Q1e-9", "Q.0000001"]),
    st.sampled_from(["X", "Y", "Z", "I", "J", "K", "R", "G", "M", "F", "P", "Q", "#1=", "D", "H"]),
    st.sampled_from("GGGMXYZIJKRFSTLPQHDN#").flatmap(
        lambda letter: st.one_of(
            st.integers(-3, 100).map(lambda n: f"{letter}{n}"),
            st.floats(-1e7, 1e7).map(lambda v: f"{letter}{v:.4f}"),
        )
    ),
)
LINES = st.one_of(
    st.sampled_from(GOOD),
    st.lists(PIECES, max_size=7).map(" ".join),
    st.lists(PIECES, max_size=30).map("".join),
    st.text(max_size=40),
)


def check(reading: ReadProgram, text: str) -> None:
    """What holds of every reading."""
    lines = len(reading.lines)
    assert len(reading.problems) <= MOST_PROBLEMS
    assert all(0 <= p.line <= lines and p.column >= 0 and p.text for p in reading.problems)
    for p in reading.problems:
        assert p.column <= max(len(reading.lines[p.line - 1]) + 1, 1) or p.line == 0
    assert len(reading.moves) <= MOST_CYCLE_MOVES + 3 * lines
    for move in reading.moves:
        assert all(math.isfinite(c) for c in (*move.start, *move.end))
        assert math.isfinite(move.length)
        assert math.isfinite(move.feed)
        assert math.isfinite(move.speed)
        assert move.start == move.end or move.length > 0
        assert (move.kind == "arc") == (move.curve is not None)
    for event in reading.events:
        assert 0 <= event.before <= len(reading.moves)
        assert math.isfinite(event.value)
    assert all(math.isfinite(v) for v in reading.parameters.values())
    assert len(reading.parameters) <= 5399
    assert reading == read_program(text, tools=TOOLS, cutter=1, parameters=HOMES)


def read(text: str) -> ReadProgram:
    return read_program(text, tools=TOOLS, cutter=1, parameters=HOMES)


@cases(700)
@given(st.binary(max_size=400))
def test_any_bytes(data: bytes) -> None:
    text = data.decode("latin-1")
    check(read(text), text)


@cases(900)
@given(st.lists(LINES, max_size=25).map("\n".join))
def test_any_lines(text: str) -> None:
    check(read(text), text)


@cases(400)
@given(st.data())
def test_broken_programs(data: st.DataObject) -> None:
    """A good program with some of it left out, doubled, exchanged or overwritten."""
    text = PROGRAM
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(text)))
        end = data.draw(st.integers(at, min(len(text), at + 12)))
        new = data.draw(st.one_of(st.just(""), st.text(max_size=6), PIECES, st.just(text[at:end])))
        text = text[:at] + new + text[end:]
        if data.draw(st.booleans()):
            text = text[:at] + text[at : end + 3].swapcase() + text[end + 3 :]
    check(read(text), text)


def test_the_good_program_is_good() -> None:
    assert read(PROGRAM).errors == ()


@cases(200)
@given(
    st.sampled_from([line for line in GOOD if not set("(;%") & set(line)]),
    st.randoms(use_true_random=False),
)
def test_order_of_words_means_nothing(line: str, random: random_module.Random) -> None:
    """NISTIR 6556, 3.3.6."""
    words = [word for word in line.split() if word[0] not in "N/"]
    shuffled = words.copy()
    random.shuffle(shuffled)
    head = "S9 M3 G98\nG0 X0 Y0 Z5\nG81 X1 Y1 Z-3 R1\nG1 X9 F9\n"
    before, after = (read(f"{head}{' '.join(w)}\nM2") for w in (words, shuffled))
    assert before.moves == after.moves
    assert before.events == after.events
    assert before.parameters == after.parameters
    assert [p.text for p in before.problems] == [p.text for p in after.problems]


WORD = st.one_of(
    st.tuples(
        st.sampled_from("XYZIJRF"),
        st.one_of(
            st.integers(-9, 9).map(str),
            st.floats(-20, 20).map(lambda v: f"{v:.3f}"),
            st.sampled_from(["+.5", "1.", "-0", "1000000", "1000001", "99999999", "-.", "0.1 2"]),
        ),
    ).map("".join),
)
MOTION = st.one_of(
    st.sampled_from(["X1 Y1", "G1 X2", "G2 X2 I1", "G3 Y2 J1", "G02X3R2", "g1 x1"]),
    st.tuples(
        st.sampled_from(["", "N12 ", "N123456", " \t"]),
        st.sampled_from(["", "G0", "G1", "G2", "G3", "G01 ", "G00", "G03", "G10", "G1."]),
        st.lists(WORD, max_size=5).map(lambda w: " ".join(sorted(w, key="XYZIJRF ".find))),
    ).map("".join),
    st.lists(WORD, max_size=5).map("".join),
)
MODE = st.one_of(
    st.sampled_from(
        ["G91", "G90", "G20", "G21", "G18", "G17", "G93", "G94", "G92 X1 Y-2", "G92.1"]
    ),
    st.sampled_from(["G99 G81 X1 Z-1 R1", "G80", "G41 D7", "G42 D5", "G40", "G53 G0 Z1", "G55"]),
    st.sampled_from(["T2 M6", "G43 H1", "/X3", "#1=2 X#1", "G28", "G38.2 Z-9"]),
)


@cases(400)
@given(st.lists(st.one_of(MOTION, MOTION, MODE), max_size=14))
@example(["X0I0F0", "G1 X1 Y1"])
@example(["G2 X1 Y1 F7", "G1 X1 Y1"])
@example(["G55", "X1000001"])
@example(["G91", "X-999999", "X1500000"])
def test_the_quick_way_says_what_the_slow_one_says(lines: list[str]) -> None:
    """A comment sends a line the slow way; nothing else may change."""
    quick = read("\n".join(["G0 X1 Y2 Z3", "F50", *lines, "M2"]))
    slow = read("\n".join(f"{line} (x)" for line in ["G0 X1 Y2 Z3", "F50", *lines, "M2"]))
    assert quick.moves == slow.moves
    assert quick.problems == slow.problems
    assert quick.events == slow.events
    assert quick.parameters == slow.parameters
    assert (quick.blocks, quick.units, quick.last_line) == (slow.blocks, slow.units, slow.last_line)


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("!" * 100_000_001, id="more characters than any program"),
        pytest.param("\n" * 4_000_001, id="more lines than any program"),
        pytest.param("!\n" * 1_000_000, id="nothing right"),
        pytest.param("G0 X" + "9" * 1_000_000, id="a number without end"),
        pytest.param("[" * 1_000_000, id="brackets without end"),
        pytest.param("G0 X1\nG98 G82 Z1 R1 P1 L4000\n" + "L4000\nX2 L4000\n" * 1000, id="repeats"),
        pytest.param("G98 G83 X1 Z-9 R9 Q.01\n" * 1000, id="pecks"),
        pytest.param("G98 G81 X1 Z1 R1 L999999999\n" * 1000, id="more repeats than a number"),
        pytest.param("#1=[9**9**9**9]\n" * 1000, id="powers of powers"),
        pytest.param("#1=1\n#1=[#1*10]\n" + "#1=[#1*#1]\n" * 50, id="ever larger"),
        pytest.param(("G0 X#" + "#" * 250 + "\n") * 1000, id="parameters in parameters"),
        pytest.param(("(" * 255 + "\n") * 1000, id="comments in comments"),
    ],
)
def test_too_much(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    # the limit itself takes seconds to come to
    monkeypatch.setattr("gcodekit.rs274.canned_cycles.MOST_CYCLE_MOVES", 50_000)
    tracemalloc.start()
    try:
        began = time.process_time()
        reading = read(text)
        seconds = time.process_time() - began
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert reading.errors
    assert len(reading.problems) <= MOST_PROBLEMS
    # tracing slows all of it down several times
    assert seconds < 30
    assert peak < 400e6
