"""Straight motion and arcs: words in force to moves."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from gcodekit.rs274.arcs import arc
from gcodekit.rs274.block import BlockError
from gcodekit.rs274.moves import Move
from gcodekit.rs274.problems import Point3
from gcodekit.rs274.state import KNOWN, State
from gcodekit.rs274.words import LARGEST_NUMBER


def target_of(state: State, values: dict[str, float]) -> tuple[Point3, int]:
    """Where the axis words lead (mm), and the axes known there (bits)."""
    x, y, z = state.position
    known, unit = state.known, state.unit
    if state.absolute:
        if "X" in values:
            x = values["X"] * unit
            known |= 1
        if "Y" in values:
            y = values["Y"] * unit
            known |= 2
        if "Z" in values:
            z = values["Z"] * unit
            known |= 4
    else:
        x += values.get("X", 0.0) * unit
        y += values.get("Y", 0.0) * unit
        z += values.get("Z", 0.0) * unit
    most = LARGEST_NUMBER
    if not (-most < x < most and -most < y < most and -most < z < most):
        raise BlockError("this motion leads beyond any machine")
    return (x, y, z), known


def move_straight(state: State, values: dict[str, float], *, rapid: bool) -> None:
    """G0 or G1."""
    end, known = target_of(state, values)
    before = KNOWN[state.known]
    kind: Literal["rapid", "line"] = "rapid" if rapid else "line"
    move = Move(state.line, kind, state.position, end, state.conditions, before, KNOWN[known])
    if state.inverse_time and not rapid:
        move = _timed(move, values)
    state.moves.append(move)
    state.position = end
    state.known = known


def move_round(state: State, values: dict[str, float], *, ccw: bool) -> None:
    """G2 or G3."""
    end, known = target_of(state, values)
    start, before = state.position, KNOWN[state.known]
    # even a faulty arc goes to its end, so that the lines after it are read as they were meant
    state.position = end
    state.known = known
    curve = arc(start, end, values, ccw=ccw, plane=state.plane, unit=state.unit)
    move = Move(state.line, "arc", start, end, state.conditions, before, KNOWN[known], curve)
    if state.inverse_time:
        move = _timed(move, values)
    state.moves.append(move)


def move_in_machine(state: State, values: dict[str, float], *, rapid: bool) -> None:
    """G53: to a place of the machine, unknown in program coordinates from here on."""
    bits = sum(bit for bit, letter in ((1, "X"), (2, "Y"), (4, "Z")) if letter in values)
    before = KNOWN[state.known]
    state.forget(bits)
    kind: Literal["rapid", "line"] = "rapid" if rapid else "line"
    at = state.position
    move = Move(state.line, kind, at, at, state.conditions, before, KNOWN[state.known])
    state.moves.append(move)


def _timed(move: Move, values: dict[str, float]) -> Move:
    """A move under G93: its F is one over the minutes it takes (3.5.19)."""
    if "F" not in values:
        raise BlockError("under G93 every G1, G2 and G3 line needs an F word")
    feed = move.length * values["F"]
    return replace(move, conditions=replace(move.conditions, feed=feed))
