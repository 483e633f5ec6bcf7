"""Whether a program says its units, before anything depends on them."""

from __future__ import annotations

from gcodekit.rs274.program_read import Event, ProblemList, ReadProgram


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
