"""A program's text to its moves, line by line: plain lines the quick way, all others word by word.

Source: NISTIR 6556, section 3.1 (percent lines, end).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Literal

from gcodekit.rs274 import origins
from gcodekit.rs274.block import Block, sort_words
from gcodekit.rs274.exact_arcs import BlockError
from gcodekit.rs274.execution import execute
from gcodekit.rs274.hand_moves import check_all_stopped, note_request
from gcodekit.rs274.motion import follow
from gcodekit.rs274.parameters import TOP_INDEX, Parameters
from gcodekit.rs274.plain_lines import read_plain
from gcodekit.rs274.program_read import Conditions, ProblemList, ReadProgram, Tool
from gcodekit.rs274.state import CYCLE_CODES, MOTION, ONCE, State
from gcodekit.rs274.words import LARGEST_SETTING, Scanned, is_deleted, scan
from gcodekit.units import MM_PER_INCH

# A program of this size is no program of one part; the limits keep memory bounded.
MOST_CHARACTERS = 100_000_000
MOST_LINES = 500_000

# A line of no program at all would have a fault for every letter.
MOST_ON_A_LINE = 3

STRAIGHT_OR_ROUND = frozenset((0, 10, 20, 30))


def read_program(
    text: str,
    file: str = "",
    *,
    cutter: int = 0,
    units: Literal["mm", "inch"] = "mm",
    block_delete: bool = False,
    tools: Mapping[int, Tool] | None = None,
    slots: int | None = None,
    parameters: Mapping[int, float] | None = None,
    by_hand: str = "",
) -> ReadProgram:
    """Read a whole program; its mistakes are among the result's problems.

    Parameters
    ----------
    cutter : number of the cutter in the spindle at the start, 0 for none
    units : of the numbers until the program says G20 or G21
    block_delete : leave out the lines that begin with a slash
    tools : lengths and diameters by number, as far as they are known
    slots : how many tools the machine holds, where T, D and H are to be held against it
    parameters : those the control holds at the start, places in mm (NISTIR 6556, table 2); what is
        not among them is 0, and a zero or home that is not among them is taken as not known
    by_hand : the axes (of "XYZ") that are on handwheels: the operator moves them at stops, as the
        messages say
    """
    problems = ProblemList(units=units)
    state = State(
        problems,
        Parameters(_sane(parameters or {}, problems)),
        tools or {},
        slots,
        block_delete,
        conditions=Conditions(cutter=cutter),
        by_hand=by_hand,
    )
    state.unit = state.parameters.unit = MM_PER_INCH if units == "inch" else 1.0
    origins.begin(state)
    lines = _lines(text, problems)
    last = _run(lines, state)
    check_all_stopped(state)
    if not state.ended and not problems.full and _unended(lines):
        text_ = "program has no end: put M2 or M30 on the last line"
        problems.error(text_, line=last)
    return ReadProgram(
        file=file,
        moves=tuple(state.moves),
        problems=tuple(problems.problems),
        events=tuple(state.events),
        turns=tuple(state.turns),
        blocks=state.blocks,
        units="mm" if state.unit == 1.0 else "inch",
        ended=state.ended,
        last_line=last,
        units_said=state.units_said,
        parameters=dict(state.parameters.values),
        lines=tuple(lines),
    )


def _sane(given: Mapping[int, float], problems: ProblemList) -> dict[int, float]:
    kept: dict[int, float] = {}
    for index, value in given.items():
        if 1 <= index <= TOP_INDEX and math.isfinite(value) and abs(value) <= LARGEST_SETTING:
            kept[index] = value
        else:
            problems.error(f"#{index} cannot be {value:g}")
    return kept


def _lines(text: str, problems: ProblemList) -> list[str]:
    text = text.removeprefix("\ufeff")
    if len(text) > MOST_CHARACTERS:
        problems.error(
            f"program has more than {MOST_CHARACTERS:,} characters: split it into several"
        )
        return []
    # counted first: the list of a file of nothing but line ends would fill the memory
    if text.count("\n") + text.count("\r") > 2 * MOST_LINES:
        problems.error(f"program has more than {MOST_LINES:,} lines: split it into several")
        return []
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    lines = text.split("\n")
    if len(lines) > MOST_LINES:
        problems.error(f"program has more than {MOST_LINES:,} lines: split it into several")
        return []
    return lines


def _unended(lines: list[str]) -> bool:
    """Tell whether the program lacks the percent lines that would stand for an end."""
    return not any(line.strip() == "%" for line in lines)


def _run(lines: list[str], state: State) -> int:
    """Execute line by line; the number of the last line with anything on it."""
    percent = 0
    last = 0
    problems = state.problems
    for number, line in enumerate(lines, start=1):
        state.line = number
        if read_plain(state, line):
            last = number
            continue
        bare = line.strip()
        if not bare:
            continue
        if bare == "%":
            if percent or last:
                if not percent:
                    problems.error(
                        "% is only allowed on the first and the last line", line=number, column=1
                    )
                percent = 2
                last = number
                break
            percent = 1
            last = number
            continue
        last = number
        _read_in_full(state, line)
        if state.ended or problems.full:
            break
    if percent == 1 and not state.ended and not problems.full:
        problems.error(
            "program starts with % and does not end with it: put % on the last line", line=last
        )
    return last


def _read_in_full(state: State, line: str) -> None:
    """Any line, with the place of everything on it."""
    if state.block_delete and is_deleted(line):
        return
    scanned = scan(line, state.parameters.get)
    faults = scanned.faults
    is_readable = not faults
    block = sort_words(scanned.words, faults)
    if scanned.words or scanned.settings or faults:
        state.blocks += 1
    if not faults:
        _execute(state, scanned, block)
    elif is_readable:
        _refuse(state, block, followed=True)
    if faults:
        for column, text in sorted(faults)[:MOST_ON_A_LINE]:
            state.problems.error(text, line=state.line, column=column)
    if state.parameters.unset:
        _warn_of_unset(state)


def _execute(state: State, scanned: Scanned, block: Block) -> None:
    """Set the parameters, then do what the words say (3.3.3, table 8)."""
    for index, value in scanned.settings:
        state.parameters.set(index, value)
    message = scanned.message if scanned.comment is not None else None
    if message is not None:
        state.note("message", text=message)
    if state.by_hand and scanned.comment is not None:
        fault = note_request(state, scanned.comment, 1)
        if fault:
            scanned.faults.append((1, fault))
    if not scanned.words:
        return
    made = len(state.moves)
    try:
        execute(state, block)
    except BlockError as error:
        if _refuse(state, block, followed=len(state.moves) == made):
            column = block.columns.get(error.at) or scanned.words[0].column
            scanned.faults.append((column, error.text))


def _refuse(state: State, block: Block, *, followed: bool) -> bool:
    """Go on after a line that may not be executed; whether it is to be said. `followed`: it has
    made no move, so where it would have led is still to be found."""
    motion = block.g.get(MOTION, state.motion)
    if not block.moves or block.g.get(ONCE) == 530:
        return True
    if motion in STRAIGHT_OR_ROUND and followed:
        follow(state, block.values, motion or 0)
    if motion not in CYCLE_CODES:
        return True
    # a line that goes on with a refused cycle is short of what that line should have said
    said = MOTION in block.g or state.refused != motion
    state.motion, state.sticky, state.refused = motion, None, motion
    return said


def _warn_of_unset(state: State) -> None:
    for index in sorted(state.parameters.unset):
        text = f"#{index} is read before it is set: 0 is assumed"
        state.warn_once(text)
    state.parameters.unset.clear()
