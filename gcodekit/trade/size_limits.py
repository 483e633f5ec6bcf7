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
_FIRST_GRADE = 4  # of the data file's rows
# Sizes are compared with the ranges' limits to this, mm: 0.39370 inch is meant as 10 mm.
_RANGE_SLACK = 1e-3
HOLES = ("C", "D", "E", "F", "G", "H", "JS", "K", "M", "N", "P", "R", "S")
SHAFTS = ("c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s")
_CLEARANCE_LETTERS = (
    "cdefgh"  # letters whose shaft is never above the nominal size, nor the hole below it
)
# The coarsest grade of a hole that delta raises, ISO 286-1; the table has K and M to it only.
_RAISED_TO = {"K": 8, "M": 8, "N": 8, "P": 7, "R": 7, "S": 7}


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
NARROW_BAND = 5
SHARE_OF_BAND = 0.1
# No program is proved truer than this, mm: its last decimal and the proof's own chords.
FINEST_PROOF = 0.001


def planned_tolerance(tolerance: float, band: float | None) -> float:
    """The tolerance to which a shape is planned whose size has limits this wide, mm.

    Examples
    --------
    >>> planned_tolerance(0.01, None), planned_tolerance(0.01, 0.2), planned_tolerance(0.01, 0.02)
    (0.01, 0.01, 0.002)
    """
    if band is None or band >= NARROW_BAND * tolerance:
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


def is_hole(tolerance_class: str) -> bool:
    """Tell whether a class is a hole's: capitals.

    Examples
    --------
    >>> is_hole("JS7"), is_hole("g6")
    (True, False)
    """
    return tolerance_class[:1].isupper()


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
    letter, grade = _letter_and_grade(tolerance_class)
    row = _row("range", size)
    width = row["it"][grade - _FIRST_GRADE]
    if letter.upper() == "JS":
        return _micrometres(-width / 2, width / 2)
    basic = _basic(row, letter.lower(), grade, size)
    if letter.lower() in _CLEARANCE_LETTERS:
        return (
            _micrometres(-basic, width - basic)
            if letter in HOLES
            else _micrometres(basic - width, basic)
        )
    if letter in SHAFTS:
        return _micrometres(basic, basic + width)
    upper = _upper_of_hole(row, letter, grade, basic)
    return _micrometres(upper - width, upper)


def _letter_and_grade(tolerance_class: str) -> tuple[str, int]:
    match = _CLASS.fullmatch(plain_class(tolerance_class))
    letter, grade = (match[1], int(match[2])) if match else ("", 0)
    if letter not in (*HOLES, *SHAFTS):
        near = _nearest_letter(letter)
        raise UnknownFitError(
            f"{tolerance_class!r} is not a tolerance class in the table",
            (f"the nearest is {near}{grade}; " if near else "")
            + f"holes {' '.join(HOLES)}, shafts {' '.join(SHAFTS)}, with a grade: H7",
        )
    if not _FINEST <= grade <= _COARSEST:
        raise UnknownFitError(
            f"{tolerance_class}: grade {grade} is not in the table",
            f"use grades {_FINEST} to {_COARSEST}",
        )
    if letter in ("K", "M") and grade > _RAISED_TO[letter]:
        raise UnknownFitError(f"{letter}{grade} is not in the table", f"use {letter}5 to {letter}8")
    return letter, grade


def _nearest_letter(letter: str) -> str:
    """The table's letter next to one that it leaves out, hole for hole and shaft for shaft."""
    if not letter.isalpha() or not (letter.isupper() or letter.islower()):
        return ""
    known = HOLES if letter.isupper() else SHAFTS
    return min(known, key=lambda other: abs(ord(other[0]) - ord(letter[0])))


def _basic(row: dict[str, Any], letter: str, grade: int, size: float) -> float:
    """A shaft's fundamental deviation, micrometres: the upper one to h, the lower one from k."""
    if letter == "k" and grade > 7:  # ISO 286-1: k is raised in grades 4 to 7 only
        return 0.0
    if letter in "crs":
        row = _row("finer", size)
    return float(row["shaft_es" if letter in _CLEARANCE_LETTERS else "shaft_ei"][letter])


def _upper_of_hole(row: dict[str, Any], letter: str, grade: int, basic: float) -> float:
    """Upper deviation of a hole from K on, micrometres.

    Source: ISO 286-1, from memory: over 3 mm the shaft's deviation is turned round and raised by
    delta, what the grade is wider than the one before it, up to the grades of `_RAISED_TO`; K is
    then as if k were in grades 4 to 7; N is 0 in coarser grades; M6 over 250 to 315 mm is -9.
    """
    if row["to"] <= 3:
        return -basic
    if letter == "M" and grade == 6 and row["to"] == 315:
        return -9.0
    if letter == "K":
        basic = row["shaft_ei"]["k"]
    if grade <= _RAISED_TO[letter]:
        it = row["it"]
        return float(it[grade - _FIRST_GRADE] - it[grade - _FIRST_GRADE - 1] - basic)
    return 0.0 if letter == "N" else -basic


def _micrometres(lower: float, upper: float) -> Deviations:
    return Deviations(lower / 1000 + 0.0, upper / 1000 + 0.0)  # never -0.0


def _row(name: str, size: float) -> dict[str, Any]:
    """The table's row for a size: over the lower limit, up to and with the upper one."""
    rows = fits_table()[name]
    if 0 < size <= rows[-1]["to"] + _RANGE_SLACK:
        return next(row for row in rows if size <= row["to"] + _RANGE_SLACK)
    raise UnknownFitError(
        f"{size:g} mm is not in the table of fits", f"greater than 0, at most {rows[-1]['to']} mm"
    )


@cache
def fits_table() -> dict[str, list[dict[str, Any]]]:
    """The data file."""
    text = files("gcodekit.trade").joinpath("data/fits.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
