"""A program's moves seen from the front, as strokes. Level and upright ones that lie on or in
one another are one stroke, so that a pocket's hundred strokes at a depth are drawn once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from gcodekit.geometry.chain import Point
from gcodekit.plot.depth_colours import DepthBand, band_at
from gcodekit.plot.paper import number
from gcodekit.plot.scale import Scale
from gcodekit.plot.traces import LEAST_STEP, RAPID, Group, depth_of, known_moves
from gcodekit.proof.chords import point_on, turning_points
from gcodekit.rs274.program_read import Move

# Sloping strokes of one front view.
MOST_SLOPES = 30_000
# Steps shorter than this on the paper, mm, are joined to the next: coarser than on the plan, for
# here the strokes of all rows lie over one another.
_SHORTEST_STROKE = 0.15
# Chords of a whole turn seen from the side, and of one move.
_TURN, _MOST_CHORDS = 24, 960

# A stroke on a line of the paper: its group, whether it is level, and the line's place.
Line = tuple[Group, bool, int]
# Such lines lie this near to one another at least, mm.
_ROWS_APART = 0.05


def strokes_seen(
    moves: Sequence[Move], bands: tuple[DepthBand, ...], scale: Scale, axis: int = 0
) -> tuple[dict[Group, list[str]], int]:
    """Path data stroke by stroke, by band, `RAPID` for rapids; and how many are left out. `axis`:
    what is seen besides z: 0 x, 1 y."""
    square: dict[Line, list[Point]] = {}
    slopes: dict[Group, list[str]] = {}
    seen: set[tuple[object, ...]] = set()
    left_out = 0
    for group, a, b in _joined(moves, bands, scale, axis):
        level, upright = abs(a[1] - b[1]) < 0.01, abs(a[0] - b[0]) < 0.01
        if level or upright:
            along, across = (0, 1) if level else (1, 0)
            row = square.setdefault((group, level, round(a[across] / _ROWS_APART)), [])
            row.append((min(a[along], b[along]), max(a[along], b[along])))
            continue
        key = (group, *sorted(tuple(round(c / _ROWS_APART) for c in p) for p in (a, b)))
        if key in seen:
            continue
        if len(seen) >= MOST_SLOPES:
            left_out += 1
            continue
        seen.add(key)
        slopes.setdefault(group, []).append(f"M{_to(a)}L{_to(b)}")
    for line, spans in sorted(square.items()):
        slopes.setdefault(line[0], []).extend(_square(line, spans))
    return slopes, left_out


def _to(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"


def _square(line: Line, spans: list[Point]) -> list[str]:
    """Level or upright strokes on one line."""
    _, level, row = line
    at = row * _ROWS_APART
    if level:
        return [f"M{_to((a, at))}H{number(b)}" for a, b in _merged(spans)]
    return [f"M{_to((at, a))}V{number(b)}" for a, b in _merged(spans)]


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
    moves: Sequence[Move], bands: tuple[DepthBand, ...], scale: Scale, axis: int
) -> Iterator[tuple[Group, Point, Point]]:
    """Strokes on the paper, steps too small to see joined to the next."""
    pen: tuple[Group, Point, Point] | None = None
    for move in known_moves(moves):
        if "Z" not in move.known:
            continue
        group = RAPID if move.kind == "rapid" else (0, band_at(bands, depth_of(move)))
        seen = _seen(move, axis)
        if "Z" not in move.known_before:
            if move.kind == "rapid":
                continue
            # from above, nobody knows from where
            seen = [(move.start[axis], scale.highest), (move.end[axis], move.end[2])]
        for a, b in _straight(seen, scale):
            start, end = scale.point(*a), scale.point(*b)
            since = pen[1] if pen is not None and pen[0] == group and pen[2] == start else start
            if math.dist(since, end) < _SHORTEST_STROKE:
                pen = (group, since, end)
                continue
            yield group, since, end
            pen = (group, end, end)


def _straight(seen: Sequence[Point], scale: Scale) -> Iterator[tuple[Point, Point]]:
    """Pieces of a way that are straight on the paper too."""
    for a, b in pairwise(seen):
        yield from pairwise(scale.pieces(a, b))


def _seen(move: Move, axis: int) -> list[Point]:
    """The move from the front, as (x, z), or from the right, as (y, z): an arc by chords, a level
    arc by its farthest points."""
    ends = [(move.start[axis], move.start[2]), (move.end[axis], move.end[2])]
    if move.curve is None:
        return ends
    if move.curve.plane == 17 and move.start[2] == move.end[2]:
        xs = [p[axis] for p in turning_points(move)]
        z = move.start[2]
        return [ends[0], (min(xs), z), (max(xs), z), ends[1]]
    turns = abs(move.curve.sweep) / math.tau
    count = min(_MOST_CHORDS, max(2, math.ceil(turns * _TURN)))
    points = [point_on(move, i / count) for i in range(1, count)]
    return [ends[0], *((p[axis], p[2]) for p in points), ends[1]]
