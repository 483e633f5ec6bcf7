"""The words each command of a line takes and the values they may have, and what is forbidden while
cutter radius compensation is on.

Source: NISTIR 6556, 3.5, 3.7 and B.5.
"""

from __future__ import annotations

from collections.abc import Callable

from gcodekit.rs274.block import Block
from gcodekit.rs274.exact_arcs import BlockError
from gcodekit.rs274.expressions import NEAR_WHOLE
from gcodekit.rs274.state import (
    AXIS_USERS,
    COMPENSATION,
    CONTROL,
    CYCLE_CODES,
    FEED_MODE,
    LENGTH,
    MOTION,
    ONCE,
    PLANE,
    UNITS,
    WORK,
    State,
    g_name,
)

DWELLING: frozenset[int] = frozenset((820, 860, 880, 890))
PECKING: frozenset[int] = frozenset((730, 830))
_WHILE_COMPENSATED = "while cutter compensation is on: put G40 before it"


def claim(state: State, block: Block) -> None:
    """Let the commands of the line take the words they need."""
    code, once = block.g.get(MOTION, state.motion), block.g.get(ONCE)
    if once in _ONCE:
        _ONCE[once](block)
    if block.g.get(CONTROL) == 640 and (block.take("P") or 0.0) < 0:
        raise BlockError("P of G64 must be 0 or greater", "P")
    if block.g.get(LENGTH) == 430:
        _in_table(state, block.whole("H", "G43"), "H")
    if block.g.get(COMPENSATION, 400) != 400 and block.take("D") is not None:
        _in_table(state, block.whole("D", "G41"), "D")
    for letter, name in (("F", "feed"), ("S", "spindle speed")):
        if block.values.get(letter, 0.0) < 0:
            raise BlockError(
                f"{letter}{block.values[letter]:g}: a {name} must be 0 or greater", letter
            )
    if "T" in block.values:
        _in_table(state, block.whole("T", "T"), "T")
    if block.moves and code is not None:
        _claim_motion(state, block, code)


def _in_table(state: State, number: int, letter: str) -> None:
    if state.slots is not None and number > state.slots:
        raise BlockError(f"{letter}{number}: the machine has {state.slots} tool places", letter)


def _claim_dwell(block: Block) -> None:
    letter = "X" if "P" not in block.values and _only_x(block) else "P"
    if block.need(letter, "G4") < 0:
        raise BlockError(f"{letter}{block.values[letter]:g}: a dwell must be 0 or greater", letter)


def _only_x(block: Block) -> bool:
    values = block.values
    return "X" in values and "Y" not in values and "Z" not in values and MOTION not in block.g


def _claim_origin(block: Block) -> None:
    if block.whole("L", "G10") != 2:
        raise BlockError(f"G10 L{block.values['L']:g}: only G10 L2 can be read", "L")
    system = block.need("P", "G10")
    if abs(system - round(system)) > NEAR_WHOLE or not 1 <= round(system) <= 9:
        raise BlockError(f"P{system:g}: a coordinate system must be a whole number, 1 to 9", "P")


def _claim_offsets(block: Block) -> None:
    if not block.axes:
        raise BlockError("G92 needs an axis word", ONCE)


_ONCE: dict[int, Callable[[Block], None]] = {
    40: _claim_dwell,
    100: _claim_origin,
    920: _claim_offsets,
}


def _claim_motion(state: State, block: Block, code: int) -> None:
    mode = block.g.get(FEED_MODE)
    inverse = mode == 930 or (state.conditions.inverse_time and mode is None)
    if code in (20, 30):
        block.used |= set("IJKR")
    if code in CYCLE_CODES:
        block.used |= set("RL") | ({"P"} if code in DWELLING else set())
        block.used |= set("IJK") if code == 870 else {"Q"} if code in PECKING else set()
        if inverse:
            raise BlockError(
                "canned cycle with G93 (inverse time feed) in force: put G94 before it", MOTION
            )
    if code == 382 and inverse:
        raise BlockError("G38.2 with G93 (inverse time feed) in force: put G94 before it", MOTION)
    if inverse and code in (10, 20, 30) and "F" not in block.values:
        raise BlockError("G93 (inverse time feed) needs an F word on every G1, G2 and G3 line")


def check_compensation(state: State, block: Block) -> None:
    """Refuse what may not be done while compensation is on, by the order of execution."""
    g, turn = block.g, block.g.get(COMPENSATION)
    if state.compensation is not None:
        if turn in (410, 420):
            raise BlockError(f"{g_name(turn)} {_WHILE_COMPENSATED}", COMPENSATION)
        if g.get(PLANE, 170) != 170:
            raise BlockError(f"{g_name(g[PLANE])} {_WHILE_COMPENSATED}", PLANE)
        if UNITS in g:
            raise BlockError(f"{g_name(g[UNITS])} {_WHILE_COMPENSATED}", UNITS)
    elif turn not in (410, 420):
        return
    if turn == 400:
        return
    if g.get(PLANE, state.conditions.plane * 10) != 170:
        raise BlockError(
            "cutter compensation works only in the XY plane: put G17 before it", COMPENSATION
        )
    once = g.get(ONCE)
    elsewhere = once == 100 and round(block.values["P"]) != state.work_offset
    if once in (*AXIS_USERS, 530, 921, 922, 923) and not elsewhere:
        raise BlockError(f"{g_name(once or 0)} {_WHILE_COMPENSATED}", ONCE)
    if WORK in g:
        raise BlockError(f"{g_name(g[WORK])} {_WHILE_COMPENSATED}", WORK)
    code = g.get(MOTION, state.motion)
    if block.moves and code is not None and (code in CYCLE_CODES or code == 382):
        raise BlockError(f"{g_name(code)} {_WHILE_COMPENSATED}", MOTION)
