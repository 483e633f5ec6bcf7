"""One line in the order of execution, once its words are sorted.

Source: NISTIR 6556, table 8.
"""

from __future__ import annotations

from dataclasses import replace

from gcodekit.rs274.block import Block, BlockError, check_motion, check_used
from gcodekit.rs274.cycles import run_cycle
from gcodekit.rs274.motion import move_in_machine, move_round, move_straight
from gcodekit.rs274.moves import Event, EventKind
from gcodekit.rs274.state import (
    CHANGE,
    CONTROL,
    COOLANT,
    CYCLES,
    DISTANCE,
    FEED_MODE,
    LENGTH,
    MM_PER_INCH,
    MOTION,
    ONCE,
    PLANE,
    RETURN,
    SPINDLE,
    STOPPING,
    UNITS,
    WORK,
    WORK_OFFSETS,
    State,
)


def note(state: State, kind: EventKind, value: float = 0.0, text: str = "") -> None:
    """Something that happens before the next move."""
    state.events.append(Event(state.line, kind, len(state.moves), value, text))


def execute(state: State, block: Block) -> None:
    """One line in the order of table 8. Everything is checked before anything is done."""
    check_motion(block, state.motion)
    _claim(state, block)
    check_used(block)
    _check_values(block)
    _set_feed(state, block)
    _set_spindle(state, block)
    _set_coolant(state, block)
    if block.g.get(ONCE) == 40:
        note(state, "dwell", block.values["P"])
    _set_modes(state, block)
    _move(state, block)
    _stop(state, block)


def _claim(state: State, block: Block) -> None:
    """Let the commands of the line take the words they need."""
    code = block.g.get(MOTION, state.motion)
    if block.g.get(ONCE) == 40 and block.need("P", "G4") < 0:
        raise BlockError(f"P{block.values['P']:g}: a dwell cannot be negative", "P")
    if block.g.get(CONTROL) == 640 and (block.take("P") or 0.0) < 0:
        raise BlockError("G64 with a negative P", "P")
    if block.g.get(LENGTH) == 430:
        block.whole("H", "G43")
    if block.axes and code in (20, 30):
        block.used |= set("IJKR")
    if block.axes and code in CYCLES:
        block.used |= set("RL") | ({"P"} if code in (820, 890) else set())
        block.used |= {"Q"} if code == 830 else set()
        if block.g.get(FEED_MODE) == 930 or (state.inverse_time and FEED_MODE not in block.g):
            raise BlockError("a canned cycle under G93", "G")


def _check_values(block: Block) -> None:
    for letter, name in (("F", "feed"), ("S", "speed")):
        if block.values.get(letter, 0.0) < 0:
            raise BlockError(f"{letter}{block.values[letter]:g}: a negative {name}", letter)
    if "T" in block.values:
        block.whole("T", "T")


def _set_feed(state: State, block: Block) -> None:
    mode = block.g.get(FEED_MODE)
    if mode is not None and state.inverse_time != (mode == 930):
        state.inverse_time = mode == 930
        # a number meant for one mode means nothing in the other
        state.conditions = replace(state.conditions, feed=0.0)
    if "F" in block.values and not state.inverse_time:
        feed = block.values["F"] * state.unit
        state.conditions = replace(state.conditions, feed=feed)


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
        note(state, "tool change", state.selected)
    turn = block.m.get(SPINDLE)
    if turn is not None:
        state.conditions = replace(state.conditions, spindle={3: 1, 4: -1, 5: 0}[turn])


def _set_coolant(state: State, block: Block) -> None:
    code = block.m.get(COOLANT)
    if code is not None:
        added = {7: "m", 8: "f", 9: ""}[code]
        coolant = "".join(sorted(set(state.conditions.coolant + added))) if added else ""
        state.conditions = replace(state.conditions, coolant=coolant)


def _set_modes(state: State, block: Block) -> None:
    g = block.g
    if PLANE in g:
        state.plane = g[PLANE] // 10
    if UNITS in g:
        state.unit = 1.0 if g[UNITS] == 210 else MM_PER_INCH
    if LENGTH in g:
        offset = round(block.values["H"]) if g[LENGTH] == 430 else 0
        if offset != (state.length_offset or 0):
            state.forget(4)
        state.length_offset = offset
    if WORK in g:
        place = WORK_OFFSETS[g[WORK]]
        if place != state.work_offset:
            note(state, "work offset", place)
        state.work_offset = place
    if DISTANCE in g:
        state.absolute = g[DISTANCE] == 900
    if RETURN in g:
        state.initial_return = g[RETURN] == 980


def _move(state: State, block: Block) -> None:
    code = block.g.get(MOTION)
    fresh = code is not None and code != state.motion
    if code is not None:
        state.motion = None if code == 800 else code
    if not block.axes:
        return
    motion = state.motion
    if motion in (0, 10):
        mover = move_in_machine if block.g.get(ONCE) == 530 else move_straight
        mover(state, block.values, rapid=motion == 0)
    elif motion in (20, 30):
        move_round(state, block.values, ccw=motion == 30)
    elif motion is not None:
        run_cycle(state, block, motion, fresh=fresh or state.sticky is None)
    if motion not in CYCLES:
        state.sticky = None


def _stop(state: State, block: Block) -> None:
    code = block.m.get(STOPPING)
    if code is None:
        return
    if code in (2, 30):
        note(state, "end")
        state.ended = True
    else:
        note(state, "optional stop" if code == 1 else "stop")
