"""A program from anywhere, run against a piece of metal: what is wrong with it, and how long it
takes. The drawing is not looked at: that is what making a job does."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gcodekit.errors import Fault, FaultList, JobError, Place
from gcodekit.job.model import Job, RawStock, Setup, Workshop

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from gcodekit.proof.blank import Blank
    from gcodekit.proof.findings import Findings

Size3 = tuple[float, float, float]

# Circles are drawn with this many chords a quarter: a 100 mm bar is then true to 0.004 mm.
_QUARTER = 64
# A bar lying down changes with every height; it is looked at on so many.
_LYING_LEVELS = 32


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
        problems = [
            {
                "severity": p.severity,
                "file": self.file,
                "line": p.line,
                "where": list(p.where) if p.where else None,
                "text": p.text,
            }
            for p in f.problems
        ]
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
    from gcodekit.rs274 import read_program

    text = _text(program)
    of_job = _job(job) if job else None
    shop = load_workshop(workshop) if workshop else of_job.workshop if of_job else bench_mill()
    raw, notes = _metal(text, str(program), of_job, block, round_bar, zero)
    reading = read_program(text, str(program), cutter=cutter)
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
    from gcodekit.proof.blank import Blank

    levels: tuple[float, ...] = ()
    if raw.shape == "round" and raw.axis != "z":
        height = raw.high[2] - raw.low[2]
        levels = tuple(raw.low[2] + height * i / _LYING_LEVELS for i in range(1, _LYING_LEVELS))
    return Blank(
        at=lambda z: _section(raw, z),
        bottom=raw.low[2],
        top=raw.high[2],
        lowest=-math.inf,
        levels=levels,
    )


def _section(raw: RawStock, z: float) -> BaseGeometry:
    import shapely

    if not raw.low[2] <= z <= raw.high[2]:
        return shapely.Polygon()
    (x0, y0, z0), (x1, y1, z1) = raw.low, raw.high
    if raw.shape == "round" and raw.axis == "z":
        middle = shapely.Point((x0 + x1) / 2, (y0 + y1) / 2)
        return middle.buffer((x1 - x0) / 2, quad_segs=_QUARTER)
    if raw.shape == "round":
        radius, off = (z1 - z0) / 2, z - (z0 + z1) / 2
        half = math.sqrt(max(0.0, radius**2 - off**2))
        if raw.axis == "x":
            y0, y1 = (y0 + y1) / 2 - half, (y0 + y1) / 2 + half
        else:
            x0, x1 = (x0 + x1) / 2 - half, (x0 + x1) / 2 + half
    return shapely.box(x0, y0, x1, y1)


def _no_metal() -> Blank:
    import shapely

    from gcodekit.proof.blank import Blank

    return Blank(at=lambda _: shapely.Polygon(), bottom=0.0, top=0.0, lowest=-math.inf)


def _where(point: tuple[float, float, float]) -> str:
    return " ".join(f"{a}{c:.3f}" for a, c in zip("XYZ", point, strict=True))
