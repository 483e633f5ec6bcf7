"""Neutral moves to blocks."""

from __future__ import annotations

import math

from gcodekit.post.arcs import (
    PlanePoint,
    chord_count,
    fit_centre,
    on_circle,
    rise_of_chord,
    sweep_of,
)
from gcodekit.post.tape import Tape
from gcodekit.toolpath.moves import ArcFeed

# Start and end nearer than this, mm, are one point: a full turn.
_SAME = 1e-7
# Longer arcs are cut in two, so that rounding cannot turn nearly a full turn into none.
_LONGEST_SWEEP = 1.9 * math.pi


def write_arc(tape: Tape, move: ArcFeed) -> None:
    """An arc, a helix or a full turn; chords where the control has none of these."""
    start, end, centre = (tape.true[0], tape.true[1]), (move.x, move.y), (move.cx, move.cy)
    full = math.dist(start, end) <= _SAME
    sweep = math.tau if full else sweep_of(start, end, centre, ccw=move.ccw)
    radius = math.dist(start, centre)
    helix = tape.grid.count(move.z) != tape.place[2]
    grid_rise = rise_of_chord(radius, sweep) * tape.grid.counts_per_mm
    if radius * tape.grid.counts_per_mm < 1 or (grid_rise < 0.5 and sweep < math.pi):
        tape.feed(move.x, move.y, move.z, move.feed)
    elif not tape.post.arcs or (helix and not tape.post.helices):
        _write_chords(tape, move, sweep)
    elif sweep > _LONGEST_SWEEP and not (full and tape.post.full_circles):
        _write_halves(tape, move, sweep)
    else:
        _write_round(tape, move, sweep, full=full, helix=helix)


def _write_round(tape: Tape, move: ArcFeed, sweep: float, *, full: bool, helix: bool) -> None:
    start = tape.place[:2]
    end = start if full else (tape.grid.count(move.x), tape.grid.count(move.y))
    if end == start and not full:
        tape.feed(move.x, move.y, move.z, move.feed)
        return
    scale = tape.grid.counts_per_mm
    rule = tape.post.arc_rule[tape.grid.inch] * 10**tape.grid.decimals
    offset = fit_centre(start, end, (move.cx * scale, move.cy * scale), rule=rule)
    if offset is None or not _same_turn(start, end, offset, move.ccw, sweep):
        _write_chords(tape, move, sweep)
        return
    target = (*end, tape.grid.count(move.z))
    tape.arc(target, offset, ccw=move.ccw, feed=move.feed, z_moves=helix)
    tape.true = [move.x, move.y, move.z]


def _same_turn(
    start: tuple[int, int], end: tuple[int, int], offset: tuple[int, int], ccw: bool, sweep: float
) -> bool:
    """Whether the rounded arc turns about as far as the true one, and not the other way round."""
    centre = (start[0] + offset[0], start[1] + offset[1])
    if offset == (0, 0) or centre == end:
        return False
    return abs(sweep_of(start, end, centre, ccw=ccw) - sweep) < math.pi / 2


def _part_way(tape_true: list[float], move: ArcFeed, sweep: float, share: float) -> PlanePoint:
    angle = (sweep if move.ccw else -sweep) * share
    return on_circle((tape_true[0], tape_true[1]), (move.cx, move.cy), angle)


def _write_halves(tape: Tape, move: ArcFeed, sweep: float) -> None:
    x, y = _part_way(tape.true, move, sweep, 0.5)
    z = (tape.true[2] + move.z) / 2
    write_arc(tape, ArcFeed(x, y, z, move.cx, move.cy, move.ccw, move.feed))
    write_arc(tape, move)


def _write_chords(tape: Tape, move: ArcFeed, sweep: float) -> None:
    start = list(tape.true)
    radius = math.dist(start[:2], (move.cx, move.cy))
    count = chord_count(radius, sweep, tape.chord_error)
    for i in range(1, count):
        x, y = _part_way(start, move, sweep, i / count)
        tape.feed(x, y, start[2] + (move.z - start[2]) * i / count, move.feed)
    tape.feed(move.x, move.y, move.z, move.feed)
