"""The helical ways of a thread mill about an axis, as the program's moves go them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gcodekit.proof.chords import Array, points_of
from gcodekit.rs274.program_read import Move, Point3
from gcodekit.target.demand import ThreadDemand
from gcodekit.trade.cutter import Cutter

# Straight moves are looked at so often along their way, mm: chords stand for arcs in some programs.
LOOKED_EVERY = 0.5
# Points whose middles are no farther from the deepest are at full depth, mm: chords of a control
# without arcs lie so far inside.
DEEP = 0.005
# Nearer to the axis than this, mm, an angle about it means nothing.
ON_AXIS = 1e-3


@dataclass(frozen=True, slots=True)
class Wind:
    """A stretch in which the teeth are in the thread: (n,) distance of the cutter's middle from the
    axis and its angle about it, unwrapped, radians, and z of the tip; `line` begins it."""

    cutter: Cutter
    line: int
    radius: Array
    angle: Array
    z: Array

    def deep(self, full: float) -> list[slice]:
        """The parts of it that lie at full depth."""
        return _runs(np.abs(self.radius - full) <= DEEP)


def winds(moves: Iterable[tuple[Move, Cutter]], thread: ThreadDemand) -> list[Wind]:
    """All stretches of feed moves of thread mills that cut one thread."""
    return [w for cutter, line, path in _paths(moves) for w in _within(cutter, line, path, thread)]


def _paths(moves: Iterable[tuple[Move, Cutter]]) -> Iterator[tuple[Cutter, int, Array]]:
    """Moves that join, as (n, 3) points."""
    points: list[Point3] = []
    last: Cutter | None = None
    line = 0
    for move, cutter in moves:
        if move.known_before != "XYZ" or move.known != "XYZ":
            continue
        if last is None or cutter != last or not points or points[-1] != move.start:
            if last is not None and len(points) > 1:
                yield last, line, np.array(points)
            points, last, line = [move.start], cutter, move.line
        points += _looked_at(move)[1:]
    if last is not None and len(points) > 1:
        yield last, line, np.array(points)


def _looked_at(move: Move) -> Sequence[Point3]:
    if move.curve is not None:
        return points_of(move)
    start, end = np.array(move.start), np.array(move.end)
    count = max(1, math.ceil(float(np.hypot(*(end - start)[:2])) / LOOKED_EVERY))
    share = np.linspace(0.0, 1.0, count + 1)[:, None]
    inner = start + share[1:-1] * (end - start)
    return [move.start, *((x, y, z) for x, y, z in inner.tolist()), move.end]


def _within(cutter: Cutter, line: int, path: Array, thread: ThreadDemand) -> Iterator[Wind]:
    """The stretches in which the teeth reach beyond the crests."""
    x, y = path[:, 0] - thread.place[0], path[:, 1] - thread.place[1]
    radius, limits = np.hypot(x, y), thread.limits
    if limits.internal:
        inside = (radius + cutter.radius > limits.crest[0] / 2) & (radius < limits.major / 2)
    else:
        inside = radius - cutter.radius < limits.crest[1] / 2
    for run in _runs(inside & (radius > ON_AXIS)):
        if run.stop - run.start > 1:
            angle = np.unwrap(np.arctan2(y[run], x[run]))
            yield Wind(cutter, line, radius[run], angle, path[run, 2])


def _runs(where: NDArray[np.bool_]) -> list[slice]:
    """The stretches in which something holds."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], where.astype(np.int8), [0]))))
    return [slice(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
