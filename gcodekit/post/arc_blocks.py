"""Arcs on a control's grid, written as its blocks.

A control refuses an arc whose end is not as far from its centre as its start (NISTIR 6556,
3.5.3.2), and takes an arc that ends where it starts for a full turn. Rounding can bring about
both, so every arc is looked at again after rounding: its centre is mended, or it is cut in two,
or it is so small that a straight line is the same thing.
"""

from __future__ import annotations

import math

from gcodekit.post.tape import Tape
from gcodekit.toolpath.moves import ArcFeed

PlanePoint = tuple[float, float]
GridPoint = tuple[int, int]

# Start and end nearer than this, mm, are one point: a full turn.
_SAME_POINT = 1e-7
# Longer arcs are cut in two, so that rounding cannot turn nearly a full turn into none.
_LONGEST_SWEEP = 1.9 * math.pi
# Of the radius rule; the rest is for the control's own arithmetic.
_RULE_SHARE = 0.9
# How far round the best centre a better grid point is looked for.
_SEARCH = 3


def write_arc(tape: Tape, move: ArcFeed) -> None:
    """An arc, a helix or a full turn; chords where the control has none of these."""
    start, end, centre = (tape.true[0], tape.true[1]), (move.x, move.y), (move.cx, move.cy)
    full = math.dist(start, end) <= _SAME_POINT
    sweep = math.tau if full else sweep_of(start, end, centre, ccw=move.ccw)
    radius = math.dist(start, centre)
    helix = tape.count(2, move.z) != tape.place[2]
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
    target = (*end, tape.count(2, move.z))
    tape.arc(target, offset, ccw=move.ccw, feed=move.feed, z_moves=helix)
    tape.true = [move.x, move.y, move.z]


def _same_turn(
    start: tuple[int, int], end: tuple[int, int], offset: tuple[int, int], ccw: bool, sweep: float
) -> bool:
    """Tell whether the rounded arc turns about as far as the true one, and not the other way
    round."""
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


# Everything below is in counts of the grid.


def sweep_of(start: PlanePoint, end: PlanePoint, centre: PlanePoint, *, ccw: bool) -> float:
    """The angle turned, 0 up to a full turn; a full turn where start and end are one."""
    a = math.atan2(start[1] - centre[1], start[0] - centre[0])
    b = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turned = (b - a if ccw else a - b) % math.tau
    return turned or math.tau


def on_circle(start: PlanePoint, centre: PlanePoint, angle: float) -> PlanePoint:
    """`start` turned about `centre` by a signed angle."""
    x, y = start[0] - centre[0], start[1] - centre[1]
    c, s = math.cos(angle), math.sin(angle)
    return centre[0] + x * c - y * s, centre[1] + x * s + y * c


def mismatch(start: GridPoint, end: GridPoint, centre: GridPoint) -> float:
    """Difference of the radii at start and end; `centre` is from the start, as I and J."""
    x, y = start[0] + centre[0] - end[0], start[1] + centre[1] - end[1]
    return abs(math.hypot(*centre) - math.hypot(x, y))


def fit_centre(
    start: GridPoint, end: GridPoint, centre: PlanePoint, *, rule: float
) -> GridPoint | None:
    """I and J for an arc, None where no centre on the grid near enough satisfies the rule."""
    near = (round(centre[0] - start[0]), round(centre[1] - start[1]))
    if mismatch(start, end, near) <= rule * _RULE_SHARE:
        return near
    best = _on_bisector(start, end, centre)
    middle = (round(best[0] - start[0]), round(best[1] - start[1]))
    steps = range(-_SEARCH, _SEARCH + 1)
    around = [(middle[0] + i, middle[1] + j) for i in steps for j in steps]
    fair = [c for c in around if mismatch(start, end, c) <= rule * _RULE_SHARE]
    return min(
        fair,
        key=lambda c: math.dist((c[0] + start[0], c[1] + start[1]), centre),
        default=None,
    )


def _on_bisector(start: GridPoint, end: GridPoint, centre: PlanePoint) -> PlanePoint:
    """The point as far from the start as from the end that is nearest to `centre`."""
    chord = math.dist(start, end)
    if chord == 0:
        return centre
    u = ((end[0] - start[0]) / chord, (end[1] - start[1]) / chord)
    mid = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    off = (centre[0] - mid[0]) * u[0] + (centre[1] - mid[1]) * u[1]
    return centre[0] - off * u[0], centre[1] - off * u[1]


def rise_of_chord(radius: float, sweep: float) -> float:
    """The rise of an arc over its chord."""
    return radius * (1 - math.cos(min(sweep, math.tau) / 2))


def chord_count(radius: float, sweep: float, error: float) -> int:
    """Chords needed to stay within `error` of an arc."""
    if error >= radius:
        return max(2, math.ceil(sweep / (math.pi / 2)))
    return max(1, math.ceil(sweep / (2 * math.acos(1 - error / radius)) - 1e-9))
