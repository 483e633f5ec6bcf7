"""Straight motion and arcs: words in force to moves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from gcodekit.rs274.exact_arcs import BlockError, arc_by_centre, arc_by_radius
from gcodekit.rs274.program_read import PLANE_AXES, CircularPart, Move, Point3
from gcodekit.rs274.state import KNOWN, MOTION, State
from gcodekit.rs274.words import LARGEST_NUMBER

AXIS_LETTERS = "XYZ"
OFFSETS = "IJK"


def inside(place: Point3) -> bool:
    """Tell whether a place is one that a machine could reach."""
    most = LARGEST_NUMBER
    x, y, z = place
    return -most < x < most and -most < y < most and -most < z < most


def target_of(state: State, values: Mapping[str, float]) -> tuple[Point3, int]:
    """Return the place the axis words name (mm), and the axes known there (bits)."""
    place, known, unit = list(state.position), state.known, state.unit
    compensation = state.compensation
    if compensation is not None and compensation.drawn is not None:
        place[0], place[1] = compensation.drawn
    for k, letter in enumerate(AXIS_LETTERS):
        value = values.get(letter)
        if value is None:
            continue
        if state.absolute:
            place[k] = value * unit + state.shift[k]
            known |= 1 << k
        else:
            place[k] += value * unit
    end = (place[0], place[1], place[2])
    if not inside(end):
        raise BlockError("move goes beyond any machine's travel")
    return end, known


def move_straight(state: State, values: Mapping[str, float], *, rapid: bool) -> None:
    """G0 or G1."""
    end, known = target_of(state, values)
    go(state, end, known, rapid=rapid)


def go(state: State, end: Point3, known: int, *, rapid: bool) -> None:
    """One straight move, which is then made."""
    state.moves.append(
        Move(
            state.line,
            "rapid" if rapid else "line",
            state.position,
            end,
            state.conditions,
            KNOWN[state.known],
            KNOWN[known],
        )
    )
    state.position = end
    state.known = known


def move_round(state: State, values: Mapping[str, float], *, ccw: bool) -> None:
    """G2 or G3."""
    end, known = target_of(state, values)
    go_round(state, end, known, curve_of(state, state.position, end, values, ccw=ccw))


def go_round(state: State, end: Point3, known: int, curve: CircularPart) -> None:
    """One arc or helix, which is then made."""
    state.moves.append(
        Move(
            state.line,
            "arc",
            state.position,
            end,
            state.conditions,
            KNOWN[state.known],
            KNOWN[known],
            curve,
        )
    )
    state.position = end
    state.known = known


def follow(state: State, values: Mapping[str, float], motion: int) -> None:
    """Be where a line that may not be executed would have led, so that the lines after it are read
    as they were meant."""
    state.motion = motion
    state.sticky = None
    try:
        state.position, state.known = target_of(state, values)
    except BlockError:
        return
    if state.compensation is not None:
        # where beside the path the cutter would be cannot be told
        state.compensation = replace(state.compensation, drawn=None)


def curve_of(
    state: State, start: Point3, end: Point3, values: Mapping[str, float], *, ccw: bool
) -> CircularPart:
    """The curve that a line's words ask for."""
    plane, unit = state.conditions.plane, state.unit
    first, second, axial = PLANE_AXES[plane]
    code = "G3" if ccw else "G2"
    if AXIS_LETTERS[first] not in values and AXIS_LETTERS[second] not in values:
        raise BlockError(
            f"{code} in this plane needs {_either(AXIS_LETTERS, first, second)}", MOTION
        )
    if OFFSETS[axial] in values:
        raise BlockError(f"{OFFSETS[axial]} is not allowed in an arc in this plane", OFFSETS[axial])
    i, j = values.get(OFFSETS[first]), values.get(OFFSETS[second])
    if "R" in values:
        if i is not None or j is not None:
            raise BlockError("an arc needs either R or a centre, not both", "R")
        radius = values["R"] * unit
        return arc_by_radius(start, end, radius, ccw=ccw, plane=plane, unit=unit)
    if i is None and j is None:
        text = f"{code} in this plane needs {_either(OFFSETS, first, second)} or R"
        raise BlockError(text, MOTION)
    i, j = (i or 0.0) * unit, (j or 0.0) * unit
    return arc_by_centre(start, end, i, j, ccw=ccw, plane=plane, unit=unit)


def _either(letters: str, first: int, second: int) -> str:
    return " or ".join(sorted((letters[first], letters[second])))


def in_time(state: State, first: int, feed: float) -> None:
    """Give the moves from index `first` on the one feed that takes them the time that the line's F
    asks for under G93 (3.5.19)."""
    # a move of no length still has the feed that was given
    length = sum(m.length for m in state.moves[first:]) or 1.0
    for k in range(first, len(state.moves)):
        move = state.moves[k]
        conditions = replace(move.conditions, feed=length * feed, feed_set=True)
        state.moves[k] = move._replace(conditions=conditions)
