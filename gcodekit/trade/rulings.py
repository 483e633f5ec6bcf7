"""Limits that held a cut back, and their sentences, in the units of whoever reads them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from gcodekit.units import MM_PER_INCH, Units

Limit = Literal[
    "cutting speed",
    "spindle range",
    "minimum chip load",
    "spindle power",
    "cutter deflection",
    "feed limit",
    "machine rigidity",
    "flute length",
    "hole depth",
    "drawing",
]
# Those that take from a cut's depth first.
DEPTH_LIMITS: frozenset[Limit] = frozenset(
    {"spindle power", "cutter deflection", "machine rigidity", "flute length"}
)
MM_PER_FOOT = 12 * MM_PER_INCH


@dataclass(frozen=True, slots=True)
class Ruling:
    """A limit that held a cut back: `share` is what it left of the cut; not `met` where what was
    asked for cannot be brought inside it.

    `sentence` is the reason, with `{0}` where the first of `lengths` (mm) goes; `{0:feed}` shows it
    as mm/min, `{0:surface}` as a cutting speed whose metres are in `lengths`.
    """

    limit: Limit
    sentence: str
    share: float
    met: bool = True
    lengths: tuple[float, ...] = ()

    def text(self, units: Units) -> str:
        """Return the reason in a reader's units.

        Examples
        --------
        >>> Ruling("flute length", "flutes {0} long", 0.5, lengths=(12.7,)).text("inch")
        'flutes 0.5 in long'
        """
        return self.sentence.format(*(_Length(mm, units) for mm in self.lengths))

    def named(self, units: Units) -> str:
        """Return the limit with its reason: "spindle power, 350 W"."""
        mark = "," if self.limit == "spindle power" else ":"
        return f"{self.limit}{mark} {self.text(units)}"


@dataclass(frozen=True, slots=True)
class _Length:
    """A length in mm as a sentence shows it."""

    mm: float
    units: Units

    def __format__(self, what: str) -> str:
        if what == "surface":
            return surface_text(self.mm, self.units)
        if what == "feed":
            return feed_text(self.mm, self.units)
        return length_text(self.mm, self.units)


def length_text(mm: float, units: Units) -> str:
    """Return a length to three figures, with its unit."""
    value, unit = (mm / MM_PER_INCH, "in") if units == "inch" else (mm, "mm")
    return f"{_three_figures(value)} {unit}"


def feed_text(feed: float, units: Units) -> str:
    """Return a feed, mm/min, to three figures, with its unit."""
    return f"{length_text(feed, units)}/min"


def surface_text(surface: float, units: Units) -> str:
    """Return a cutting speed, m/min, to three figures: in feet per minute beside inches."""
    if units == "inch":
        return f"{_three_figures(1000 * surface / MM_PER_FOOT)} ft/min"
    return f"{_three_figures(surface)} m/min"


def _three_figures(value: float) -> str:
    """Return a number to three figures, written out: 0.0000754, never 7.54e-05."""
    decimals = 2 - math.floor(math.log10(abs(value))) if value else 0
    text = f"{round(value, decimals):.{max(decimals, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
