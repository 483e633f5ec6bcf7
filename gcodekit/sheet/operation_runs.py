"""What each operation of a program does, as read back from the program's text."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from gcodekit.job.workshop.machine import Machine
from gcodekit.post.writer import OperationLines
from gcodekit.proof.chords import lowest
from gcodekit.proof.time import seconds_between
from gcodekit.rs274.program_read import Move, ReadProgram


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationRun:
    """One operation of a program: the feature it is for, the lowest z of its cuts, mm, its speeds,
    rev/min, and feeds, mm/min, from the least to the most (0: by hand), and its seconds."""

    file: str
    feature: str
    label: str
    lowest: float
    speeds: tuple[float, float]
    feeds: tuple[float, float]
    seconds: float


def operation_runs(
    reading: ReadProgram, ranges: Sequence[OperationLines], machine: Machine
) -> tuple[OperationRun, ...]:
    """Each operation, in running order."""
    times = seconds_between(reading, machine, [(r.first_line, r.last_line) for r in ranges])
    cuts = [m for m in reading.moves if m.kind != "rapid"]
    found: list[OperationRun] = []
    at = 0
    for r, seconds in zip(ranges, times, strict=True):
        while at < len(cuts) and cuts[at].line < r.first_line:
            at += 1
        first = at
        while at < len(cuts) and cuts[at].line <= r.last_line:
            at += 1
        found.append(_run(reading.file, r, cuts[first:at], seconds))
    return tuple(found)


def _run(file: str, lines: OperationLines, cuts: Sequence[Move], seconds: float) -> OperationRun:
    speeds, feeds = [m.speed for m in cuts], [m.feed for m in cuts if not m.by_hand]
    return OperationRun(
        file=file,
        feature=lines.feature,
        label=lines.label,
        lowest=min((lowest(m) for m in cuts), default=math.inf),
        speeds=(min(speeds, default=0.0), max(speeds, default=0.0)),
        feeds=(min(feeds, default=0.0), max(feeds, default=0.0)),
        seconds=seconds,
    )
