"""What `report.json` says of a job, and the lines said when it is made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from gcodekit.errors import Fault
from gcodekit.job.band import Band
from gcodekit.job.features.size_words import size_lines
from gcodekit.job.model import Job
from gcodekit.making.cuts import cutter_rows, machine_row, operation_rows
from gcodekit.making.finder import finder_line, finder_row
from gcodekit.making.problems import fault_rows, problem_faults, problem_rows
from gcodekit.making.programs import ProvedSetup
from gcodekit.proof.findings import Findings
from gcodekit.proof.time import ProgramTime
from gcodekit.units import MM_PER_INCH


def report(
    job: Job,
    proved: Sequence[ProvedSetup],
    verdict: str,
    size: float,
    warnings: Sequence[Fault] = (),
) -> dict[str, Any]:
    """The contract's document: mm and seconds, programs in running order. `size`: the finished
    part's volume, mm3; its mass is in g. `warnings` are the job's, before those of programs."""
    files = [(p.setup, f) for p in proved for f in p.files]
    return {
        "job": job.name,
        "fingerprint": job.fingerprint,
        **({"given": dict(job.given)} if job.given else {}),
        "job_file": job.path.name,
        "verdict": verdict,
        "volume": size,
        "mass": mass(job, size),
        "machine": machine_row(job.workshop.machine),
        "programs": [
            {
                "file": f.file,
                "setup": setup.name,
                "cutters": list(f.cutters),
                "edge_finder": finder_row(job, setup),
                "time_s": f.way.time_s,
                **time_rows(f.way),
                "cut_length": f.way.cut_length,
                "rapid_length": f.way.rapid_length,
                "retracts": f.way.retracts,
                "blocks": f.blocks,
            }
            for setup, f in files
        ],
        "features": [row for p in proved for row in _features(p)],
        "problems": [
            *fault_rows(warnings),
            *(row for _, f in files for row in problem_rows(f.file, f.problems)),
        ],
    }


def unplanned(path: Path, faults: Iterable[Fault]) -> dict[str, Any]:
    """The document of a job that was not planned, its faults as problems."""
    return {
        "job": path.stem,
        "job_file": path.name,
        "verdict": "fail",
        "programs": [],
        "features": [],
        "problems": fault_rows(faults),
        "written": {},
    }


def mass(job: Job, size: float) -> float:
    """Of a volume in mm3, g."""
    return size * job.material.density * 1e-6


def part_line(job: Job, size: float) -> str:
    """The finished part's volume and mass, in the job's units."""
    grams = mass(job, size)
    if job.units == "mm":
        return f"finished part: {size / 1000:.2f} cm3, {grams:.1f} g"
    return f"finished part: {size / MM_PER_INCH**3:.3f} in3, {grams / 453.59237:.3f} lb"


def time_rows(way: ProgramTime) -> dict[str, Any]:
    """How a program's time divides, seconds: `times`, `dwell_s` and `spindle_s` are `time_s`;
    `change_s`, of cutter changes, comes on top of it."""
    times = [{"cutter": c.cutter, "cut_s": c.cut_s, "rapid_s": c.rapid_s} for c in way.cutters]
    return {
        "times": times,
        "dwell_s": way.dwell_s,
        "spindle_s": way.spindle_s,
        "change_s": way.change_s,
    }


def stock_row(findings: Findings) -> dict[str, float] | None:
    """What the virtual stock came to: mm, mm^3, and the share of the time at feed rates that cuts
    air; None where no metal is known."""
    stock = findings.stock
    if stock is None:
        return None
    return {
        "cell": stock.cell,
        "before": stock.before,
        "cut_away": stock.before - stock.left,
        "air_share": stock.air_share,
    }


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
    """What a program waits for, "" for nothing."""
    said = []
    if way.dwell_s:
        said.append(f"dwells {clock(way.dwell_s)}")
    if way.spindle_s:
        said.append(f"spindle starts {clock(way.spindle_s)}")
    if way.changes:
        several = "s" if way.changes > 1 else ""
        said.append(f"not counted: {way.changes} cutter change{several}, {clock(way.change_s)}")
    return "; ".join(said)


def _features(proved: ProvedSetup) -> Iterator[dict[str, Any]]:
    for feature in proved.setup.features:
        found = proved.findings.features.get(feature.name)
        if found is not None:
            yield {
                "name": feature.name,
                "kind": feature.kind,
                "setup": proved.setup.name,
                "gouge": found.gouge,
                "standing": found.standing,
                "reachable_standing": found.reachable_standing,
                **size_rows(feature.band),
                "cutters": cutter_rows(proved.plan, feature.name),
                "operations": operation_rows(proved.plan, feature.name),
            }


def size_rows(band: Band | None) -> dict[str, Any]:
    """How true a feature's size is to be, mm, signed `limits` off the nominal; its `sizes` across,
    one by one, none where an outline has no plain one. `bush`: what is pressed in, and how
    tight."""
    if band is None:
        return {"fit": None, "limits": None, "sizes": [], "bush": None}
    lower, upper = _tidy(band.lower), _tidy(band.upper)
    each = [(_tidy(s), _tidy(s + band.aim)) for s in band.sizes]
    return {
        "fit": band.fit or None,
        "limits": [lower, upper],
        "sizes": [{"nominal": s, "lower": lower, "upper": upper, "aim": aim} for s, aim in each],
        "bush": _bush_row(band),
    }


def _bush_row(band: Band) -> dict[str, Any] | None:
    if band.bush is None or band.tight is None:
        return None
    outside = [_tidy(band.bush.least), _tidy(band.bush.most)]
    return {"outside": outside, "interference": [_tidy(t) for t in band.tight]}


def _tidy(mm: float) -> float:
    """Without what is left of adding up."""
    return round(mm, 6) + 0.0


def faults(proved: Iterable[ProvedSetup]) -> list[Fault]:
    """Every problem of every file as a line."""
    return [x for p in proved for f in p.files for x in problem_faults(f.file, f.problems)]


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
        f"left standing in reach {found.reachable_standing:.4f} mm"
    )
    for f in proved.files:
        for c in f.way.cutters:
            name = name_of(c.cutter)
            yield f"{f.file}: {name} cutting {clock(c.cut_s)}, rapids {clock(c.rapid_s)}"
        if said := waits(f.way):
            yield f"{f.file}: {said}"
    if line := finder_line(job, proved.setup):
        yield line
