"""Axes on their handwheels: a program must not move them itself, and what it says of their dials
has to be what it says in lengths."""

from __future__ import annotations

import re
from collections.abc import Iterator

from gcodekit.job.workshop.machine import Dial, Machine
from gcodekit.proof.fault_groups import FaultGroups
from gcodekit.rs274.program_read import ProblemList, ReadProgram
from gcodekit.units import MM_PER_INCH, format_coordinate

# A reading is told to a tenth of a division, and a place to its last decimal.
DIVISION_ROUNDED = 0.0501
_DIALLED = re.compile(
    r"([XYZ])(-?\d+(?:\.\d+)?)[^,]*, dial (-?\d+(?:\.\d+)?)(?:\+(\d+(?:\.\d+)?))?"
)


def check_hand_wheels(reading: ReadProgram, machine: Machine | None, problems: ProblemList) -> None:
    """All moves and messages; skipped where every axis is driven."""
    if machine is None or not machine.by_hand:
        return
    _check_left_alone(reading, machine, problems)
    if machine.dial is not None:
        _check_dials(reading, machine.dial, problems)


def _check_left_alone(reading: ReadProgram, machine: Machine, problems: ProblemList) -> None:
    once = FaultGroups(problems.units)
    for move in reading.moves:
        for axis in () if move.by_hand else machine.by_hand:
            letter = "XYZ"[axis]
            said = letter in move.known and letter not in move.known_before
            if said or move.start[axis] != move.end[axis]:
                text = f"program moves {letter}, which is on its handwheel"
                hint = f"stop for the hand to move {letter}, and say where to"
                once.note(text, move.line, move.end, hint=hint)
    once.report(problems)


def _check_dials(reading: ReadProgram, dial: Dial, problems: ProblemList) -> None:
    """Hold every reading against its place. Whole turns count from zero, then the division."""
    for line, letter, place, mm, turns, on in _dialled(reading):
        axis = "XYZ".index(letter)
        division, turn = dial.divisions[axis], dial.turns[axis]
        if division is None:
            continue
        sign = -1.0 if letter.lower() in dial.reversed_axes else 1.0
        a_turn = round(turn / division) if turn is not None else 0
        shown = turns if on is None else turns * a_turn + on
        if abs(sign * mm / division - shown) > DIVISION_ROUNDED:
            reads = format_coordinate(sign * shown * division, problems.units)
            text = f"the dial reading for {letter}{place} is that of {letter}{reads}"
            problems.error(text, line=line, hint="correct one of the two")


def _dialled(
    reading: ReadProgram,
) -> Iterator[tuple[int, str, str, float, float, float | None]]:
    """Line, axis, place as written and in mm, and the reading: turns and division."""
    units = MM_PER_INCH if reading.units == "inch" else 1.0
    for number, text in enumerate(reading.lines, 1):
        if "by hand:" not in text:
            continue
        for letter, place, turns, on in _DIALLED.findall(text):
            mm = float(place) * units
            yield number, letter, place, mm, float(turns), float(on) if on else None
