"""Lines for the user about a job that was made, or a program that was run."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from gcodekit.errors import Fault, Place
from gcodekit.job.features.size_words import size_lines
from gcodekit.job.model import Job, Setup
from gcodekit.making.report import finder_row, mass
from gcodekit.units import MM_PER_INCH, Units, format_feed, format_length, format_place, format_time

if TYPE_CHECKING:
    from gcodekit.making.programs import ProvedSetup
    from gcodekit.planning.plan import Plan
    from gcodekit.proof.time import ProgramTime
    from gcodekit.rs274.program_read import Point3, Problem


def summary(job: Job, proved: ProvedSetup) -> Iterator[str]:
    """A line a file, the sizes with limits, what the comparison with the drawing came to, the
    times, and where an edge finder sets zero."""
    for f in proved.files:
        cutters = ", ".join(f"T{n}" for n in f.cutters) or "no cutter moves"
        yield f"{f.file}: {f.blocks} blocks, {format_time(f.way.time_s)}, {cutters}"
    for size in size_lines(proved.setup, job.units):
        yield f"{proved.setup.name}: size of {size}"
    for line in proved.plan.program.corrections:
        yield f"{proved.setup.name}: corrected: {line}; compared with the drawing moved by that"
    found = proved.findings
    yield (f"{proved.setup.name}: {measured(found.gouge, found.reachable_uncut, job.units)}")
    for f in proved.files:
        for c in f.way.cutters:
            name = name_of(c.cutter)
            cut, rapid = format_time(c.cut_s), format_time(c.rapid_s)
            yield f"{f.file}: {name} cutting {cut}, rapids {rapid}"
        if said := waits(f.way):
            yield f"{f.file}: {said}"
    if line := finder_line(job, proved.setup):
        yield line


def explained(plan: Plan) -> Iterator[str]:
    """The reason for each cutter; each operation in sequence, with the reason for its place and the
    limit of its rates."""
    setup = plan.program.setup
    for feature in setup.features:
        if not feature.copy_of:
            for p in plan.chosen[feature.name].picks:
                name = f"T{p.cutter.number} {p.cutter.name}"
                yield f"{setup.name}: {feature.name}: {name} to {p.part}: {p.why}"
    for number, o in enumerate(plan.program.operations, 1):
        place = f"{setup.name} {number}"
        yield f"{place}: T{o.cutter.number} {o.feature}: {o.label} ({o.why})"
        if o.how:
            yield f"{place}: {o.how}"
        if o.load is not None:
            load = o.load
            feed = format_feed(load.feed, plan.program.job.units)
            yield f"{place}: {load.speed:.0f} rev/min, {feed}: {load.why}"


def part_line(job: Job, size: float) -> str:
    """The finished part's volume and mass, in the job's units."""
    grams = mass(job, size)
    if job.units == "mm":
        return f"finished part: {size / 1000:.2f} cm3, {grams:.1f} g"
    return f"finished part: {size / MM_PER_INCH**3:.3f} in3, {grams / 453.59237:.3f} lb"


def finder_line(job: Job, setup: Setup) -> str:
    """The coordinate to set as an edge finder touches each side, in the job's units; "" where there
    is no edge finder."""
    row = finder_row(job, setup)
    if row is None or len(row) == 1:
        return ""
    axes = {"left": "X", "right": "X", "front": "Y", "back": "Y"}
    sets = ", ".join(
        f"{side} {axes[side]} {format_length(row[side], job.units)}" for side in axes if side in row
    )
    size = format_length(row["diameter"], job.units)
    return f"{setup.name}: with a {size} edge finder touching a side, set: {sets}"


def faults(proved: Iterable[ProvedSetup], units: Units) -> list[Fault]:
    """Every problem of every file as a line."""
    return [
        fault
        for p in proved
        for f in p.files
        for fault in problem_faults(f.file, f.problems, units, f.units)
    ]


def problem_faults(
    file: str, problems: Iterable[Problem], units: Units, program: Units
) -> list[Fault]:
    """The problems found in a program, a line each, with their places in `units`, named where the
    `program` is in others."""
    note = "" if units == program else f" ({units})"
    return [
        Fault(Place(file, p.line, p.column), p.text + _at(p.where, units, note), p.hint, p.severity)
        for p in problems
    ]


def _at(where: Point3 | None, units: Units, note: str) -> str:
    """The place in program coordinates."""
    return f" at {format_place(where, units)}{note}" if where is not None else ""


def measured(gouge: float, uncut: float | None, units: Units) -> str:
    """The worst gouge and, if it was checked, the worst uncut place in reach, in one form."""
    per, word, places = (1.0, "mm", 4) if units == "mm" else (MM_PER_INCH, "in", 5)
    text = f"gouge {gouge / per:.{places}f} {word}"
    if uncut is None:
        return text
    return f"{text}, uncut but reachable {uncut / per:.{places}f} {word}"


def name_of(cutter: int) -> str:
    """A cutter as programs name it; 0 for none loaded."""
    return f"T{cutter}" if cutter else "no cutter loaded"


def _apart(way: ProgramTime) -> Iterator[str]:
    """What the operator does while the program waits."""
    if way.changes:
        several = "s" if way.changes > 1 else ""
        yield f"{way.changes} cutter change{several}, {format_time(way.change_s)}"
    if way.hand_stops:
        yield f"{way.hand_stops} stop{'s' if way.hand_stops > 1 else ''} to move an axis by hand"


def waits(way: ProgramTime) -> str:
    """The waits of a program, "" for none."""
    said = []
    if way.dwell_s:
        said.append(f"dwells {format_time(way.dwell_s)}")
    if way.spindle_s:
        said.append(f"spindle starts {format_time(way.spindle_s)}")
    if apart := list(_apart(way)):
        said.append(f"not counted: {', '.join(apart)}")
    return "; ".join(said)
