"""A program's moves as the arrays that its time is reckoned from."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gcodekit.job.model import Machine
from gcodekit.proof.timing import CONTINUOUS, EXACT_PATH, EXACT_STOP, STRAIGHT, Array, Flags, Way
from gcodekit.rs274.moves import PLANE_AXES, Move, Reading
from gcodekit.rs274.problems import Point3
from gcodekit.rs274.words import scan

PathControl = Literal["exact path", "exact stop", "continuous"]
_CODES = {"exact path": EXACT_PATH, "exact stop": EXACT_STOP, "continuous": CONTINUOUS}
_WORDS: dict[float, PathControl] = {61.0: "exact path", 61.1: "exact stop", 64.0: "continuous"}
# The machine stands for these; in a new work offset the next move starts from another place.
_STANDING = ("tool change", "stop", "optional stop", "end", "dwell", "work offset")


@dataclass(frozen=True, slots=True)
class Run:
    """The moves that take time, joined: `way` has their geometry, `rapid` and `cutter` are (n,).
    The lengths, mm, are of every move between known places, with a feed or without."""

    way: Way
    rapid: Flags
    cutter: NDArray[np.int64]
    cut_length: float
    rapid_length: float


def path_controls(text: str) -> tuple[tuple[int, PathControl], ...]:
    """The path controls that a program's text asks for, each with the line it holds from.

    Examples
    --------
    >>> path_controls("G21 G61" + chr(10) + "G1 X5 F90 (G64 here)" + chr(10) + "g64")
    ((1, 'exact path'), (3, 'continuous'))
    """
    found = []
    for number, line in enumerate(text.splitlines(), start=1):
        # a quick no for nearly all: blanks may stand between a letter and its digits
        if "6" not in line or ("G" not in line and "g" not in line):
            continue
        said = [w.value for w in scan(line).words if w.letter == "G" and w.value in _WORDS]
        found += [(number, _WORDS[v]) for v in said]
    return tuple(found)


def spindle_starts(reading: Reading) -> Flags:
    """(n,) whether the spindle starts, or turns round, before each move."""
    turn = np.fromiter((m.conditions.spindle for m in reading.moves), np.int64)
    before = np.concatenate(([0], turn[:-1]))[: len(turn)]
    # a cutter change stops the spindle
    changes = [e.before for e in reading.events if e.kind == "tool change"]
    before[[at for at in changes if at < len(turn)]] = 0
    starts: Flags = (turn != 0) & (turn != before)
    return starts


def joined_run(
    reading: Reading,
    machine: Machine | None,
    controls: Sequence[tuple[int, PathControl]],
    starts: Flags,
) -> Run:
    """Every move between known places; `controls` as `path_controls` finds them, exact path before
    the first of them."""
    moves, n = reading.moves, len(reading.moves)
    rapid = np.fromiter((m.kind == "rapid" for m in moves), bool, n)
    start = _places((m.start for m in moves), n)
    step = _places((m.end for m in moves), n) - start
    length = np.linalg.norm(step, axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        leaving = step / length[:, None]
    arriving, bend = leaving.copy(), np.full(n, math.inf)
    _bend_arcs(moves, length, bend, leaving, arriving)
    limit = _limits(moves, rapid, step, length, machine)
    known = np.fromiter((m.known_before == "XYZ" and m.known == "XYZ" for m in moves), bool, n)
    counted = known & (limit > 0)
    index = np.flatnonzero(counted & (length > STRAIGHT))
    halts = _halts(reading, starts, counted)[index]
    return Run(
        way=Way(
            length=length[index],
            limit=limit[index],
            bend=bend[index],
            leaving=leaving[index],
            arriving=arriving[index],
            stop=np.diff(halts, prepend=-1) != 0,
            control=_controls(moves, controls)[index],
        ),
        rapid=rapid[index],
        cutter=np.fromiter((m.conditions.cutter for m in moves), np.int64, n)[index],
        cut_length=math.fsum(length[known & ~rapid]),
        rapid_length=math.fsum(length[known & rapid]),
    )


def _places(points: Iterable[Point3], n: int) -> Array:
    return np.fromiter(chain.from_iterable(points), np.float64, 3 * n).reshape(n, 3)


def _limits(
    moves: Sequence[Move], rapid: Flags, step: Array, length: Array, machine: Machine | None
) -> Array:
    """(n,) mm/s. A rapid is straight, as NISTIR 6556, 3.5.1 has it, each axis as fast as the
    machine allows at most."""
    limit = np.fromiter((m.conditions.feed for m in moves), np.float64, len(moves)) / 60
    if machine is None:
        limit[rapid] = math.inf
        return limit
    limit = np.minimum(limit, machine.feed_max / 60)
    farthest = np.abs(step).max(axis=1, initial=0.0)
    share = np.divide(length, farthest, out=np.ones(len(moves)), where=farthest > 0)
    limit[rapid] = machine.rapid / 60 * share[rapid]
    return limit


def _halts(reading: Reading, starts: Flags, counted: Flags) -> NDArray[np.int64]:
    """(n,) how often the machine has stood by the time each move begins."""
    halt = starts.copy()
    n = len(halt)
    halt[[e.before for e in reading.events if e.kind in _STANDING and e.before < n]] = True
    # after a move that is not reckoned nothing is known to be joined
    halt[1:] |= ~counted[:-1]
    return np.cumsum(halt)


def _controls(
    moves: Sequence[Move], controls: Sequence[tuple[int, PathControl]]
) -> NDArray[np.int64]:
    n = len(moves)
    if not controls:
        return np.full(n, EXACT_PATH)
    lines = np.fromiter((m.line for m in moves), np.int64, n)
    codes = np.array([EXACT_PATH, *(_CODES[c] for _, c in controls)])
    found: NDArray[np.int64] = codes[np.searchsorted([at for at, _ in controls], lines, "right")]
    # a canned cycle is run in exact path mode (NISTIR 6556, the session of its table 10)
    cycle = np.fromiter((m.from_cycle for m in moves), bool, n)
    found[cycle & (found == CONTINUOUS)] = EXACT_PATH
    return found


def _bend_arcs(
    moves: Sequence[Move], length: Array, bend: Array, leaving: Array, arriving: Array
) -> None:
    """Put the arcs' own figures in place of those of their chords."""
    for plane, (first, second, axis) in PLANE_AXES.items():
        rows = [
            (i, *m.start, *m.end, *c.centre, c.sweep, c.radius)
            for i, m in enumerate(moves)
            if (c := m.curve) is not None and c.plane == plane
        ]
        if not rows:
            continue
        table = np.array(rows)
        index = table[:, 0].astype(np.int64)
        start, end, centre = table[:, 1:4], table[:, 4:7], table[:, 7:10]
        sweep, radius = table[:, 10], table[:, 11]
        rise, round_ = (end - start)[:, axis], radius * np.abs(sweep)
        along = np.hypot(round_, rise)
        length[index] = along
        with np.errstate(divide="ignore", invalid="ignore"):
            # a helix bends less than its circle: (r^2 + c^2) / r, c its rise a radian
            bend[index] = radius * (along / round_) ** 2
            for at, tangent in ((start, leaving), (end, arriving)):
                a, b = at[:, first] - centre[:, first], at[:, second] - centre[:, second]
                flat = np.sign(sweep) * round_ / along / np.hypot(a, b)
                tangent[index, first], tangent[index, second] = -b * flat, a * flat
                tangent[index, axis] = rise / along
