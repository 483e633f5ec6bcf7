"""Output to the user: results on standard output, messages and faults on standard error.

Plain text only: nothing here colours or animates, whatever the output is.
"""

from __future__ import annotations

import datetime
import json
import os
import sys
from collections.abc import Iterable, Sequence
from typing import Any

from gcodekit.errors import Fault, counted, errors_of


def result(text: str) -> None:
    """Print a line of the result."""
    sys.stdout.write(f"{text}\n")


def message(text: str) -> None:
    """Print a line about progress."""
    sys.stderr.write(f"{text}\n")
    sys.stderr.flush()


def faults(found: Iterable[Fault]) -> bool:
    """Print each fault on a line of standard error; tell whether one of them is an error."""
    found = tuple(found)
    for fault in found:
        message(str(fault))
    return bool(errors_of(found))


def nothing(text: str) -> None:
    """A line that is not wanted."""
    del text


def verdict(found: Iterable[Fault]) -> str:
    """The number of errors and warnings, in words."""
    return counted(fault.severity for fault in found)


def today() -> str:
    """The date of what is written, as ISO 8601 has it; that of SOURCE_DATE_EPOCH, in seconds since
    1970, where somebody wants the same files on every day."""
    given = os.environ.get("SOURCE_DATE_EPOCH", "")
    if given.isascii() and given.isdigit() and len(given) <= 11:
        return datetime.datetime.fromtimestamp(int(given), datetime.UTC).date().isoformat()
    return datetime.datetime.now().astimezone().date().isoformat()


def document(value: Any) -> None:
    """Print a result as one JSON document."""
    result(json.dumps(value, indent=2, ensure_ascii=False))


def table(
    heads: Sequence[str], rows: Iterable[Sequence[str]], *, units: Sequence[str] = ()
) -> None:
    """Print columns under their heads, numbers to the right; `units` are a second line of heads."""
    tops = [tuple(heads), *([tuple(units)] if units else [])]
    cells = [*tops, *(tuple(row) for row in rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(heads))]
    right = [_all_numbers(row[i] for row in cells[len(tops) :]) for i in range(len(heads))]
    for row in cells:
        placed = (
            c.rjust(w) if r else c.ljust(w) for c, w, r in zip(row, widths, right, strict=True)
        )
        result("  ".join(placed).rstrip())


def _all_numbers(column: Iterable[str]) -> bool:
    return all(c.replace(".", "", 1).lstrip("-+").isdigit() for c in column if c)


def column(values: Iterable[float | None], *, most: int = 3) -> list[str]:
    """Return a table's numbers with as many decimals as the one that needs most; "" for None.

    Examples
    --------
    >>> column([6, 3.175, None]), column([25, 80])
    (['6.000', '3.175', ''], ['25', '80'])
    """
    known = list(values)
    texts = [f"{v:.{most}f}".rstrip("0") for v in known if v is not None]
    decimals = max((len(t.partition(".")[2]) for t in texts), default=0)
    return ["" if v is None else f"{v:.{decimals}f}" for v in known]


def number(value: float) -> str:
    """Return a number with at most three decimals and no idle zeros.

    Examples
    --------
    >>> number(6.0), number(3.175)
    ('6', '3.175')
    """
    return f"{value:.3f}".rstrip("0").rstrip(".")
