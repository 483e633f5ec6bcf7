"""What to buy, or to regrind, where nothing in the rack does."""

from __future__ import annotations

import math

from gcodekit.job.band import Band
from gcodekit.operations.draft import Work
from gcodekit.trade.cutter import Cutter, CutterKind
from gcodekit.units import mm_per

# An end mill may be ground down by this share of its diameter, a reamer stoned down by so many mm:
# common practice, no source.
GROUND_SHARE = 0.15
STONED = 0.06


def end_mill(
    work: Work, deep: float, *, most: float | None = None, centre_cutting: bool = False
) -> str:
    """An end mill that would do: no wider than `most`, flutes for a cut this deep, mm."""
    centre = " that cuts at its centre" if centre_cutting else ""
    flutes = f"flutes of {work.say(_round(work, deep, up=True))} would do"
    if most is None:
        return f"an end mill{centre} with {flutes}"
    most = _round(work, most, up=False)
    return (
        f"an end mill{centre} of {work.say(most)} or less with {flutes}"
        f"{_reground(work, deep, most)}"
    )


def of_size(work: Work, kind: CutterKind, least: float, most: float, deep: float) -> str:
    """A drill, reamer or tap of a size, or between two, mm."""
    size = work.say(most) if most - least < 0.01 else f"{work.say(least)} to {work.say(most)}"
    return f"a {kind} of {size} with flutes of {work.say(_round(work, deep, up=True))} would do"


def reamer(work: Work, band: Band, deep: float) -> str:
    """A reamer that measures between limits, or one that can be stoned down to them."""
    fit = f" {band.fit}" if band.fit else ""
    size = f"{work.say(band.least)} to {work.say(band.most)}"
    near = _next_larger(work, ("reamer",), band.most, deep, within=STONED)
    stoned = f"; or number {near.number} stoned down to that" if near is not None else ""
    flutes = work.say(_round(work, deep, up=True))
    return f"a reamer{fit} that measures {size} with flutes of {flutes} would do{stoned}"


def _reground(work: Work, deep: float, most: float) -> str:
    near = _next_larger(work, ("end mill",), most, deep, within=GROUND_SHARE * most)
    return f"; or number {near.number} reground to that" if near is not None else ""


def _next_larger(
    work: Work, kinds: tuple[CutterKind, ...], size: float, deep: float, *, within: float
) -> Cutter | None:
    """The least cutter over a size that is long enough and no larger than it can be ground from."""
    those = [
        c
        for c in work.job.workshop.cutters
        if c.kind in kinds and size < c.diameter <= size + within and c.flute_length >= deep - 1e-6
    ]
    return min(those, key=lambda c: c.diameter, default=None)


def _round(work: Work, mm: float, *, up: bool) -> float:
    """To a tenth of a millimetre or five thousandths of an inch, as cutters are sold and ground."""
    step = 0.1 if work.job.units == "mm" else 0.005 * mm_per("inch")
    steps = mm / step
    rounded = math.ceil(steps - 1e-6) if up else math.floor(steps + 1e-6)
    return rounded * step if rounded else mm
