"""Cuts of the plan that are strokes along X or Y as they are: straight edges, kerfs, marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from gcodekit.geometry.chain import Point, same
from gcodekit.handwheel.axis_scales import TableScales
from gcodekit.handwheel.strokes import StrokeTable, TableStop
from gcodekit.handwheel.swept_area import merged
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.scale import ScaleMarks
from gcodekit.toolpath.moves import ArcFeed, Feed, Move, Rapid

# A move is along an axis if it is no farther off it than this, mm.
ALONG = 1e-6
# Kinds whose lines are cut alike whichever way they go.
EITHER_WAY = ("engrave", "scale")


@dataclass(slots=True)
class _Run:
    """From where the cutter comes down to where it goes up: its way at the lowest height, and all
    heights at which it goes along. `bent`: some of it is along neither axis."""

    way: list[Point]
    depths: list[float] = field(default_factory=list)
    bent: bool = False


def straight_tables(
    moves: Sequence[Move], feature: Feature, scales: TableScales
) -> list[StrokeTable]:
    """The strokes of an operation, those at the same depths in one table; none where some of it is
    bent, or cut with the feed, which hands do not hold. Of a scale its marks alone."""
    if feature.kind not in EITHER_WAY and feature.cutting.direction == "climb":
        return []
    runs = _runs(moves)
    if isinstance(feature, ScaleMarks):
        marks = [(c.start, c.end) for c in feature.stroke_chains[: feature.count]]
        runs = [r for r in runs if _is_mark(r.way, marks)]
    if any(run.bent for run in runs):
        return []
    tables: dict[tuple[float, ...], list[TableStop]] = {}
    for run in runs:
        tables.setdefault(tuple(run.depths), []).extend(_stops(run.way, scales))
    return [StrokeTable(depths=d, stops=tuple(merged(s))) for d, s in tables.items()]


def _runs(moves: Sequence[Move]) -> list[_Run]:
    """What is cut between one rapid and the next; the same way at more depths is one run."""
    found: list[_Run] = []
    at, z = (0.0, 0.0), float("inf")
    open_ = False
    for move in moves:
        if isinstance(move, Rapid):
            at = (at[0] if move.x is None else move.x, at[1] if move.y is None else move.y)
            z = z if move.z is None else move.z
            open_ = False
        elif isinstance(move, Feed | ArcFeed):
            there = (move.x, move.y)
            if not same(at, there):
                if not open_:
                    found.append(_Run([at]))
                    open_ = True
                _follow(found[-1], at, there, z, move)
            at, z = there, move.z
    return _same_ways(found)


def _follow(run: _Run, at: Point, there: Point, z: float, move: Feed | ArcFeed) -> None:
    """One more move of a run: a lower one begins its way afresh."""
    if not run.depths or z < run.depths[-1] - ALONG:
        run.depths.append(z)
        run.way = [at]
    off = min(abs(there[0] - at[0]), abs(there[1] - at[1]))
    level = abs(z - run.depths[-1]) <= ALONG and abs(move.z - z) <= ALONG
    run.bent |= isinstance(move, ArcFeed) or off > ALONG or not level
    run.way.append(there)


def _same_ways(runs: Sequence[_Run]) -> list[_Run]:
    found: list[_Run] = []
    for run in runs:
        before = found[-1] if found else None
        if before is not None and before.way == run.way and run.depths[0] < before.depths[-1]:
            before.depths += run.depths
        else:
            found.append(run)
    return found


def _is_mark(way: Sequence[Point], marks: Sequence[tuple[Point, Point]]) -> bool:
    ends = (way[0], way[-1])
    return len(way) == 2 and any(
        all(same(a, b) for a, b in zip(ends, mark, strict=True))
        or all(same(a, b) for a, b in zip(ends, reversed(mark), strict=True))
        for mark in marks
    )


def _stops(way: Sequence[Point], scales: TableScales) -> list[TableStop]:
    """Down at the first place, and from one to the next with a single handle."""
    here = scales.nearest(way[0])
    found = [TableStop("down", here)]
    for before, after in pairwise(way):
        x, y = scales.nearest(after)
        along_x = abs(after[0] - before[0]) > abs(after[1] - before[1])
        # what does not move keeps its reading, whichever way rounding goes
        there = (x, here[1]) if along_x else (here[0], y)
        if there != here:
            found.append(TableStop("x" if along_x else "y", there))
        here = there
    return found
