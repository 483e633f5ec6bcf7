"""Canned cycles G81 to G85 and G89, taken apart into plain moves.

Source: NISTIR 6556, section 3.5.16. Where the report leaves it open: G83 backs off 0.25 mm after
each peck; "the position just before the cycle" is that before each line of a run.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from gcodekit.rs274.block import WHOLE, Block, BlockError
from gcodekit.rs274.moves import PLANE_AXES, Conditions, Event, Move
from gcodekit.rs274.problems import Point3
from gcodekit.rs274.state import KNOWN, State, Sticky, g_name
from gcodekit.rs274.words import LARGEST_NUMBER

BACK_OFF = 0.25
# One short line can ask for any number of pecks and holes.
MOST_CYCLE_MOVES = 500_000


@dataclass(slots=True)
class _Hole:
    """The cycle's tool point while one line is taken apart."""

    state: State
    axes: tuple[int, int, int]

    def go(
        self,
        *,
        rapid: bool,
        at: tuple[float, float] | None = None,
        depth: float | None = None,
        conditions: Conditions | None = None,
    ) -> None:
        """One move: in the plane to `at`, or along the axis to `depth`; none if it is there."""
        state = self.state
        first, second, axis = self.axes
        place = list(state.position)
        known = state.known
        if at is not None:
            place[first], place[second] = at
        if depth is not None:
            place[axis] = depth
            known |= 1 << axis
        end = (place[0], place[1], place[2])
        if end != state.position or known != state.known:
            self._append(end, known, rapid=rapid, conditions=conditions)

    def _append(
        self, end: Point3, known: int, *, rapid: bool, conditions: Conditions | None
    ) -> None:
        state = self.state
        if not all(-LARGEST_NUMBER < c < LARGEST_NUMBER for c in end):
            raise BlockError("this cycle leads beyond any machine", "G")
        state.cycle_moves += 1
        before = KNOWN[state.known]
        state.moves.append(
            Move(
                state.line,
                "rapid" if rapid else "line",
                state.position,
                end,
                conditions or state.conditions,
                before,
                KNOWN[known],
                None,
                True,
            )
        )
        state.position = end
        state.known = known


def run_cycle(state: State, block: Block, code: int, *, fresh: bool) -> None:
    """One line of a canned cycle. `fresh`: the line before was not of the same cycle."""
    axes = PLANE_AXES[state.plane]
    sticky = _sticky(state, block, code, axes[2], fresh=fresh)
    repeats = _repeats(block)
    state.sticky = sticky
    a, b, old = (state.position[k] for k in axes)
    if state.absolute:
        retract, bottom = sticky.retract, sticky.depth
    else:
        retract = sticky.retract + old
        bottom = retract + sticky.depth
    if retract < bottom - WHOLE:
        text = f"the R level {retract:.4f} is below the bottom {bottom:.4f} of the hole, mm"
        raise BlockError(text, "R" if "R" in block.values else "G")
    _check_number(state, code, sticky, repeats, retract - bottom)
    clear = _clear_level(state, block, old, retract, axes[2])
    hole = _Hole(state, axes)
    if old < retract or not state.known & (1 << axes[2]):
        hole.go(rapid=True, depth=retract)
    for _ in range(repeats):
        a, b = _next_place(state, block, axes, a, b)
        hole.go(rapid=True, at=(a, b))
        hole.go(rapid=True, depth=retract)
        _work(hole, code, sticky, bottom=bottom, clear=clear)


def _check_number(state: State, code: int, sticky: Sticky, repeats: int, deep: float) -> None:
    """Refuse a line that asks for more moves than a program may have, before making any."""
    pecks = deep / sticky.peck if code == 830 else 0.0
    if state.cycle_moves + repeats * (4 + 3 * pecks) > MOST_CYCLE_MOVES:
        raise BlockError(f"more than {MOST_CYCLE_MOVES} moves from canned cycles", "G")


def _next_place(
    state: State, block: Block, axes: tuple[int, int, int], a: float, b: float
) -> tuple[float, float]:
    ab = [a, b]
    for k in (0, 1):
        value = block.values.get("XYZ"[axes[k]])
        if value is None:
            continue
        if state.absolute:
            ab[k] = value * state.unit
            state.known |= 1 << axes[k]
        else:
            ab[k] += value * state.unit
    return ab[0], ab[1]


def _sticky(state: State, block: Block, code: int, axis: int, *, fresh: bool) -> Sticky:
    name, old = g_name(code), None if fresh else state.sticky
    letter = "XYZ"[axis]
    depth, retract = block.take(letter), block.take("R")
    if old is None and depth is None:
        raise BlockError(f"the first line of {name} needs a {letter} word for the depth", "G")
    if old is None and retract is None:
        raise BlockError(f"the first line of {name} needs an R word", "G")
    dwell = _dwell(block, old) if code in (820, 890) else 0.0
    peck = _peck(state, block, old) if code == 830 else 0.0
    if code == 840 and state.conditions.spindle != 1:
        raise BlockError("G84 needs the spindle turning clockwise before it", "G")
    return Sticky(
        depth * state.unit if depth is not None else old.depth if old else 0.0,
        retract * state.unit if retract is not None else old.retract if old else 0.0,
        dwell,
        peck,
    )


def _dwell(block: Block, old: Sticky | None) -> float:
    dwell = block.take("P")
    if dwell is None:
        if old is None:
            raise BlockError("the first line of this cycle needs a P word for the dwell", "G")
        return old.dwell
    if dwell < 0:
        raise BlockError(f"P{dwell:g}: a dwell cannot be negative", "P")
    return dwell


def _peck(state: State, block: Block, old: Sticky | None) -> float:
    peck = block.take("Q")
    if peck is None:
        if old is None:
            raise BlockError("the first line of G83 needs a Q word for the peck", "G")
        return old.peck
    if peck <= 0:
        raise BlockError(f"Q{peck:g}: a peck must be above zero", "Q")
    return peck * state.unit


def _repeats(block: Block) -> int:
    value = block.take("L")
    if value is None:
        return 1
    if abs(value - round(value)) > WHOLE or round(value) < 1:
        raise BlockError(f"L{value:g} is not a whole number from 1", "L")
    return round(value)


def _clear_level(state: State, block: Block, old: float, retract: float, axis: int) -> float:
    known = bool(state.known & (1 << axis))
    # from the R level itself both lead to the same height
    if state.initial_return is None and not (known and abs(old - retract) < WHOLE):
        state.initial_return = True
        state.problems.warn(
            "neither G98 nor G99 was said before this cycle: G98 is taken",
            line=state.line,
            column=block.columns.get("G", 0),
        )
    return max(old, retract) if state.initial_return and known else retract


def _work(hole: _Hole, code: int, sticky: Sticky, *, bottom: float, clear: float) -> None:
    """What happens in the hole, from the R level."""
    if code == 830:
        _peck_down(hole, sticky.peck, bottom, clear)
    else:
        hole.go(rapid=False, depth=bottom)
    if sticky.dwell:
        state = hole.state
        state.events.append(Event(state.line, "dwell", len(state.moves), sticky.dwell))
    if code == 840:
        backwards = replace(hole.state.conditions, spindle=-1)
        hole.go(rapid=False, depth=clear, conditions=backwards)
    else:
        hole.go(rapid=code not in (850, 890), depth=clear)


def _peck_down(hole: _Hole, peck: float, bottom: float, clear: float) -> None:
    top = hole.state.position[hole.axes[2]]
    pecks = max(1, math.ceil((top - bottom) / peck - WHOLE))
    for n in range(1, pecks):
        reached = top - n * peck
        hole.go(rapid=False, depth=reached)
        hole.go(rapid=True, depth=clear)
        hole.go(rapid=True, depth=min(reached + min(BACK_OFF, peck / 2), clear))
    hole.go(rapid=False, depth=bottom)
