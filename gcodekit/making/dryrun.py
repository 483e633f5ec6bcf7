"""A program from anywhere, run against a piece of metal: what is wrong with it, and how long it
takes. The drawing is not looked at: that is what making a job does."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gcodekit.errors import Fault, FaultList, JobError, Place
from gcodekit.job.model import Job, RawStock, Setup, Workshop
from gcodekit.making.problems import problem_rows

if TYPE_CHECKING:
    from gcodekit.proof.blank import Blank
    from gcodekit.proof.findings import Findings

Size3 = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class DryRun:
    """What was found; `file` is the program's name as the user gave it."""

    file: str
    findings: Findings
    moves: int
    notes: tuple[Fault, ...]

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Notes and problems as lines for the user."""
        found = tuple(
            Fault(
                Place(self.file, p.line, p.column),
                p.text + (f" at {_where(p.where)}" if p.where else ""),
                severity=p.severity,
            )
            for p in self.findings.problems
        )
        return (*self.notes, *found)

    def document(self) -> dict[str, Any]:
        """The result for machines: lengths in mm, time in seconds."""
        f = self.findings
        notes = [
            {"severity": n.severity, "file": self.file, "line": 0, "where": None, "text": n.message}
            for n in self.notes
        ]
        problems = problem_rows(self.file, f.problems)
        return {
            "blocks": f.blocks,
            "moves": self.moves,
            "time_s": f.time_s,
            "cut_length": f.cut_length,
            "rapid_length": f.rapid_length,
            "box": [list(corner) for corner in f.box] if f.box else None,
            "cutters": list(f.cutters),
            "problems": notes + problems,
        }


def dry_run(
    program: Path,
    *,
    job: Path | None = None,
    workshop: Path | None = None,
    block: Size3 | None = None,
    round_bar: tuple[float, float] | None = None,
    zero: Size3 | None = None,
    cutter: int = 0,
) -> DryRun:
    """Read a program, cut it from the metal and say what is wrong.

    Parameters
    ----------
    job : whose machine, rack and raw stock to use; of several set-ups the one that the program's
        header names, else the first
    block, round_bar : the metal without a job, mm; a bar (diameter, length) stands upright
    zero : program zero from the metal's left front bottom corner; left, front, top unless given
    cutter : in the spindle at the start

    Raises
    ------
    JobError
        The program, the job or the workshop file is at fault.
    """
    from gcodekit.job.workshop import bench_mill, load_workshop
    from gcodekit.proof.prove import prove
    from gcodekit.rs274 import Tool, read_program

    text = _text(program)
    of_job = _job(job) if job else None
    shop = load_workshop(workshop) if workshop else of_job.workshop if of_job else bench_mill()
    raw, notes = _metal(text, str(program), of_job, block, round_bar, zero)
    tools = {c.number: Tool(c.diameter) for c in shop.cutters}
    reading = read_program(text, str(program), cutter=cutter, tools=tools)
    findings = prove(
        reading,
        target=None,
        blank=blank_of(raw) if raw else _no_metal(),
        cutters={c.number: c for c in shop.cutters},
        machine=shop.machine if workshop or of_job else None,
    )
    notes += _rack_note(shop, given=bool(workshop or of_job))
    return DryRun(str(program), findings, len(reading.moves), notes)


def _job(path: Path) -> Job:
    from gcodekit.job.load import load_job

    return load_job(path)


def _text(program: Path) -> str:
    try:
        # Programs are ASCII; what is not stands in comments, whatever its encoding.
        return program.read_bytes().decode("latin-1")
    except OSError as error:
        message = f"cannot be read: {error.strerror or error}"
        raise JobError([Fault(Place(str(program)), message)]) from error


def _rack_note(shop: Workshop, *, given: bool) -> tuple[Fault, ...]:
    if given:
        return ()
    text = f"no workshop file: cutter sizes are the built-in rack's ({shop.machine.name})"
    return (Fault(Place("-"), text, "give --workshop or --job", "warning"),)


def _metal(
    text: str,
    file: str,
    job: Job | None,
    block: Size3 | None,
    round_bar: tuple[float, float] | None,
    zero: Size3 | None,
) -> tuple[RawStock | None, tuple[Fault, ...]]:
    """The raw stock in program coordinates, None where nothing says what it is."""
    faults = FaultList()
    size = block or (round_bar and (round_bar[0], round_bar[0], round_bar[1]))
    if size is None:
        if job is not None:
            return _setup_of(text, job).raw, ()
        faults.warn(Place(file), "no metal given: collisions not looked for", "give --block X Y Z")
        return None, tuple(faults.faults)
    if not all(math.isfinite(s) and s > 0 for s in (*size, *(abs(z) + 1 for z in zero or ()))):
        faults.error(Place(file), f"metal of {size} is not to be had", "sizes are above 0, in mm")
        raise JobError(faults.faults)
    x, y, z = zero or (0.0, 0.0, size[2])
    low, high = (-x, -y, -z), (size[0] - x, size[1] - y, size[2] - z)
    return RawStock(shape="block" if block else "round", low=low, high=high), ()


def _setup_of(text: str, job: Job) -> Setup:
    head = text[:4000]
    return next((s for s in job.setups if s.name and f"{s.name})" in head), job.setups[0])


def blank_of(raw: RawStock) -> Blank:
    """Raw stock as the metal a program starts with; nothing says how deep it may go below."""
    from gcodekit.part.metal import stock_levels, stock_section
    from gcodekit.proof.blank import Blank

    return Blank(
        at=partial(stock_section, raw),
        bottom=raw.low[2],
        top=raw.high[2],
        lowest=-math.inf,
        levels=stock_levels(raw),
    )


def _no_metal() -> Blank:
    import shapely

    from gcodekit.proof.blank import Blank

    return Blank(at=lambda _: shapely.Polygon(), bottom=0.0, top=0.0, lowest=-math.inf)


def _where(point: tuple[float, float, float]) -> str:
    return " ".join(f"{a}{c:.3f}" for a, c in zip("XYZ", point, strict=True))
