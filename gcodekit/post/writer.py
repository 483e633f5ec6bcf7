"""The neutral program as text in a post's dialect."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gcodekit.errors import Fault, Place, PostError
from gcodekit.planning.program import Operation, Program
from gcodekit.post.arc_blocks import write_arc
from gcodekit.post.changes import MachineState, check_habits, check_park
from gcodekit.post.contract import Post
from gcodekit.post.drilling import taken_over, write_hole
from gcodekit.post.hand_stops import HandWheels
from gcodekit.post.header import OFFSET_WORDS, header
from gcodekit.post.numbers import ControlGrid
from gcodekit.post.tape import Tape
from gcodekit.toolpath.moves import ArcFeed, Comment, Feed, HoleCycle, Move, OperatorStop, Rapid
from gcodekit.units import Units


@dataclass(frozen=True, slots=True)
class OperationLines:
    """The lines, both ends counted from 1, that one operation of a feature became. `set_to`: the
    diameter a boring head is set to for them, mm."""

    feature: str
    label: str
    first_line: int
    last_line: int
    set_to: float | None = None


@dataclass(frozen=True, slots=True)
class Written:
    """A program's text and which of its lines belong to what.

    `units` are those of its numbers: a text without G20 or G21 is read rightly only by who is
    told them.
    """

    text: str
    ranges: tuple[OperationLines, ...]
    file_ending: str
    units: Units


def write_program(program: Program, post: Post, *, unproven: bool = False) -> Written:
    """Write a set-up's program, or the part of it that is a file of its own.

    Raises
    ------
    PostError
        When the machine's habits need what the control cannot do, or several cutters would come
        into a file that may have one.
    """
    check_habits(program.job.workshop.machine, post, program.job.workshop.file)
    check_park(program)
    operations = program.operations
    cutters = list(dict.fromkeys(o.cutter.number for o in operations))
    if post.one_cutter_a_file and len(cutters) > 1:
        numbers = ", ".join(map(str, cutters))
        what = f"one cutter per file allowed: this program has cutters {numbers}"
        raise PostError([Fault(Place(post.name), what, "write one file per cutter")])
    grid, machine = _grid(program, post), program.job.workshop.machine
    tape = Tape(post, grid, HandWheels(machine.by_hand, grid, machine.dial))
    _open(tape, program, operations, unproven=unproven)
    state = MachineState(tape, program)
    ranges = [_write_operation(state, operations[i:]) for i in range(len(operations))]
    state.finish()
    units: Units = "inch" if tape.grid.inch else "mm"
    return Written("\n".join(tape.lines) + "\n", tuple(ranges), post.file_ending, units)


def _grid(program: Program, post: Post) -> ControlGrid:
    inch = (program.job.units if post.units == "by job" else post.units) == "inch"
    return ControlGrid(
        inch=inch,
        decimals=post.decimals_inch if inch else post.decimals_mm,
        feed_decimals=post.feed_decimals[inch],
        point=post.decimal_point,
        feed_max=program.job.workshop.machine.feed_max,
    )


def _open(tape: Tape, program: Program, operations: Sequence[Operation], *, unproven: bool) -> None:
    cutters = {o.cutter.number: o.cutter for o in operations}.values()
    inch = tape.grid.inch
    tape.lines.extend(tape.post.lead)
    for line in header(program, cutters, inch=inch, unproven=unproven, post=tape.post):
        tape.comment(line)
    units, offset = "G20" if inch else "G21", OFFSET_WORDS[program.setup.work_offset - 1]
    for block in tape.post.start_blocks(units=units, work_offset=offset):
        tape.block(block)


def _write_operation(state: MachineState, to_come: Sequence[Operation]) -> OperationLines:
    """The first of the operations still to come."""
    tape, operation = state.tape, to_come[0]
    for text in operation.stops:
        state.pause(text)
    if state.cutter is None or state.cutter.number != operation.cutter.number:
        cutters = [o.cutter for o in to_come]
        state.take(operation.cutter, operation.speed, operation.touch_off, cutters)
    state.run_at(operation.speed)
    tape.restate()
    tape.chord_error = min(tape.post.chord_error, operation.true_to / 2)
    first = tape.next_line
    tape.comment(f"{operation.feature}: {operation.label}")
    _write_moves(state, operation.moves)
    tape.settle()
    cutter, last = operation.cutter, max(first, len(tape.lines))
    set_to = cutter.diameter if cutter.kind == "boring head" else None
    return OperationLines(operation.feature, operation.label, first, last, set_to)


def _write_moves(state: MachineState, moves: tuple[Move, ...]) -> None:
    tape, i = state.tape, 0
    while i < len(moves):
        move = moves[i]
        i += 1
        if isinstance(move, HoleCycle):
            after = moves[i] if i < len(moves) else None
            i += write_hole(tape, move, after)
        elif state.owed or not taken_over(moves, i - 1, tape):
            _write_move(state, move)
            state.wait()
    tape.leave_cycle()


def _write_move(state: MachineState, move: Move) -> None:
    tape = state.tape
    match move:
        case Rapid(x, y, z):
            tape.rapid(x, y, z)
        case Feed(x, y, z, feed):
            tape.feed(x, y, z, feed)
        case ArcFeed():
            write_arc(tape, move)
        case Comment(text):
            tape.comment(text)
        case OperatorStop(text):
            state.stop(text)
        case HoleCycle():
            raise AssertionError("holes are written with the move after them")
