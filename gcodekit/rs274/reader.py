"""A program's text to its moves, line by line: plain lines the quick way, all others word by word.

Source: NISTIR 6556, section 3.1 (percent lines, end).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from gcodekit.rs274.block import BlockError, sort_words
from gcodekit.rs274.execution import execute, note
from gcodekit.rs274.motion import move_round, move_straight
from gcodekit.rs274.moves import Reading
from gcodekit.rs274.problems import ProblemList
from gcodekit.rs274.state import MM_PER_INCH, State
from gcodekit.rs274.words import LARGEST_NUMBER, quick_words, scan

# A program of this size is no program of one part; the limits keep memory bounded.
MOST_CHARACTERS = 100_000_000
MOST_LINES = 2_000_000

_PLAIN = frozenset("GXYZFIJR")
_QUICK_MOTION = {"0": 0, "00": 0, "1": 10, "01": 10, "2": 20, "02": 20, "3": 30, "03": 30}


def read_program(
    text: str,
    file: str = "",
    *,
    cutter: int = 0,
    units: Literal["mm", "inch"] = "mm",
    block_delete: bool = False,
) -> Reading:
    """Read a whole program; what is wrong with it is among the result's problems.

    Parameters
    ----------
    cutter : number of the cutter in the spindle at the start, 0 for none
    units : of the numbers until the program says G20 or G21
    block_delete : leave out the lines that begin with a slash
    """
    problems = ProblemList()
    state = State(problems, block_delete=block_delete)
    state.conditions = replace(state.conditions, cutter=cutter)
    state.unit = MM_PER_INCH if units == "inch" else 1.0
    lines = _lines(text, problems)
    last = _run(lines, state)
    if not state.ended and not problems.full and _unended(lines):
        text_ = "the program has no end: neither M2, M30 nor percent lines"
        problems.error(text_, line=last)
    return Reading(
        file=file,
        moves=tuple(state.moves),
        problems=tuple(problems.problems),
        events=tuple(state.events),
        blocks=state.blocks,
        units="mm" if state.unit == 1.0 else "inch",
        ended=state.ended,
        last_line=last,
    )


def _lines(text: str, problems: ProblemList) -> list[str]:
    text = text.removeprefix("\ufeff")
    if len(text) > MOST_CHARACTERS:
        problems.error(f"the program has more than {MOST_CHARACTERS} characters")
        return []
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(lines) > MOST_LINES:
        problems.error(f"the program has more than {MOST_LINES} lines")
        return []
    return lines


def _unended(lines: list[str]) -> bool:
    """Whether the program lacks the percent lines that would stand for an end."""
    return not any(line.strip() == "%" for line in lines)


def _run(lines: list[str], state: State) -> int:
    """Execute line by line; the number of the last line with anything on it."""
    percent = 0
    last = 0
    quick, problems = _quick, state.problems
    for number, line in enumerate(lines, start=1):
        state.line = number
        if quick(state, line):
            last = number
            continue
        bare = line.strip()
        if not bare:
            continue
        if bare == "%":
            if percent or last:
                if not percent:
                    problems.error("a percent line after the first line", line=number, column=1)
                percent = 2
                last = number
                break
            percent = 1
            last = number
            continue
        last = number
        _slow(state, line)
        if state.ended or problems.full:
            break
    if percent == 1 and not state.ended and not problems.full:
        problems.error("a percent line opens the program and none closes it", line=last)
    return last


def _quick(state: State, line: str) -> bool:
    """Plain straight lines and arcs, the bulk of every program. False: not one, do it slowly."""
    found = quick_words(line)
    if not found:
        return False
    if found[0][0] == "N":
        digits = found.pop(0)[1]
        if len(digits) > 5 or not digits.isdigit() or not found:
            return False
    texts = dict(found)
    if len(texts) != len(found) or not texts.keys() <= _PLAIN or state.inverse_time:
        return False
    code = state.motion
    if "G" in texts:
        code = _QUICK_MOTION.get(texts.pop("G"))
    if code not in (0, 10, 20, 30):
        return False
    values = {letter: float(number) for letter, number in texts.items()}
    if not _takes(code, values):
        return False
    try:
        return _quick_motion(state, code, values)
    except BlockError:
        # again with every word's column, for the message
        return False


def _takes(code: int, values: dict[str, float]) -> bool:
    """Whether a motion of the fast path can use every word, with an axis among them."""
    if code in (0, 10) and ("I" in values or "J" in values or "R" in values):
        return False
    return "X" in values or "Y" in values or "Z" in values


def _quick_motion(state: State, code: int, values: dict[str, float]) -> bool:
    feed = values.get("F")
    if feed is not None:
        if not 0 <= feed <= LARGEST_NUMBER:
            return False
        feed *= state.unit
        if feed != state.conditions.feed:
            state.conditions = replace(state.conditions, feed=feed)
    if code <= 10:
        move_straight(state, values, rapid=code == 0)
    else:
        position, known = state.position, state.known
        try:
            move_round(state, values, ccw=code == 30)
        except BlockError:
            state.position, state.known = position, known
            raise
    state.motion = code
    state.blocks += 1
    return True


def _slow(state: State, line: str) -> None:
    """Any line, with the place of everything on it."""
    scanned = scan(line)
    if scanned.deleted and state.block_delete:
        return
    faults = list(scanned.faults)
    block = sort_words(scanned.words, faults)
    if scanned.words or faults:
        state.blocks += 1
    if not faults:
        message = scanned.message
        if message is not None:
            note(state, "message", text=message)
        try:
            execute(state, block)
        except BlockError as error:
            column = block.columns.get(error.letter) or (
                scanned.words[0].column if scanned.words else 1
            )
            faults.append((column, error.text))
    for column, text in sorted(faults):
        state.problems.error(text, line=state.line, column=column)
