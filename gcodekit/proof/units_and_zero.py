"""Units and work offset of a program: given at all, given once, and before anything depends on
them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from gcodekit.rs274.program_read import Event, ProblemList, ReadProgram
from gcodekit.units import format_feed

# The line of a header that promises one.
_PROMISED = re.compile(r"[(;] *(?:note: )?work offset: G5\d")


def check_units_said(reading: ReadProgram, problems: ProblemList) -> None:
    """Warn of units given late, or more than once. A control that knows neither word needs none."""
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
            text = f"units change from {event.text} to {_name(event)} here"
            problems.warn(text, line=event.line, hint="check that this is meant")


def _name(event: Event) -> str:
    return "mm" if event.value == 1.0 else "inch"


def _code(event: Event) -> str:
    return "G21" if event.value == 1.0 else "G20"


def _changes(event: Event) -> bool:
    return event.text != _name(event)


def _say_late(first: Event, problems: ProblemList) -> None:
    count = "a move" if first.before == 1 else f"{first.before} moves"
    text, hint = f"{_code(first)} comes late, after {count}", "put it before the first move"
    if _changes(first):
        problems.error(f"{text} in {first.text}", line=first.line, hint=hint)
    else:
        text += " in whatever units the control starts with"
        problems.warn(text, line=first.line, hint=hint)


def _check_feed(first: Event, reading: ReadProgram, problems: ProblemList) -> None:
    """F is read before the units of its own line change (NISTIR 6556, table 8)."""
    feed = first.conditions.feed
    cuts = next((m for m in reading.moves if m.kind != "rapid"), None)
    if feed and cuts is not None and cuts.feed == feed and cuts.conditions.feed_set:
        text = (
            f"F is read before {_code(first)} changes the units, as "
            f"{format_feed(feed, problems.units)}"
        )
        problems.warn(text, line=first.line, hint="put F on the next line")


def check_zero(reading: ReadProgram, work_offset: int | None, problems: ProblemList) -> None:
    """One zero, and the one (1 is G54) that the job holds it in, where it says so."""
    offsets = [e for e in reading.events if e.kind == "work offset"]
    other = next((e for e in offsets if e.value != offsets[0].value), None)
    if other is not None:
        text = "more than one work offset: assumed to share one origin"
        problems.warn(text, line=other.line)
    if work_offset is not None:
        _check_zero_said(reading, offsets, work_offset, problems)
    if offsets and work_offset is not None and offsets[0].value != work_offset:
        problems.error(
            f"{_offset(offsets[0].value)} is not the job's work offset: work_offset = "
            f"{work_offset} is {_offset(work_offset)}",
            line=offsets[0].line,
            hint="correct one of the two",
        )


def _check_zero_said(
    reading: ReadProgram, offsets: Sequence[Event], work_offset: int, problems: ProblemList
) -> None:
    """Warn of a work offset that is missing or late. A control starts in G54: only a program whose
    header promises an offset must name it. With neither units nor offset, zero is set by hand."""
    promised = any(_PROMISED.search(line) for line in reading.lines)
    asked = _offset(work_offset)
    if offsets and offsets[0].before and offsets[0].value == work_offset:
        several = "s" if offsets[0].before > 1 else ""
        text = f"{asked} comes late, after {offsets[0].before} move{several}"
        problems.warn(text, line=offsets[0].line, hint="put it before the first move")
    elif not offsets and reading.moves and (promised or (work_offset != 1 and reading.units_said)):
        text = "no work offset: the program runs in whichever was used last"
        hint = f"put {asked} before the first move"
        problems.warn(text, line=reading.moves[0].line, hint=hint)


def _offset(number: float) -> str:
    """The word for a work offset: 1 is G54."""
    n = int(number)
    return f"G{53 + n}" if n <= 6 else f"G59.{n - 6}"
