"""One line in the order of execution, once its words are sorted.

Source: NISTIR 6556, table 8.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from gcodekit.rs274 import origins
from gcodekit.rs274.block import Block, check_motion, check_used
from gcodekit.rs274.canned_cycles import run_cycle
from gcodekit.rs274.claims import check_compensation, claim
from gcodekit.rs274.compensation import move_beside, turn_off, turn_on
from gcodekit.rs274.hand_moves import make_requested
from gcodekit.rs274.motion import in_time, move_round, move_straight
from gcodekit.rs274.program_read import Event, PathControl
from gcodekit.rs274.state import (
    CHANGE,
    COMPENSATION,
    CONTROL,
    COOLANT,
    CYCLE_CODES,
    DISTANCE,
    FEED_MODE,
    LENGTH,
    MOTION,
    ONCE,
    PLANE,
    RETURN,
    SPINDLE,
    STOPPING,
    UNITS,
    WORK,
    WORK_OFFSET_CODES,
    State,
)
from gcodekit.units import MM_PER_INCH


def execute(state: State, block: Block) -> None:
    """One line in the order of table 8. Everything is checked before anything is done."""
    check_motion(block, state.motion)
    claim(state, block)
    check_used(block)
    check_compensation(state, block)
    _set_feed(state, block)
    _set_spindle(state, block)
    _set_coolant(state, block)
    if block.g:
        _set_modes(state, block)
    _move(state, block)
    _stop(state, block)


def _set_feed(state: State, block: Block) -> None:
    mode = block.g.get(FEED_MODE)
    if mode is not None and state.conditions.inverse_time != (mode == 930):
        # a number meant for one mode means nothing in the other
        state.conditions = replace(
            state.conditions, inverse_time=mode == 930, feed=0.0, feed_set=False
        )
    if "F" in block.values and not state.conditions.inverse_time:
        feed = block.values["F"] * state.unit
        state.conditions = replace(state.conditions, feed=feed, feed_set=True)


def _set_spindle(state: State, block: Block) -> None:
    if "S" in block.values:
        state.conditions = replace(state.conditions, speed=block.values["S"])
    if "T" in block.values:
        state.selected = round(block.values["T"])
    if CHANGE in block.m:
        # the change stops the spindle (common practice, no source seen), and where the new tip
        # is in z is known again only when the program has said it
        state.conditions = replace(state.conditions, cutter=state.selected, spindle=0)
        state.forget(4)
        state.tip_sure = False
        state.note("tool change", state.selected)
    turn = block.m.get(SPINDLE)
    if turn is not None:
        way = {3: 1, 4: -1, 5: 0}[turn]
        state.conditions = replace(state.conditions, spindle=way)
        state.turns.append(Event(state.line, "spindle", len(state.moves), way))


def _set_coolant(state: State, block: Block) -> None:
    code = block.m.get(COOLANT)
    if code is not None:
        added = {7: "m", 8: "f", 9: ""}[code]
        coolant = "".join(sorted(set(state.conditions.coolant + added))) if added else ""
        state.conditions = replace(state.conditions, coolant=coolant)
        state.note("coolant", text=added)


def _dwell(state: State, block: Block) -> None:
    letter = "P" if "P" in block.values else "X"
    state.dwell(block.values[letter], block.columns.get(letter, 0))


def _set_modes(state: State, block: Block) -> None:
    """Steps 10 to 19 of table 8: what G words do besides the motion."""
    g, once = block.g, block.g.get(ONCE)
    if once == 40:
        _dwell(state, block)
    if PLANE in g:
        state.conditions = replace(state.conditions, plane=g[PLANE] // 10)
    if UNITS in g:
        before = "mm" if state.unit == 1.0 else "inch"
        state.set_unit(1.0 if g[UNITS] == 210 else MM_PER_INCH)
        state.note("units", state.unit, before)
    if COMPENSATION in g:
        if g[COMPENSATION] == 400:
            turn_off(state)
        else:
            turn_on(state, block, g[COMPENSATION])
    if LENGTH in g:
        _set_length(state, round(block.values["H"]) if g[LENGTH] == 430 else 0)
    if WORK in g:
        origins.select(state, WORK_OFFSET_CODES[g[WORK]])
    if CONTROL in g:
        _set_path(state, block)
    if DISTANCE in g:
        state.absolute = g[DISTANCE] == 900
    if RETURN in g:
        state.initial_return = g[RETURN] == 980
    if once in _ZEROS:
        _ZEROS[once](state, block)


def _set_length(state: State, number: int) -> None:
    """The tip is called higher or lower by the difference of the two lengths; where that is not
    known, neither is its height."""
    state.tip_sure = state.tip_sure or number > 0
    if number == state.conditions.length_offset:
        return
    tool = state.tools.get(number)
    length = (tool.length if tool else None) if number else 0.0
    if length is None or state.length is None:
        state.forget(4)
    else:
        x, y, z = state.position
        state.position = (x, y, z - (length - state.length))
    state.length = length
    state.conditions = replace(state.conditions, length_offset=number)


def _set_path(state: State, block: Block) -> None:
    code = block.g[CONTROL]
    names: dict[int, PathControl] = {610: "exact path", 611: "exact stop", 640: "continuous"}
    rounding = block.values.get("P") if code == 640 else None
    state.conditions = replace(
        state.conditions,
        path=names[code],
        rounding=rounding * state.unit if rounding is not None else None,
    )


_ZEROS: dict[int, Callable[[State, Block], None]] = {
    100: origins.set_origin,
    280: lambda state, block: origins.move_home(state, block, 280),
    300: lambda state, block: origins.move_home(state, block, 300),
    920: origins.set_offsets,
    921: lambda state, _: origins.cancel_offsets(state, keep=False),
    922: lambda state, _: origins.cancel_offsets(state, keep=True),
    923: lambda state, _: origins.restore_offsets(state),
}


def _move(state: State, block: Block) -> None:
    code = block.g.get(MOTION)
    fresh = code is not None and code != state.motion
    if code is not None:
        state.motion = None if code == 800 else code
    if not block.moves:
        return
    motion = state.motion
    if motion in CYCLE_CODES:
        run_cycle(state, block, motion or 0, fresh=fresh or state.sticky is None)
        return
    state.sticky = None
    first = len(state.moves)
    if motion == 382:
        origins.probe(state, block)
    elif block.g.get(ONCE) == 530:
        origins.move_in_machine(state, block.values, rapid=motion == 0)
    elif state.compensation is not None:
        move_beside(state, block.values, motion or 0)
    elif motion in (0, 10):
        move_straight(state, block.values, rapid=motion == 0)
    else:
        move_round(state, block.values, ccw=motion == 30)
    if state.conditions.inverse_time and motion != 0:
        in_time(state, first, block.values["F"])


def _stop(state: State, block: Block) -> None:
    code = block.m.get(STOPPING)
    if code is None:
        return
    if code in (2, 30):
        state.note("end")
        state.ended = True
    elif code == 1 or not make_requested(state):
        state.note("optional stop" if code == 1 else "stop")
