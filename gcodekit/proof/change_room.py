"""Room under the spindle for a cutter that is put in by hand."""

from __future__ import annotations

from collections.abc import Mapping

import shapely

from gcodekit.job.workshop.machine import Machine
from gcodekit.proof.chords import LEAST_TOUCH
from gcodekit.proof.findings import Blank
from gcodekit.rs274.program_read import Event, Move, ProblemList, ReadProgram
from gcodekit.trade.cutter import Cutter
from gcodekit.units import format_coordinate, format_size


def check_change_room(
    reading: ReadProgram,
    blank: Blank,
    cutters: Mapping[int, Cutter],
    machine: Machine | None,
    problems: ProblemList,
) -> None:
    """Check that where a hand changes cutters the next one, as long as it is, goes in above the
    work. Said of the change that lacks the most."""
    if machine is None or machine.tool_change == "automatic" or 2 in machine.by_hand:
        return
    lacks = [
        (_lacking(event, reading.moves[event.before - 1], blank, cutters), event)
        for event in reading.events
        if event.kind == "tool change" and event.before > 0
    ]
    most, event = max(lacks, key=lambda found: found[0], default=(0.0, None))
    if event is None or most <= LEAST_TOUCH:
        return
    before = reading.moves[event.before - 1]
    lack, height = (
        format_size(most, problems.units),
        format_coordinate(before.end[2] + most, problems.units),
    )
    problems.warn(
        f"the spindle is {lack} too low over the work for cutter {event.value:g} to go in",
        line=event.line,
        hint=f"raise it by hand, or go up to Z {height} or higher before the change",
    )


def _lacking(event: Event, before: Move, blank: Blank, cutters: Mapping[int, Cutter]) -> float:
    """How far the tip of the cutter to go in would be below the top of the work, mm."""
    held, coming = cutters.get(before.cutter), cutters.get(int(event.value))
    if held is None or coming is None or before.known != "XYZ":
        return 0.0
    x, y, z = before.end
    work = blank.outer(blank.top - LEAST_TOUCH)
    if work.is_empty or work.distance(shapely.Point(x, y)) > coming.radius:
        return 0.0
    return blank.top - (z + held.stickout - coming.stickout)
