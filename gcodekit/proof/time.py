"""How long a program takes, and how far it goes.

`proof/timing.py` says how the machine's acceleration is reckoned with. Counted in the time: cutting
and rapids between known places, dwells, and the spindle gathering speed. Counted apart: cutter
changes. Not counted: waiting for the operator at M0 and M1, moves by hand, coolant, a pallet
shuttle.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from gcodekit.job.workshop.machine import Machine
from gcodekit.proof.chords import turning_points
from gcodekit.proof.findings import SpaceBox
from gcodekit.proof.timing import Array, Flags, seconds
from gcodekit.proof.timing_moves import TimedRun, joined_run, spindle_starts
from gcodekit.rs274.program_read import Move, ReadProgram

# Seconds a cutter change takes; no source. By hand: the collet, the cutter, touching it off.
CHANGE_BY_HAND = 120.0
CHANGE_AUTOMATIC = 10.0


@dataclass(frozen=True, slots=True)
class CutterTime:
    """Seconds that a cutter moves; `cutter` is 0 where the program names none."""

    cutter: int
    cut_s: float
    rapid_s: float


@dataclass(frozen=True, slots=True)
class ProgramTime:
    """Seconds; mm. `time_s` is the moves of all `cutters` (in order of first use), `dwell_s` and
    `spindle_s`; `change_s`, for the `changes` of cutter, comes on top of it. `retracts`: how often
    a cutter is lifted out of what it cuts. `hand_stops`: how often the program waits for a hand to
    move an axis, which no time is counted for."""

    time_s: float
    cut_length: float
    rapid_length: float
    cutters: tuple[CutterTime, ...] = ()
    dwell_s: float = 0.0
    spindle_s: float = 0.0
    change_s: float = 0.0
    changes: int = 0
    retracts: int = 0
    hand_stops: int = 0


def travel(reading: ReadProgram, machine: Machine | None) -> ProgramTime:
    """Time and lengths; the way of a first move, from a place not known, counts nothing.

    Without a machine rapids take no time and every feed is held from end to end.
    """
    starts = spindle_starts(reading)
    run = joined_run(reading, machine, starts)
    times = seconds(run.way, machine.acceleration if machine else math.inf)
    cutters = _by_cutter(run, times)
    dwell_s = math.fsum(e.value for e in reading.events if e.kind == "dwell")
    spindle_s = _spindle_waits(reading, starts, machine.spindle.start_time if machine else 0.0)
    changes = sum(e.kind == "tool change" for e in reading.events)
    automatic = machine is not None and machine.tool_change == "automatic"
    return ProgramTime(
        time_s=math.fsum([*(t for c in cutters for t in (c.cut_s, c.rapid_s)), dwell_s, spindle_s]),
        cut_length=run.cut_length,
        rapid_length=run.rapid_length,
        cutters=cutters,
        dwell_s=dwell_s,
        spindle_s=spindle_s,
        change_s=changes * (CHANGE_AUTOMATIC if automatic else CHANGE_BY_HAND),
        changes=changes,
        retracts=retracts(reading.moves),
        hand_stops=sum(e.kind == "hand stop" for e in reading.events),
    )


def seconds_between(
    reading: ReadProgram, machine: Machine, ranges: Sequence[tuple[int, int]]
) -> list[float]:
    """Seconds that the lines of each range take, both ends counted: moves and dwells."""
    run = joined_run(reading, machine, spindle_starts(reading))
    times = seconds(run.way, machine.acceleration)
    dwells = [(e.line, e.value) for e in reading.events if e.kind == "dwell"]
    return [
        math.fsum(times[(run.line >= first) & (run.line <= last)])
        + math.fsum(value for line, value in dwells if first <= line <= last)
        for first, last in ranges
    ]


def retracts(moves: Iterable[Move]) -> int:
    """The number of retracts: a rapid up after a cut. A hole that is pecked is
    one."""
    count, cutting, hole = 0, False, None
    for move in moves:
        if move.kind != "rapid":
            cutting = True
        elif cutting and move.end[2] > move.start[2]:
            here = (move.line, *move.end[:2]) if move.cycle else None
            count += here is None or here != hole
            cutting, hole = False, here
    return count


def _by_cutter(run: TimedRun, times: Array) -> tuple[CutterTime, ...]:
    numbers, first = np.unique(run.cutter, return_index=True)
    rows = []
    for number in numbers[np.argsort(first)]:
        own = run.cutter == number
        cut, rapid = times[own & ~run.rapid], times[own & run.rapid]
        rows.append(CutterTime(int(number), math.fsum(cut), math.fsum(rapid)))
    return tuple(rows)


def _spindle_waits(reading: ReadProgram, starts: Flags, start_time: float) -> float:
    """Seconds of gathering speed, less what the program itself waits with a dwell between a start
    and the move after it: the control waits, or the program does for it, not both."""
    own: dict[int, float] = {}
    for event in reading.events:
        if event.kind == "tool change":
            # what was waited for before it was not this start
            own[event.before] = 0.0
        elif event.kind == "dwell":
            own[event.before] = own.get(event.before, 0.0) + event.value
    waits = (max(0.0, start_time - own.get(int(i), 0.0)) for i in np.flatnonzero(starts))
    return math.fsum(waits)


def box_of(moves: tuple[Move, ...]) -> SpaceBox | None:
    """The box of every place the tip is known to be at; None if there is none in some axis."""
    low, high = [math.inf] * 3, [-math.inf] * 3
    for move in moves:
        places = turning_points(move)[1:]
        for k, letter in enumerate("XYZ"):
            if letter not in move.known:
                continue
            for place in places:
                low[k] = min(low[k], place[k])
                high[k] = max(high[k], place[k])
    if any(math.isinf(c) for c in low):
        return None
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])
