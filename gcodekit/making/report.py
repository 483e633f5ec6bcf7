"""The document of a job, `report.json`, and its rows: lengths in mm, times in seconds; texts in the
units of the job or program."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gcodekit.errors import Fault, Severity
from gcodekit.job.band import Band
from gcodekit.job.measured import Measured
from gcodekit.job.model import Job, Setup
from gcodekit.job.workshop.machine import Machine
from gcodekit.trade.rates import MOTOR_SHARE

if TYPE_CHECKING:
    from gcodekit.making.programs import ProvedSetup
    from gcodekit.planning.plan import Plan
    from gcodekit.planning.program import Operation
    from gcodekit.proof.findings import Findings
    from gcodekit.proof.time import ProgramTime
    from gcodekit.rs274.program_read import Point3, Problem


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
                **way_rows(f.way),
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
    """The mass of a volume in mm3, g."""
    return size * job.material.density * 1e-6


def problem_rows(file: str, problems: Iterable[Problem]) -> list[dict[str, Any]]:
    """The problems found in a program, a row each."""
    return [problem_row(p.severity, file, p.line, p.full_text, p.where) for p in problems]


def fault_rows(faults: Iterable[Fault]) -> list[dict[str, Any]]:
    """The same of what is wrong with a job: of no place, but of a line and a key."""
    return [problem_row(f.severity, f.place.file, f.place.line, f.text) for f in faults]


def problem_row(
    severity: Severity, file: str, line: int, text: str, where: Point3 | None = None
) -> dict[str, Any]:
    """The contract's row of one problem; `where` is x, y, z in mm, null where there is no place."""
    place = list(where) if where else None
    return {"severity": severity, "file": file, "line": line, "where": place, "text": text}


def machine_row(machine: Machine) -> dict[str, Any]:
    """The machine's limits: rev/min, mm/min, W at the motor and at the cutter."""
    spindle = machine.spindle
    power = spindle.power
    return {
        "name": machine.name,
        "speed": [spindle.slowest, spindle.fastest],
        "speeds": list(spindle.steps) or None,
        "feed": machine.feed_max,
        "power": power,
        "power_at_cutter": None if power is None else MOTOR_SHARE * power,
        "rigidity": machine.rigidity,
    }


def finder_row(job: Job, setup: Setup) -> dict[str, float] | None:
    """The edge finder's diameter, and the spindle's x or y, program coordinates, mm, as it touches
    each side: what to set there. Sides that may lie further out than drawn are left out; None
    where the workshop names no edge finder."""
    finder = job.workshop.machine.edge_finder
    if finder is None:
        return None
    stock, (over_low, over_high) = setup.sure, setup.oversize
    sides = {
        "left": (stock.low[0] - finder / 2, over_low[0]),
        "right": (stock.high[0] + finder / 2, over_high[0]),
        "front": (stock.low[1] - finder / 2, over_low[1]),
        "back": (stock.high[1] + finder / 2, over_high[1]),
    }
    known = {side: _tidy(at) for side, (at, over) in sides.items() if over == 0.0}
    return {"diameter": finder, **known}


def way_rows(way: ProgramTime) -> dict[str, Any]:
    """The time a program takes and how far it goes, mm. How the time divides, seconds:
    `times`, `dwell_s` and `spindle_s` are `time_s`; `change_s`, of cutter changes, comes on top of
    it, and the time of `hand_stops` is not known."""
    times = [{"cutter": c.cutter, "cut_s": c.cut_s, "rapid_s": c.rapid_s} for c in way.cutters]
    return {
        "time_s": way.time_s,
        "times": times,
        "dwell_s": way.dwell_s,
        "spindle_s": way.spindle_s,
        "change_s": way.change_s,
        "cut_length": way.cut_length,
        "rapid_length": way.rapid_length,
        "retracts": way.retracts,
        "hand_stops": way.hand_stops,
    }


def stock_row(findings: Findings) -> dict[str, float] | None:
    """The result of the virtual stock: mm, mm^3, and the share of the time at feed rates that
    cuts air; None where no metal is known."""
    stock = findings.stock
    if stock is None:
        return None
    return {
        "cell": stock.cell,
        "before": stock.before,
        "cut_away": stock.before - stock.left,
        "air_share": stock.air_share,
    }


def _features(proved: ProvedSetup) -> Iterator[dict[str, Any]]:
    finished = {o.feature for o in proved.plan.program.operations if o.finishing}
    for feature in proved.setup.features:
        found = proved.findings.features.get(feature.name)
        if found is not None:
            yield {
                "name": feature.name,
                "kind": feature.kind,
                "setup": proved.setup.name,
                "gouge": found.gouge,
                "uncut": found.uncut,
                "reachable_uncut": found.reachable_uncut,
                **size_rows(feature.band),
                **measured_rows(feature.measured if feature.name in finished else None),
                "cutters": cutter_rows(proved.plan, feature.name),
                "operations": operation_rows(proved.plan, feature.name),
            }


def cutter_rows(plan: Plan, feature: str) -> list[dict[str, Any]]:
    """A feature's cutters, their parts in it and why each was taken."""
    return [
        {"cutter": p.cutter.number, "name": p.cutter.name, "part": p.part, "why": p.why}
        for p in plan.chosen[feature].picks
    ]


def operation_rows(plan: Plan, feature: str) -> list[dict[str, Any]]:
    """A feature's operations in the order they are cut, each with its load."""
    own = (o for o in plan.program.operations if o.feature == feature)
    return [_operation_row(o) for o in own]


def _operation_row(operation: Operation) -> dict[str, Any]:
    row: dict[str, Any] = {"label": operation.label, "cutter": operation.cutter.number}
    row |= {"how": operation.how} if operation.how else {}
    return row | (asdict(operation.load) if operation.load is not None else {})


def size_rows(band: Band | None) -> dict[str, Any]:
    """The tolerance of a feature's size, mm, signed `limits` off the nominal; its `sizes`
    across, one by one, none where an outline has no plain one. `bush`: what is pressed in, and how
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


def measured_rows(measured: Measured | None) -> dict[str, Any]:
    """The readings that a feature is corrected by: aimed at and measured, mm, and how far its
    finishing passes go beyond the drawing for it. Nothing where there are none."""
    if measured is None:
        return {}
    size, depth = measured.size, measured.depth
    row: dict[str, Any] = {}
    if size is not None:
        wall = _tidy(abs(size.aimed - size.found) / 2)
        row |= {"nominal": _tidy(size.aimed), "measured": _tidy(size.found), "wall": wall}
    if depth is not None:
        aimed, found = _tidy(depth.aimed), _tidy(depth.found)
        row |= {"depth_nominal": aimed, "depth_measured": found, "floor": _tidy(aimed - found)}
    return {"corrected": row}


def _bush_row(band: Band) -> dict[str, Any] | None:
    if band.bush is None or band.tight is None:
        return None
    outside = [_tidy(band.bush.least), _tidy(band.bush.most)]
    return {"outside": outside, "interference": [_tidy(t) for t in band.tight]}


def _tidy(mm: float) -> float:
    """Without what is left of adding up."""
    return round(mm, 6) + 0.0
