"""The cuts of an operation in plan, as lines and arcs: what feeds are reckoned from."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Point
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move, Rapid

Array = NDArray[np.float64]

# Heights that are one, mm.
SAME_TIP_HEIGHT = 1e-6
# Chords of a piece, to find it by.
PIECE_CHORDS = 4
# An arc is looked at in pieces no longer than this, radians and cutter radii, so that what it has
# itself just cut counts.
PIECE_ANGLE = math.radians(60.0)
PIECE_LENGTH = 2.0


@dataclass(frozen=True, slots=True)
class Cuts:
    """The cuts of one operation in plan, in order, lines and arcs, of a cutter with this radius.

    `start`, `end`: (n, 2) mm; `centre`: (n, 2), of an arc; `sweep`: (n,) signed, radians, 0 for a
    line; `tip`: (n,) the highest the tip is along each; `level`: (n,) whether it stays there;
    `move`: (n,) index of the move it belongs to; `at`: (n,) mm along that move
    """

    radius: float
    start: Array
    end: Array
    centre: Array
    sweep: Array
    tip: Array
    level: NDArray[np.bool_]
    move: NDArray[np.int64]
    at: Array

    @property
    def way(self) -> bytes:
        """What tells them from others in plan."""
        every = (self.start, self.end, self.centre, np.array([self.radius]))
        return b"".join(a.tobytes() for a in every)

    @property
    def arc_radius(self) -> Array:
        """(n,) mm, of arcs."""
        found: Array = np.hypot(*(self.start - self.centre).T)
        return found

    @property
    def length(self) -> Array:
        """(n,) mm."""
        straight = np.hypot(*(self.end - self.start).T)
        return np.where(self.sweep != 0, np.abs(self.sweep) * self.arc_radius, straight)

    def reach(self, z: float, wedge: float = 0.0) -> NDArray[np.bool_]:
        """(n,) which cut all they pass at `z`; on a slope all but a `wedge` so high at most, mm."""
        return self.tip <= z + SAME_TIP_HEIGHT + np.where(self.level, 0.0, wedge)

    def below(self, z: float) -> Cuts:
        """The cuts that take all they pass at `z`."""
        return self.rows(self.reach(z))

    def near(self, others: Cuts) -> Cuts:
        """The cuts that come anywhere near others, as far as boxes tell."""
        if not len(others.tip):
            return self
        ends = np.concatenate((others.start, others.end))
        # an arc of a sixth of a turn bulges by less than half its chord
        far = self.radius + others.radius + self.length / 2
        low = np.minimum(self.start, self.end) - far[:, None]
        high = np.maximum(self.start, self.end) + far[:, None]
        bulge = float(others.length.max()) / 2
        meet = (low <= ends.max(axis=0) + bulge) & (high >= ends.min(axis=0) - bulge)
        return self.rows(meet.all(axis=1))

    def once_in_plan(self) -> Cuts:
        """Without those that go the way another goes, higher or lower."""
        return self.rows(self.first_in_plan())

    def first_in_plan(self) -> NDArray[np.bool_]:
        """(n,) which are the first to go their way, higher or lower."""
        ways = np.concatenate((self.start, self.end, self.centre), axis=1)
        _, first = np.unique(ways, axis=0, return_index=True)
        found = np.zeros(len(ways), dtype=bool)
        found[first] = True
        return found

    def rows(self, which: NDArray[Any]) -> Cuts:
        """Some of them: indices or a mask."""
        return Cuts(
            self.radius,
            self.start[which],
            self.end[which],
            self.centre[which],
            self.sweep[which],
            self.tip[which],
            self.level[which],
            self.move[which],
            self.at[which],
        )

    def points(self, row: NDArray[np.int64], along: Array) -> tuple[Array, Array]:
        """(m, 2) places `along` mm on cuts, and (m,) the headings there, radians."""
        start, way = self.start[row], (self.end - self.start)[row]
        length = np.maximum(self.length[row], SAME_TIP_HEIGHT)
        share = (along / length)[:, None]
        straight = start + share * way
        heading = np.arctan2(way[:, 1], way[:, 0])
        off = start - self.centre[row]
        angle = np.arctan2(off[:, 1], off[:, 0]) + share[:, 0] * self.sweep[row]
        turn = np.stack((np.cos(angle), np.sin(angle)), axis=1)
        bent = self.centre[row] + self.arc_radius[row][:, None] * turn
        is_arc = self.sweep[row] != 0
        headings = np.where(is_arc, angle + np.copysign(math.pi / 2, self.sweep[row]), heading)
        return np.where(is_arc[:, None], bent, straight), headings

    def runs(self, chords: int, *, most: int) -> NDArray[np.object_]:
        """The cuts that follow one another as one line, at most so many; arcs by so many chords."""
        count = len(self.tip)
        row = np.repeat(np.arange(count), chords + 1)
        share = np.tile(np.arange(chords + 1) / chords, count)
        places, _ = self.points(row, share * self.length[row])
        on = np.zeros(count, dtype=bool)
        on[1:] = (np.abs(self.start[1:] - self.end[:-1]) < SAME_TIP_HEIGHT).all(axis=1)
        first = np.flatnonzero(~on)
        # how many in a row before each, and a new line after every `most` of them
        before = np.arange(count) - np.repeat(first, np.diff(np.append(first, count)))
        on &= before % most != 0
        kept = np.tile(np.arange(chords + 1), count)
        ends = (kept == 0) | (kept == chords)
        keep = (ends | (self.sweep[row] != 0)) & ~((kept == 0) & on[row])
        line = np.cumsum(~on)[row] - 1
        found: NDArray[np.object_] = shapely.linestrings(places[keep], indices=line[keep])
        return found

    def lines(self, chords: int = PIECE_CHORDS) -> list[BaseGeometry]:
        """Each as a line of so many chords."""
        row = np.repeat(np.arange(len(self.tip)), chords + 1)
        share = np.tile(np.arange(chords + 1) / chords, len(self.tip))
        places, _ = self.points(row, share * self.length[row])
        found = shapely.linestrings(places.reshape(-1, chords + 1, 2))
        return list(np.atleast_1d(np.asarray(found)))


def cuts_of(moves: Sequence[Move], radius: float) -> Cuts:
    """The feed moves of an operation, long arcs in pieces."""
    rows: list[tuple[float, ...]] = []
    at: Point | None = None
    z = math.inf
    for index, move in enumerate(moves):
        if isinstance(move, Feed | ArcFeed) and at is not None:
            tip, level = max(z, move.z), abs(z - move.z) <= SAME_TIP_HEIGHT
            rows += [(*piece, tip, level, index) for piece in _pieces(at, move, radius)]
        at, z = _after(move, at, z)
    table = np.array(rows, dtype=float).reshape(-1, 11)
    return Cuts(
        radius,
        start=table[:, 0:2],
        end=table[:, 2:4],
        centre=table[:, 4:6],
        sweep=table[:, 6],
        at=table[:, 7],
        tip=table[:, 8],
        level=table[:, 9].astype(bool),
        move=table[:, 10].astype(np.int64),
    )


def _after(move: Move, at: Point | None, z: float) -> tuple[Point | None, float]:
    """The place of the tip after a move."""
    match move:
        case Feed() | ArcFeed():
            return (move.x, move.y), move.z
        case HoleCycle():
            return (move.x, move.y), move.retract
        case Rapid():
            over = at if move.x is None or move.y is None else (move.x, move.y)
            return over, z if move.z is None else move.z
    return at, z


def _pieces(at: Point, move: Feed | ArcFeed, cutter: float) -> Iterator[tuple[float, ...]]:
    """Start, end, centre, sweep, and mm along the move."""
    if isinstance(move, Feed):
        yield (*at, move.x, move.y, *at, 0.0, 0.0)
        return
    arc = arc_of(at, move)
    long = arc.length / (PIECE_LENGTH * cutter)
    count = max(1, math.ceil(max(abs(arc.sweep) / PIECE_ANGLE, long) - 1e-9))
    ends = [arc.length * k / count for k in range(count + 1)]
    for s, (a, b) in zip(ends, pairwise(map(arc.point_at, ends)), strict=False):
        yield (*a, *b, move.cx, move.cy, arc.sweep / count, s)


def arc_of(at: Point, move: ArcFeed) -> Arc:
    """The arc that a move from a point goes along, in plan."""
    return Arc(at, (move.x, move.y), (move.cx, move.cy), move.ccw)
