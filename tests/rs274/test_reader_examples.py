"""Worked examples of NISTIR 6556 (RS274/NGC), with the section of each beside it."""

from __future__ import annotations

import math

import pytest

from gcodekit.rs274 import Move, ReadProgram, read_program

At = tuple[float, float, float]


def read(*lines: str) -> ReadProgram:
    """A program of these lines and an end."""
    return read_program("\n".join([*lines, "M2"]))


def clean(*lines: str) -> ReadProgram:
    """The same, nothing wrong with it."""
    reading = read(*lines)
    assert reading.problems == ()
    return reading


def steps(moves: tuple[Move, ...], *lines: int) -> list[tuple[str, At]]:
    """Kind and end of the moves of some lines."""
    return [
        (m.kind, (round(m.end[0], 9), round(m.end[1], 9), round(m.end[2], 9)))
        for m in moves
        if m.line in lines
    ]


def test_blanks_and_case() -> None:
    # 3.3: `g0x +0. 12 34y 7` equals `g0 x+0.1234 y7`
    a, b = clean("g0x +0. 12 34y 7").moves, clean("G0 X+0.1234 Y7").moves
    assert a == b
    assert a[0].end == (0.1234, 7.0, 0.0)


def test_order_of_words_means_nothing() -> None:
    # 3.3.6, without its parameters
    a = clean("G40 G1 X7 F100 (foo)").moves
    assert a == clean("(foo) F100 X7 G1 G40").moves


def test_arc_by_centre() -> None:
    # 3.5.3.2: at (7, 7), centre (10, 11), radius 5, clockwise, a helix
    [_, arc] = clean("G17 G0 X7 Y7 Z0", "G2 x10 y16 i3 j4 z9 F100").moves
    assert arc.curve is not None
    assert arc.curve.centre == (10.0, 11.0, 0.0)
    assert arc.curve.radius == 5.0
    assert arc.curve.sweep < 0
    # the angle from (-3, -4) to (0, 5), clockwise
    swept = math.atan2(-4, -3) - math.atan2(5, 0) + math.tau
    assert arc.curve.sweep == pytest.approx(-swept)
    assert arc.length == pytest.approx(math.hypot(5 * swept, 9))


def test_arc_by_radius() -> None:
    # 3.5.3.1: `G17 G2 x10 y15 r20 z5`, 180 degrees or less; and the longer way with R-20
    for r, longer in ((20, False), (-20, True)):
        arc = clean("G0 X0 Y0 Z0", f"G17 G2 x10 y15 r{r} z5 F100").moves[-1]
        assert arc.curve is not None
        assert arc.curve.radius == pytest.approx(20)
        assert arc.curve.sweep < 0
        assert (abs(arc.curve.sweep) > math.pi) is longer


def test_arc_of_table_10() -> None:
    # table 10, its end `x[6-[4*3/2]]` worked out; angle and length computed from its centre
    arc = clean("g0 x3 y1 z0", "g2 x0 r7.01 z0.5 f20").moves[-1]
    assert arc.curve is not None
    assert arc.curve.centre == pytest.approx((1.5, 7.8476, 0), abs=5e-5)
    assert math.degrees(arc.curve.sweep) == pytest.approx(-24.7114, abs=5e-5)
    assert arc.end == (0.0, 1.0, 0.5)
    assert arc.length == pytest.approx(3.0644, abs=5e-5)


HELLO_ARCS = [
    # from, block, centre, radius, sweep, length: program of C.1
    pytest.param((16, 2.5), "g3 x13.5 y0 j0 i-2.5", (13.5, 2.5), 2.5, 270, 11.7810, id="n0190"),
    pytest.param((32.5, 0), "g2 x32.5 j2.5", (32.5, 2.5), 2.5, 360, 15.7080, id="n0320"),
    pytest.param((57.5, 0), "g2 x57.5 j2.5", (57.5, 2.5), 2.5, 360, 15.7080, id="n0430"),
    pytest.param((64, 4), "g2 x69 y4 r4", (66.5, 0.8775), 4, 77.364, 5.4011, id="n0490"),
    pytest.param((79.5, 0), "g2 y5 j2.5", (79.5, 2.5), 2.5, 180, 7.8540, id="n0590"),
]


@pytest.mark.parametrize(("start", "block", "centre", "radius", "sweep", "length"), HELLO_ARCS)
def test_arcs_of_hello_world(
    start: tuple[float, float],
    block: str,
    centre: tuple[float, float],
    radius: float,
    sweep: float,
    length: float,
) -> None:
    # C.1: the arcs with their computed results, all at Z -0.5
    arc = clean(f"G0 X{start[0]} Y{start[1]} Z-0.5", f"{block} F20").moves[-1]
    assert arc.curve is not None
    assert arc.curve.centre[:2] == pytest.approx(centre, abs=5e-5)
    assert arc.curve.radius == pytest.approx(radius)
    assert abs(math.degrees(arc.curve.sweep)) == pytest.approx(sweep, abs=5e-4)
    assert arc.length == pytest.approx(length, abs=5e-5)


# B.3, B.4: the contours of tables 12 and 13, walked from A
CONTOUR_12 = [
    "G2 X3 Y2 J-1",
    "G1 X3 Y-1",
    "G2 X2 Y-2 I-1",
    "G1 X-2 Y-2",
    "G2 X-2.6 Y-0.2 J1",
    "G1 X1.4 Y2.8",
    "G2 X2 Y3 I0.6 J-0.8",
]
CONTOUR_13 = [
    "G2 X3.5 Y2 J-1.5",
    "G1 X3.5 Y-1",
    "G2 X2 Y-2.5 I-1.5",
    "G1 X-2 Y-2.5",
    "G2 X-2.9 Y0.2 J1.5",
    "G1 X1.1 Y3.2",
    "G2 X2 Y3.5 I0.9 J-1.2",
]


@pytest.mark.parametrize(
    ("start", "contour", "length"),
    [
        pytest.param("G0 X2 Y3 Z0", CONTOUR_12, 12 + 2 * math.pi, id="table 12"),
        pytest.param("G0 X2 Y3.5 Z0", CONTOUR_13, 12 + 3 * math.pi, id="table 13"),
    ],
)
def test_closed_contours(start: str, contour: list[str], length: float) -> None:
    moves = clean(start, "F100", *contour).moves[1:]
    assert sum(m.length for m in moves) == pytest.approx(length, abs=1e-9)
    sweeps = [abs(math.degrees(m.curve.sweep)) for m in moves if m.curve]
    assert sweeps == pytest.approx([90, 90, 143.1301, 36.8699], abs=5e-5)
    assert moves[-1].end == moves[0].start


@pytest.mark.parametrize(
    ("plane", "start", "block", "turn_to"),
    [
        # 4.3.6.1: G18 counter-clockwise is Z toward X, G19 Y toward Z
        pytest.param("G18", "X0 Y0 Z5", "G3 X5 Z0 K-5", (5, 0, 0), id="XZ"),
        pytest.param("G19", "X0 Y5 Z0", "G3 Y0 Z5 J-5", (0, 0, 5), id="YZ"),
        pytest.param("G17", "X5 Y0 Z0", "G3 X0 Y5 I-5", (0, 5, 0), id="XY"),
    ],
)
def test_planes(plane: str, start: str, block: str, turn_to: At) -> None:
    arc = clean(f"G0 {start}", f"{plane} {block} F100").moves[-1]
    assert arc.curve is not None
    assert arc.end == turn_to
    assert arc.curve.sweep == pytest.approx(math.pi / 2)
    assert arc.curve.centre == (0, 0, 0)


def test_drilling_example_1() -> None:
    # 3.5.16.2, example 1
    moves = clean("G0 X1 Y2 Z3", "G90 G81 G98 X4 Y5 Z1.5 R2.8").moves
    assert steps(moves, 2) == [
        ("rapid", (4, 5, 3)),
        ("rapid", (4, 5, 2.8)),
        ("line", (4, 5, 1.5)),
        ("rapid", (4, 5, 3)),
    ]
    assert all(m.cycle == 81 for m in moves[1:])
    assert not moves[0].cycle


def test_drilling_example_2() -> None:
    # 3.5.16.2, example 2
    moves = clean("G0 X1 Y2 Z3", "G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3").moves
    expected: list[tuple[str, At]] = [("rapid", (1, 2, 4.8))]
    for x, y in ((5, 7), (9, 12), (13, 17)):
        expected += [
            ("rapid", (x, y, 4.8)),
            ("line", (x, y, 4.2)),
            ("rapid", (x, y, 4.8)),
        ]
    assert steps(moves, 2) == expected


def test_drilling_of_table_10() -> None:
    # table 10: at (30, 1, -0.5)
    moves = clean("g0 x30 y1 z-0.5", "g91 g81 g98 x3 y2 z-0.8 r1.5 l2").moves
    expected: list[tuple[str, At]] = [("rapid", (30, 1, 1.0))]
    for x, y in ((33, 3), (36, 5)):
        expected += [("rapid", (x, y, 1.0)), ("line", (x, y, 0.2)), ("rapid", (x, y, 1.0))]
    assert steps(moves, 2) == expected


def test_drilling_of_c3() -> None:
    # C.3, inch: R level, depth word and L in incremental mode; results computed from the rules
    moves = clean(
        "g20 g0 x0 y0 z-2", "g98 g81 x3 y4 r0.2 z-1.1", "x1 y0 r0 g91 l3", "y-2 r0.1"
    ).moves
    inch = [(kind, tuple(round(c / 25.4, 9) for c in at)) for kind, at in steps(moves, 2, 3, 4)]
    expected: list[tuple[str, tuple[float, ...]]] = [
        ("rapid", (0, 0, 0.2)),
        ("rapid", (3, 4, 0.2)),
        ("line", (3, 4, -1.1)),
        ("rapid", (3, 4, 0.2)),
    ]
    for x in (4, 5, 6):
        expected += [("rapid", (x, 4, 0.2)), ("line", (x, 4, -0.9)), ("rapid", (x, 4, 0.2))]
    expected += [
        ("rapid", (6, 4, 0.3)),
        ("rapid", (6, 2, 0.3)),
        ("line", (6, 2, -0.8)),
        ("rapid", (6, 2, 0.3)),
    ]
    assert inch == expected


def test_g98_and_g99() -> None:
    # 3.5.20: G99 to R, G98 to the old Z
    moves = clean(
        "G0 X0 Y0 Z5", "G99 G81 X1 Y1 Z-3 R1", "X2", "G98 X3", "G80", "G0 Z5", "G98 G81 X4 Z-3 R1"
    ).moves
    assert [m.end[2] for m in moves if m.line in (2, 3)] == [5, 1, -3, 1, 1, -3, 1]
    assert [m.end[2] for m in moves if m.line == 7][-1] == 5


def test_pecks_go_down_by_q() -> None:
    # 3.5.16.4: by Q or to Z, out to clear, back to a bit above
    moves = clean("G0 X0 Y0 Z5", "G99 G83 X1 Y1 Z-3 R1 Q1.5 F100").moves
    downs = [m.end[2] for m in moves if m.kind == "line"]
    assert downs == [-0.5, -2.0, -3.0]
    rapids = [m.end[2] for m in moves if m.kind == "rapid" and m.line == 2]
    assert rapids == [5, 1, 1, -0.25, 1, -1.75, 1]


@pytest.mark.parametrize(
    ("cycle", "kinds", "dwell"),
    [
        # 3.5.16.3, .5, .6, .10
        pytest.param("G82 P0.5", ["line", "rapid"], [0.5], id="G82"),
        pytest.param("G85", ["line", "line"], [], id="G85"),
        pytest.param("G89 P0.5", ["line", "line"], [0.5], id="G89"),
        pytest.param("G84", ["line", "line"], [], id="G84"),
    ],
)
def test_cycle_bottom(cycle: str, kinds: list[str], dwell: list[float]) -> None:
    reading = clean("S300 M3 F150", "G0 X1 Y1 Z5", f"G99 {cycle} X1 Y1 Z-3 R1")
    moves = [m for m in reading.moves if m.line == 3][1:]
    assert [m.kind for m in moves] == kinds
    assert [m.end[2] for m in moves] == [-3, 1]
    assert [e.value for e in reading.events if e.kind == "dwell"] == dwell
    assert moves[1].spindle == (-1 if cycle == "G84" else 1)


def test_cycle_in_another_plane() -> None:
    # 3.5.16: in G18 the hole runs along Y
    moves = clean("G0 X0 Y5 Z0", "G18 G99 G81 X1 Y-3 Z2 R1 F100").moves
    assert steps(moves, 2) == [
        ("rapid", (1, 5, 2)),
        ("rapid", (1, 1, 2)),
        ("line", (1, -3, 2)),
        ("rapid", (1, 1, 2)),
    ]


def test_units_and_feed() -> None:
    moves = clean("G20 F10", "G1 X1 Y0 Z0", "G21 X1", "F100 X2").moves
    assert [m.end[0] for m in moves] == [25.4, 1.0, 2.0]
    # table 8: F before the units of its own line; the motion of line 1 has no feed in inch yet
    assert [m.feed for m in moves] == [10.0, 10.0, 100.0]
    assert clean("G20", "F10", "G1 X1 Y0 Z0").moves[0].feed == pytest.approx(254)


def test_inverse_time() -> None:
    # 3.5.19: F2.0 is half a minute
    [_, move] = clean("G0 X0 Y0 Z0", "G93 G1 X30 F2.0").moves
    assert move.length / move.feed * 60 == pytest.approx(30)


def test_incremental_and_unknown_axes() -> None:
    moves = clean("G91 G0 X1", "G90 X5", "G91 X1 Y1", "G90 Z3").moves
    assert [m.known for m in moves] == ["", "X", "X", "XZ"]
    assert [m.end[0] for m in moves] == [1, 5, 6, 6]


def test_machine_coordinates_are_not_program_coordinates() -> None:
    moves = clean("G0 X1 Y2 Z3", "G53 G0 Z0", "X5", "Z3").moves
    assert [m.known for m in moves] == ["XYZ", "XY", "XY", "XYZ"]


def test_tool_change_and_modes() -> None:
    reading = clean("T2", "M6 S1000 M3 M8", "G0 X1 Y1 Z1", "T3 X2", "M9 X3")
    assert [m.cutter for m in reading.moves] == [2, 2, 2]
    assert [m.coolant for m in reading.moves] == ["f", "f", ""]
    assert {m.spindle for m in reading.moves} == {1}
    assert reading.moves[0].speed == 1000
    kinds = [(e.kind, e.value, e.text) for e in reading.events]
    assert kinds[-4:] == [
        ("tool change", 2, ""), ("coolant", 0, "f"), ("coolant", 0, ""), ("end", 0, ""),
    ]  # fmt: skip


def test_z_is_unknown_after_a_tool_change() -> None:
    moves = clean("G0 X1 Y1 Z1", "T2 M6", "X2", "Z5").moves
    assert [(m.known_before, m.known) for m in moves[1:]] == [("XY", "XY"), ("XY", "XYZ")]


def test_messages_stops_and_dwell() -> None:
    reading = clean("( m s G, turn the part )", "M0", "M1", "G4 P1.5", "(just a note)")
    assert [(e.kind, e.text or e.value) for e in reading.events] == [
        ("message", "turn the part"),
        ("stop", 0),
        ("optional stop", 0),
        ("dwell", 1.5),
        ("end", 0),
    ]


def test_percent_lines_and_end() -> None:
    # 3.1
    assert read_program("%\nG0 X1\n%\nrubbish !").problems == ()
    assert read_program("\n % \nG0 X1\n%").problems == ()
    assert read_program("G0 X1\nM2\nrubbish !").problems == ()
    assert read_program("G0 X1\nM30").ended
    assert len(read_program("%\nG0 X1\nM2").moves) == 1


def test_block_delete() -> None:
    # 2.2.2: the switch decides
    assert len(read_program("G0 X1\n/ X2\nM2").moves) == 2
    assert len(read_program("G0 X1\n/ X2\nM2", block_delete=True).moves) == 1


def test_blocks_and_line_numbers() -> None:
    reading = clean("N10 G0 X1", "", "N00005 X2 ; beside", "; alone", "(alone)", "n0 x3")
    assert reading.blocks == 4
    assert [m.line for m in reading.moves] == [1, 3, 6]
