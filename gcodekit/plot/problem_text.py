"""A problem's text in the job's units: the proof says every length in mm."""

from __future__ import annotations

import re
from collections.abc import Iterable

from gcodekit.units import MM_PER_INCH, Units

_LENGTH = re.compile(
    r"(?<![\w.])(?P<figure>-?\d{1,9}(?:\.\d{1,9})?) mm(?P<rate>/min)?(?![\w/23²³])"
)


def in_units(text: str, units: Units, names: Iterable[str] = ()) -> str:
    """The text with its lengths and feeds in the units; what is part of a name stays as it is.

    Examples
    --------
    >>> in_units("cut 2.54 mm deep at 254 mm/min with 6 mm drill", "inch", ["6 mm drill"])
    'cut 0.1 in deep at 10 in/min with 6 mm drill'
    """
    if units == "mm":
        return text
    named = [re.escape(n) for n in sorted({n for n in names if n}, key=len, reverse=True)]
    if not named:
        return _LENGTH.sub(_inch, text)
    parts = re.split(f"({'|'.join(named)})", text)
    return "".join(p if n % 2 else _LENGTH.sub(_inch, p) for n, p in enumerate(parts))


def _inch(found: re.Match[str]) -> str:
    value = float(found["figure"]) / MM_PER_INCH
    text = f"{value:.{1 if found['rate'] else 4}f}".rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text} in{found['rate'] or ''}"
