"""Figures of a sheet, in the units of the job."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from gcodekit.units import Units, mm_per

# As many decimals as programs have, and no more than a workshop reads: mm, inch.
_PLACES = {"mm": 3, "inch": 4}


def unit_of(units: Units) -> str:
    """The unit's sign."""
    return "in" if units == "inch" else "mm"


def figure(mm: float, units: Units, places: int | None = None) -> str:
    """A length as a bare number, without idle zeros unless its places are given.

    Examples
    --------
    >>> figure(-12.7, "inch"), figure(-0.0001, "mm"), figure(5, "mm", 2)
    ('-0.5', '0', '5.00')
    """
    text = f"{mm / mm_per(units):.{_PLACES[units] if places is None else places}f}"
    if places is None:
        text = text.rstrip("0").rstrip(".")
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def length(mm: float, units: Units) -> str:
    """A length with its unit."""
    return f"{figure(mm, units)} {unit_of(units)}"


def decimals(lengths: Iterable[float], units: Units) -> int:
    """The decimals that the one that needs most of them has: those of all in a column."""
    texts = [figure(mm, units) for mm in lengths]
    return max((len(t.partition(".")[2]) for t in texts), default=0)


def column(lengths: Sequence[float | None], units: Units) -> list[str]:
    """Lengths with one number of decimals; nothing where there is none."""
    places = decimals((mm for mm in lengths if mm is not None), units)
    return ["" if mm is None else figure(mm, units, places) for mm in lengths]


def feed_figure(mm_per_min: float, units: Units) -> str:
    """A feed as a bare number."""
    value = mm_per_min / mm_per(units)
    return f"{value:.1f}" if units == "inch" or value < 10 else f"{value:.0f}"


def span(texts: Sequence[str]) -> str:
    """From the first to the last, or the one that they are."""
    return texts[0] if texts[0] == texts[-1] else f"{texts[0]}–{texts[-1]}"


def clock(seconds: float) -> str:
    """A time as minutes and seconds, for a column.

    Examples
    --------
    >>> clock(59.6), clock(823)
    ('1:00', '13:43')
    """
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"
