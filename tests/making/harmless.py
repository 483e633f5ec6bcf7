"""Whether a program with something changed still cuts the same and moves safely, judged from the
reader's moves alone with plain shapely and numpy: no code of the proof's.

In plan: at every height of what was changed, the region swept before and after. In program order:
a coarse field of heights, for what a rapid meets, how quickly a cutter is fed down, and what shanks
and holders pass. Anything in doubt is not harmless.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import accumulate, groupby, pairwise
from typing import Any

import shapely
from coarse_field import QUAD_SEGS, Array, Bench, Field, path_of, way_of
from shapely.geometry.base import BaseGeometry

from gcodekit.rs274 import ReadProgram
from gcodekit.rs274.program_read import Move

MOST_LEVELS = 40


def judgement(before: ReadProgram, after: ReadProgram, bench: Bench) -> str:
    """Harmless or undecided, and why; "" where it is not shown to do no harm."""
    if _run(before) == _run(after):
        return "harmless: it reads as the same moves"
    if any(p.severity == "error" for p in after.problems) or not after.ended:
        return ""
    if _events(before, bench) != _events(after, bench) or not _sound(before, after, bench):
        return ""
    if _stopped_in_stock(after, bench):
        return ""
    gone, new = _difference(before.moves, after.moves)
    if not _cuts_the_same(before, after, gone, new, bench):
        return ""
    was, now = Field(bench, gone), Field(bench, new)
    was.run(before.moves)
    now.run(after.moves)
    if now.met - was.met or now.beside - was.beside:
        return ""
    if now.plunges_quicker(was):
        # how quick is too quick, books differ on
        return "undecided: a cutter goes down quicker, and cuts the same"
    return "harmless: it cuts the same and moves safely"


def fed_alike(before: ReadProgram, after: ReadProgram, bench: Bench) -> bool:
    """Whether nothing differs but how fast, and how long it waits."""

    def run(reading: ReadProgram) -> tuple[Any, ...]:
        ways = [(way_of(m), m.spindle, m.coolant, m.known) for m in reading.moves]
        return ways, _events(reading, bench), reading.ended

    return run(before) == run(after)


def _run(reading: ReadProgram) -> tuple[Any, ...]:
    """All that a program does, without its line numbers."""
    moves = [m._replace(line=0) for m in reading.moves]
    events = [(e.kind, e.before, e.value, e.text, e.conditions) for e in reading.events]
    turns = [(e.before, e.value) for e in reading.turns]
    return moves, events, turns, reading.ended


def _is_cut(move: Move, bench: Bench) -> bool:
    """Of those at a feed, straight ones from a height not known that end above all stock are none,
    nor are those above it all along."""
    top = bench.high[2]
    above = move.end[2] >= top and (move.start[2] >= top or move.known_before == "XY")
    return move.kind != "rapid" and not above


def _events(reading: ReadProgram, bench: Bench) -> list[tuple[Any, ...]]:
    """Stops, changes, coolant and zero, and what is on then; between two cuts their order does not
    matter. The end turns spindle and coolant off by itself (NISTIR 6556, 3.6.1)."""
    cuts = [0, *accumulate(_is_cut(m, bench) for m in reading.moves)]
    found: list[tuple[Any, ...]] = []
    for _, group in groupby(reading.events, key=lambda e: cuts[e.before]):
        events = [e for e in group if e.kind not in ("message", "dwell")]
        ends = any(e.kind == "end" for e in events)
        found += sorted(
            (e.kind, e.value, e.text, e.conditions.spindle, e.conditions.coolant)
            for e in events
            if not ends
        )
        found += [("end",)] if ends else []
    return found


def _sound(before: ReadProgram, after: ReadProgram, bench: Bench) -> bool:
    """Every cut at a speed and with the coolant that its cutter had before, no quicker than it
    ever was, every axis known; no dwell lost."""

    def cuts_of(reading: ReadProgram) -> list[Move]:
        return [m for m in reading.moves if _is_cut(m, bench)]

    def used(reading: ReadProgram) -> set[tuple[Any, ...]]:
        return {
            (m.cutter, m.speed, m.spindle, m.coolant, m.conditions.length_offset)
            for m in cuts_of(reading)
        }

    def waited(reading: ReadProgram) -> float:
        return sum(e.value for e in reading.events if e.kind == "dwell")

    fastest: dict[int, float] = defaultdict(float)
    for m in before.moves:
        if m.kind != "rapid":
            fastest[m.cutter] = max(m.feed, fastest[m.cutter])
    known = all(m.known == "XYZ" == m.known_before for m in cuts_of(after))
    slow = all(0.0 < m.feed <= fastest[m.cutter] for m in cuts_of(after))
    slow = slow and all(m.kind == "rapid" or m.feed > 0.0 for m in after.moves)
    return known and slow and used(after) <= used(before) and waited(after) >= waited(before)


def _stopped_in_stock(reading: ReadProgram, bench: Bench) -> bool:
    """Whether a cutter moves without turning where there was stock within its radius."""
    plan = bench.plan
    return any(
        m.spindle == 0
        and m.known_before == "XYZ"
        and m.start[2] < bench.high[2] - 1e-6
        and m.cutter in bench.cutters
        and plan.distance(shapely.Point(m.start[:2])) < bench.cutters[m.cutter].radius
        for m in reading.moves
    )


def _difference(
    before: Sequence[Move], after: Sequence[Move]
) -> tuple[frozenset[int], frozenset[int]]:
    """Indices of the moves that only one of the programs makes."""
    one, two = {way_of(m) for m in before}, {way_of(m) for m in after}
    gone = frozenset(i for i, m in enumerate(before) if way_of(m) not in two)
    return gone, frozenset(i for i, m in enumerate(after) if way_of(m) not in one)


def _swept(moves: Iterable[Move], z: float, bench: Bench) -> BaseGeometry:
    """The region at a height that cutters pass at their feed."""
    pieces: list[BaseGeometry] = []
    for move in moves:
        cutter, path = bench.cutters[move.cutter], path_of(move)
        if cutter.point_length > 0.0:
            for a, b in pairwise(path):
                radius = cutter.radius_at(z - min(a[2], b[2]))
                if radius > 0.0:
                    line = shapely.LineString((a[:2], b[:2]))
                    pieces.append(line.buffer(radius, quad_segs=QUAD_SEGS))
        elif lines := [p for a, b in pairwise(path) if (p := _under(a, b, z)) is not None]:
            whole = shapely.line_merge(shapely.multilinestrings(lines))
            pieces.append(whole.buffer(cutter.radius, quad_segs=QUAD_SEGS))
    return shapely.union_all(pieces)


def _under(a: Array, b: Array, z: float) -> Any:
    """The part of a straight way that is below a height, in plan."""
    if max(a[2], b[2]) <= z:
        return (a[:2], b[:2])
    if min(a[2], b[2]) > z:
        return None
    at = a + (b - a) * (z - a[2]) / (b[2] - a[2])
    return ((a if a[2] < b[2] else b)[:2], at[:2])


def _cuts_the_same(
    before: ReadProgram, after: ReadProgram, gone: frozenset[int], new: frozenset[int], bench: Bench
) -> bool:
    """At every height: what is no longer cut had not to go, what is cut besides may go."""
    lost = [before.moves[i] for i in sorted(gone) if before.moves[i].kind != "rapid"]
    more = [after.moves[i] for i in sorted(new) if after.moves[i].kind != "rapid"]
    if any(m.cutter not in bench.cutters for m in (*lost, *more)):
        return False
    shared = [m for i, m in enumerate(before.moves) if m.kind != "rapid" and i not in gone]
    hair, plan = 0.5 * bench.tolerance, bench.plan
    for z in _levels((*lost, *more), bench):
        was, now = _swept(lost, z, bench), _swept(more, z, bench)
        changed = was.symmetric_difference(now).intersection(plan)
        if changed.buffer(-hair).is_empty:
            continue
        near = shapely.box(*changed.bounds)
        kept = _swept((m for m in shared if _near(m, near, bench)), z, bench)
        required, allowed = bench.asks(z)
        left = was.difference(now).difference(kept).intersection(plan).intersection(required)
        cut = now.difference(was).difference(kept).intersection(plan)
        wrong = cut.difference(required.union(allowed).buffer(bench.tolerance))
        if not left.buffer(-hair).is_empty or not wrong.buffer(-hair).is_empty:
            return False
    return True


def _near(move: Move, box: BaseGeometry, bench: Bench) -> bool:
    path, r = path_of(move), bench.cutters[move.cutter].radius
    (x0, y0, _), (x1, y1, _) = path.min(axis=0), path.max(axis=0)
    return bool(shapely.box(x0 - r, y0 - r, x1 + r, y1 + r).intersects(box))


def _levels(moves: Sequence[Move], bench: Bench) -> list[float]:
    """Just above and below every height that a move begins or ends at, half way between them, and
    along a point's flanks."""
    found: set[float] = {bench.low[2], bench.high[2]}
    for move in moves:
        length = bench.cutters[move.cutter].point_length
        for z in (move.start[2], move.end[2]):
            found |= {z + length * k / 4 for k in range(5 if length else 1)}
    ends = sorted(z for z in found if bench.low[2] <= z <= bench.high[2])
    levels: set[float] = set()
    for a, b in pairwise(ends):
        off = min(1e-3, (b - a) / 3)
        levels |= {a + off, (a + b) / 2, b - off}
    some = sorted(levels)
    return some[:: max(1, math.ceil(len(some) / MOST_LEVELS))]
