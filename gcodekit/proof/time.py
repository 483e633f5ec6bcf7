"""How long a program takes, and how far it goes.

Each move is run up from rest and down to rest at the machine's acceleration. Left out: running
through joints without stopping (a program of many short moves takes less), the spindle's run-up,
tool changes and stops. Dwells are counted.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from gcodekit.job.model import Machine
from gcodekit.proof.chords import turning_points
from gcodekit.proof.findings import Box
from gcodekit.rs274.moves import Move, Reading


@dataclass(frozen=True, slots=True)
class Travel:
    """Seconds; mm."""

    time_s: float
    cut_length: float
    rapid_length: float


def travel(reading: Reading, machine: Machine | None) -> Travel:
    """Time and lengths; the way of a first move, from a place not known, counts nothing.

    Without a machine rapids take no time and every feed is held from end to end.
    """
    seconds = [e.value for e in reading.events if e.kind == "dwell"]
    cut: list[float] = []
    rapid: list[float] = []
    for move in reading.moves:
        if move.known_before != "XYZ" or move.known != "XYZ":
            continue
        length = move.length
        (rapid if move.kind == "rapid" else cut).append(length)
        speed = move.feed if move.kind != "rapid" else machine.rapid if machine else 0.0
        if machine is not None and move.kind != "rapid":
            speed = min(speed, machine.feed_max)
        seconds.append(move_time(length, speed / 60, machine.acceleration if machine else math.inf))
    return Travel(math.fsum(seconds), math.fsum(cut), math.fsum(rapid))


def move_time(length: float, speed: float, acceleration: float) -> float:
    """Seconds from rest to rest over `length` mm, at most at `speed` mm/s.

    Examples
    --------
    >>> move_time(10, 10, 10), move_time(10, 100, 10)
    (2.0, 2.0)
    """
    if length <= 0 or speed <= 0:
        return 0.0
    if math.isinf(acceleration):
        return length / speed
    if speed * speed / acceleration >= length:
        return 2 * math.sqrt(length / acceleration)
    return length / speed + speed / acceleration


def box_of(moves: tuple[Move, ...]) -> Box | None:
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
