"""Canned cycles hole by hole: NISTIR 6556, 3.5.16. What the report does not have is marked."""

from __future__ import annotations

import pytest

from gcodekit.rs274 import Move, ReadProgram, Tool, read_program

Step = tuple[str, float, float, float, int]


def read(*lines: str, tools: dict[int, Tool] | None = None) -> ReadProgram:
    return read_program("\n".join([*lines, "M2"]), tools=tools)


def steps(moves: tuple[Move, ...], line: int) -> list[Step]:
    """Kind, end and spindle of the moves of a line."""
    return [
        (m.kind, round(m.end[0], 9), round(m.end[1], 9), round(m.end[2], 9), m.spindle)
        for m in moves
        if m.line == line
    ]


# Over the hole at (1, 1), from R 1 to Z -3, left to 5 by G98 or 1 by G99.
OVER = [("rapid", 1, 1, 5, 1), ("rapid", 1, 1, 1, 1)]


@pytest.mark.parametrize(
    ("words", "hole", "events"),
    [
        # 3.5.16.2 to .10
        pytest.param("G81", [("line", -3, 1), ("rapid", 5, 1)], [], id="G81"),
        pytest.param("G82 P.5", [("line", -3, 1), ("rapid", 5, 1)], [("dwell", 0.5)], id="G82"),
        pytest.param(
            "G83 Q1.5",
            [
                ("line", -0.5, 1),
                ("rapid", 5, 1),
                ("rapid", -0.25, 1),
                ("line", -2, 1),
                ("rapid", 5, 1),
                ("rapid", -1.75, 1),
                ("line", -3, 1),
                ("rapid", 5, 1),
            ],
            [],
            id="G83",
        ),
        # not in the report: back off in the hole (common practice, no source)
        pytest.param(
            "G73 Q1.5",
            [
                ("line", -0.5, 1),
                ("rapid", -0.25, 1),
                ("line", -2, 1),
                ("rapid", -1.75, 1),
                ("line", -3, 1),
                ("rapid", 5, 1),
            ],
            [],
            id="G73",
        ),
        pytest.param("G84", [("line", -3, 1), ("line", 5, -1)], [], id="G84"),
        pytest.param("G85", [("line", -3, 1), ("line", 5, 1)], [], id="G85"),
        pytest.param("G86 P.5", [("line", -3, 1), ("rapid", 5, 0)], [("dwell", 0.5)], id="G86"),
        pytest.param(
            "G88 P.5", [("line", -3, 1), ("rapid", 5, 0)], [("dwell", 0.5), ("stop", 0)], id="G88"
        ),
        pytest.param("G89 P.5", [("line", -3, 1), ("line", 5, 1)], [("dwell", 0.5)], id="G89"),
    ],
)
def test_hole(words: str, hole: list[tuple[str, float, int]], events: list[object]) -> None:
    reading = read("S300 M3 F150", "G0 X0 Y0 Z5", f"G98 {words} X1 Y1 Z-3 R1", "G80", "G0 X9")
    assert reading.problems == ()
    inside = [(kind, 1, 1, z, spindle) for kind, z, spindle in hole]
    assert steps(reading.moves, 3) == OVER + inside
    assert [(e.kind, e.value) for e in reading.events[:-1]] == events
    # the spindle goes on as before
    assert reading.moves[-1].spindle == 1


@pytest.mark.parametrize(
    ("mode", "words"),
    [
        # 3.5.16.8: I and J are increments in both modes; K is a place in G90, from Z in G91
        pytest.param("G90", "X1 Y1 Z-3 R1 K-1", id="G90"),
        pytest.param("G91", "X1 Y1 Z-4 R-4 K2", id="G91"),
    ],
)
def test_back_boring(mode: str, words: str) -> None:
    reading = read("S300 M3 F150", "G0 X0 Y0 Z5", f"{mode} G98 G87 {words} I0.231 J-0.5")
    assert reading.problems == ()
    aside = (1.231, 0.5)
    assert steps(reading.moves, 3) == [
        *OVER,
        ("rapid", *aside, 1, 1),
        ("rapid", *aside, -3, 0),
        ("rapid", 1, 1, -3, 0),
        ("line", 1, 1, -1, 1),
        ("line", 1, 1, -3, 1),
        ("rapid", *aside, -3, 0),
        ("rapid", *aside, 5, 0),
        ("rapid", 1, 1, 5, 0),
    ]


@pytest.mark.parametrize(
    ("plane", "words", "axis"),
    [
        # 3.5.16: the hole goes along Y in G18, along X in G19; R and the depth belong to that axis
        pytest.param("G17", "X1 Y2 Z-3", 2, id="XY"),
        pytest.param("G18", "Z1 X2 Y-3", 1, id="XZ"),
        pytest.param("G19", "Y1 Z2 X-3", 0, id="YZ"),
    ],
)
@pytest.mark.parametrize(
    "cycle",
    ["G73 Q1", "G81", "G82 P1", "G83 Q1", "G84", "G85", "G86 P1", "G87", "G88 P1", "G89 P1"],
)
def test_every_cycle_in_every_plane(cycle: str, plane: str, words: str, axis: int) -> None:
    """The same hole, its axes exchanged."""
    first, second = (axis + 1) % 3, (axis + 2) % 3
    if cycle == "G87":
        letters = "IJK"
        cycle += f" {letters[first]}.2 {letters[second]}.3 {letters[axis]}-1"
    start = "G0 X0 Y0 Z0\n" + f"{'XYZ'[axis]}5"
    turned = read("S300 M3 F150", start, f"{plane} G99 {cycle} {words} R1")
    assert turned.problems == ()
    plain = cycle if "G87" not in cycle else "G87 I.2 J.3 K-1"
    upright = read("S300 M3 F150", "G0 X0 Y0 Z0\nZ5", f"G17 G99 {plain} X1 Y2 Z-3 R1")
    assert [
        (m.kind, m.end[first], m.end[second], m.end[axis], m.spindle) for m in turned.moves[2:]
    ] == [(m.kind, *m.end, m.spindle) for m in upright.moves[2:]]


def test_sticky_words() -> None:
    # 3.5.16: R, the depth, P, Q, I, J and K are kept while the same cycle goes on; L is not
    reading = read(
        "S300 M3 F150",
        "G0 X0 Y0 Z5",
        "G99 G82 X1 Z-3 R1 P.5 L2",
        "X2",
        "Y1 Z-2",
        "P.25 X3",
        "G80",
    )
    assert reading.problems == ()
    bottoms = [(m.line, m.end[2]) for m in reading.moves if m.kind == "line"]
    assert bottoms == [(3, -3), (3, -3), (4, -3), (5, -2), (6, -2)]
    assert [e.value for e in reading.events[:-1]] == [0.5, 0.5, 0.5, 0.5, 0.25]
    back = read("S300 M3 F150", "G0 X0 Y0 Z5", "G99 G87 X1 Z-3 R1 I.2 J.3 K-1", "X2")
    assert back.problems == ()
    assert (2.2, 0.3, -3) in [m.end for m in back.moves if m.line == 4]


def test_another_cycle_begins_anew() -> None:
    reading = read("F150", "G0 X0 Y0 Z5", "G99 G81 X1 Z-3 R1", "G85 X2", "G0 X3", "G81 X4")
    assert [(p.line, p.text) for p in reading.problems] == [
        (4, "first line of G85 needs a Z word for the depth"),
        (6, "first line of G81 needs a Z word for the depth"),
    ]


def test_repeats_in_both_modes() -> None:
    # 3.5.16: in incremental mode X and Y step each time; in absolute mode it is the same hole
    absolute = read("F150", "G0 X0 Y0 Z5", "G99 G81 X1 Y1 Z-3 R1 L3").moves
    assert [m.end for m in absolute if m.kind == "line"] == [(1, 1, -3)] * 3
    steps_ = read("F150", "G0 X0 Y0 Z5", "G99 G91 G81 X1 Y2 Z-4 R-4 L3").moves
    assert [m.end for m in steps_ if m.kind == "line"] == [(1, 2, -3), (2, 4, -3), (3, 6, -3)]


def test_first_lines_of_c3() -> None:
    # C.3, inch: `g43 h1` with a length of 2.0 makes Z read -2
    reading = read(
        "g20 g43 h1", "g98 g81 x3 y4 r0.2 z-1.1", "x1 y0 r0 g91 l3", tools={1: Tool(0.0, 50.8)}
    )
    assert reading.problems == ()
    inch = [(m.kind, tuple(round(c / 25.4, 9) for c in m.end)) for m in reading.moves]
    assert reading.moves[0].start == (0, 0, -50.8)
    assert inch[:4] == [
        ("rapid", (0, 0, 0.2)),
        ("rapid", (3, 4, 0.2)),
        ("line", (3, 4, -1.1)),
        ("rapid", (3, 4, 0.2)),
    ]
    assert [e for k, e in inch[4:] if k == "line"] == [(4, 4, -0.9), (5, 4, -0.9), (6, 4, -0.9)]


def test_offsets_shift_the_hole() -> None:
    # 3.5.18 with 3.5.16
    moves = read("F150", "G0 X10 Y10 Z5", "G92 X0 Y0 Z0", "G99 G81 X1 Y1 Z-8 R-4").moves
    assert steps(moves, 4) == [
        ("rapid", 11, 11, 5, 0),
        ("rapid", 11, 11, 1, 0),
        ("line", 11, 11, -3, 0),
        ("rapid", 11, 11, 1, 0),
    ]


@pytest.mark.parametrize(
    ("line", "column", "text"),
    [
        # 3.5.16
        pytest.param("G86 X1 Z-3 R1 P1", 1, "G86 with the spindle stopped", id="G86"),
        pytest.param("G87 X1 Z-3 R1 I0 J0 K-1", 1, "G87 with the spindle stopped", id="G87"),
        pytest.param("G88 X1 Z-3 R1 P1", 1, "G88 with the spindle stopped", id="G88"),
        pytest.param(
            "M4 S9 G84 X1 Z-3 R1", 7, "G84 with the spindle not turning clockwise", id="G84"
        ),
        pytest.param("M3 S9 G86 X1 Z-3 R1", 7, "needs a P word", id="G86 without P"),
        pytest.param("M3 S9 G88 X1 Z-3 R1", 7, "needs a P word", id="G88 without P"),
        pytest.param("G89 X1 Z-3 R1", 1, "needs a P word", id="G89 without P"),
        pytest.param("G73 X1 Z-3 R1", 1, "needs a Q word", id="G73 without Q"),
        pytest.param("G73 X1 Z-3 R1 Q-1", 15, "greater than 0", id="G73 with Q below zero"),
        pytest.param("M3 S9 G87 X1 Z-3 R1 J0 K-1", 7, "needs an I word", id="G87 without I"),
        pytest.param("M3 S9 G87 X1 Z-3 R1 I0 K-1", 7, "needs a J word", id="G87 without J"),
        pytest.param("M3 S9 G87 X1 Z-3 R1 I0 J0", 7, "needs a K word", id="G87 without K"),
        pytest.param(
            "M3 S9 G87 X1 Z-3 R1 I0 J0 K-4", 27, "must lie between", id="G87 with K below"
        ),
        pytest.param("G18 G81 X1 Z-3 R1", 5, "needs a Y word", id="G18 without Y"),
        pytest.param("G19 G81 Y1 Z-3 R1", 5, "needs an X word", id="G19 without X"),
        pytest.param("G81 X1 Z-3 R1 A5", 15, "rotary", id="rotary motion"),
        pytest.param("G81 X1 Z-3 R1 L-1", 15, "whole number, 1 or greater", id="L negative"),
        pytest.param("G81 X1 Z-3 R1 L999999999", 15, "out of range", id="L beyond"),
        pytest.param("G73 X1 Z-999999 R1 Q.0001", 1, "more than 500,000", id="too many pecks"),
    ],
)
def test_error(line: str, column: int, text: str) -> None:
    reading = read("G98 F150", "G0 X0 Y0 Z5", line, "G0 X7")
    found = [(p.column, p.text) for p in reading.errors]
    assert any(c == column and text in t for c, t in found), found
    assert [m.line for m in reading.moves] == [2, 4]
