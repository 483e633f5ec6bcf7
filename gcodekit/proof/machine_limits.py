"""A program against what its machine has: feeds, speeds, coolant, travel."""

from __future__ import annotations

from collections.abc import Sequence

from gcodekit.job.workshop.machine import Machine
from gcodekit.proof.chords import LEAST_TOUCH, turning_points
from gcodekit.proof.fault_groups import FaultGroups
from gcodekit.rs274.program_read import Move, Point3, ProblemList, ReadProgram
from gcodekit.units import format_coordinate, format_feed, format_size

# A geared or belt speed is met when it is this near, as a share.
SPEED_NEAR = 0.02
_COOLANTS = {"m": ("M7", "mist"), "f": ("M8", "flood")}


def check_machine(reading: ReadProgram, machine: Machine | None, problems: ProblemList) -> None:
    """All of it; without a machine, that there is a feed."""
    once = FaultGroups(problems.units)
    for move in reading.moves:
        if move.kind != "rapid":
            if not move.by_hand:
                _check_feed(move, machine, once)
            if machine is not None and move.spindle and move.speed > 0.0:
                _check_speed(move, machine, once)
    once.report(problems)
    if machine is not None:
        _check_coolant(reading, machine, problems)
        _check_travel(reading.moves, machine, problems)


def _check_feed(move: Move, machine: Machine | None, once: FaultGroups) -> None:
    if move.feed <= 0.0:
        once.note("no feed set, or F0", move.line, move.end, hint="put an F word before the cut")
    elif machine is not None and move.feed > machine.feed_max * (1 + 1e-6):
        said, most = (format_feed(f, once.units) for f in (move.feed, machine.feed_max))
        text = f"feed {said} is above the machine's limit, {most}"
        once.note(text, move.line, move.end, kind="feed", size=move.feed, said=said, hint="lower F")


def _check_speed(move: Move, machine: Machine, once: FaultGroups) -> None:
    spindle = machine.spindle
    if not spindle.slowest * (1 - 1e-6) <= move.speed <= spindle.fastest * (1 + 1e-6):
        text = (
            f"spindle speed {move.speed:g} rev/min is outside the machine's range, "
            f"{spindle.slowest:g} to {spindle.fastest:g} rev/min"
        )
        once.note(text, move.line)
    elif spindle.steps and not any(abs(move.speed - s) <= SPEED_NEAR * s for s in spindle.steps):
        steps = ", ".join(f"{s:g}" for s in spindle.steps)
        text = f"spindle speed {move.speed:g} rev/min is not one of the machine's: {steps} rev/min"
        once.note(text, move.line)


def _check_coolant(reading: ReadProgram, machine: Machine, problems: ProblemList) -> None:
    """A control may do something else with the word, or nothing; the cut goes dry."""
    has = "none" if machine.coolant == "none" else f"only {machine.coolant}"
    told = set()
    for event in reading.events:
        code, name = _COOLANTS.get(event.text, ("", "")) if event.kind == "coolant" else ("", "")
        if name and name != machine.coolant and name not in told:
            told.add(name)
            text = f"{code} switches on {name} coolant: the machine has {has}"
            problems.warn(text, line=event.line)


def _check_travel(moves: Sequence[Move], machine: Machine, problems: ProblemList) -> None:
    """Check the span of the program on each axis; where it lies on the machine is not
    known. Said of the move that first needs more than there is."""
    if machine.travel is None:
        return
    for axis, letter in enumerate("XYZ"):
        low = high = None
        first: tuple[int, Point3] | None = None
        for move in moves:
            if letter not in move.known:
                continue
            for place in turning_points(move)[1:]:
                at = place[axis]
                low = at if low is None else min(low, at)
                high = at if high is None else max(high, at)
                if first is None and high - low > machine.travel[axis] + LEAST_TOUCH:
                    first = move.line, place
        if first is not None and low is not None and high is not None:
            units = problems.units
            far, most = (format_size(v, units) for v in (high - low, machine.travel[axis]))
            ends = " to ".join(format_coordinate(v, units) for v in (low, high))
            text = f"{letter} travels {far}, {ends}: the machine's travel is {most}"
            problems.error(text, line=first[0], where=first[1])
