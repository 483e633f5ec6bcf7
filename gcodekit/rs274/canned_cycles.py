"""Canned cycles G73 and G81 to G89: the words of one line to holes.

Source: NISTIR 6556, section 3.5.16. Where the report leaves it open: "the position just before the
cycle" is that before each line of a run.
"""

from __future__ import annotations

from dataclasses import replace

from gcodekit.rs274.block import Block
from gcodekit.rs274.claims import DWELLING, PECKING
from gcodekit.rs274.cycle_holes import CycleHole
from gcodekit.rs274.exact_arcs import BlockError
from gcodekit.rs274.expressions import NEAR_WHOLE
from gcodekit.rs274.motion import AXIS_LETTERS, OFFSETS
from gcodekit.rs274.program_read import PLANE_AXES
from gcodekit.rs274.state import MOTION, CycleWords, State, g_name
from gcodekit.units import format_size

# One short line can ask for any number of pecks and holes.
MOST_CYCLE_MOVES = 500_000
# Moves of a hole that is not pecked, at most: over it, to the R level, and the eight of G87.
MOST_OF_HOLE = 10


def run_cycle(state: State, block: Block, code: int, *, fresh: bool) -> None:
    """One line of a canned cycle. `fresh`: the line before was not of the same cycle."""
    axes = PLANE_AXES[state.conditions.plane]
    sticky = _sticky(state, block, code, axes, fresh=fresh)
    repeats = _repeats(block)
    _check_spindle(state, code)
    a, b, old = (state.position[k] for k in axes)
    if state.absolute:
        shift = state.shift[axes[2]]
        retract, bottom, top = (v + shift for v in (sticky.retract, sticky.depth, sticky.top))
    else:
        retract = sticky.retract + old
        bottom = retract + sticky.depth
        top = bottom + sticky.top
    if retract < bottom - NEAR_WHOLE:
        low, high = (format_size(v, state.problems.units) for v in (retract, bottom))
        text = f"R level {low} is below the bottom of the hole, {high}"
        raise BlockError(text, "R" if "R" in block.values else MOTION)
    if code == 870 and not bottom - NEAR_WHOLE <= top <= retract + NEAR_WHOLE:
        k, low, high = (format_size(v, state.problems.units) for v in (top, bottom, retract))
        text = f"K of G87, {k}, must lie between the bottom, {low}, and the R level, {high}"
        raise BlockError(text, "K" if "K" in block.values else MOTION)
    _check_number(state, code, sticky, repeats, retract - bottom)
    state.sticky, state.refused = sticky, None
    # a hole that is no deeper than its R level makes no move, and counts all the same
    state.cycle_moves += repeats
    clear = _clear_level(state, block, old, retract, axes[2])
    # the report's cycles keep to the exact path (table 10)
    conditions = replace(state.conditions, path="exact path", rounding=None)
    hole = CycleHole(
        state, axes, replace(sticky, top=top), conditions, retract, bottom, clear, code
    )
    if old < retract or not state.known & (1 << axes[2]):
        hole.go(rapid=True, depth=retract)
    for _ in range(repeats):
        a, b = _next_place(state, block, axes, a, b)
        hole.go(rapid=True, at=(a, b))
        hole.go(rapid=True, depth=retract)
        hole.cut()


def _check_spindle(state: State, code: int) -> None:
    spindle = state.conditions.spindle
    if code == 840 and spindle != 1:
        raise BlockError("G84 with the spindle not turning clockwise: put M3 before it", MOTION)
    if code in (860, 870, 880) and not spindle:
        raise BlockError(f"{g_name(code)} with the spindle stopped: put M3 before it", MOTION)


def _check_number(state: State, code: int, sticky: CycleWords, repeats: int, deep: float) -> None:
    """Refuse a line that asks for more moves than a program may have, before making any."""
    pecks = deep / sticky.peck if code in PECKING else 0.0
    if state.cycle_moves + repeats * (MOST_OF_HOLE + 3 * pecks) > MOST_CYCLE_MOVES:
        raise BlockError(
            f"canned cycles of more than {MOST_CYCLE_MOVES:,} moves: too many to read", MOTION
        )


def _next_place(
    state: State, block: Block, axes: tuple[int, int, int], a: float, b: float
) -> tuple[float, float]:
    ab = [a, b]
    for k in (0, 1):
        value = block.values.get(AXIS_LETTERS[axes[k]])
        if value is None:
            continue
        if state.absolute:
            ab[k] = value * state.unit + state.shift[axes[k]]
            state.known |= 1 << axes[k]
        else:
            ab[k] += value * state.unit
    return ab[0], ab[1]


def _sticky(
    state: State, block: Block, code: int, axes: tuple[int, int, int], *, fresh: bool
) -> CycleWords:
    name, old = g_name(code), None if fresh else state.sticky
    letter = AXIS_LETTERS[axes[2]]

    def kept(word: str, before: float, unit: float) -> float:
        value = block.take(word)
        if value is not None:
            return value * unit
        if old is None:
            what = {letter: " for the depth", "P": " for the dwell", "Q": " for the peck"}
            need = f"{'an' if word in 'RIX' else 'a'} {word} word{what.get(word, '')}"
            raise BlockError(f"first line of {name} needs {need}", MOTION)
        return before

    unit, last = state.unit, old or CycleWords(0.0, 0.0)
    sticky = CycleWords(kept(letter, last.depth, unit), kept("R", last.retract, unit))
    if code in DWELLING:
        sticky = replace(sticky, dwell=kept("P", last.dwell, 1.0))
        if sticky.dwell < 0:
            raise BlockError(f"P{sticky.dwell:g}: a dwell must be 0 or greater", "P")
    if code in PECKING:
        sticky = replace(sticky, peck=kept("Q", last.peck, unit))
        if sticky.peck <= 0:
            raise BlockError(f"Q{block.values.get('Q', 0.0):g}: a peck must be greater than 0", "Q")
    if code == 870:
        first, second, top = (OFFSETS[axis] for axis in axes)
        aside = kept(first, last.aside[0], unit), kept(second, last.aside[1], unit)
        sticky = replace(sticky, aside=aside, top=kept(top, last.top, unit))
    return sticky


def _repeats(block: Block) -> int:
    value = block.take("L")
    if value is None:
        return 1
    if abs(value - round(value)) > NEAR_WHOLE or round(value) < 1:
        raise BlockError(f"L{value:g} must be a whole number, 1 or greater", "L")
    return round(value)


def _clear_level(state: State, block: Block, old: float, retract: float, axis: int) -> float:
    known = bool(state.known & (1 << axis))
    # from the R level itself both lead to the same height
    if state.initial_return is None and not (known and abs(old - retract) < NEAR_WHOLE):
        state.initial_return = True
        state.problems.warn(
            "canned cycle with neither G98 nor G99 in force: G98 is assumed",
            line=state.line,
            column=block.columns.get(MOTION, 0),
        )
    return max(old, retract) if state.initial_return and known else retract
