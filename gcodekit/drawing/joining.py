"""Loose lines and arcs joined end to end, and those drawn on top of one another told.

end     one end of a segment: twice the segment's index, and one more for its far end
node    where ends meet
chain   segments from node to node, as far as exactly two ends meet
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from gcodekit.geometry.chain import (
    SAME_POINT,
    Arc,
    Chain,
    Line,
    Point,
    Points,
    Segment,
    distance,
    same,
)

# Ends no further apart than this are meant to meet, mm: more than drawing programs round to, less
# than any gap that is meant.
WIDEST_GAP = 0.01
# Ends nearer than this meet without a word, mm: rounding to three decimals.
TOLD = 1e-3
# Ends that differ by less are one, mm: rounding in arithmetic.
_ONE = 1e-6
# A piece shorter than this is not joined to itself, mm.
_OWN_ENDS = 4 * WIDEST_GAP
# Two pieces are one when their ends and middles are this near, mm.
ON_TOP = 1e-3

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class JoinedRun:
    """A chain and the segments it was made of, in the order of the walk. A closed one may have
    been closed over a gap."""

    chain: Chain
    which: tuple[int, ...]
    closed: bool


@dataclass(frozen=True, slots=True)
class Joining:
    """What came of it.

    Parameters
    ----------
    gaps : (width mm, place, the two segments) of every gap wider than `TOLD` that was closed
    forks : (place, segments) where more than two ends meet
    """

    runs: tuple[JoinedRun, ...]
    gaps: tuple[tuple[float, Point, int, int], ...]
    forks: tuple[tuple[Point, tuple[int, ...]], ...]


def joined(segments: Sequence[Segment]) -> Joining:
    """Segments that are no full circles, joined."""
    if not segments:
        return Joining((), (), ())
    ends = np.array([p for s in segments for p in (s.start, s.end)])
    nodes, gaps = _nodes(ends, segments)
    at: list[list[int]] = [[] for _ in range(int(nodes.max()) + 1)]
    for end, node in enumerate(nodes.tolist()):
        at[node].append(end)
    places = [_place(members, segments) for members in at]
    mended = [
        _between(s, places[int(nodes[2 * i])], places[int(nodes[2 * i + 1])])
        for i, s in enumerate(segments)
    ]
    forks = tuple(
        (places[n], tuple(dict.fromkeys(e // 2 for e in members)))
        for n, members in enumerate(at)
        if len(members) > 2
    )
    return Joining(tuple(_ChainWalk(mended, nodes.tolist(), at).runs()), tuple(gaps), forks)


def _nodes(
    ends: Points, segments: Sequence[Segment]
) -> tuple[Ints, list[tuple[float, Point, int, int]]]:
    """The node of every end, and the gaps that were closed."""
    _, back = np.unique(np.rint(ends / _ONE).astype(np.int64), axis=0, return_inverse=True)
    nodes: Ints = back.reshape(-1).astype(np.int64)
    gaps: list[tuple[float, Point, int, int]] = []
    while pairs := _nearest_loose(ends, nodes, segments):
        for a, b in pairs:
            wide = float(np.hypot(*(ends[a] - ends[b])))
            if wide > TOLD:
                middle = ((ends[a] + ends[b]) / 2).tolist()
                gaps.append((wide, (middle[0], middle[1]), a // 2, b // 2))
            nodes[b] = nodes[a]
    return np.unique(nodes, return_inverse=True)[1].reshape(-1).astype(np.int64), gaps


def _nearest_loose(ends: Points, nodes: Ints, segments: Sequence[Segment]) -> list[tuple[int, int]]:
    """Pairs of loose ends that are each other's nearest, and near enough to be joined."""
    loose = np.flatnonzero(np.bincount(nodes)[nodes] == 1)
    if len(loose) < 2:
        return []
    points = shapely.points(ends[loose]).tolist()  # type: ignore[union-attr]  # an array of them
    left, right = shapely.STRtree(points).query_nearest(
        points, max_distance=WIDEST_GAP, exclusive=True, all_matches=False
    )
    nearest = dict(zip(loose[left].tolist(), loose[right].tolist(), strict=True))
    return [
        (a, b)
        for a, b in nearest.items()
        if a < b
        and nearest.get(b) == a
        and (a // 2 != b // 2 or segments[a // 2].length > _OWN_ENDS)
    ]


def _place(members: list[int], segments: Sequence[Segment]) -> Point:
    """Find where ends meet: at an arc's end, which is better known than where a line stops."""
    points = [_end(segments[e // 2], e % 2) for e in members]
    arcs = [p for p, e in zip(points, members, strict=True) if isinstance(segments[e // 2], Arc)]
    chosen = arcs if len(arcs) == 1 else points
    if all(distance(p, chosen[0]) < SAME_POINT for p in points):
        return chosen[0]
    n = len(chosen)
    return (math.fsum(p[0] for p in chosen) / n, math.fsum(p[1] for p in chosen) / n)


def _end(segment: Segment, far: int) -> Point:
    return segment.end if far else segment.start


def _between(segment: Segment, start: Point, end: Point) -> Segment:
    """The segment drawn to other ends: an arc through its own middle."""
    moved = max(distance(segment.start, start), distance(segment.end, end))
    if isinstance(segment, Line) or moved < SAME_POINT or start == end:
        return replace(segment, start=start, end=end)
    centre = _centre(start, segment.point_at(segment.length / 2), end)
    return Line(start, end) if centre is None else Arc(start, end, centre, segment.ccw)


def _centre(a: Point, b: Point, c: Point) -> Point | None:
    """The centre of the circle through three points."""
    bx, by, cx, cy = b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]
    twice = 2 * (bx * cy - by * cx)
    if abs(twice) < 1e-12:
        return None
    bb, cc = bx * bx + by * by, cx * cx + cy * cy
    return (a[0] + (cy * bb - by * cc) / twice, a[1] + (bx * cc - cx * bb) / twice)


@dataclass(frozen=True, slots=True)
class _ChainWalk:
    """Segments, the node of each of their ends, and the ends at each node."""

    segments: list[Segment]
    nodes: list[int]
    at: list[list[int]]

    def runs(self) -> list[JoinedRun]:
        """Every chain; it begins with, and goes the way of, its first segment in the file."""
        done: set[int] = set()
        out: list[JoinedRun] = []
        for first in range(len(self.segments)):
            if first in done:
                continue
            ahead, closed = self._onward(2 * first + 1)
            way = [2 * first + 1, *ahead]
            if not closed:
                behind, _ = self._onward(2 * first)
                way = [*(e ^ 1 for e in reversed(behind)), *way]
            done.update(e // 2 for e in way)
            out.append(self._run(way, closed=closed))
        return out

    def _onward(self, end: int) -> tuple[list[int], bool]:
        """The far ends of the segments passed from `end` on, and whether they come round."""
        first, way = end // 2, list[int]()
        while len(here := self.at[self.nodes[end]]) == 2:
            other = here[0] if here[1] == end else here[1]
            if other // 2 == first:
                return way, True
            end = other ^ 1
            way.append(end)
        return way, False

    def _run(self, way: list[int], *, closed: bool) -> JoinedRun:
        chain = Chain(
            tuple(self.segments[e // 2] if e % 2 else self.segments[e // 2].reversed() for e in way)
        )
        return JoinedRun(chain, tuple(e // 2 for e in way), closed)


def drawn_twice(segments: Sequence[Segment]) -> NDArray[np.int64]:
    """For every segment the index of the first one that lies where it lies; its own where none.

    Likeness is told on a grid, and on another shifted by half of it, so that neither the number
    of pieces in one place nor rounding matters.
    """
    first = np.arange(len(segments))
    if not len(segments):
        return first
    keys = _keys(segments)
    for shift in (0.0, 0.5):
        cells = np.floor(keys / ON_TOP + shift).astype(np.int64)
        _, at, back = np.unique(cells, axis=0, return_index=True, return_inverse=True)
        first = np.minimum(first, at[back.reshape(-1)])
    return first


def _keys(segments: Sequence[Segment]) -> Points:
    """Ends in order of place, and the middle; of a full circle its centre and radius, (n, 6)."""
    rows = []
    for s in segments:
        if isinstance(s, Arc) and same(s.start, s.end):
            rows.append((*s.centre, *s.centre, s.radius, s.radius))
        else:
            # ends alike but for rounding must not change places: compared on a coarse scale
            a, b = sorted((s.start, s.end), key=lambda p: (round(p[0], 4), round(p[1], 4)))
            rows.append((*a, *b, *s.point_at(s.length / 2)))
    return np.array(rows)
