"""A program's moves seen from the front, as strokes. Level ones that lie on or in one another
are one stroke, so that a pocket's hundred strokes at a depth are drawn once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from gcodekit.geometry.chain import Point
from gcodekit.plot.ramp import Band, band_at
from gcodekit.plot.scale import Scale
from gcodekit.plot.traces import LEAST_STEP, RAPID, Group, depth_of, known_moves
from gcodekit.proof.chords import point_on, turning_points
from gcodekit.rs274.moves import Move

# Sloping strokes of one front view.
MOST_SLOPES = 20_000
# Chords of a whole turn seen from the side, and of one move.
_TURN, _MOST_CHORDS = 24, 960

Spans = dict[tuple[Group, int], list[Point]]


def strokes_seen(
    moves: Sequence[Move], bands: tuple[Band, ...], scale: Scale
) -> tuple[dict[Group, str], int]:
    """Path data by band, `RAPID` for rapids, and how many strokes are left out."""
    level: Spans = {}
    slopes: dict[Group, list[str]] = {}
    seen: set[tuple[object, ...]] = set()
    left_out = 0
    for group, a, b in _joined(moves, bands, scale):
        if abs(a[1] - b[1]) < 0.01:
            level.setdefault((group, round(a[1] * 20)), []).append(
                (min(a[0], b[0]), max(a[0], b[0]))
            )
            continue
        key = (group, *sorted(tuple(round(c * 20) for c in p) for p in (a, b)))
        if key in seen:
            continue
        if len(seen) >= MOST_SLOPES:
            left_out += 1
            continue
        seen.add(key)
        slopes.setdefault(group, []).append(f"M{_said(a)}L{_said(b)}")
    for (group, row), spans in sorted(level.items()):
        data = slopes.setdefault(group, [])
        data += [f"M{_said((x0, row / 20))}H{x1:.2f}" for x0, x1 in _merged(spans)]
    return {group: "".join(data) for group, data in slopes.items()}, left_out


def _said(point: Point) -> str:
    return f"{point[0]:.2f} {point[1]:.2f}"


def _merged(spans: list[Point]) -> list[Point]:
    """Spans that meet, as one."""
    found: list[Point] = []
    for low, high in sorted(spans):
        if found and low <= found[-1][1] + LEAST_STEP:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def _joined(
    moves: Sequence[Move], bands: tuple[Band, ...], scale: Scale
) -> Iterator[tuple[Group, Point, Point]]:
    """Strokes on the paper, steps too small to see joined to the next."""
    pen: tuple[Group, Point, Point] | None = None
    for move in known_moves(moves):
        if move.known_before != "XYZ":
            continue
        group = RAPID if move.kind == "rapid" else (0, band_at(bands, depth_of(move)))
        for a, b in pairwise(_seen(move)):
            start, end = scale.point(*a), scale.point(*b)
            since = pen[1] if pen is not None and pen[0] == group and pen[2] == start else start
            if math.dist(since, end) < LEAST_STEP:
                pen = (group, since, end)
                continue
            yield group, since, end
            pen = (group, end, end)


def _seen(move: Move) -> list[Point]:
    """The move from the front, as (x, z): an arc by chords, a level arc by its farthest points."""
    ends = [(move.start[0], move.start[2]), (move.end[0], move.end[2])]
    if move.curve is None:
        return ends
    if move.curve.plane == 17 and move.start[2] == move.end[2]:
        xs = [p[0] for p in turning_points(move)]
        z = move.start[2]
        return [ends[0], (min(xs), z), (max(xs), z), ends[1]]
    turns = abs(move.curve.sweep) / math.tau
    count = min(_MOST_CHORDS, max(2, math.ceil(turns * _TURN)))
    points = [point_on(move, i / count) for i in range(1, count)]
    return [ends[0], *((p[0], p[2]) for p in points), ends[1]]
