"""The origin of the program: work offsets, axis offsets, places of the machine and its homes.

Source: NISTIR 6556, 3.2.2, 3.5.5, 3.5.8, 3.5.12, 3.5.13, 3.5.18 and table 2.
"""

from __future__ import annotations

from collections.abc import Mapping

from gcodekit.rs274.block import Block
from gcodekit.rs274.exact_arcs import BlockError
from gcodekit.rs274.motion import AXIS_LETTERS, go, inside, target_of
from gcodekit.rs274.parameters import AXIS_OFFSETS, HOME, PROBED, SECOND_HOME, SELECTED, first_of
from gcodekit.rs274.program_read import Point3
from gcodekit.rs274.state import MOTION, ONCE, WORK, State
from gcodekit.units import MM_PER_INCH

Z, X_AND_Y_AND_Z = 4, 7


def begin(state: State) -> None:
    """Put the work offset and the axis offsets in force that the parameters say (3.2.2)."""
    selected = state.parameters.values.get(SELECTED, 1.0)
    if selected not in range(1, 10):
        text = f"#{SELECTED} = {selected:g}: a coordinate system must be a whole number, 1 to 9"
        state.problems.error(text)
        selected = 1.0
    state.work_offset = int(selected)
    first = first_of(state.work_offset)
    state.origin, state.origin_known = state.parameters.place(first), state.parameters.known(first)
    state.offset = state.shift = state.parameters.place(AXIS_OFFSETS)


def select(state: State, system: int) -> None:
    """G54 to G59.3."""
    state.parameters.values[SELECTED] = float(system)
    related = _take_origin(state, system) == X_AND_Y_AND_Z and bool(state.moves)
    changed = system != state.work_offset
    state.work_offset = system
    if not state.work_said or (changed and not related):
        state.note("work offset", system)
    state.work_said = True


def set_origin(state: State, block: Block) -> None:
    """G10 L2: the axes named, in machine coordinates."""
    system = round(block.values["P"])
    named = 0
    for axis, letter in enumerate(AXIS_LETTERS):
        if letter in block.values:
            state.parameters.set(first_of(system) + axis, block.values[letter])
            named |= 1 << axis
    if system == state.work_offset and named & ~_take_origin(state, system) and state.moves:
        text = "G10 moves an origin that is not known: origin assumed unchanged"
        state.warn_once(text, block.columns.get(ONCE, 0))


def _take_origin(state: State, system: int) -> int:
    """Put a zero in force; the axes (bits) in which it is known where it lies from the one before.

    What has not moved yet is where the program will say, whatever its zero.
    """
    first = first_of(system)
    origin, known = state.parameters.place(first), state.parameters.known(first)
    if not inside(origin):
        raise BlockError(
            f"origin of coordinate system {system} lies beyond any machine's travel", WORK
        )
    both = known & state.origin_known
    if state.moves:
        for axis in range(3):
            if both >> axis & 1:
                change = origin[axis] - state.origin[axis]
                _set(state, axis, shift=state.shift[axis] + change)
    state.origin, state.origin_known = origin, known
    return both


def set_offsets(state: State, block: Block) -> None:
    """G92: where the axes named stand is called what the words say."""
    for axis, letter in enumerate(AXIS_LETTERS):
        value = block.values.get(letter)
        if value is None:
            continue
        here, wanted = state.position[axis], value * state.unit
        change = here - state.shift[axis] - wanted
        if state.known >> axis & 1:
            _set(state, axis, shift=state.shift[axis] + change)
        else:
            # nobody knows where it stands, so what it is called is all there is to go by
            _set(state, axis, position=wanted + state.shift[axis])
            state.free |= 1 << axis
            state.known |= 1 << axis
        _set(state, axis, offset=state.offset[axis] + change)
    state.parameters.keep(AXIS_OFFSETS, state.offset)


def _set(
    state: State,
    axis: int,
    *,
    shift: float | None = None,
    offset: float | None = None,
    position: float | None = None,
) -> None:
    """One coordinate of the state's places."""
    if shift is not None:
        state.shift = _with(state.shift, axis, shift)
    if offset is not None:
        state.offset = _with(state.offset, axis, offset)
    if position is not None:
        state.position = _with(state.position, axis, position)


def _with(place: Point3, axis: int, value: float) -> Point3:
    x, y, z = place
    found = (value, y, z) if axis == 0 else (x, value, z) if axis == 1 else (x, y, value)
    if not inside(found):
        raise BlockError("offset goes beyond any machine's travel", ONCE)
    return found


def cancel_offsets(state: State, *, keep: bool) -> None:
    """G92.1, or G92.2, which keeps the parameters."""
    _offset_by(state, (0.0, 0.0, 0.0))
    if not keep:
        state.parameters.keep(AXIS_OFFSETS, (0.0, 0.0, 0.0))


def restore_offsets(state: State) -> None:
    """G92.3: the axis offsets that the parameters hold."""
    _offset_by(state, state.parameters.place(AXIS_OFFSETS))


def _offset_by(state: State, offset: Point3) -> None:
    for axis in range(3):
        if state.free >> axis & 1:
            # the zero without the offset lies nobody knows where
            state.forget(1 << axis)
        else:
            change = offset[axis] - state.offset[axis]
            _set(state, axis, shift=state.shift[axis] + change)
        _set(state, axis, offset=offset[axis])


def of_machine(state: State, place: Point3, named: int) -> tuple[Point3, int]:
    """A place in machine coordinates, of the axes `named` (bits), as a place in ours; and the axes
    whose place is known there."""
    found, known = list(state.position), state.known & ~named
    sure = state.origin_known & ~state.free
    if state.length is None or not state.tip_sure:
        sure &= ~Z
    for axis in range(3):
        if (named & sure) >> axis & 1:
            programmed = place[axis] - state.origin[axis] - state.offset[axis]
            if axis == 2:
                programmed -= state.length or 0.0
            found[axis] = programmed + state.shift[axis]
            known |= 1 << axis
    end = (found[0], found[1], found[2])
    if not inside(end):
        raise BlockError("move goes beyond any machine's travel", ONCE)
    return end, known


def move_in_machine(state: State, values: Mapping[str, float], *, rapid: bool) -> None:
    """G53: to a place of the machine."""
    named = sum(1 << axis for axis, letter in enumerate(AXIS_LETTERS) if letter in values)
    place = [values.get(letter, 0.0) * state.unit for letter in AXIS_LETTERS]
    end, known = of_machine(state, (place[0], place[1], place[2]), named)
    go(state, end, known, rapid=rapid)


def move_home(state: State, block: Block, code: int) -> None:
    """G28 or G30: to the programmed point, if there is one, and from there home with all axes."""
    if block.axes:
        end, known = target_of(state, block.values)
        if end != state.position or known != state.known:
            go(state, end, known, rapid=True)
        if sum(letter in block.values for letter in AXIS_LETTERS) < len(AXIS_LETTERS):
            name = "G28" if code == 280 else "G30"
            text = f"{name} sends all axes home, on some controls only those named: name X, Y and Z"
            state.warn_once(text, block.columns.get(ONCE, 0))
    first = HOME if code == 280 else SECOND_HOME
    there = state.parameters.known(first)
    end, known = of_machine(state, state.parameters.place(first), X_AND_Y_AND_Z)
    if there != X_AND_Y_AND_Z:
        known &= there
        x, y, z = (
            e if there >> k & 1 else p
            for k, (e, p) in enumerate(zip(end, state.position, strict=True))
        )
        end = (x, y, z)
    go(state, end, known, rapid=True)


def probe(state: State, block: Block) -> None:
    """G38.2: towards the programmed point; where it stops only the machine will know (3.5.9)."""
    least = 0.254 if state.unit == 1.0 else 0.01 * MM_PER_INCH
    end, known = target_of(state, block.values)
    if known == state.known == X_AND_Y_AND_Z:
        way = max(abs(e - s) for e, s in zip(end, state.position, strict=True))
        if way < least:
            text = "probing move too short: start more than 0.254 mm (0.01 in) from the target"
            raise BlockError(text, MOTION)
    state.note("probe")
    moved = sum(1 << axis for axis, letter in enumerate(AXIS_LETTERS) if letter in block.values)
    go(state, end, known, rapid=False)
    (x, y, z), (sx, sy, sz) = end, state.shift
    state.parameters.keep(PROBED, (x - sx, y - sy, z - sz))
    state.forget(moved)
