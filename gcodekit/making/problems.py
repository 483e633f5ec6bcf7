"""A proof's problems: as rows of a report, and as lines for the user."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from gcodekit.errors import Fault, Place
from gcodekit.rs274.program_read import Point3, Problem


def problem_rows(file: str, problems: Iterable[Problem]) -> list[dict[str, Any]]:
    """The contract's rows, one a problem; `where` is x, y, z in mm or null."""
    return [
        {
            "severity": p.severity,
            "file": file,
            "line": p.line,
            "where": list(p.where) if p.where else None,
            "text": p.text,
        }
        for p in problems
    ]


def fault_rows(faults: Iterable[Fault]) -> list[dict[str, Any]]:
    """The same of what is wrong with a job: of no place, but of a line and a key."""
    return [
        {
            "severity": f.severity,
            "file": f.place.file,
            "line": f.place.line,
            "where": None,
            "text": f.text,
        }
        for f in faults
    ]


def problem_faults(file: str, problems: Iterable[Problem]) -> list[Fault]:
    """The same problems, a line each."""
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
