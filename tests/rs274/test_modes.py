"""Codes in their modal groups, the order of execution, and what each move is told of them."""

from __future__ import annotations

from itertools import combinations

import pytest

from gcodekit.rs274 import ReadProgram, read_program

# NISTIR 6556, table 4, with the other words a code needs where it stands alone on a line.
GROUPS: dict[str, dict[str, str]] = {
    "motion": {
        "G0": "X1",
        "G1": "X1",
        "G2": "X2 I1",
        "G3": "X2 I1",
        "G38.2": "X9",
        "G80": "",
        "G81": "Z-1 R1",
        "G82": "Z-1 R1 P1",
        "G83": "Z-1 R1 Q1",
        "G84": "Z-1 R1",
        "G85": "Z-1 R1",
        "G86": "Z-1 R1 P1",
        "G87": "Z-1 R1 I1 J1 K0",
        "G88": "Z-1 R1 P1",
        "G89": "Z-1 R1 P1",
        # not in the report
        "G73": "Z-1 R1 Q1",
    },
    "plane": dict.fromkeys(["G17", "G18", "G19"], ""),
    "distance": dict.fromkeys(["G90", "G91"], ""),
    "feed mode": dict.fromkeys(["G93", "G94"], ""),
    "units": dict.fromkeys(["G20", "G21"], ""),
    "compensation": {"G40": "", "G41": "D0", "G42": "D0"},
    "length offset": {"G43": "H1", "G49": ""},
    "return": dict.fromkeys(["G98", "G99"], ""),
    "work offset": dict.fromkeys(
        ["G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"], ""
    ),
    "path control": dict.fromkeys(["G61", "G61.1", "G64"], ""),
    "once": {
        "G4": "P1",
        "G10": "L2 P2 X1",
        "G28": "",
        "G30": "",
        "G53": "X1",
        "G92": "X1",
        "G92.1": "",
        "G92.2": "",
        "G92.3": "",
    },
    "stop": dict.fromkeys(["M0", "M1", "M2", "M30", "M60"], ""),
    "spindle": dict.fromkeys(["M3", "M4", "M5"], ""),
    "coolant": dict.fromkeys(["M7", "M8", "M9"], ""),
    "overrides": dict.fromkeys(["M48", "M49"], ""),
    "change": {"M6": ""},
    # not in the report: the only way it knows to give the centre of an arc
    "centres": {"G91.1": ""},
}
START = "G98 S100 M3 F100\nG0 X0 Y0 Z5\n"


def read(text: str) -> ReadProgram:
    return read_program(f"{START}{text}\nM2")


@pytest.mark.parametrize(
    ("code", "words"), [p for group in GROUPS.values() for p in group.items()], ids=str
)
def test_every_code_is_read(code: str, words: str) -> None:
    # tables 4, 5 and 7
    for text in (f"{code} {words}", f"{words} {code.lower()}", f"{code[0]}0{code[1:]}{words}"):
        assert read(text).problems == ()


@pytest.mark.parametrize("group", GROUPS)
def test_two_codes_of_a_group(group: str) -> None:
    # 3.3.5: at most one of each group on a line, whatever they are
    for one, two in combinations(GROUPS[group], 2):
        [problem] = read(f"{one} {two}").errors
        assert (
            problem.text
            == f"{one} and {two} are of the same modal group: put them on separate lines"
        )
        assert problem.column == len(one) + 2


def test_codes_of_different_groups() -> None:
    # 3.3.5: any number of G words, up to four M words
    reading = read("G1 G18 G91 G94 G20 G40 G49 G99 G54 G64 G4 P1 M6 M5 M9 M48 T1 F9 S9 X1")
    assert reading.problems == ()


@pytest.mark.parametrize(
    ("first", "line", "seen"),
    [
        # table 8: what a move of the same line is made under
        pytest.param("", "G1 X1 F200", {"feed": 200, "feed_set": True}, id="F"),
        pytest.param("", "X1 G1 S500", {"speed": 500}, id="S"),
        pytest.param("T4", "G1 X1 M6", {"cutter": 4, "spindle": 0}, id="change"),
        pytest.param("", "G1 X1 T4 M6 M4", {"cutter": 4, "spindle": -1}, id="change, then spindle"),
        pytest.param("", "G1 X1 M5", {"spindle": 0}, id="spindle"),
        pytest.param("M7", "G1 X1 M8", {"coolant": "fm"}, id="coolant"),
        pytest.param("", "G19 G1 X1", {"plane": 19}, id="plane"),
        pytest.param("", "G20 F10 G1 X1", {"feed": 10}, id="F before units"),
        pytest.param("", "X1 G1 G41 D0", {"compensation": 1}, id="compensation"),
        pytest.param("", "X1 G1 G42 D0", {"compensation": -1}, id="compensation right"),
        pytest.param("", "X1 G1 G61", {"path": "exact path"}, id="G61"),
        pytest.param("", "X1 G1 G61.1", {"path": "exact stop"}, id="G61.1"),
        pytest.param("G61", "X1 G1 G64", {"path": "continuous", "rounding": None}, id="G64"),
        pytest.param("G20", "X1 G1 G64 P.1", {"rounding": 2.54}, id="G64 P"),
        pytest.param("", "X1 G1 G93 F2", {"inverse_time": True, "feed": 2}, id="G93"),
        pytest.param("G93", "X1 G1 G94", {"inverse_time": False, "feed_set": False}, id="G94"),
        pytest.param("", "G91 G1 X1", {}, id="G91"),
        pytest.param("", "M3 G1 X1 M0", {"spindle": 1}, id="stop after the motion"),
    ],
)
def test_order_of_execution(first: str, line: str, seen: dict[str, object]) -> None:
    reading = read(f"{first}\n{line}")
    assert reading.problems == ()
    move = reading.moves[-1]
    assert {name: getattr(move.conditions, name) for name in seen} == pytest.approx(seen)


def test_what_comes_before_and_after_the_motion() -> None:
    # table 8: message, change and dwell before the motion, the stop after it
    reading = read("G1 X1 M0 G4 P2 M6 T3 (MSG, look)")
    assert [(e.kind, e.before) for e in reading.events] == [
        ("message", 1),
        ("tool change", 1),
        ("dwell", 1),
        ("stop", 2),
        ("end", 2),
    ]


def test_feed_never_set() -> None:
    reading = read_program("G0 X0 Y0 Z0\nG1 X1\nF0 X2\nG93 X3 F1\nG94 X4\nM2")
    assert [m.conditions.feed_set for m in reading.moves] == [False, False, True, True, False]
    assert [m.feed for m in reading.moves][-1] == 0


@pytest.mark.parametrize(
    ("line", "seconds"),
    [
        # 3.5.4, and the other way that controls commonly take (common practice, no source)
        pytest.param("G4 P1.5", [1.5], id="P"),
        pytest.param("G04P0", [0.0], id="P0"),
        pytest.param("G4 X1.5", [1.5], id="X"),
        pytest.param("G4 P1 X2 Y3", [1.0], id="P beside a motion"),
        pytest.param("G0 G4 P1 X2", [1.0], id="P beside a motion's code"),
    ],
)
def test_dwell(line: str, seconds: list[float]) -> None:
    reading = read(line)
    assert reading.problems == ()
    assert [e.value for e in reading.events if e.kind == "dwell"] == seconds
    moved = "P1 X2" in line
    assert reading.moves[-1].end[0] == (2 if moved else 0)


def test_dwell_that_may_be_milliseconds() -> None:
    [problem] = read("G4 P500").problems
    assert problem.severity == "warning"
    assert "500 s" in problem.text


@pytest.mark.parametrize(
    ("line", "column", "text"),
    [
        pytest.param("G4 X-1", 4, "must be 0 or greater", id="dwell by X, negative"),
        pytest.param("G4 Y1", 1, "needs a P", id="dwell by Y"),
        pytest.param("G4 X1 G1", 1, "needs a P", id="dwell by X with a motion"),
        pytest.param("G64 P-1", 5, "must be 0 or greater", id="G64 P negative"),
        pytest.param("G61 P1", 5, "P needs", id="G61 P"),
        pytest.param("G90.1", 1, "not an RS-274 G code", id="centres from zero"),
        pytest.param("G95", 1, "not an RS-274 G code", id="feed a revolution"),
        pytest.param("G5 X1", 1, "not an RS-274 G code", id="spline"),
        pytest.param("M98 P1", 1, "not an RS-274 M code", id="subroutine"),
        pytest.param("M3.5", 1, "not an RS-274 M code", id="M with a fraction"),
        pytest.param("G-1 X1", 1, "not an RS-274 G code", id="G negative"),
        pytest.param("O100", 1, "is not an RS-274 letter", id="program number"),
        pytest.param("U1", 1, "is not an RS-274 letter", id="letter not in the language"),
    ],
)
def test_error(line: str, column: int, text: str) -> None:
    found = [(p.column, p.text) for p in read(line).errors]
    assert any(c == column and text in t for c, t in found), found


def test_the_text_of_a_block() -> None:
    reading = read_program("G21\r\n  N5 G0 X1 (a) \rM2")
    assert reading.moves[0].line == 2
    assert reading.block(2) == "N5 G0 X1 (a)"
    assert reading.block(0) == reading.block(99) == ""
    assert reading.units_said
    assert not read_program("M2").units_said


def test_comments() -> None:
    # 3.3.4, 3.3.5: the last of several counts, the form of all is looked at
    reading = read_program("(MSG,no) G0 (MSG, yes ) X1 (\tm S g ,go on)\n; MSG, all (the) rest\nM2")
    assert reading.problems == ()
    assert [e.text for e in reading.events][:2] == ["go on", "all (the) rest"]
    # appendix E: printable characters, blanks and tabs
    [problem] = read_program("G0 X1 (a\x07b)\nM2").problems
    assert (problem.column, problem.text) == (
        9,
        "comment holds a character that cannot be printed",
    )


def test_letters_of_other_alphabets_are_no_words() -> None:
    # upper case of the first is an I of the language, of the second two letters
    for letter in "\u0131\u00df\uff27":
        [problem] = read_program(f"G2 X1 {letter}1 F1\nM2").problems
        assert problem.column == 7
        assert "is not an RS-274 letter" in problem.text


def test_line_numbers() -> None:
    # 3.3.1: one to five digits, in any order, not needed; but first, before any comment
    reading = read_program("N99999 G0 X1\nN1 X2\nn 1 2 X3\n/N4 X4\nN5\nM2")
    assert reading.problems == ()
    assert [m.end[0] for m in reading.moves] == [1, 2, 3, 4]
    for bad in ("N X1", "N1.5 X1", "N+1 X1", "N123456 X1", "G0 N1 X1", "(a) N1 X1", "N[1] X1"):
        assert read_program(f"G0 X0\n{bad}\nM2").errors, bad
