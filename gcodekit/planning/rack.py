"""Looking along the rack for a cutter that fits."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from gcodekit.operations.draft import Work
from gcodekit.trade.cutter import Cutter

# A bore under this many cutter diameters is drilled and reamed rather than milled: no room for
# the helix and the chips. Common practice, no source.
BORE_TO_CUTTER = 1.2
# Diameters nearer than this are the same size of drill or reamer.
SAME_SIZE = 0.011


def mills_of(work: Work, depth: float) -> list[Cutter]:
    """End mills of the rack whose flutes reach, largest first."""
    mills = [
        c
        for c in work.job.workshop.cutters
        if c.kind == "end mill" and c.flute_length >= depth - 1e-6
    ]
    return sorted(mills, key=lambda c: -c.diameter)


def first(cutters: Iterable[Cutter], fits: Callable[[Cutter], bool]) -> Cutter | None:
    """The first that fits."""
    return next((c for c in cutters if fits(c)), None)
