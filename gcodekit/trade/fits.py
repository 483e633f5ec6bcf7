"""ISO 286: limits of a size from its tolerance class, such as H7 for a hole or p6 for a shaft."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

_CLASS = re.compile(r"([A-Za-z]{1,2})\s?(\d{1,2})")
_FINEST, _COARSEST = 5, 11
# Sizes are compared with the ranges' limits to this, mm: 0.39370 inch is meant as 10 mm.
_SLACK = 1e-3
HOLES = ("E", "F", "G", "H", "JS", "K", "N", "P")
SHAFTS = ("e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s")


@dataclass(frozen=True, slots=True)
class Deviations:
    """Signed, on the size, mm."""

    lower: float
    upper: float

    @property
    def middle(self) -> float:
        """Half way between."""
        return (self.lower + self.upper) / 2


class UnknownFitError(ValueError):
    """A tolerance class or size that the table does not have; `hint` says what it has."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.hint = hint


# A band under this many tolerances is narrow: the program is then planned, and proved, this share
# of the band true. The job file's contract.
NARROW = 5
SHARE_OF_BAND = 0.1
# No program is proved truer than this, mm: its last decimal and the proof's own chords.
FINEST_PROOF = 0.001


def planned_tolerance(tolerance: float, band: float | None) -> float:
    """How true a shape is planned whose size has a band this wide, mm.

    Examples
    --------
    >>> planned_tolerance(0.01, None), planned_tolerance(0.01, 0.2), planned_tolerance(0.01, 0.02)
    (0.01, 0.01, 0.002)
    """
    if band is None or band >= NARROW * tolerance:
        return tolerance
    return max(SHARE_OF_BAND * band, FINEST_PROOF)


def plain_class(text: str) -> str:
    """A tolerance class as it is usually written.

    Examples
    --------
    >>> plain_class(" H 7 ")
    'H7'
    """
    match = _CLASS.fullmatch(text.strip())
    return f"{match[1]}{int(match[2])}" if match else text.strip()


def deviations(size: float, tolerance_class: str) -> Deviations:
    """The limit deviations of a nominal size (mm).

    Raises
    ------
    UnknownFitError
        where the class is none of the table's, or the size is not in its ranges

    Examples
    --------
    >>> deviations(10, "H7")
    Deviations(lower=0.0, upper=0.015)
    """
    match = _CLASS.fullmatch(plain_class(tolerance_class))
    letter, grade = (match[1], int(match[2])) if match else ("", 0)
    if letter not in (*HOLES, *SHAFTS):
        raise UnknownFitError(
            f"{tolerance_class!r} is no tolerance class of the table",
            f"holes {' '.join(HOLES)}, shafts {' '.join(SHAFTS)}, with a grade: H7",
        )
    if not _FINEST <= grade <= _COARSEST:
        raise UnknownFitError(
            f"{tolerance_class}: grade {grade} is not in the table",
            f"grades {_FINEST} to {_COARSEST}",
        )
    row, grade_width = _range(size), _grade(size, grade)
    if letter.upper() == "JS":
        return _micrometres(-grade_width / 2, grade_width / 2)
    if letter in HOLES:
        return _hole(row, letter, grade, grade_width)
    return _shaft(row, letter, grade, grade_width, size)


def _hole(row: dict[str, Any], letter: str, grade: int, width: float) -> Deviations:
    if letter in "EFGH":
        lower = -row["shaft_es"][letter.lower()]
        return _micrometres(lower, lower + width)
    if grade != 7:
        raise UnknownFitError(f"{letter}{grade} is not in the table", f"{letter}7 is")
    upper = row["hole_es"][letter]
    return _micrometres(upper - width, upper)


def _shaft(row: dict[str, Any], letter: str, grade: int, width: float, size: float) -> Deviations:
    if letter in "efgh":
        upper = row["shaft_es"][letter]
        return _micrometres(upper - width, upper)
    if letter in "rs":
        lower = _row("r_s", size)[letter]
    elif letter == "k" and grade > 7:  # ISO 286-1: k is raised in grades 4 to 7 only
        lower = 0
    else:
        lower = row["shaft_ei"][letter]
    return _micrometres(lower, lower + width)


def _micrometres(lower: float, upper: float) -> Deviations:
    return Deviations(lower / 1000, upper / 1000)


def _grade(size: float, grade: int) -> float:
    return float(_range(size)["it"][grade - _FINEST])


def _range(size: float) -> dict[str, Any]:
    return _row("range", size)


def _row(name: str, size: float) -> dict[str, Any]:
    """The table's row for a size: over the lower limit, up to and with the upper one."""
    rows = _tables()[name]
    if 0 < size <= rows[-1]["to"] + _SLACK:
        return next(row for row in rows if size <= row["to"] + _SLACK)
    raise UnknownFitError(
        f"{size:g} mm is not in the table of fits", f"over 0 to {rows[-1]['to']} mm is"
    )


@cache
def _tables() -> dict[str, list[dict[str, Any]]]:
    text = files("gcodekit.trade").joinpath("data/fits.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
