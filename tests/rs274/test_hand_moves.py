"""What programs ask of the hand, as the reader takes it."""

from __future__ import annotations

import pytest

from gcodekit.rs274 import ReadProgram, read_program

Step = tuple[str, float, float, float, bool]


def read(*lines: str, by_hand: str = "Z") -> ReadProgram:
    return read_program("\n".join(["G21 G90 G17", *lines, "M2"]), by_hand=by_hand)


def steps(program: ReadProgram) -> list[Step]:
    return [(m.kind, *m.end, m.by_hand) for m in program.moves]


UP = ("(MSG, by hand: raise to Z5.000)", "M0")


@pytest.mark.parametrize(
    ("lines", "moves"),
    [
        pytest.param(UP, [("rapid", 0, 0, 5, True)], id="raised"),
        pytest.param(
            (*UP, "G0 X4 Y2", "(by hand: feed down to Z-3.000, dial -2+50)", "M0", "G1 X9 F50"),
            [
                ("rapid", 0, 0, 5, True),
                ("rapid", 4, 2, 5, False),
                ("line", 4, 2, -3, True),
                ("line", 9, 2, -3, False),
            ],
            id="fed down, a plain comment",
        ),
        pytest.param(
            (*UP, "; by hand: drill to Z-8 in pecks of 2.000, dial -4+0, then raise to Z5", "M0"),
            [("rapid", 0, 0, 5, True), ("line", 0, 0, -8, True), ("rapid", 0, 0, 5, True)],
            id="drilled in pecks",
        ),
        pytest.param(
            (*UP, "(MSG, by hand: lower to Z1)", "(MSG, by hand: feed down to Z-1)", "M0"),
            [("rapid", 0, 0, 5, True), ("rapid", 0, 0, 1, True), ("line", 0, 0, -1, True)],
            id="in two lines",
        ),
        pytest.param(
            ("G20", "(MSG, by hand: raise to Z0.5000)", "M0"),
            [("rapid", 0, 0, 12.7, True)],
            id="in inch",
        ),
    ],
)
def test_moves_of_the_hand(lines: tuple[str, ...], moves: list[Step]) -> None:
    program = read(*lines)
    assert [p.text for p in program.problems] == []
    assert steps(program) == moves


def test_sideways() -> None:
    text = "(MSG, by hand: raise to Z5, then move to Y7, then feed down to Z-1, then feed to Y9)"
    program = read("G0 X1", text, "M0", by_hand="YZ")
    assert program.problems == ()
    assert steps(program)[1:] == [
        ("rapid", 1, 0, 5, True),
        ("rapid", 1, 7, 5, True),
        ("line", 1, 7, -1, True),
        ("line", 1, 9, -1, True),
    ]
    assert program.moves[-1].known == "XYZ"


def test_a_hand_stop_is_an_event_of_its_own() -> None:
    program = read(*UP, "M0")
    assert [(e.kind, e.before) for e in program.events[-3:]] == [
        ("hand stop", 0),
        ("stop", 1),
        ("end", 1),
    ]


def test_where_every_axis_is_driven_it_is_a_comment() -> None:
    assert steps(read(*UP, by_hand="")) == []


@pytest.mark.parametrize(
    ("lines", "line", "text"),
    [
        pytest.param(
            (UP[0], "G0 X3"),
            2,
            "program does not stop for a hand to do what line 2 says: put M0 after it",
            id="no stop",
        ),
        pytest.param(
            (UP[0], "M1", "G0 X3"),
            2,
            "program does not stop for a hand to do what line 2 says: put M0 after it",
            id="a stop that a switch may pass over",
        ),
        pytest.param(
            (UP[0], "G0 X3", "M0"),
            4,
            "program moves on before it stops for the hand to do what line 2 says, put M0 straight "
            "after it",
            id="a move between",
        ),
        pytest.param(
            (UP[0], "G0 X3", "(MSG, by hand: raise to Z6)", "M0"),
            4,
            "program does not stop for a hand to do what line 2 says: put M0 after it",
            id="one stop of two",
        ),
        pytest.param(
            (*UP, "(MSG, by hand: feed down to Z8)", "M0"),
            4,
            "a hand is asked to go down to Z8: the cutter is at Z5 then",
            id="a wrong sign",
        ),
        pytest.param(
            (*UP, "(MSG, by hand: raise to Z-8)", "M0"),
            4,
            "a hand is asked to go up to Z-8: the cutter is at Z5 then",
            id="raised downward",
        ),
        pytest.param(
            ("(MSG, by hand: sink to Z-8)", "M0"),
            2,
            '"sink to Z-8" is no move that a hand can be asked for',
            id="a verb unknown",
        ),
        pytest.param(
            ("(MSG, by hand: raise to X8)", "M0"),
            2,
            '"raise to X8" is no move that a hand can be asked for',
            id="an axis that does not rise",
        ),
        pytest.param(
            ("(MSG, by hand: move to X8)", "M0"),
            2,
            "X is driven, and a message asks a hand to move it: the cutter is at X0 then",
            id="a driven axis",
        ),
    ],
)
def test_faults(lines: tuple[str, ...], line: int, text: str) -> None:
    assert (line, text) in [(p.line, p.full_text) for p in read(*lines).errors]
