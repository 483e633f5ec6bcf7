"""Whether a program says its units and its zero, before anything depends on them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from gcodekit.rs274.program_read import Event, ProblemList, ReadProgram

# What a header says of it.
_PROMISED = re.compile(r"[(;] *(?:note: )?zero held in G5\d")


def check_units_said(reading: ReadProgram, problems: ProblemList) -> None:
    """Late, or more than once. A control that knows neither word needs none."""
    said = [e for e in reading.events if e.kind == "units"]
    if not said:
        return
    first, *more = said
    if first.before:
        _say_late(first, problems)
    elif _changes(first):
        _check_feed(first, reading, problems)
    for event in more:
        if _changes(event):
            text = f"the units change here, from {event.text} to {_name(event)}: is that meant?"
            problems.warn(text, line=event.line)


def _name(event: Event) -> str:
    return "mm" if event.value == 1.0 else "inch"


def _code(event: Event) -> str:
    return "G21" if event.value == 1.0 else "G20"


def _changes(event: Event) -> bool:
    return event.text != _name(event)


def _say_late(first: Event, problems: ProblemList) -> None:
    count = "a move" if first.before == 1 else f"{first.before} moves"
    text = f"{_code(first)} is said late, after {count}"
    if _changes(first):
        problems.error(f"{text} read in {first.text}", line=first.line)
    else:
        problems.warn(
            f"{text}: how a control reads those depends on how it starts", line=first.line
        )


def _check_feed(first: Event, reading: ReadProgram, problems: ProblemList) -> None:
    """F is read before the units of its own line change (NISTIR 6556, table 8)."""
    feed = first.conditions.feed
    cuts = next((m for m in reading.moves if m.kind != "rapid"), None)
    if feed and cuts is not None and cuts.feed == feed and cuts.conditions.feed_set:
        text = (
            f"F is read before {_code(first)} changes the units, as {feed:g} mm/min: put it on a "
            "line after"
        )
        problems.warn(text, line=first.line)


def check_zero(reading: ReadProgram, work_offset: int | None, problems: ProblemList) -> None:
    """One zero, and the one (1 is G54) that the job holds it in, where it says so."""
    offsets = [e for e in reading.events if e.kind == "work offset"]
    other = next((e for e in offsets if e.value != offsets[0].value), None)
    if other is not None:
        problems.warn("more than one work offset: all are taken as one zero", line=other.line)
    if work_offset is not None:
        _check_zero_said(reading, offsets, work_offset, problems)
    if offsets and work_offset is not None and offsets[0].value != work_offset:
        problems.error(
            f"{_offset(offsets[0].value)} is another zero than the job's: its work_offset = "
            f"{work_offset} is {_offset(work_offset)}",
            line=offsets[0].line,
        )


def _check_zero_said(
    reading: ReadProgram, offsets: Sequence[Event], work_offset: int, problems: ProblemList
) -> None:
    """Who says neither units nor work offset has zero set by hand; G54 is what a control begins
    with, and only a program that promises it in its own words has to say it."""
    promised = any(_PROMISED.search(line) for line in reading.lines)
    asked = _offset(work_offset)
    if offsets and offsets[0].before and offsets[0].value == work_offset:
        text = f"{asked} is said after {offsets[0].before} of the moves: say it before the first"
        problems.warn(text, line=offsets[0].line)
    elif not offsets and reading.moves and (promised or (work_offset != 1 and reading.units_said)):
        text = f"no work offset is said, and it runs from whichever came last: say {asked}"
        problems.warn(text, line=reading.moves[0].line)


def _offset(number: float) -> str:
    """The word for a work offset: 1 is G54."""
    n = int(number)
    return f"G{53 + n}" if n <= 6 else f"G59.{n - 6}"
