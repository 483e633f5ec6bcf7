"""Holes: on the control's drilling cycles, or in the same moves written out.

Every cycle ends at the retract level (G99), except where the path goes straight back up to the
height it came from: plain drilling then ends there (G98). Pecking and reaming do not: G83 would
leave the hole to that height at every peck and G85 feed all the way (NISTIR 6556, 3.5.16).
A control that has neither word goes down to the retract level first: from there all are the same.
"""

from __future__ import annotations

from collections.abc import Sequence

from gcodekit.errors import Fault, Place, PostError
from gcodekit.post.numbers import seconds
from gcodekit.post.tape import Tape
from gcodekit.toolpath.moves import HoleCycle, Move, Rapid

# Where a peck goes from rapid back to feed, above the last peck's bottom: chips lie there
# (common practice, no source).
PECK_CLEARANCE = 0.5
# How far a control without G4 rises off a hole's bottom while it waits: nothing on the part.
_WAIT_RISE = 0.01


def taken_over(moves: Sequence[Move], i: int, tape: Tape) -> bool:
    """Tell whether move `i` is a rapid that the cycle after it makes of its own accord.

    A cycle goes over its hole at the height it starts from, then down to the retract level.
    """
    move = moves[i]
    if not tape.post.cycles or not isinstance(move, Rapid):
        return False
    over = move.z is None and move.x is not None and move.y is not None
    ahead = next((m for m in moves[i + 1 : i + 2]), None)
    if over and isinstance(ahead, Rapid) and _is_descent(ahead, moves, i + 1, tape):
        ahead = moves[i + 2]
    if over:
        return (
            isinstance(ahead, HoleCycle)
            and _on_cycle(ahead, tape)
            and _same_place(move, ahead, tape)
            and _above(tape, ahead)
        )
    return _is_descent(move, moves, i, tape) and _above(tape, moves[i + 1])


def _on_cycle(hole: HoleCycle, tape: Tape) -> bool:
    """Tell whether the control has the cycle, with every axis driven; none of the language both
    pecks and dwells."""
    if tape.hand.axes:
        return False
    pecks_and_dwells = hole.kind == "peck" and hole.dwell > 0
    return not pecks_and_dwells and _code(tape, hole)[0] in tape.post.cycles


def _is_descent(move: Rapid, moves: Sequence[Move], i: int, tape: Tape) -> bool:
    hole = moves[i + 1] if i + 1 < len(moves) else None
    if not isinstance(hole, HoleCycle) or not _on_cycle(hole, tape):
        return False
    count = tape.grid.count
    alone = move.z is not None and move.x is None and move.y is None
    return alone and count(move.z or 0.0) == count(hole.retract)


def _same_place(move: Rapid, hole: HoleCycle, tape: Tape) -> bool:
    count = tape.grid.count
    return (count(move.x or 0.0), count(move.y or 0.0)) == (count(hole.x), count(hole.y))


def _above(tape: Tape, hole: Move) -> bool:
    """Tell whether the cycle may begin at this height."""
    z = tape.at[2]
    assert isinstance(hole, HoleCycle)
    retract = tape.grid.count(hole.retract)
    return z is not None and (z >= retract if tape.post.return_levels else z == retract)


def write_hole(tape: Tape, hole: HoleCycle, after: Move | None) -> bool:
    """One hole; True where the rapid `after` it was part of the cycle."""
    if not _on_cycle(hole, tape):
        if hole.kind == "tap" and 2 not in tape.hand.axes:
            raise _no_tapping(tape)
        _write_plain(tape, hole)
        return False
    if not _above(tape, hole):
        _go_over(tape, hole)
    before = tape.true[2]
    back_up = hole.kind == "drill" and _goes_back_up(tape, hole, after)
    code, words = _code(tape, hole)
    place = (tape.grid.count(hole.x), tape.grid.count(hole.y), tape.grid.count(hole.bottom))
    retract = tape.grid.count(hole.retract)
    start = tape.at[2]
    up = start if back_up and start is not None else retract
    level = ("G98" if back_up else "G99") if tape.post.return_levels else ""
    words = (f"R{tape.grid.text(retract)}", *words)
    tape.cycle(code, level, words, place, up, hole.feed)
    tape.true = [hole.x, hole.y, before if back_up else hole.retract]
    return back_up


def _no_tapping(tape: Tape) -> PostError:
    """In plain moves the spindle would not turn back in step with the feed."""
    name = tape.post.name
    text = f"post {name} has no tapping cycle (G84), and plain moves cannot reverse the spindle"
    fault = Fault(
        Place(name, key="cycles"), text, 'write tapping = "by hand", or name another post'
    )
    return PostError([fault])


def _goes_back_up(tape: Tape, hole: HoleCycle, after: Move | None) -> bool:
    if not isinstance(after, Rapid) or after.z is None or after.x is not None:
        return False
    start, count = tape.at[2], tape.grid.count
    return after.y is None and count(after.z) == start and start > count(hole.retract)


def _code(tape: Tape, hole: HoleCycle) -> tuple[str, tuple[str, ...]]:
    dwell = (f"P{seconds(hole.dwell)}",) if hole.dwell > 0 else ()
    if hole.kind == "tap":
        return "G84", ()
    if hole.kind == "ream":
        return ("G89" if dwell else "G85"), dwell
    peck = tape.grid.count(hole.peck)
    if hole.kind == "peck" and 0 < peck < tape.grid.count(hole.retract - hole.bottom):
        return "G83", (f"Q{tape.grid.text(peck)}",)
    return ("G82" if dwell else "G81"), dwell


def _go_over(tape: Tape, hole: HoleCycle) -> None:
    """Over the hole at the height there is, then down to the retract level."""
    tape.rapid(hole.x, hole.y, None)
    if tape.place[2] > tape.grid.count(hole.retract):
        tape.rapid(None, None, hole.retract)


def _write_plain(tape: Tape, hole: HoleCycle) -> None:
    """The same hole in moves any control has."""
    _go_over(tape, hole)
    if 2 in tape.hand.axes:
        tape.drill(hole)
        return
    for depth in _peck_depths(hole):
        tape.feed(hole.x, hole.y, depth, hole.feed)
        if depth > hole.bottom:
            tape.rapid(None, None, hole.retract)
            tape.rapid(None, None, min(hole.retract, depth + PECK_CLEARANCE))
    if hole.dwell > 0:
        tape.dwell(hole.dwell, rise=_WAIT_RISE)
    if hole.kind == "ream":
        tape.feed(hole.x, hole.y, hole.retract, hole.feed)
    else:
        tape.rapid(None, None, hole.retract)


def _peck_depths(hole: HoleCycle) -> list[float]:
    """The end of each peck, from the retract level down; the bottom last."""
    if hole.kind != "peck" or hole.peck <= 0:
        return [hole.bottom]
    whole = int((hole.retract - hole.bottom) / hole.peck - 1e-9)
    return [hole.retract - i * hole.peck for i in range(1, whole + 1)] + [hole.bottom]
