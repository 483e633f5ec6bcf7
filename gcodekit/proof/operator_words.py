"""Messages to the operator, checked against the words for the control.

Both say the cutter and, where the spindle is set by hand, its speed; and for whatever the operator
is asked to do the program has to wait.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile

from gcodekit.job.workshop.machine import Machine
from gcodekit.proof.machine_limits import SPEED_NEAR
from gcodekit.rs274.program_read import Move, ProblemList, ReadProgram

_SAID = re.compile(r"[(;]\s*(?:MSG, *)?(?P<text>[^)]*)", re.IGNORECASE)
_SPEED_SAID = re.compile(r"set the spindle to (\d+(?:\.\d+)?) rev/min")
_CUTTER_SAID = re.compile(r"load cutter (\d+): ")
_HEAD_SAID = re.compile(r"set the boring head to ")

# Lines of the longest message.
LONGEST_MESSAGE = 8


@dataclass(frozen=True, slots=True)
class _OperatorLine:
    """A line for the operator: the speed or the number of the cutter that it names, 0 for none;
    `next` is the index of the first move after it."""

    line: int
    speed: float
    cutter: int
    next: int


def check_told(reading: ReadProgram, machine: Machine | None, problems: ProblemList) -> None:
    """Cutters, speeds and stops."""
    every = [t for t in _told(reading) if t.next < len(reading.moves)]
    for told in every:
        if told.cutter:
            _check_cutter(told, reading, problems)
        _check_waits(told, reading, machine, problems)
    speeds = [t for t in every if t.speed]
    ends = [*(t.next for t in speeds[1:]), len(reading.moves)]
    for told, end in zip(speeds, ends, strict=False):
        _check_speed(told, reading.moves[told.next : end], problems)


def _told(reading: ReadProgram) -> Iterator[_OperatorLine]:
    first = 0
    for line, text in _messages(reading.lines):
        cutter = _CUTTER_SAID.match(text)
        speed = _SPEED_SAID.search(text) if cutter else _SPEED_SAID.match(text)
        if speed or cutter or _HEAD_SAID.match(text):
            while first < len(reading.moves) and reading.moves[first].line <= line:
                first += 1
            rate, number = float(speed[1]) if speed else 0.0, int(cutter[1]) if cutter else 0
            yield _OperatorLine(line, rate, number, first)


def _messages(lines: Sequence[str]) -> Iterator[tuple[int, str]]:
    """Each comment with its line; where it tells of a cutter, with those right below it, in which
    it may go on."""
    said = [_SAID.search(text) for text in lines]
    for i, match in enumerate(said):
        if match is None:
            continue
        whole = [match["text"]]
        if _CUTTER_SAID.match(whole[0]):
            below = takewhile(bool, said[i + 1 : i + LONGEST_MESSAGE])
            whole += [m["text"] for m in below if m]
        yield i + 1, " ".join(whole)


def _check_cutter(told: _OperatorLine, reading: ReadProgram, problems: ProblemList) -> None:
    """A message that was left standing tells the operator the wrong one, a wrong T the control."""
    number = reading.moves[told.next].cutter
    if number in (0, told.cutter):
        return
    line = next(
        (e.line for e in reading.events if e.kind == "tool change" and e.line > told.line),
        reading.moves[told.next].line,
    )
    text = f"T{number} is loaded, but line {told.line} tells the operator cutter {told.cutter}"
    problems.error(text, line=line, hint="correct one of the two")


def _check_speed(told: _OperatorLine, moves: Sequence[Move], problems: ProblemList) -> None:
    """The spindle stays as it was set until the operator is told otherwise."""
    for move in moves:
        wrong = abs(move.speed - told.speed) > SPEED_NEAR * told.speed
        if move.kind != "rapid" and wrong:
            text = f"S{move.speed:g} is in force, but line {told.line} tells the operator to set"
            text += f" {told.speed:g} rev/min"
            problems.warn(text, line=move.line, hint="correct one of the two")
            return


def _check_waits(
    told: _OperatorLine, reading: ReadProgram, machine: Machine | None, problems: ProblemList
) -> None:
    """A changer with its table of lengths needs no hand."""
    changes = machine is None or machine.tool_change != "automatic"
    if told.cutter and not (changes or (machine and machine.tool_length == "touch off")):
        return
    stops = (e for e in reading.events if e.kind in ("stop", "optional stop"))
    if not any(e.line > told.line and e.before <= told.next for e in stops):
        line = reading.moves[told.next].line
        text = f"program does not stop for the operator to do what line {told.line} says"
        problems.warn(text, line=line, hint="put M0 before this line")
