"""Cutter radius compensation: NISTIR 6556, 3.5.10 and appendix B; and shapes worked out by hand."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.rs274 import Move, ReadProgram, Tool, read_program

Place = tuple[float, float]
TOOLS = {1: Tool(1.0), 2: Tool(-1.0), 3: Tool(3.0), 4: Tool(0.0)}


def read(*lines: str, tools: dict[int, Tool] | None = TOOLS, cutter: int = 1) -> ReadProgram:
    return read_program("\n".join([*lines, "M2"]), tools=tools, cutter=cutter, slots=4)


def clean(*lines: str, cutter: int = 1) -> tuple[Move, ...]:
    reading = read(*lines, cutter=cutter)
    assert reading.problems == ()
    return reading.moves


def path(moves: tuple[Move, ...], sag: float = 1e-4) -> shapely.LineString:
    """The path in plan, arcs by chords."""
    points: list[Place] = [moves[0].start[:2]]
    for move in moves:
        if move.curve is not None:
            a, b = move.curve.centre[:2]
            angle = math.atan2(move.start[1] - b, move.start[0] - a)
            radius = move.curve.radius
            step = 2 * math.acos(max(0.5, 1 - sag / max(radius, sag)))
            n = math.ceil(abs(move.curve.sweep) / step)
            for k in range(1, n):
                turned = angle + move.curve.sweep * k / n
                points.append((a + radius * math.cos(turned), b + radius * math.sin(turned)))
        points.append(move.end[:2])
    return shapely.LineString(points)


# B.3, table 12: the edge of the part, and table 13: the same for the centre of a cutter of 1.0
TABLE_12 = [
    "G41 G1 X1 Y4",
    "G3 X2 Y3 I1 J0",
    "G2 X3 Y2 J-1",
    "G1 X3 Y-1",
    "G2 X2 Y-2 I-1",
    "G1 X-2 Y-2",
    "G2 X-2.6 Y-0.2 J1",
    "G1 X1.4 Y2.8",
    "G2 X2 Y3 I0.6 J-0.8",
    "G40",
]
TABLE_13 = [
    ("arc", (2, 3.5)),
    ("arc", (3.5, 2)),
    ("line", (3.5, -1)),
    ("arc", (2, -2.5)),
    ("line", (-2, -2.5)),
    ("arc", (-2.9, 0.2)),
    ("line", (1.1, 3.2)),
    ("arc", (2, 3.5)),
]


def test_table_12_becomes_table_13() -> None:
    moves = clean("F100", "G0 X1 Y5 Z0", *TABLE_12)
    # B.6: the first move ends at the right angle of its triangle
    assert moves[1].end[:2] == pytest.approx((1.433013, 4.25), abs=1e-6)
    # from there round the corner at B to beside the path
    assert moves[2].kind == "arc"
    curve = moves[2].curve
    assert curve is not None
    assert curve.centre == (1, 4, 0)
    assert moves[2].end[:2] == pytest.approx((1.5, 4))
    assert curve.sweep < 0
    found = [(m.kind, m.end[:2]) for m in moves[3:]]
    assert [k for k, _ in found] == [k for k, _ in TABLE_13]
    for (_, at), (_, wanted) in zip(found, TABLE_13, strict=True):
        assert at == pytest.approx(wanted, abs=1e-9)
    # the closed contour is as long as table 13: 12 + 3 pi
    assert sum(m.length for m in moves[4:]) == pytest.approx(12 + 3 * math.pi)
    sweeps = [math.degrees(abs(m.curve.sweep)) for m in moves[4:] if m.curve]
    assert sweeps == pytest.approx([90, 90, 143.1301, 36.8699], abs=5e-5)
    assert {m.conditions.compensation for m in moves[1:]} == {1}


def test_simple_entry() -> None:
    # B.3.1.2: pre-entry to (1.5, 4), then `G41 G1 X3 Y3`: right-angled at the cutter's centre
    moves = clean("F100", "G0 X1.5 Y4 Z0", "G41 G1 X3 Y3")
    (x, y, _), here, there = moves[1].end, (1.5, 4.0), (3.0, 3.0)
    assert math.dist((x, y), there) == pytest.approx(0.5)
    assert (x - here[0]) * (x - there[0]) + (y - here[1]) * (y - there[1]) == pytest.approx(0)
    # left of the way
    assert (there[0] - here[0]) * (y - here[1]) - (there[1] - here[1]) * (x - here[0]) > 0


def test_after_the_path_the_cutter_stays_where_it_is() -> None:
    # B.6: G40 makes no exit move
    moves = clean("F100", "G0 X0 Y5 Z0", "G41 G1 Y0", "X-5 Y0", "G40", "G91 G1 Z1")
    assert moves[-1].start == moves[-2].end
    assert moves[-1].end[:2] == pytest.approx((-5, -0.5))
    assert moves[-1].conditions.compensation == 0


SQUARE = ["X10 Y0", "X10 Y10", "X0 Y10", "X0 Y0"]


@pytest.mark.parametrize("code", ["G1", "G0"])
def test_outer_corners_get_arcs(code: str) -> None:
    # B.6: round a square on its right-hand side, counter-clockwise
    moves = clean("F100", "G0 X-5 Y0 Z0", f"G42 {code} X0 Y0", *SQUARE)[2:]
    # the first from where the entry has led, a little short of square to the path
    assert [m.kind == "arc" for m in moves] == [True, False] * 4
    assert [m.curve.centre for m in moves if m.curve] == [
        (0, 0, 0),
        (10, 0, 0),
        (10, 10, 0),
        (0, 10, 0),
    ]
    assert [m.curve.sweep for m in moves if m.curve][1:] == pytest.approx([math.pi / 2] * 3)
    assert moves[-1].end[:2] == pytest.approx((-0.5, 0))


@pytest.mark.parametrize(
    ("cutter", "code", "x"),
    [
        # B.4: a negative diameter compensates to the other side
        pytest.param(1, "G41", -0.5, id="left"),
        pytest.param(1, "G42", 0.5, id="right"),
        pytest.param(2, "G41", 0.5, id="left, negative"),
        pytest.param(2, "G42", -0.5, id="right, negative"),
        # 3.5.10: D0 is a radius of zero
        pytest.param(1, "G41 D0", 0, id="D0"),
        pytest.param(1, "G42 D3", 1.5, id="D3"),
        pytest.param(4, "G42", 0, id="zero in the table"),
    ],
)
def test_sides_and_radii(cutter: int, code: str, x: float) -> None:
    moves = clean("F100", "G0 X0 Y-9 Z0", f"{code} G1 Y0", "Y9", cutter=cutter)
    assert moves[-1].end[:2] == pytest.approx((x, 9))


def test_increments_and_depths_follow_the_path() -> None:
    moves = clean(
        "F100", "G0 X0 Y-9 Z0", "G42 G91 G1 Y9", "Z-1", "Y9", "X-5 Z-0.5", "G90 X-9", "Z0"
    )
    ends = [m.end for m in moves if m.kind == "line"]
    assert ends[-1] == pytest.approx((-9, 9.5, 0))
    assert ends[-2] == pytest.approx((-9, 9.5, -1.5))
    assert ends[-3] == pytest.approx((-5, 9.5, -1.5))


def test_straight_down_before_the_path() -> None:
    moves = clean("F100", "G0 X0 Y-9 Z5", "G42 D1", "G1 Z-1", "Y0", "Y9")
    assert [m.end[:2] for m in moves[:2]] == [(0, -9), (0, -9)]
    assert moves[-1].end[:2] == pytest.approx((0.5, 9))


def test_helix_inside_a_bore() -> None:
    # full circles of 10 in radius, the cutter inside
    moves = clean("F100", "G0 X10 Y-5 Z0", "G41 D3 G1 Y0", "G3 X10 I-10 J0 Z-1", "X10 I-10 J0 Z-2")
    assert [m.curve.radius for m in moves if m.curve and m.end[2]] == pytest.approx([8.5, 8.5])
    assert moves[-1].curve is not None
    assert moves[-1].curve.sweep == pytest.approx(math.tau)
    assert moves[-1].end == pytest.approx((8.5, 0, -2))


def test_path_that_begins_on_an_arc() -> None:
    # not in the text of B that was seen: an arc square to the end of the programmed one
    reading = read("F100", "G0 X0 Y0 Z0", "G42 D1 G3 X10 Y10 J10", "G1 Y20")
    assert [p.severity for p in reading.problems] == ["warning"]
    arc, line = reading.moves[1:]
    assert arc.end[:2] == pytest.approx((10.5, 10))
    assert line.end[:2] == pytest.approx((10.5, 20))
    assert arc.curve is not None
    assert math.dist(arc.curve.centre[:2], (0, 0)) == pytest.approx(arc.curve.radius)
    assert arc.curve.centre[1] == pytest.approx(10)


def test_feed_under_inverse_time_is_for_corner_and_line() -> None:
    # 3.5.19: one line, one time
    moves = clean("G0 X-5 Y0 Z0", "G42 G93 G1 X0 Y0 F2", "X10 F2", "Y10 F2")
    corner, line = moves[-2:]
    assert corner.feed == pytest.approx(line.feed)
    assert (corner.length + line.length) / line.feed == pytest.approx(0.5)


CONVEX = (
    st.lists(st.floats(0, math.tau - 1e-3), min_size=3, max_size=9, unique=True)
    .map(sorted)
    .filter(
        lambda a: all(
            0.05 < (b - c) % math.tau < 2.9 for b, c in zip([*a[1:], a[0]], a, strict=True)
        )
    )
)


@given(CONVEX, st.floats(0.1, 5))
def test_round_any_convex_shape(angles: list[float], radius: float) -> None:
    """The cutter's centre goes along the shape grown by its radius (a general library's buffer)."""
    points = [(20 * math.cos(a), 20 * math.sin(a)) for a in angles]
    dx, dy = points[1][0] - points[0][0], points[1][1] - points[0][1]
    way = math.hypot(dx, dy)
    before = points[0][0] - 9 * dx / way, points[0][1] - 9 * dy / way
    lines = [f"X{x:.9f} Y{y:.9f}" for x, y in [*points[1:], points[0], points[1]]]
    start = f"X{points[0][0]:.9f} Y{points[0][1]:.9f}"
    reading = read(
        "F100",
        f"G0 X{before[0]:.9f} Y{before[1]:.9f} Z0",
        f"G42 D1 G1 {start}",
        *lines,
        tools={1: Tool(2 * radius)},
    )
    assert reading.problems == ()
    rim = shapely.Polygon(points).buffer(radius, quad_segs=400).exterior
    # beside the shape from the first side of it on
    way_round = path(reading.moves[3:])
    assert way_round.hausdorff_distance(rim) < 0.02 * radius
    assert shapely.Polygon(points).distance(way_round) == pytest.approx(radius, abs=1e-3 * radius)


ON = "G0 X0 Y-9 Z5\nF100\nG42 D1 G1 Y0\n"
ERRORS = [
    # B.5.1
    pytest.param(ON + "Y9\nX9", 5, 1, "inner corner", id="inner corner"),
    pytest.param(ON + "Y9\nX9\nY20\nX0", 5, 1, "inner corner", id="inner corner, and on"),
    pytest.param(ON + "Y9\nG3 X-9 Y9 I-4.5", 5, 0, "", id="outer arc is right"),
    pytest.param(
        ON + "G2 X0.8 Y0 I0.4", 4, 1, "too small for the cutter", id="arc smaller than the cutter"
    ),
    pytest.param(
        ON + "G2 X1 Y0 I0.5", 4, 1, "too small for the cutter", id="arc as small as the cutter"
    ),
    pytest.param(
        "F100\nG0 X0 Y0\nG41 G1 X0.4", 3, 5, "longer than", id="first move within the radius"
    ),
    # B.5.2
    pytest.param(ON + "G42 Y9", 4, 1, "is on", id="on twice"),
    pytest.param(ON + "G41 Y9", 4, 1, "is on", id="another side"),
    pytest.param(ON + "G42 D2", 4, 1, "is on", id="another D"),
    pytest.param(ON + "D2 Y9", 4, 1, "D needs", id="D alone"),
    # B.5, 3.5.x: not while it is on
    pytest.param(ON + "G92 X1", 4, 1, "G92 while", id="G92"),
    pytest.param(ON + "G92.1", 4, 1, "G92.1 while", id="G92.1"),
    pytest.param(ON + "G92.2", 4, 1, "G92.2 while", id="G92.2"),
    pytest.param(ON + "G92.3", 4, 1, "G92.3 while", id="G92.3"),
    pytest.param(ON + "G10 L2 P1 X0", 4, 1, "G10 while", id="G10"),
    pytest.param(ON + "G10 L2 P2 X0", 4, 0, "", id="G10 of another system is right"),
    pytest.param(ON + "G20", 4, 1, "G20 while", id="units"),
    pytest.param(ON + "G38.2 Z0", 4, 1, "G38.2 while", id="probe"),
    pytest.param(ON + "G28", 4, 1, "G28 while", id="G28"),
    pytest.param(ON + "G30 X1", 4, 1, "G30 while", id="G30"),
    pytest.param(ON + "G53 G1 X1", 4, 1, "G53 while", id="G53"),
    pytest.param(ON + "G18", 4, 1, "G18 while", id="XZ plane"),
    pytest.param(ON + "G40 G19", 4, 5, "G19 while", id="YZ plane, on the line of G40"),
    pytest.param(ON + "G55", 4, 1, "G55 while", id="work offset"),
    pytest.param(ON + "G99 G81 X1 Z1 R2", 4, 5, "G81 while", id="cycle"),
    # 3.5.10
    pytest.param("G18 G41", 1, 5, "only in the XY plane", id="XZ plane in force"),
    pytest.param("G41 D-1", 1, 5, "whole number", id="D negative"),
    pytest.param("G41 D1.5", 1, 5, "whole number", id="D a fraction"),
    pytest.param("G41 D5", 1, 5, "has 4 tool places", id="D above the table"),
    pytest.param("G41 D1 G81 X1 Z1 R2", 1, 8, "G81 while", id="on with a cycle"),
    pytest.param("T0 M6 G41", 1, 7, "no cutter loaded", id="no cutter"),
]


@pytest.mark.parametrize(("text", "line", "column", "wrong"), ERRORS)
def test_error(text: str, line: int, column: int, wrong: str) -> None:
    reading = read(text, "G40 G90 G54", "G0 X50")
    if not wrong:
        assert reading.problems == ()
        return
    [problem] = reading.errors
    assert (problem.line, problem.column) == (line, column)
    assert wrong in problem.text
    assert reading.moves[-1].end[0] == 50


def test_diameter_not_known() -> None:
    reading = read("G41 D1 G1 X9 F100", "X20", "G40", tools=None)
    [problem] = reading.errors
    assert "cutter 1, whose diameter" in problem.text
    # the path as it is programmed
    assert [m.end[0] for m in reading.moves] == [9, 20]
    [problem] = read("G41 G1 X9 F100", "G0 X50", tools={3: Tool(1.0)}).errors
    assert "cutter 1, whose diameter" in problem.text


def test_off_when_it_is_off_already() -> None:
    # 3.5.10
    assert len(clean("G40", "G0 X1", "G40 X2")) == 2
