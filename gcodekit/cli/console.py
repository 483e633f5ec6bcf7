"""Everything said to the user: results on standard output, messages and faults on standard error.

Plain text only: nothing here colours or animates, whatever the output is.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from typing import Any

from gcodekit.errors import Fault, errors_of


def result(text: str) -> None:
    """A line of the result."""
    sys.stdout.write(f"{text}\n")


def message(text: str) -> None:
    """A line about how it goes."""
    sys.stderr.write(f"{text}\n")
    sys.stderr.flush()


def faults(found: Iterable[Fault]) -> bool:
    """Each fault on a line of standard error; whether one of them is an error."""
    found = tuple(found)
    for fault in found:
        message(str(fault))
    return bool(errors_of(found))


def nothing(text: str) -> None:
    """A line that is not wanted."""
    del text


def verdict(found: Iterable[Fault]) -> str:
    """The number of errors and warnings, in words."""
    severities = [fault.severity for fault in found]
    errors, warnings = (severities.count(s) for s in ("error", "warning"))
    if not severities:
        return "nothing wrong found"
    counted = f"{errors or 'no'} error{'' if errors == 1 else 's'}"
    return f"{counted}, {warnings} warning{'' if warnings == 1 else 's'}" if warnings else counted


def document(value: Any) -> None:
    """A result as one JSON document."""
    result(json.dumps(value, indent=2, ensure_ascii=False))


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Columns under their heads, as wide as they need to be; numbers to the right."""
    cells = [tuple(heads), *(tuple(row) for row in rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(heads))]
    right = [_all_numbers(row[i] for row in cells[1:]) for i in range(len(heads))]
    for row in cells:
        placed = (
            c.rjust(w) if r else c.ljust(w) for c, w, r in zip(row, widths, right, strict=True)
        )
        result("  ".join(placed).rstrip())


def _all_numbers(column: Iterable[str]) -> bool:
    return all(c.replace(".", "", 1).lstrip("-").isdigit() for c in column if c)


def number(value: float) -> str:
    """A number for a table: at most three decimals, no idle zeros.

    Examples
    --------
    >>> number(6.0), number(3.175)
    ('6', '3.175')
    """
    return f"{value:.3f}".rstrip("0").rstrip(".")
