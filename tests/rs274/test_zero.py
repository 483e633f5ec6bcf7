"""Where program zero lies: G92, G10, G54 to G59.3, G53, G28, G30, G43. Sections of NISTIR 6556."""

from __future__ import annotations

import pytest

from gcodekit.rs274 import ReadProgram, Tool, read_program

At = tuple[float, float, float]


def read(
    *lines: str,
    parameters: dict[int, float] | None = None,
    tools: dict[int, Tool] | None = None,
) -> ReadProgram:
    return read_program("\n".join([*lines, "M2"]), parameters=parameters, tools=tools)


def clean(*lines: str, parameters: dict[int, float] | None = None) -> ReadProgram:
    reading = read(*lines, parameters=parameters)
    assert reading.problems == ()
    return reading


def ends(reading: ReadProgram) -> list[At]:
    return [m.end for m in reading.moves]


def test_axis_offsets() -> None:
    # 3.5.18: X is 4, `G92 x7` makes the offset -3 and X reads 7; then `G92 x9` makes it -5
    first = clean("G0 X4 Y0 Z0", "G92 x7", "X7")
    assert first.parameters[5211] == -3
    assert ends(first)[-1] == (4, 0, 0)
    second = clean("G0 X4 Y0 Z0", "G92 x7", "G92 x9", "X10")
    assert second.parameters[5211] == -5
    assert ends(second)[-1] == (5, 0, 0)


@pytest.mark.parametrize(
    ("code", "x", "kept"),
    [
        # 3.5.18: cancel and zero the parameters; cancel and keep them
        pytest.param("G92.1", 7, 0, id="G92.1"),
        pytest.param("G92.2", 7, -3, id="G92.2"),
    ],
)
def test_offsets_cancelled(code: str, x: float, kept: float) -> None:
    reading = clean("G0 X4 Y0 Z0", "G92 X7", "X8", code, "X7")
    assert ends(reading)[-2:] == [(5, 0, 0), (x, 0, 0)]
    assert reading.parameters[5211] == kept


def test_offsets_restored() -> None:
    # 3.5.18, G92.3
    reading = clean("G0 X4 Y0 Z0", "G92 X7", "G92.2", "X0", "G92.3", "X7")
    assert ends(reading) == [(4, 0, 0), (0, 0, 0), (4, 0, 0)]
    given = clean("G92.2", "G0 X1", "G92.3", "X1", parameters={5211: 10.0})
    assert [e[0] for e in ends(given)] == [1, 11]


def test_offsets_in_incremental_mode_and_inch() -> None:
    # 3.5.18: the offset is found in the same way in G91; its words are in the units in force
    reading = clean("G0 X4 Y0 Z0", "G91 G92 X7", "X1", "G90 X7")
    assert [e[0] for e in ends(reading)] == [4, 5, 4]
    inch = clean("G20 G0 X4 Y0 Z0", "G92 X7", "X7")
    assert ends(inch)[-1][0] == pytest.approx(4 * 25.4)
    assert inch.parameters[5211] == pytest.approx(-3 * 25.4)


def test_offset_where_nobody_knows_the_place() -> None:
    # a program that calls where it begins zero means its own zero, wherever that is
    reading = clean("G92 X0 Y0 Z10", "G0 Z15", "X5")
    assert [(m.known_before, m.end) for m in reading.moves] == [
        ("XYZ", (0, 0, 15)),
        ("XYZ", (5, 0, 15)),
    ]
    # and without that offset nobody knows where things are
    after = clean("G92 X0 Y0 Z10", "G0 Z15", "G92.1", "G91 X5")
    assert after.moves[-1].known == ""


def test_set_a_system() -> None:
    # 3.5.5: `G10 L2 P1 x3.5 y17.2`, the other axes kept
    reading = clean("G10 L2 P1 x3.5 y17.2", "G10 L2 P1 x4.5", parameters={5223: 9.0})
    assert {k: reading.parameters[k] for k in (5221, 5222, 5223)} == {
        5221: 4.5,
        5222: 17.2,
        5223: 9.0,
    }


def test_systems_known_from_each_other() -> None:
    # 3.5.13: the same place of the machine, seen from another zero
    known = {5221: 100.0, 5222: 50.0, 5223: -20.0, 5241: 130.0, 5242: 50.0, 5243: -21.0}
    reading = clean("G54 G0 X0 Y0 Z5", "G55 X0 Y0 Z5", "G54 X30", parameters=known)
    assert ends(reading) == [(0, 0, 5), (30, 0, 4), (30, 0, 4)]
    assert [e.value for e in reading.events if e.kind == "work offset"] == [1]
    assert reading.parameters[5220] == 1


def test_systems_not_known_from_each_other() -> None:
    reading = clean("G54 G0 X0 Y0 Z5", "G55 X1 Y0 Z5", "G59.3 X2")
    assert ends(reading) == [(0, 0, 5), (1, 0, 5), (2, 0, 5)]
    assert [e.value for e in reading.events if e.kind == "work offset"] == [1, 2, 9]
    assert reading.parameters[5220] == 9


def test_a_system_moved_under_the_program() -> None:
    known = {5221: 100.0, 5222: 50.0, 5223: -20.0}
    moved = clean("G0 X0 Y0 Z5", "G10 L2 P1 X110", "X0", parameters=known)
    assert ends(moved)[-1] == (10, 0, 5)
    # before any motion it only says where the program's zero is
    assert ends(clean("G10 L2 P1 X110 Y0 Z0", "G0 X0 Y0 Z5"))[-1] == (0, 0, 5)
    unknown = read("G0 X0 Y0 Z5", "G10 L2 P1 X110", "X0")
    assert [p.severity for p in unknown.problems] == ["warning"]


def test_selected_system_at_the_start() -> None:
    # 3.2.2: parameter 5220 says which system is in force
    known = {5220: 2.0, 5241: 10.0, 5242: 0.0, 5243: 0.0, 5221: 0.0, 5222: 0.0, 5223: 0.0}
    reading = clean("G0 X0 Y0 Z0", "G54 X0", parameters=known)
    assert ends(reading) == [(0, 0, 0), (-10, 0, 0)]


@pytest.mark.parametrize(
    ("parameters", "end", "known"),
    [
        # 3.5.12
        pytest.param({}, (1, 2, 3), "XY", id="zero not known"),
        pytest.param({5221: 100.0, 5222: 50.0, 5223: -20.0}, (1, 2, 20), "XYZ", id="zero known"),
    ],
)
def test_machine_coordinates(parameters: dict[int, float], end: At, known: str) -> None:
    reading = clean("G0 X1 Y2 Z3", "G53 G0 Z0", parameters=parameters)
    assert reading.moves[-1].end == end
    assert reading.moves[-1].known == known


def test_machine_coordinates_and_offsets() -> None:
    # 3.5.12: neither zero nor offsets count; the length offset does, its zero is the tip's
    known = {5221: 100.0, 5222: 50.0, 5223: -20.0}
    reading = clean("G0 X1 Y2 Z3", "G92 X0", "G53 G0 X100", "G53 X101", parameters=known)
    assert [e[0] for e in ends(reading)] == [1, 0, 1]
    long = read(
        "G43 H1", "G0 X1 Y2 Z3", "G53 G0 Z0", parameters=known, tools={1: Tool(3.0, length=15.0)}
    )
    assert ends(long)[-1][2] == 5
    # a cutter whose length nobody said
    changed = clean("G0 X1 Y2 Z3", "T2 M6", "G53 G0 Z0", parameters=known)
    assert changed.moves[-1].known == "XY"


@pytest.mark.parametrize(
    ("line", "through", "home"),
    [
        # 3.5.8: through the programmed point, all axes; without one straight
        pytest.param("G28 X5 Y6 Z7", [(5, 6, 7)], (-100, -50, 20), id="G28"),
        pytest.param("G28", [], (-100, -50, 20), id="G28 alone"),
        pytest.param("G30 X5 Y6 Z7", [(5, 6, 7)], (-90, -50, 20), id="G30"),
        pytest.param("G91 G28 X0 Y0 Z2", [(1, 2, 5)], (-100, -50, 20), id="incremental"),
    ],
)
def test_home(line: str, through: list[At], home: At) -> None:
    known = {5221: 100.0, 5222: 50.0, 5223: -20.0, 5161: 0.0, 5162: 0.0, 5163: 0.0}
    known |= {5181: 10.0, 5182: 0.0, 5183: 0.0}
    reading = clean("G0 X1 Y2 Z3", line, "G90 X0", parameters=known)
    assert ends(reading)[1:-1] == [*through, home]
    assert {m.kind for m in reading.moves} == {"rapid"}
    assert reading.moves[-1].known == "XYZ"


def test_home_not_known() -> None:
    reading = read("G1 X1 Y2 Z3 F100", "G28 Z7", "X0")
    assert [m.known for m in reading.moves] == ["XYZ", "XYZ", "", "X"]
    # 3.4: the motion in force is suspended for the line, not changed
    assert [m.kind for m in reading.moves] == ["line", "rapid", "rapid", "line"]
    [problem] = reading.problems
    assert "all axes" in problem.text
    assert problem.severity == "warning"


def test_length_offset_of_the_table() -> None:
    # table 10: at Z 0.5, tool 2 of length 1.0: Z now reads -0.5
    tools = {2: Tool(0.2, length=1.0)}
    reading = read("G0 X0 Y1 Z0.5", "t2", "m6 g43 h2", "g91 g0 z0.5", tools=tools)
    assert reading.problems == ()
    assert ends(reading)[-1][2] == 0.0


TABLE_1 = {1: Tool(1.0, 2.0), 2: Tool(0.2, 1.0), 5: Tool(0.25, 1.5), 10: Tool(-0.3, 2.4)}


def test_session_of_table_10() -> None:
    # 5.1.2, table 10, with the tools of table 1
    reading = read(
        "g1 x3 y1 f20.0",
        "g2 x[6-[4*3/2]] r 7.01 z0.5",
        "t2",
        "m6 g43 h2",
        "g1 x asim[0.5]",
        "g1 x asin[0.5]",
        "g98 g91 g81 x3 y2 z-0.8 r1.5 l2",
        tools=TABLE_1,
    )
    assert [(p.line, p.column, p.severity) for p in reading.problems] == [(5, 6, "error")]
    found = [(m.kind, tuple(round(c, 9) for c in m.end)) for m in reading.moves]
    assert found == [
        ("line", (3, 1, 0)),
        ("arc", (0, 1, 0.5)),
        ("line", (30, 1, -0.5)),
        ("rapid", (30, 1, 1.0)),
        ("rapid", (33, 3, 1.0)),
        ("line", (33, 3, 0.2)),
        ("rapid", (33, 3, 1.0)),
        ("rapid", (36, 5, 1.0)),
        ("line", (36, 5, 0.2)),
        ("rapid", (36, 5, 1.0)),
    ]
    assert [e.value for e in reading.events if e.kind == "tool change"] == [2]
    # exact path during the cycle, continuous before
    paths = [m.conditions.path for m in reading.moves]
    assert paths == ["continuous"] * 3 + ["exact path"] * 7


def test_probe() -> None:
    # 3.5.9: it stops where it trips, and only the control knows where
    reading = clean("G0 X0 Y0 Z5", "G38.2 Z-5 F20", "G92 Z0", "G0 Z5")
    assert [(m.kind, m.known_before) for m in reading.moves] == [
        ("rapid", ""),
        ("line", "XYZ"),
        ("rapid", "XYZ"),
    ]
    assert [(e.kind, e.before) for e in reading.events] == [("probe", 1), ("end", 3)]
    assert reading.parameters[5063] == -5
    assert clean("G0 X0 Y0 Z5", "G38.2 Z-5 F20", "G91 G0 Z1").moves[-1].known == "XY"


ERRORS = [
    # 3.4
    pytest.param("G92 G1 X1", 1, "both need the axis words", id="G92 with G1"),
    pytest.param("G28 G0 X1", 1, "both need the axis words", id="G28 with G0"),
    pytest.param("G2 G10 L2 P1 X1", 4, "both need the axis words", id="G10 with G2"),
    # 3.5.5
    pytest.param("G10 L2 P0 X1", 8, "whole number, 1 to 9", id="P 0"),
    pytest.param("G10 L2 P10 X1", 8, "whole number, 1 to 9", id="P 10"),
    pytest.param("G10 L2 P1.5 X1", 8, "whole number, 1 to 9", id="P a fraction"),
    pytest.param("G10 P1 X1", 1, "G10 needs an L word", id="no L"),
    pytest.param("G10 L2 X1", 1, "G10 needs a P word", id="no P"),
    pytest.param("G10 L1 P1 X1", 5, "only G10 L2", id="another L"),
    # 3.5.9
    pytest.param("G38.2", 1, "needs an axis word", id="probe without an axis"),
    pytest.param("G93 G38.2 Z0 F1", 5, "G93", id="probe under G93"),
    pytest.param("G38.2 Z4.8 F1", 1, "too short", id="probe too near"),
    # 3.5.11
    pytest.param("G43 H11", 5, "has 10 tool places", id="H above the table"),
    # 3.5.12
    pytest.param("G53", 1, "G53 needs an axis", id="G53 alone"),
    pytest.param("G53 G81 X1 Z1 R2", 1, "G53 needs G0 or G1", id="G53 with a cycle"),
    # 3.5.18
    pytest.param("G92", 1, "G92 needs an axis", id="G92 alone"),
    # 3.7.3
    pytest.param("T11", 1, "has 10 tool places", id="T above the table"),
    pytest.param("G92 X900000\nG0 X-900000", 1, "beyond any machine's travel", id="too far"),
]


@pytest.mark.parametrize(("line", "column", "text"), ERRORS)
def test_error(line: str, column: int, text: str) -> None:
    reading = read_program("\n".join(["G0 X0 Y0 Z5", line, "G0 X7", "M2"]), slots=10)
    found = [(p.column, p.text) for p in reading.errors]
    assert any(c == column and text in t for c, t in found), found
    assert reading.moves[-1].line == line.count("\n") + 3


def test_axis_words_after_g80_for_another_code() -> None:
    # 3.5.15
    assert clean("G0 X4 Y0 Z0", "G80", "G92 X1").parameters[5211] == 3
    assert clean("G0 X4 Y0 Z0", "G80 G92 X1").parameters[5211] == 3
