"""What is said to the user of a job that was made, or of a program that was run."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from gcodekit.errors import Fault, Place
from gcodekit.job.features.size_words import size_lines
from gcodekit.job.model import Job, Setup
from gcodekit.making.report import finder_row, mass
from gcodekit.units import MM_PER_INCH, format_length

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
        yield f"{f.file}: {f.blocks} blocks, {f.way.time_s / 60:.1f} min, {cutters}"
    for size in size_lines(proved.setup, job.units):
        yield f"{proved.setup.name}: size of {size}"
    found = proved.findings
    yield (
        f"{proved.setup.name}: gouge {found.gouge:.4f} mm, "
        f"left standing in reach {found.reachable_uncut:.4f} mm"
    )
    for f in proved.files:
        for c in f.way.cutters:
            name = name_of(c.cutter)
            yield f"{f.file}: {name} cutting {clock(c.cut_s)}, rapids {clock(c.rapid_s)}"
        if said := waits(f.way):
            yield f"{f.file}: {said}"
    if line := finder_line(job, proved.setup):
        yield line


def explained(plan: Plan) -> Iterator[str]:
    """Why each cutter was taken; each operation in the order it is cut, with why it stands there
    and what ruled its rates."""
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
            yield f"{place}: {load.speed:.0f} rev/min, {load.feed:.0f} mm/min: {load.why}"


def part_line(job: Job, size: float) -> str:
    """The finished part's volume and mass, in the job's units."""
    grams = mass(job, size)
    if job.units == "mm":
        return f"finished part: {size / 1000:.2f} cm3, {grams:.1f} g"
    return f"finished part: {size / MM_PER_INCH**3:.3f} in3, {grams / 453.59237:.3f} lb"


def finder_line(job: Job, setup: Setup) -> str:
    """Find where the spindle stands as an edge finder touches each side, for the bench, in the
    job's units; "" where there is no finder."""
    row = finder_row(job, setup)
    if row is None or len(row) == 1:
        return ""
    axes = {"left": "X", "right": "X", "front": "Y", "back": "Y"}
    sets = ", ".join(
        f"{side} {axes[side]} {format_length(row[side], job.units)}" for side in axes if side in row
    )
    size = format_length(row["diameter"], job.units)
    return f"{setup.name}: edge finder of {size} touching a side, set there: {sets}"


def faults(proved: Iterable[ProvedSetup]) -> list[Fault]:
    """Every problem of every file as a line."""
    return [x for p in proved for f in p.files for x in problem_faults(f.file, f.problems)]


def problem_faults(file: str, problems: Iterable[Problem]) -> list[Fault]:
    """Find what the proof found in a program, a line each."""
    return [
        Fault(Place(file, p.line, p.column), p.text + _at(p.where), severity=p.severity)
        for p in problems
    ]


def _at(where: Point3 | None) -> str:
    """The place in program coordinates; mm like every figure of the proof, whatever the job's
    units."""
    if where is None:
        return ""
    x, y, z = (c + 0.0 for c in where)
    return f" at x {x:.3f} y {y:.3f} z {z:.3f} mm"


def clock(seconds: float) -> str:
    """As people read it.

    Examples
    --------
    >>> clock(83.7), clock(59.6), clock(7384)
    ('1 min 24 s', '1 min 00 s', '123 min 04 s')
    """
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest:02d} s"


def name_of(cutter: int) -> str:
    """As programs name it; 0 is a cutter that none names."""
    return f"T{cutter}" if cutter else "no cutter named"


def waits(way: ProgramTime) -> str:
    """Find what a program waits for, "" for nothing."""
    said = []
    if way.dwell_s:
        said.append(f"dwells {clock(way.dwell_s)}")
    if way.spindle_s:
        said.append(f"spindle starts {clock(way.spindle_s)}")
    if way.changes:
        several = "s" if way.changes > 1 else ""
        said.append(f"not counted: {way.changes} cutter change{several}, {clock(way.change_s)}")
    return "; ".join(said)
