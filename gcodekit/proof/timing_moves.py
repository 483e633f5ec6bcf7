"""A program's moves as the arrays that its time is reckoned from."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from operator import attrgetter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gcodekit.job.workshop.machine import Machine
from gcodekit.proof.timing import (
    CONTINUOUS,
    EXACT_PATH,
    EXACT_STOP,
    NO_TURN,
    Array,
    Flags,
    TimedWay,
)
from gcodekit.rs274.program_read import PLANE_AXES, Move, Point3, ReadProgram

_CODES = {"exact path": EXACT_PATH, "exact stop": EXACT_STOP, "continuous": CONTINUOUS}
# mm/s: a slower feed is none, and its square might be no number.
SLOWEST = 1e-9
# The machine stands for these; in a new work offset the next move starts from another place.
_STANDS_FOR = ("tool change", "stop", "hand stop", "optional stop", "end", "dwell", "work offset")
# Read from a million moves, where `map` takes half the time of a generator.
_START, _END, _PATH = attrgetter("start"), attrgetter("end"), attrgetter("path")
_CENTRE, _SWEEP, _RADIUS = attrgetter("centre"), attrgetter("sweep"), attrgetter("radius")
_CURVE, _PLANE = attrgetter("curve"), attrgetter("plane")
_KIND, _BEFORE, _KNOWN = attrgetter("kind"), attrgetter("known_before"), attrgetter("known")
_CONDITIONS, _CYCLE = attrgetter("conditions"), attrgetter("cycle")
_LINE, _BY_HAND = attrgetter("line"), attrgetter("by_hand")
_FEED, _SPINDLE, _CUTTER = attrgetter("feed"), attrgetter("spindle"), attrgetter("cutter")


@dataclass(frozen=True, slots=True)
class TimedRun:
    """The moves that take time, joined: `way` has their geometry; `rapid`, `cutter` and the `line`
    of the program are (n,). The lengths, mm, are of every move between known places, with a feed
    or without."""

    way: TimedWay
    rapid: Flags
    cutter: NDArray[np.int64]
    line: NDArray[np.int64]
    cut_length: float
    rapid_length: float


def spindle_starts(reading: ReadProgram) -> Flags:
    """(n,) whether the spindle starts, or turns round, before each move."""
    turn = _conditions(reading.moves, _SPINDLE, np.int64)
    before = np.concatenate(([0], turn[:-1]))[: len(turn)]
    # a cutter change stops the spindle
    changes = [e.before for e in reading.events if e.kind == "tool change"]
    before[[at for at in changes if at < len(turn)]] = 0
    starts: Flags = (turn != 0) & (turn != before)
    return starts


def joined_run(reading: ReadProgram, machine: Machine | None, starts: Flags) -> TimedRun:
    """Every move between known places."""
    moves, n = reading.moves, len(reading.moves)
    rapid = np.fromiter(map("rapid".__eq__, map(_KIND, moves)), bool, n)
    start = _places(map(_START, moves), n)
    step = _places(map(_END, moves), n) - start
    length = np.linalg.norm(step, axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        leaving = step / length[:, None]
    arriving, bend = leaving.copy(), np.full(n, math.inf)
    _bend_arcs(moves, length, bend, leaving, arriving)
    limit = _limits(moves, rapid, step, length, machine)
    known = np.fromiter(map("XYZ".__eq__, map(_BEFORE, moves)), bool, n)
    known &= np.fromiter(map("XYZ".__eq__, map(_KNOWN, moves)), bool, n)
    # how long a hand takes nobody knows
    driven = ~np.fromiter(map(_BY_HAND, moves), bool, n)
    counted = known & driven & (limit > SLOWEST)
    index = np.flatnonzero(counted & (length > NO_TURN))
    halts = _halts(reading, starts, counted)[index]
    return TimedRun(
        way=TimedWay(
            length=length[index],
            limit=limit[index],
            bend=bend[index],
            leaving=leaving[index],
            arriving=arriving[index],
            stop=np.diff(halts, prepend=-1) != 0,
            control=_controls(moves)[index],
        ),
        rapid=rapid[index],
        cutter=_conditions(moves, _CUTTER, np.int64)[index],
        line=np.fromiter(map(_LINE, moves), np.int64, n)[index],
        cut_length=math.fsum(length[known & ~rapid]),
        rapid_length=math.fsum(length[known & rapid]),
    )


def _places(points: Iterable[Point3], n: int) -> Array:
    return np.fromiter(chain.from_iterable(points), np.float64, 3 * n).reshape(n, 3)


def _conditions(moves: Sequence[Move], read: Any, kind: Any) -> NDArray[Any]:
    return np.fromiter(map(read, map(_CONDITIONS, moves)), kind, len(moves))


def _limits(
    moves: Sequence[Move], rapid: Flags, step: Array, length: Array, machine: Machine | None
) -> Array:
    """(n,) mm/s. A rapid is a straight coordinated move (NISTIR 6556, 3.5.1), no axis faster than
    the machine's rapids."""
    limit = _conditions(moves, _FEED, np.float64) / 60
    if machine is None:
        limit[rapid] = math.inf
        return limit
    limit = np.minimum(limit, machine.feed_max / 60)
    farthest = np.abs(step).max(axis=1, initial=0.0)
    share = np.divide(length, farthest, out=np.ones(len(moves)), where=farthest > 0)
    limit[rapid] = machine.rapid / 60 * share[rapid]
    return limit


def _halts(reading: ReadProgram, starts: Flags, counted: Flags) -> NDArray[np.int64]:
    """(n,) how often the machine has stood by the time each move begins."""
    halt = starts.copy()
    n = len(halt)
    halt[[e.before for e in reading.events if e.kind in _STANDS_FOR and e.before < n]] = True
    # after a move that is not reckoned nothing is known to be joined
    halt[1:] |= ~counted[:-1]
    return np.cumsum(halt)


def _controls(moves: Sequence[Move]) -> NDArray[np.int64]:
    n = len(moves)
    codes = map(_CODES.__getitem__, map(_PATH, map(_CONDITIONS, moves)))
    found = np.fromiter(codes, np.int64, n)
    # a canned cycle is run in exact path mode (NISTIR 6556, the session of its table 10)
    cycle = np.fromiter(map(_CYCLE, moves), bool, n)
    found[cycle & (found == CONTINUOUS)] = EXACT_PATH
    return found


def _bend_arcs(
    moves: Sequence[Move], length: Array, bend: Array, leaving: Array, arriving: Array
) -> None:
    """Put the arcs' own figures in place of those of their chords."""
    curved = np.fromiter(map(bool, map(_CURVE, moves)), bool, len(moves))
    planes = np.zeros(len(moves), dtype=np.int64)
    planes[curved] = np.fromiter(map(_PLANE, filter(None, map(_CURVE, moves))), np.int64)
    for plane, axes in PLANE_AXES.items():
        index = np.flatnonzero(planes == plane)
        if not index.size:
            continue
        own = [moves[i] for i in index.tolist()]
        round_ = list(map(_CURVE, own))
        start, end = _places(map(_START, own), len(own)), _places(map(_END, own), len(own))
        centre = _places(map(_CENTRE, round_), len(own))
        sweep = np.fromiter(map(_SWEEP, round_), np.float64, len(own))
        radius = np.fromiter(map(_RADIUS, round_), np.float64, len(own))
        rise = (end - start)[:, axes[2]]
        flat = radius * np.abs(sweep)
        length[index] = along = np.hypot(flat, rise)
        with np.errstate(divide="ignore", invalid="ignore"):
            # a helix bends less than its circle: (r^2 + c^2) / r, c its rise a radian
            bend[index] = radius * (along / flat) ** 2
            share = np.sign(sweep) * flat / along, rise / along
            leaving[index] = _tangents(start - centre, axes, *share)
            arriving[index] = _tangents(end - centre, axes, *share)


def _tangents(spoke: Array, axes: tuple[int, int, int], turning: Array, rising: Array) -> Array:
    """(n, 3) unit vectors square to the spokes from the centre, and rising along the axis."""
    a, b = spoke[:, axes[0]], spoke[:, axes[1]]
    flat = turning / np.hypot(a, b)
    found = np.empty_like(spoke)
    found[:, axes[0]], found[:, axes[1]], found[:, axes[2]] = -b * flat, a * flat, rising
    return found
