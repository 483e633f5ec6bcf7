"""Everything NISTIR 6556 says must be signalled, with line and column."""

from __future__ import annotations

import pytest

from gcodekit.rs274 import read_program

START = "G21 G90 G17 G98\nF100\nG0 X7 Y7 Z5\n"


def faults(block: str) -> list[tuple[int, str]]:
    """Column and text of what is wrong with line 4."""
    reading = read_program(START + block + "\nG0 X1\nM2")
    assert all(p.severity == "error" and p.line == 4 for p in reading.problems)
    # reading goes on after an error
    assert reading.moves[-1].line == 5
    assert reading.ended
    return [(p.column, p.text) for p in reading.problems]


ERRORS = [
    # 3.3, 3.3.1, 3.3.4
    pytest.param("G1 X1 $", 7, "$ is not expected here", id="stray character"),
    pytest.param("G1 X1 E5", 7, "E is not an RS-274 letter", id="letter not in the language"),
    pytest.param("G1 X1e5", 6, "e is not an RS-274 letter", id="exponent"),
    pytest.param("G1 X", 4, "X without a number", id="no number"),
    pytest.param("G1 X1.2.3", 8, ". is not expected here", id="two points"),
    pytest.param("G1 X--1", 4, "X without a number", id="two signs"),
    pytest.param("G1 X1 (open", 7, "comment without )", id="comment not closed"),
    pytest.param("G1 X1 (a (b)", 10, "inside a comment", id="nested comment"),
    pytest.param("N000009 G1 X1", 1, "1 to 5 digits", id="six digits"),
    pytest.param("N-1 G1 X1", 1, "1 to 5 digits", id="signed line number"),
    pytest.param("G1 N5 X1", 4, "at the start of a line", id="line number inside"),
    pytest.param("G1 X1 / Y2", 7, "block delete", id="slash inside"),
    pytest.param("G1 X1" + " " * 260, 257, "at most 256", id="line too long"),
    # 3.3.5
    pytest.param("G0 G1 X1", 4, "same modal group", id="two motions"),
    pytest.param("G17 G18", 5, "same modal group", id="two planes"),
    pytest.param("M3 M4", 4, "same modal group", id="two spindle words"),
    pytest.param("M7 M8", 4, "same modal group", id="two coolant words"),
    pytest.param("G1 X1 X2", 7, "two X words", id="letter twice"),
    pytest.param("M0 M3 M6 M8 M48 T1", 1, "at most 4", id="five M words"),
    # the language's codes
    pytest.param("G74 X1", 1, "not an RS-274 G code", id="G code unknown"),
    pytest.param("G1.5 X1", 1, "not an RS-274 G code", id="G code with a fraction"),
    pytest.param("M19", 1, "not an RS-274 M code", id="M code unknown"),
    pytest.param("G1 X1 A5", 7, "rotary", id="rotary axis"),
    # 3.5.1, 3.5.2, 3.4, 3.5.15
    pytest.param("G0", 1, "G0 needs an axis", id="G0 alone"),
    pytest.param("G1 F100", 1, "G1 needs an axis", id="G1 alone"),
    pytest.param("G80 X1", 1, "G80", id="axis with G80"),
    # 3.5.3.1
    pytest.param("G2 R5", 1, "needs an axis", id="R arc without an end"),
    pytest.param("G2 Z1 R5", 1, "needs X or Y", id="R arc with Z only"),
    pytest.param("G2 X7 Y7 R5", 10, "must not end where it starts", id="R arc back to its start"),
    pytest.param("G2 X27 R5", 8, "cannot join ends 20 mm apart", id="R too small"),
    pytest.param("G2 X8 R0", 7, "arc of radius 0", id="R zero"),
    pytest.param("G2 X8 R5 I1", 7, "not both", id="R and centre"),
    # 3.5.3.2
    pytest.param("G2 I5", 1, "needs an axis", id="arc without an end"),
    pytest.param("G2 X10", 1, "needs I or J", id="arc without a centre"),
    pytest.param("G2 X10 K1 I1", 8, "not allowed in an arc", id="K in the XY plane"),
    pytest.param("G18 G2 X10 J1 K1", 12, "not allowed in an arc", id="J in the XZ plane"),
    pytest.param("G2 X17 Y7 I5.0011", 1, "differ by 0.00220", id="radii 0.0022 apart"),
    pytest.param("G2 X17 I0", 1, "arc of radius 0", id="centre at the start"),
    # 3.5.4, 3.5.11, 3.5.12
    pytest.param("G4 P-1", 4, "a dwell must be 0 or greater", id="negative dwell"),
    pytest.param("G4", 1, "needs a P", id="dwell without P"),
    pytest.param("G43", 1, "needs an H", id="length offset without H"),
    pytest.param("G43 H-1", 5, "whole number", id="H negative"),
    pytest.param("G43 H1.5", 5, "whole number", id="H a fraction"),
    pytest.param("G53 G2 X1 I1", 1, "G53 needs G0 or G1", id="G53 with an arc"),
    # 3.5.16
    pytest.param("G81 R1", 1, "G81 needs an axis", id="cycle without axes"),
    pytest.param("G81 X1 Z-1", 1, "needs an R", id="cycle without R"),
    pytest.param("G81 X1 R1", 1, "needs a Z", id="cycle without a depth"),
    pytest.param("G81 X1 Z1 R-1", 11, "below the bottom", id="R below the depth"),
    pytest.param("G81 X1 Z-1 R1 L0", 15, "whole number, 1 or greater", id="L zero"),
    pytest.param("G81 X1 Z-1 R1 L1.5", 15, "whole number, 1 or greater", id="L a fraction"),
    pytest.param(
        "G82 X1 Z-1 R1 P-1", 15, "a dwell must be 0 or greater", id="cycle with a negative dwell"
    ),
    pytest.param("G82 X1 Z-1 R1", 1, "needs a P", id="G82 without P"),
    pytest.param("G83 X1 Z-1 R1", 1, "needs a Q", id="G83 without Q"),
    pytest.param("G83 X1 Z-1 R1 Q0", 15, "greater than 0", id="Q zero"),
    pytest.param("G84 X1 Z-1 R1", 1, "clockwise", id="tap with a still spindle"),
    pytest.param("G93 G81 X1 Z-1 R1", 5, "G93", id="cycle under G93"),
    # 3.5.19, 3.7
    pytest.param("G93 G1 X1", 1, "needs an F", id="inverse time without F"),
    pytest.param("S-1", 1, "spindle speed must be 0 or greater", id="negative speed"),
    pytest.param("F-1", 1, "a feed must be 0 or greater", id="negative feed"),
    pytest.param("T-1", 1, "whole number", id="negative T"),
    # words no command on the line uses
    pytest.param("G1 X1 R5", 7, "R needs", id="R without a user"),
    pytest.param("G1 X1 I5", 7, "I needs", id="I without a user"),
    pytest.param("G1 X1 H5", 7, "H needs", id="H without a user"),
    pytest.param("G1 X1 L5", 7, "L needs", id="L without a user"),
    pytest.param("G1 X1 P5", 7, "P needs", id="P without a user"),
    pytest.param("G81 X1 Z-1 R1 Q1", 15, "Q needs", id="Q without a user"),
    pytest.param("X1 D5", 4, "D needs", id="D without a user"),
    # far beyond any machine, and lines that ask for too much
    pytest.param("G1 X99999999", 4, "out of range", id="number too large"),
    pytest.param("G81 X1 Z-1 R1 L999999", 1, "more than 500,000 moves", id="too many holes"),
    pytest.param("G83 X1 Z-100 R1 Q.0001", 1, "more than 500,000 moves", id="too many pecks"),
]


@pytest.mark.parametrize(("block", "column", "text"), ERRORS)
def test_error(block: str, column: int, text: str) -> None:
    found = faults(block)
    assert any(c == column and text in t for c, t in found), found


@pytest.mark.parametrize(
    ("program", "text"),
    [
        # 3.1
        pytest.param("%\nG0 X1", "does not end with it", id="percent line at the start only"),
        pytest.param("G0 X1", "no end", id="neither percent nor M2"),
        pytest.param("", "no end", id="empty"),
        pytest.param("X1\nM2", "with no G0, G1", id="no motion in force"),
        pytest.param("G80\nX1\nM2", "with no G0, G1", id="motion cancelled"),
    ],
)
def test_program_error(program: str, text: str) -> None:
    assert any(text in p.text for p in read_program(program).errors)


@pytest.mark.parametrize(
    ("head", "end", "right"),
    [
        # 3.5.3.2: 0.002 mm or 0.0002 inch
        pytest.param("G21", "X10 Y0 I5.001", True, id="mm, 0.002"),
        pytest.param("G21", "X10 Y0 I5.00105", False, id="mm, 0.0021"),
        pytest.param("G20", "X10 Y0 I5.0001", True, id="inch, 0.0002"),
        pytest.param("G20", "X10 Y0 I5.000105", False, id="inch, 0.00021"),
    ],
)
def test_radius_mismatch_limit(head: str, end: str, right: bool) -> None:
    reading = read_program(f"{head}\nG0 X0 Y0\nG2 {end} F10\nM2")
    assert (reading.problems == ()) is right


def test_problems_are_bounded() -> None:
    assert len(read_program("!\n" * 100_000).problems) == 200


@pytest.mark.parametrize(
    ("line", "end", "kind"),
    [
        pytest.param("G1 X17 H5", (17, 7), "line", id="word without a user"),
        pytest.param("G1 X17 S-1", (17, 7), "line", id="negative speed"),
        pytest.param("G91 G1 X10 H5", (17, 7), "line", id="in the mode before the line"),
        pytest.param("G2 X17 I4", (17, 7), "arc", id="arc"),
        pytest.param("G93 G1 X17", (17, 7), "line", id="inverse time without F"),
    ],
)
def test_lines_after_an_error_are_read_as_they_were_meant(
    line: str, end: tuple[float, float], kind: str
) -> None:
    """The next line begins where the faulty one should have ended, in its motion."""
    next_line = "X27 Y7 I5 J0" if kind == "arc" else "X30"
    reading = read_program(f"{START}{line}\n{next_line}\nM2")
    if "G91" in line:
        # nothing of a faulty line is done, its modes neither
        end = (10, 7)
    assert [p.line for p in reading.errors] == [4]
    assert reading.moves[-1].kind == kind
    assert reading.moves[-1].start[:2] == end
