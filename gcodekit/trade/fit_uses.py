"""What a fit is for, by the pairs of classes that workshops use."""

from __future__ import annotations

import re
from dataclasses import dataclass

from gcodekit.trade.fits import Fit, fits_table


@dataclass(frozen=True, slots=True)
class Use:
    """A usual pair, "H7/g6", and what it is for."""

    pair: str
    purpose: str


def use_of(fit: Fit) -> tuple[Use, bool] | None:
    """What a pair is for, and whether it is a usual one itself or only has the letters of one;
    None where no usual pair has them.

    Examples
    --------
    >>> from gcodekit.trade.fits import fit
    >>> found = fit(10, "H8/g7")
    >>> use_of(found)[0].pair, use_of(found)[1]
    ('H7/g6', False)
    """
    pair = f"{fit.hole.name}/{fit.shaft.name}"
    uses = [Use(p, row["for"]) for row in fits_table()["use"] for p in row["pairs"]]
    for use in uses:
        if use.pair == pair:
            return use, True
    alike = next((use for use in uses if _letters(use.pair) == _letters(pair)), None)
    return (alike, False) if alike else None


def _letters(pair: str) -> str:
    return re.sub(r"\d", "", pair)
