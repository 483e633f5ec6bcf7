"""Times of moves with limited acceleration, against closed forms and laws.

A move of length L from rest to rest, at most at v, with acceleration a takes L / v + v / a, or
2 sqrt(L / a) where it never reaches v (uniform acceleration; any textbook of mechanics).
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.job.workshop.machine import Machine, Spindle
from gcodekit.proof.time import CHANGE_AUTOMATIC, CHANGE_BY_HAND, CutterTime, ProgramTime, travel
from gcodekit.proof.timing import CORNER_ROUNDING, PATH_GRAIN, TimedWay, corner_radius, seconds
from gcodekit.proof.timing_moves import joined_run, spindle_starts
from gcodekit.rs274 import ReadProgram, read_program
from gcodekit.rs274.program_read import CircularPart, Conditions, Move, PathControl, Point3

A = 100.0
# 50 mm/s rapids, 100 mm/s feeds at most
MACHINE = Machine(
    name="bench mill",
    rapid=3000,
    feed_max=6000,
    acceleration=A,
    spindle=Spindle(slowest=100, fastest=4000, start_time=3),
)
CONTROLS: tuple[PathControl, ...] = ("continuous", "exact path", "exact stop")


def rest_to_rest(length: float, speed: float, a: float = A) -> float:
    if speed * speed / a >= length:
        return 2 * math.sqrt(length / a)
    return length / speed + speed / a


def of_text(*lines: str, machine: Machine | None = MACHINE) -> ProgramTime:
    """From (0, 0, 0), where the first line has put the tip."""
    text = "\n".join(["G21 G90 G17 G61 G0 X0 Y0 Z0", *lines, "M2"])
    reading = read_program(text)
    assert not reading.errors
    return travel(reading, machine)


def corner_speed(turn: float, deviation: float) -> float:
    """v^2 = a d sin(b/2) / (1 - sin(b/2)), b the angle that the two moves enclose."""
    s = math.sin((math.pi - turn) / 2)
    return math.sqrt(A * deviation * s / (1 - s))


def leg(length: float, speed: float, end: float) -> float:
    """From rest to `end` mm/s: v^2 = a L + end^2 / 2 at the peak where `speed` is never reached."""
    peak = min(speed, math.sqrt(A * length + end**2 / 2))
    ramps = (2 * peak**2 - end**2) / (2 * A)
    return (2 * peak - end) / A + (length - ramps) / peak


def on_arc(radius: float, sweep: float, rise: float = 0.0) -> float:
    """From rest to rest, at no more than its bend allows."""
    length = math.hypot(radius * sweep, rise)
    bend = radius * (length / (radius * sweep)) ** 2
    return rest_to_rest(length, math.sqrt(A * bend))


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        pytest.param(["G1 X50 F600"], 50 / 10 + 10 / A, id="trapezoid"),
        pytest.param(["G1 X0.5 F6000"], 2 * math.sqrt(0.5 / A), id="triangle"),
        pytest.param(["G1 X50 F9000"], 2 * math.sqrt(50 / A), id="no faster than the machine"),
        pytest.param(["G1 X30 F600", "X50"], rest_to_rest(50, 10), id="two straight on"),
        pytest.param(
            ["G1 X30 F600", "X30", "X50"], rest_to_rest(50, 10), id="one of no length between"
        ),
        pytest.param(
            ["G61.1", "G1 X30 F600", "X50"],
            rest_to_rest(30, 10) + rest_to_rest(20, 10),
            id="two straight on, exact stop",
        ),
        pytest.param(
            ["G1 X30 F600", "X50 G61.1"], rest_to_rest(50, 10), id="exact stop from its own end on"
        ),
        pytest.param(
            ["G1 X30 F600", "X10"], rest_to_rest(30, 10) + rest_to_rest(20, 10), id="back again"
        ),
        pytest.param(
            ["G64", "G1 X30 F600", "X10"],
            rest_to_rest(30, 10) + rest_to_rest(20, 10),
            id="back again, continuous",
        ),
        pytest.param(
            ["G61", "G1 X20 F600", "Y20"], 2 * rest_to_rest(20, 10), id="right angle, exact path"
        ),
        pytest.param(
            ["G64", "G1 X20 F600", "Y20"],
            2 * leg(20, 10, corner_speed(math.pi / 2, CORNER_ROUNDING)),
            id="right angle, continuous",
        ),
        pytest.param(
            ["G1 X20 F3000", f"X40 Y{20 * math.tan(math.radians(10)):.9f}"],
            leg(20, 50, corner_speed(math.radians(10), PATH_GRAIN))
            + leg(20 / math.cos(math.radians(10)), 50, corner_speed(math.radians(10), PATH_GRAIN)),
            id="10 degrees, exact path",
        ),
        pytest.param(
            # 10 mm/s at most in the first, so that the second begins with it
            ["G1 X20 F600", "X60 F1200"],
            leg(20, 10, 10) + (2 * 20 - 10) / A + (40 - (2 * 400 - 100) / (2 * A)) / 20,
            id="faster after slower",
        ),
        pytest.param(["G0 X30 Y30"], rest_to_rest(30 * 2**0.5, 50 * 2**0.5), id="rapid slantwise"),
        pytest.param(["G0 X90"], rest_to_rest(90, 50), id="rapid along an axis"),
        pytest.param(
            ["G0 Z-10", "G1 Z-11 F600"], leg(10, 50, 10) + leg(1, 10, 10),
            id="rapid down, then on at the feed",
        ),
        pytest.param(["G2 X0 Y0 I1 F6000"], on_arc(1, math.tau), id="full circle"),
        pytest.param(
            ["G3 X0 Y0 Z-2 I1 F6000"], on_arc(1, math.tau, 2), id="helix, flatter than its circle"
        ),
        pytest.param(
            ["G2 X1 Y1 I1 J0 F6000", "X2 Y0 I0 J-1", "X1 Y-1 I-1 J0", "X0 Y0 I0 J1"],
            on_arc(1, math.tau),
            id="circle in quarters",
        ),
        pytest.param(
            ["G18 G2 X0 Z0 I1 K0 F6000"], on_arc(1, math.tau), id="upright circle"
        ),
        pytest.param(["G2 X0 Y0 I20 F60"], rest_to_rest(20 * math.tau, 1), id="wide circle, slow"),
        pytest.param(
            # 20 mm/s on the arc of 4 mm
            ["G1 X40 F1800", "G3 X40 Y8 J4"],
            leg(40, 30, 20) + 4 * math.pi / 20 + 20 / (2 * A),
            id="line into an arc",
        ),
        pytest.param(
            ["G1 X20 F600", "G4 P1.5", "X40"], 2 * rest_to_rest(20, 10) + 1.5, id="dwell between"
        ),
        pytest.param(["G1 X20 F600", "M0", "X40"], 2 * rest_to_rest(20, 10), id="stop between"),
        pytest.param([f"G1 X5 F0.{'0' * 170}1", "X15 F600"], rest_to_rest(10, 10), id="no feed"),
        pytest.param(["G91 G1 X5 F600", "G53 G0 Z0", "X5"], rest_to_rest(5, 10), id="lost"),
    ],
)  # fmt: skip
def test_closed_forms(lines: list[str], expected: float) -> None:
    assert of_text(*lines).time_s == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("control", ["G61", "G64"])
def test_tiny_straight_moves_are_one(control: str) -> None:
    moves = [f"G1 X{k / 100} Y{k / 50} F600" for k in range(1, 5001)]
    assert of_text(control, *moves).time_s == pytest.approx(rest_to_rest(50 * 5**0.5, 10))


@pytest.mark.parametrize(("sides", "near"), [(360, 5e-3), (3600, 5e-4)])
def test_a_circle_in_short_lines_takes_as_long_as_the_circle(sides: int, near: float) -> None:
    """The rounding allowed would let every corner pass at the feed, in 0.7 of the time."""
    r, angles = 2.0, [math.tau * k / sides for k in range(1, sides + 1)]
    lines = [f"G1 X{r * (math.cos(t) - 1):.9f} Y{r * math.sin(t):.9f} F6000" for t in angles]
    assert of_text("G64", *lines).time_s == pytest.approx(on_arc(r, math.tau), rel=near)


def test_without_a_machine_every_feed_is_held() -> None:
    lines = ["G1 X20 F600", "Y20", "G0 X50", "G2 X50 Y20 I1 F6000"]
    found = of_text(*lines, machine=None)
    assert found.time_s == pytest.approx(40 / 10 + math.tau / 100)
    assert found.cutters == (CutterTime(0, pytest.approx(found.time_s), 0.0),)


def test_each_cutter_has_its_own_row() -> None:
    found = of_text(
        "T2 M6", "S500 M3", "G0 Z10", "X20", "G1 Z0 F600", "G4 P2", "G0 Z10",
        "T1 M6", "M3", "G0 Z5", "G1 X30",
    )  # fmt: skip
    down, up = rest_to_rest(10, 10), rest_to_rest(10, 50)
    rapids = rest_to_rest(20, 50) + up
    assert found.cutters == (
        CutterTime(2, pytest.approx(down), pytest.approx(rapids)),
        CutterTime(1, pytest.approx(rest_to_rest(10, 10)), 0.0),
    )
    assert (found.dwell_s, found.spindle_s) == (2, 6)
    assert (found.changes, found.change_s) == (2, 2 * CHANGE_BY_HAND)
    moving = sum(c.cut_s + c.rapid_s for c in found.cutters)
    assert found.time_s == pytest.approx(moving + 2 + 6)


@pytest.mark.parametrize(
    ("lines", "spindle", "dwells"),
    [
        pytest.param(["S500 M3", "G0 Z5"], 3, 0, id="the control waits"),
        pytest.param(["S500 M3", "G4 P3", "G0 Z5"], 0, 3, id="the program waits"),
        pytest.param(["S500 M3", "G4 P1", "G0 Z5"], 2, 1, id="both"),
        pytest.param(["S500 M3", "G0 Z5", "S600 M3", "Z6"], 3, 0, id="turning already"),
        pytest.param(["S500 M3", "G0 Z5", "M5", "Z6", "M3", "Z7"], 6, 0, id="stopped between"),
        pytest.param(["S500 M3", "G0 Z5", "M4", "Z6"], 6, 0, id="turned round"),
        pytest.param(["G0 Z5"], 0, 0, id="still"),
    ],
)
def test_spindle_starts(lines: list[str], spindle: float, dwells: float) -> None:
    found = of_text(*lines)
    assert (found.spindle_s, found.dwell_s) == (spindle, dwells)


def test_a_changer_is_quicker_than_a_hand() -> None:
    found = of_text("T1 M6", "G0 Z5", machine=replace(MACHINE, tool_change="automatic"))
    assert found.change_s == CHANGE_AUTOMATIC


def test_cycles_are_run_in_exact_path_mode() -> None:
    """NISTIR 6556, the session of table 10: exact path for the cycle, continuous after it."""
    cycle = "G81 G99 X20 Z-5 R0 F600"
    assert of_text("G64", cycle).time_s == pytest.approx(of_text("G61", cycle).time_s)


# Laws

Step = tuple[Any, ...]
coordinate = st.integers(-40, 40).map(lambda v: v / 4)
feed = st.sampled_from([60.0, 300.0, 1200.0, 6000.0])
line = st.tuples(st.sampled_from(["line", "rapid"]), feed, coordinate, coordinate, coordinate)
curve = st.tuples(
    st.just("arc"), feed, st.sampled_from([17, 18, 19]), st.floats(0.1, 20),
    st.floats(-math.pi, math.pi), st.floats(0.1, 6.2), st.booleans(), coordinate,
)  # fmt: skip
laws = settings(max_examples=60, deadline=None)
paths = st.lists(st.one_of(line, curve), min_size=1, max_size=12)
controls = st.sampled_from(CONTROLS)


def made(steps: list[Step]) -> list[Move]:
    at: Point3 = (0.0, 0.0, 0.0)
    moves = []
    for step in steps:
        move = _straight(at, step) if step[0] != "arc" else _round(at, step)
        moves.append(move)
        at = move.end
    return moves


def _straight(at: Point3, step: Step) -> Move:
    kind, speed, dx, dy, dz = step
    return Move(1, kind, at, (at[0] + dx, at[1] + dy, at[2] + dz), Conditions(feed=speed))


def _round(at: Point3, step: Step) -> Move:
    _, speed, plane, radius, angle, sweep, ccw, rise = step
    first, second, axis = {17: (0, 1, 2), 18: (2, 0, 1), 19: (1, 2, 0)}[plane]
    turn = sweep if ccw else -sweep
    centre, end = list(at), list(at)
    centre[first] -= radius * math.cos(angle)
    centre[second] -= radius * math.sin(angle)
    end[first] = centre[first] + radius * math.cos(angle + turn)
    end[second] = centre[second] + radius * math.sin(angle + turn)
    end[axis] += rise
    bow = CircularPart((centre[0], centre[1], centre[2]), plane, turn, radius)
    return Move(1, "arc", at, (end[0], end[1], end[2]), Conditions(feed=speed), curve=bow)


def reading_of(moves: list[Move]) -> ReadProgram:
    return ReadProgram("", tuple(moves), (), (), len(moves), "mm", ended=True)


def time_of(moves: list[Move], control: PathControl, machine: Machine = MACHINE) -> float:
    return travel(reading_of(held(moves, control)), machine).time_s


def held(moves: list[Move], control: PathControl) -> list[Move]:
    """The moves under a path control."""
    return [m._replace(conditions=replace(m.conditions, path=control)) for m in moves]


def speed_of(move: Move) -> float:
    """mm/s, as fast as it may ever be."""
    if move.kind == "rapid":
        widest = max(abs(b - a) for a, b in zip(move.start, move.end, strict=True))
        return 50 * move.length / widest if widest else 50
    if move.curve is None:
        return min(move.feed / 60, 100)
    bend = move.curve.radius * (move.length / (move.curve.radius * move.curve.sweep)) ** 2
    return min(move.feed / 60, 100, math.sqrt(A * bend))


@laws
@given(paths, controls)
def test_between_the_feed_and_a_stop_at_every_joint(
    steps: list[Step], control: PathControl
) -> None:
    moves = made(steps)
    found = time_of(moves, control)
    assert found >= sum(m.length / speed_of(m) for m in moves) * (1 - 1e-9)
    stopping = sum(rest_to_rest(m.length, speed_of(m)) for m in moves if m.length)
    assert found <= stopping * (1 + 1e-9)
    assert time_of(moves, "exact stop") == pytest.approx(stopping, rel=1e-9)


@laws
@given(paths)
def test_the_more_exact_the_slower(steps: list[Step]) -> None:
    times = [time_of(made(steps), control) for control in CONTROLS]
    assert times[0] <= times[1] * (1 + 1e-9)
    assert times[1] <= times[2] * (1 + 1e-9)


@laws
@given(paths, controls, st.floats(1, 100))
def test_a_livelier_machine_is_never_slower(
    steps: list[Step], control: PathControl, times: float
) -> None:
    moves = made(steps)
    lively = replace(MACHINE, acceleration=A * times)
    assert time_of(moves, control, lively) <= time_of(moves, control) * (1 + 1e-9)


@laws
@given(paths, st.sampled_from(CONTROLS[:2]), st.data())
def test_dividing_a_straight_move_changes_nothing(
    steps: list[Step], control: PathControl, data: st.DataObject
) -> None:
    divided = []
    for move in made(steps):
        at = move.start
        shares = data.draw(st.lists(st.floats(0.001, 0.999), max_size=3), label="shares")
        for share in sorted(shares) if move.curve is None else ():
            between = tuple(a + (b - a) * share for a, b in zip(move.start, move.end, strict=True))
            place = (between[0], between[1], between[2])
            divided.append(move._replace(start=at, end=place))
            at = place
        divided.append(move._replace(start=at))
    assert time_of(divided, control) == pytest.approx(time_of(made(steps), control), rel=1e-6)


def backwards(move: Move) -> Move:
    bow = move.curve
    if bow is not None:
        axis = {17: 2, 18: 1, 19: 0}[bow.plane]
        centre = list(bow.centre)
        centre[axis] = move.end[axis]
        bow = bow._replace(sweep=-bow.sweep, centre=(centre[0], centre[1], centre[2]))
    return move._replace(start=move.end, end=move.start, curve=bow)


@laws
@given(paths, controls)
def test_the_way_back_takes_as_long(steps: list[Step], control: PathControl) -> None:
    moves = made(steps)
    back = [backwards(m) for m in reversed(moves)]
    assert time_of(back, control) == pytest.approx(time_of(moves, control), rel=1e-6)


def slowly(way: TimedWay) -> float:
    """The same time found in another way: the fastest speed at each of very many places is the
    least that any stop, corner or move allows from there, v^2 = u + 2 a s; integrated."""
    ends = np.concatenate(([0.0], np.cumsum(way.length)))
    corners = np.concatenate(([0.0], A * corner_radius(way), [0.0]))
    most = np.minimum(way.limit**2, A * way.bend)
    total = 0.0
    for k, length in enumerate(way.length):
        # places closer towards the ends, where the speed may fall to nothing
        turned = np.linspace(0, math.pi, 4001)
        middle = (turned[1:] + turned[:-1]) / 2
        s = ends[k] + length * (1 - np.cos(middle)) / 2
        step = length * np.sin(middle) / 2 * (turned[1] - turned[0])
        square = np.full(len(s), math.inf)
        for u, at in zip(corners, ends, strict=True):
            square = np.minimum(square, u + 2 * A * np.abs(s - at))
        for u, low, high in zip(most, ends[:-1], ends[1:], strict=True):
            outside = np.maximum(0, np.maximum(low - s, s - high))
            square = np.minimum(square, u + 2 * A * outside)
        total += float(np.sum(step / np.sqrt(square)))
    return total


@settings(max_examples=40, deadline=None)
@given(paths, st.sampled_from(CONTROLS[:2]))
def test_look_ahead_finds_the_fastest_way(steps: list[Step], control: PathControl) -> None:
    reading = reading_of(held(made(steps), control))
    way = joined_run(reading, MACHINE, spindle_starts(reading)).way
    expected = slowly(way) if len(way.length) else 0.0
    assert float(seconds(way, A).sum()) == pytest.approx(expected, rel=1e-3, abs=1e-9)
