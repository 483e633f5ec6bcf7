"""Fits of a hole and a shaft, such as H7/g6: what room they leave, and what they are for."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from gcodekit.trade.size_limits import Deviations, UnknownFitError, deviations, fits_table, is_hole

Sort = Literal["clearance", "transition", "interference"]
_BETWEEN_CLASSES = re.compile(r"[/\s-]+|(?<=\d)(?=[A-Za-z])")


@dataclass(frozen=True, slots=True, kw_only=True)
class FitPart:
    """One of the two parts of a fit: its class, and its limits, mm."""

    name: str
    size: float
    deviations: Deviations

    @property
    def least(self) -> float:
        """The lower limit of size."""
        return self.size + self.deviations.lower

    @property
    def greatest(self) -> float:
        """The upper limit of size."""
        return self.size + self.deviations.upper


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A hole and the shaft that goes into it. Clearances in mm, negative where metal overlaps."""

    hole: FitPart
    shaft: FitPart

    @property
    def least(self) -> float:
        """Clearance of the smallest hole over the largest shaft."""
        return self.hole.deviations.lower - self.shaft.deviations.upper

    @property
    def greatest(self) -> float:
        """Clearance of the largest hole over the smallest shaft."""
        return self.hole.deviations.upper - self.shaft.deviations.lower

    @property
    def sort(self) -> Sort:
        """The name that ISO 286-1 gives it; a thousandth of a micrometre is none."""
        if self.least > -1e-6:
            return "clearance"
        return "interference" if self.greatest < 1e-6 else "transition"


def fit(size: float, text: str) -> Fit | FitPart:
    """A nominal size (mm) with a fit, "H7/p6" in either order, or with one part's class alone.

    Raises
    ------
    UnknownFitError
        where the text is neither, or the table does not have it

    Examples
    --------
    >>> found = fit(10, "H7/g6")
    >>> found.sort, round(found.least, 4), round(found.greatest, 4)
    ('clearance', 0.005, 0.029)
    """
    words = [word for word in _BETWEEN_CLASSES.split(_closed(text)) if word]
    if len(words) not in (1, 2):
        raise UnknownFitError(
            f"{text!r} is not a fit", "write the hole's class, then the shaft's: H7/g6"
        )
    parts = [FitPart(name=w, size=size, deviations=deviations(size, w)) for w in words]
    if len(parts) == 1:
        return parts[0]
    holes = [is_hole(part.name) for part in parts]
    if all(holes) or not any(holes):
        raise UnknownFitError(
            f"{text!r} names two {'holes' if all(holes) else 'shafts'}",
            "a fit is a hole in capitals and a shaft in small letters: H7/g6",
        )
    hole, shaft = parts if holes[0] else reversed(parts)
    return Fit(hole=hole, shaft=shaft)


def _closed(text: str) -> str:
    """Classes without the space that may stand between letter and grade."""
    return re.sub(r"(?<=[A-Za-z])\s+(?=\d)", "", text)


@dataclass(frozen=True, slots=True)
class UsualFit:
    """A usual pair, "H7/g6", and what it is for."""

    pair: str
    purpose: str


def use_of(fit: Fit) -> tuple[UsualFit, bool] | None:
    """Return the use of a fit, and whether it is a usual one itself or only has the letters of one;
    None where no usual fit has them.

    Examples
    --------
    >>> found = fit(10, "H8/g7")
    >>> use_of(found)[0].pair, use_of(found)[1]
    ('H7/g6', False)
    """
    pair = f"{fit.hole.name}/{fit.shaft.name}"
    uses = [UsualFit(p, row["for"]) for row in fits_table()["use"] for p in row["pairs"]]
    for use in uses:
        if use.pair == pair:
            return use, True
    alike = next((use for use in uses if _letters(use.pair) == _letters(pair)), None)
    return (alike, False) if alike else None


def _letters(pair: str) -> str:
    return re.sub(r"\d", "", pair)
