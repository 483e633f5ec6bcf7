"""A field of heights that a program's moves cut in their order, from the reader's moves alone: what
its rapids go through, how quickly its cutters are fed down, and what shanks and holders pass."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.rs274.program_read import Move
from gcodekit.trade.cutter import SIDE_MILLS, Cutter

CELL = 0.25
# Cells are seen by their middles: so much less of a rapid's cutter is looked under, mm.
LESS = 0.2
# Chords of an arc are no farther off than this, mm.
SAGITTA = 0.001
STEEP = math.radians(10.0)
# Stock of less than this under a cutter's middle, mm, is none to be bored through.
OVER = 0.2
QUAD_SEGS = 64

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Bench:
    """What stands on the machine: corners of the stock's box, whether it is a round bar upright,
    cutters by number, holding bodies (outline and top). `asks` gives what of the stock must and
    what may go at a height."""

    low: tuple[float, float, float]
    high: tuple[float, float, float]
    round_: bool
    cutters: Mapping[int, Cutter]
    bodies: Sequence[tuple[BaseGeometry, float]]
    asks: Callable[[float], tuple[BaseGeometry, BaseGeometry]]
    tolerance: float

    @property
    def plan(self) -> BaseGeometry:
        """The stock from above."""
        (x0, y0, _), (x1, y1, _) = self.low, self.high
        if self.round_:
            middle = shapely.Point((x0 + x1) / 2, (y0 + y1) / 2)
            return middle.buffer((x1 - x0) / 2, quad_segs=QUAD_SEGS)
        return shapely.box(x0, y0, x1, y1)


def way_of(move: Move) -> tuple[Any, ...]:
    return (move.kind == "rapid", move.start, move.end, move.curve, move.cutter)


def path_of(move: Move) -> Array:
    """Where the tip goes: points, one below the other."""
    start, end = np.array(move.start), np.array(move.end)
    if move.known_before != "XYZ":
        return np.array([end, end])
    curve = move.curve
    if curve is None or curve.plane != 17:
        return np.array([start, end])
    centre = np.array(curve.centre[:2])
    step = 2 * math.acos(max(1 - SAGITTA / max(curve.radius, SAGITTA), 0.9))
    count = max(2, math.ceil(abs(curve.sweep) / step))
    angles = math.atan2(*(start[:2] - centre)[::-1]) + np.linspace(0.0, curve.sweep, count + 1)
    xy = centre + curve.radius * np.column_stack((np.cos(angles), np.sin(angles)))
    path = np.column_stack((xy, np.linspace(start[2], end[2], count + 1)))
    path[0], path[-1] = start, end
    return path


class Field:
    """A field of heights that the moves cut in their order. `met` are the rapids that went through
    something; `beside` what the `changed` moves, indices, come too near to: holding bodies by
    number, or stock beside their shanks, -1. Some bodies are gone at a stop: a sound program goes
    where they were. `downward` is the quickest feed of each cutter straight or steeply down."""

    def __init__(self, bench: Bench, changed: Iterable[int]) -> None:
        self.bench, self.changed = bench, frozenset(changed)
        (x0, y0, _), (x1, y1, _) = bench.low, bench.high
        self.xs = np.arange(x0 + CELL / 2, x1, CELL)
        self.ys = np.arange(y0 + CELL / 2, y1, CELL)
        self.top = np.full((len(self.ys), len(self.xs)), bench.high[2])
        if bench.round_:
            off = np.hypot(self.xs[None, :] - (x0 + x1) / 2, self.ys[:, None] - (y0 + y1) / 2)
            self.top[off > (x1 - x0) / 2] = -np.inf
        self.met: set[tuple[Any, ...]] = set()
        self.downward: dict[int, float] = defaultdict(float)
        self.beside: set[int] = set()

    def run(self, moves: Sequence[Move]) -> None:
        """Make all of them."""
        for index, move in enumerate(moves):
            cutter = self.bench.cutters.get(move.cutter)
            if cutter is None or move.known != "XYZ":
                continue
            path = path_of(move)
            if index in self.changed:
                self._look(path, cutter)
            if path[:, 2].min() < self.bench.high[2]:
                for a, b in _chords(path):
                    self._make(move, a, b, cutter)

    def plunges_quicker(self, was: Field) -> bool:
        """Whether a cutter goes down quicker than it ever did before."""
        return any(feed > was.downward[n] * 1.001 for n, feed in self.downward.items())

    def _make(self, move: Move, a: Array, b: Array, cutter: Cutter) -> None:
        window = self._window(a, b, cutter.radius)
        if window is None:
            return
        off, low = self._reach(a, b, *window)
        body = low + _profile(off, cutter)
        here = self.top[window]
        # cut through, there is nothing left
        here[here <= self.bench.low[2] + 1e-6] = -np.inf
        if move.kind == "rapid":
            if bool(((off < cutter.radius - LESS) & (here > body + 0.02)).any()):
                self.met.add(way_of(move))
            return
        slope = math.atan2(a[2] - b[2], math.dist(a[:2], b[:2]))
        under = (off < cutter.radius / 2) & (here > low + OVER)
        if cutter.kind in SIDE_MILLS and slope > STEEP and bool(under.any()):
            feed = move.feed if cutter.centre_cutting else math.inf
            self.downward[cutter.number] = max(feed, self.downward[cutter.number])
        cut = (off <= cutter.radius) & (here > body)
        here[cut] = body[cut]

    def _look(self, path: Array, cutter: Cutter) -> None:
        """Shank and holder beside what stands, all of it beside what holds the work."""
        line, tip = shapely.LineString(path[:, :2]), float(path[:, 2].min())
        parts = [(cutter.radius, tip), (cutter.shank / 2, tip + cutter.flute_length)]
        if cutter.holder is not None:
            parts.append((cutter.holder.diameter / 2, tip + cutter.stickout))
        for radius, begins in parts:
            for number, (outline, top) in enumerate(self.bench.bodies):
                if begins < top and outline.distance(line) < radius:
                    self.beside.add(number)
        for radius, begins in parts[1:]:
            window = self._window(path.min(axis=0), path.max(axis=0), radius)
            if window is not None and bool((self.top[window] > begins + 0.02).any()):
                self.beside.add(-1)

    def _window(self, a: Array, b: Array, radius: float) -> tuple[slice, slice] | None:
        x0, x1 = min(a[0], b[0]) - radius, max(a[0], b[0]) + radius
        y0, y1 = min(a[1], b[1]) - radius, max(a[1], b[1]) + radius
        cols = slice(*np.searchsorted(self.xs, (x0, x1)))
        rows = slice(*np.searchsorted(self.ys, (y0, y1)))
        return (rows, cols) if cols.stop > cols.start and rows.stop > rows.start else None

    def _reach(self, a: Array, b: Array, rows: slice, cols: slice) -> tuple[Array, Array]:
        """How far each cell is from a straight way in plan, and the tip's height beside it."""
        x, y = self.xs[cols][None, :] - a[0], self.ys[rows][:, None] - a[1]
        dx, dy = b[0] - a[0], b[1] - a[1]
        square = dx * dx + dy * dy
        if square < 1e-12:
            return np.hypot(x, y), np.full((y.shape[0], x.shape[1]), min(a[2], b[2]))
        t = np.clip((x * dx + y * dy) / square, 0.0, 1.0)
        return np.hypot(x - t * dx, y - t * dy), a[2] + t * (b[2] - a[2])


def _chords(path: Array) -> Iterator[tuple[Array, Array]]:
    """A path's chords, a few at once where they are shorter than a cell."""
    last = path[0]
    for k, point in enumerate(path[1:], 1):
        if k == len(path) - 1 or math.dist(last, point) > CELL:
            yield last, point
            last = point


def _profile(off: Array, cutter: Cutter) -> Array:
    """How far above its tip a cutter begins, by distance from its middle: a point's flank."""
    length = cutter.point_length
    if length <= 0.0 or cutter.kind in SIDE_MILLS:
        return np.zeros_like(off)
    return np.asarray(np.minimum(off / cutter.radius, 1.0) * length)
