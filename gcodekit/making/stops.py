"""Where in a program the holding changes: at the stops that its own words name."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from gcodekit.job.model import Setup
from gcodekit.making.remarks import bare, remark
from gcodekit.part.keep_out import Body, held_by
from gcodekit.post.comments import printable
from gcodekit.proof.keepout import Holding
from gcodekit.rs274 import ReadProgram

# Put before a piece of a message or remark by the writer or for the control.
_MARKS = re.compile(r"^(?:MSG, *|note: *)", re.IGNORECASE)


def holdings(setup: Setup, reading: ReadProgram) -> tuple[Holding, ...] | None:
    """What holds the work from which line on; None where the program does not say every stop of
    the set-up in its order."""
    found = [Holding(0, held_by(setup.hold, setup))]
    said = list(_stops_said(reading))
    for stop in setup.stops:
        wanted = bare(printable(stop.text))
        line = next((n for n, text in said if wanted in text and n > found[-1].first), None)
        if line is None:
            return None
        found.append(Holding(line, held_by(stop.hold, setup)))
    return tuple(found)


def always_standing(setup: Setup) -> tuple[Holding, ...]:
    """The bodies that stand in every stage: all that is sure where nobody says when it is."""
    bodies: Sequence[Body] = held_by(setup.hold, setup)
    for hold in setup.holds[1:]:
        kept = held_by(hold, setup)
        bodies = [b for b in bodies if b in kept]
    return (Holding(0, tuple(bodies)),)


def _stops_said(reading: ReadProgram) -> Iterator[tuple[int, str]]:
    """Every stop's line with the words just before it, in one piece."""
    for event in reading.events:
        if event.kind != "stop":
            continue
        words: list[str] = []
        for line in range(event.line - 1, 0, -1):
            said = remark(reading.lines[line - 1])
            if said is None:
                break
            words.append(_MARKS.sub("", said))
        yield event.line, bare("".join(reversed(words)))
