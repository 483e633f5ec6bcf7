"""A proof's problems as rows of a report."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from gcodekit.rs274.problems import Problem


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
