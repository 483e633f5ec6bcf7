"""When the spindle and the coolant go on and off: turning where a hand comes near, cutting before
the speed is reached, or dry."""

from __future__ import annotations

from collections.abc import Callable

from gcodekit.job.workshop.machine import Machine
from gcodekit.proof.chords import LEAST_TOUCH, lowest_reached
from gcodekit.proof.fault_groups import FaultGroups
from gcodekit.proof.findings import Blank
from gcodekit.rs274.program_read import Event, Move, ProblemList, ReadProgram

# A control's clock and a rounded dwell may be off by this share.
SPEED_UP_SLACK = 0.95


def check_spindle(
    reading: ReadProgram, blank: Blank, machine: Machine | None, problems: ProblemList
) -> None:
    """Check spindle and coolant; skipped where the machine is not known."""
    if machine is None:
        return
    once = FaultGroups(problems.units)
    _check_by_hand(reading, machine, once)
    _check_speed_up(reading, machine, blank, once)
    if machine.coolant != "none" and blank.top > blank.bottom:
        _check_cut_dry(reading, blank, once)
    once.report(problems)


def _check_by_hand(reading: ReadProgram, machine: Machine, once: FaultGroups) -> None:
    """Check that nothing turns or sprays where the operator reaches in. A cutter change stops
    the spindle by itself, on most controls: a program that counts on it does so every time."""
    if machine.tool_change == "automatic":
        return
    stops = [e for e in reading.events if e.kind == "stop"]
    turned = _changes_after(reading, lambda m: m.spindle != 0)
    wetted = _changes_after(reading, lambda m: m.coolant != "")
    turning = [e for e in turned if _turns_before(reading, e)]
    wet = [e for e in wetted if e.conditions.coolant]
    stop, change = "at this stop", "at this cutter change, not at the others"
    for events, text, code in (
        ([e for e in stops if e.conditions.spindle], f"spindle still turning {stop}", "M5"),
        ([e for e in stops if e.conditions.coolant], f"coolant still on {stop}", "M9"),
        (
            turning if len(turning) < len(turned) else (),
            f"spindle still turning {change}",
            "M5",
        ),
        (wet if len(wet) < len(wetted) else (), f"coolant still on {change}", "M9"),
    ):
        for event in events:
            once.note(text, event.line, severity="warning", hint=f"put {code} before it")


def _changes_after(reading: ReadProgram, of: Callable[[Move], bool]) -> list[Event]:
    """The cutter changes after a cutter with which there are such moves."""
    changes = [e for e in reading.events if e.kind == "tool change"]
    firsts = [0, *(e.before for e in changes)]
    return [
        e
        for e, first in zip(changes, firsts, strict=False)
        if any(map(of, reading.moves[first : e.before]))
    ]


def _turns_before(reading: ReadProgram, event: Event) -> bool:
    """Tell whether the spindle was told to turn, and to stop neither since nor by a cutter
    change."""
    lines = [e.line for e in reading.events if e.kind == "tool change" and e.line < event.line]
    last = next((e for e in reversed(reading.turns) if e.line < event.line), None)
    return last is not None and last.value != 0 and last.line >= max(lines, default=0)


def _check_speed_up(
    reading: ReadProgram, machine: Machine, blank: Blank, once: FaultGroups
) -> None:
    """Between M3 and the first cut the spindle needs its time."""
    needed = machine.spindle.start_time
    starts = (e for e in reading.turns if e.value and not _turns_before(reading, e))
    for start in starts if needed > 0.0 else ():
        seconds = _seconds_to_cut(start, reading, machine, blank)
        if seconds is not None and seconds < SPEED_UP_SLACK * needed:
            text = (
                f"spindle needs {needed:g} s to reach its speed, the first cut is {seconds:.1f} s"
            )
            once.note(
                f"{text} after M3", start.line, kind="speed-up", severity="warning",
                hint=f"put G4 P{needed:g} after M3",
            )  # fmt: skip


def _seconds_to_cut(
    start: Event, reading: ReadProgram, machine: Machine, blank: Blank
) -> float | None:
    """The seconds from a spindle's start to the first cut; None where there is none."""
    after = range(start.before, len(reading.moves))
    cut = next((i for i in after if _cuts(reading.moves[i], blank)), None)
    if cut is None or not reading.moves[cut].spindle:
        return None
    if any(e.kind == "hand stop" and start.before <= e.before <= cut for e in reading.events):
        # a hand that brings the cutter down takes longer
        return None
    dwells = (e for e in reading.events if e.kind == "dwell" and e.line >= start.line)
    waited = sum(e.value for e in dwells if e.before <= cut)
    return waited + sum(_seconds(m, machine) for m in reading.moves[start.before : cut])


def _cuts(move: Move, blank: Blank) -> bool:
    if move.kind == "rapid" or move.known != "XYZ":
        return False
    return lowest_reached(move) < blank.top - LEAST_TOUCH


def _seconds(move: Move, machine: Machine) -> float:
    """At its feed or the machine's rapid, without the time to gather way: no less than that."""
    feed = machine.rapid if move.kind == "rapid" else move.feed
    whole = move.known_before == "XYZ" == move.known
    return move.length / feed * 60.0 if whole and feed > 0.0 else 0.0


def _check_cut_dry(reading: ReadProgram, blank: Blank, once: FaultGroups) -> None:
    """Coolant switched off that was not on for the cuts before it."""
    since, on = 0, False
    for event in (e for e in reading.events if e.kind == "coolant"):
        if event.text:
            on = True
            continue
        cuts = reading.moves[since : event.before]
        dry = next((m for m in cuts if not m.coolant and _cuts(m, blank)), None)
        if dry is not None and not on:
            text = f"cuts dry up to line {event.line}, which switches the coolant off"
            hint = "put M7 or M8 after M3"
            once.note(text, dry.line, dry.end, severity="warning", hint=hint)
        since, on = event.before, False
