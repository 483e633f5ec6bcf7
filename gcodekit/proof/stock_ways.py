"""A program's moves in pieces that a field of heights can be cut by, in program order."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from gcodekit.proof.chords import lowest_reached, tip_path
from gcodekit.rs274.program_read import Move, Point3
from gcodekit.trade.cutter import Cutter

# A level way is cut in pieces of this many diameters: a piece cuts or it cuts air.
PIECE = 2.0
# Moves to a piece.
MOST_IN_PIECE = 64


@dataclass(frozen=True, slots=True)
class StockWay:
    """A piece of a move: where the tip goes, and the seconds it takes there at its feed."""

    move: int
    start: Point3
    end: Point3
    seconds: float
    centre: tuple[float, float] | None = None
    sweep: float = 0.0

    @property
    def level(self) -> bool:
        """Tell whether the tip keeps its height."""
        return self.start[2] == self.end[2]

    @property
    def low(self) -> float:
        """The tip's lowest z."""
        return min(self.start[2], self.end[2])


def pieces(
    moves: Sequence[Move], cutters: Mapping[int, Cutter], *, top: float
) -> Iterator[tuple[Cutter, bool, list[StockWay]]]:
    """The moves that come below `top`, in order: cutter, whether rapid, and ways cut at once."""
    joined: list[StockWay] = []
    length = 0.0
    last: tuple[int, float] | None = None
    for index, move in enumerate(moves):
        cutter = cutters.get(move.cutter)
        if cutter is None or lowest_known(move) >= top:
            continue
        for way in _ways(index, move, cutter):
            line = move.kind == "line" and way.level and way.start != way.end
            key = (move.cutter, way.start[2]) if line else None
            step = math.dist(way.start, way.end)
            full = length + step > PIECE * cutter.diameter or len(joined) >= MOST_IN_PIECE
            if joined and (key is None or key != last or full or way.start != joined[-1].end):
                yield cutters[moves[joined[0].move].cutter], False, joined
                joined, length = [], 0.0
            if key is None:
                yield cutter, move.kind == "rapid", [way]
            else:
                joined.append(way)
                length += step
            last = key
    if joined:
        yield cutters[moves[joined[0].move].cutter], False, joined


def lowest_known(move: Move) -> float:
    """The tip's lowest z; infinite where the end is not known."""
    return lowest_reached(move) if move.known == "XYZ" else math.inf


def _ways(index: int, move: Move, cutter: Cutter) -> Iterator[StockWay]:
    """One move in pieces that the field can take."""
    feed = move.feed / 60.0
    curve = move.curve
    if curve is not None and move.known_before == "XYZ" and curve.plane == 17:
        level = move.start[2] == move.end[2]
        if level or cutter.point_length <= 0.0:
            yield from _arc_ways(index, move, feed, level)
            return
    if curve is None and move.known_before == "XYZ" and move.length <= PIECE * cutter.diameter:
        yield StockWay(index, move.start, move.end, move.length / feed if feed > 0.0 else 0.0)
        return
    path = tip_path(move)
    for start, end in pairwise(path):
        step = math.dist(start, end)
        most = PIECE * cutter.diameter if start[2] == end[2] else math.inf
        count = max(1, math.ceil(step / most)) if step else 1
        seconds = step / count / feed if feed > 0.0 else 0.0
        before = start
        for k in range(1, count + 1):
            after = end if k == count else _between(start, end, k / count)
            yield StockWay(index, before, after, seconds)
            before = after


def _arc_ways(index: int, move: Move, feed: float, level: bool) -> Iterator[StockWay]:
    """A level arc by quarters of a turn, so that none looks at all the cells round it; a helix
    turn by turn."""
    curve = move.curve
    assert curve is not None
    centre = (curve.centre[0], curve.centre[1])
    whole = abs(curve.sweep)
    count = max(1, math.ceil(whole / (math.pi / 2 if level else math.tau) - 1e-9))
    seconds = move.length / count / feed if feed > 0.0 else 0.0
    arc = math.dist(centre, move.start[:2])
    angle = math.atan2(move.start[1] - centre[1], move.start[0] - centre[0])
    before = move.start
    for k in range(1, count + 1):
        turned = angle + curve.sweep * k / count
        z = move.start[2] + (move.end[2] - move.start[2]) * k / count
        x, y = centre[0] + arc * math.cos(turned), centre[1] + arc * math.sin(turned)
        after = move.end if k == count else (x, y, z)
        yield StockWay(index, before, after, seconds, centre, curve.sweep / count)
        before = after


def _between(start: Point3, end: Point3, share: float) -> Point3:
    x, y, z = (a + (b - a) * share for a, b in zip(start, end, strict=True))
    return (x, y, z)


def work_of(moves: Sequence[Move], cutters: Mapping[int, Cutter], cell: float, top: float) -> float:
    """The approximate number of cells the moves will look at."""
    total = 0.0
    for move in moves:
        cutter = cutters.get(move.cutter)
        if cutter is not None and lowest_known(move) < top:
            wide = cutter.diameter + 2 * cell
            total += (move.length + wide) * wide / cell**2
    return total
