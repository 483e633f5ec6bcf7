"""A strange program in stretches, each from one rise out of the metal to the next.

Nothing says which feature a line is for; but the worst cut of every stretch is worth knowing, not
only the worst of all.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from gcodekit.proof.chords import FeatureLines
from gcodekit.rs274.program_read import Move

# More stretches than this are taken some together: each is compared with the drawing by itself.
MOST = 40


def stretches(moves: Sequence[Move], *, top: float) -> list[FeatureLines]:
    r"""Ranges of lines named by their numbers; `top` is the metal's.

    Examples
    --------
    >>> from gcodekit.rs274 import read_program
    >>> text = "G21\nT1 M6\nG0 Z5\nX1 Y1\nG1 Z-1 F9\nX2\nG0 Z5\nG81 X9 Y9 Z-3 R1\nM2\n"
    >>> [r.feature for r in stretches(read_program(text).moves, top=0.0)]
    ['lines 5 to 6', 'line 8']
    """
    found = list(_cutting(moves, top))
    size = max(1, math.ceil(len(found) / MOST))
    groups = [found[i : i + size] for i in range(0, len(found), size)]
    return [_named(group[0][0], *group[-1][1:]) for group in groups]


def _cutting(moves: Sequence[Move], top: float) -> Iterator[tuple[int, int, int]]:
    """First and last line of each run of feed moves, and the line of the rapid out of the metal
    that ends it: it begins as deep as the cut was. A line that ends one run is not the first of
    the next."""
    first = last = 0
    for move in moves:
        if move.kind != "rapid":
            first, last = first or move.line, move.line
        elif first and move.end[2] >= top and move.line != last:
            yield first, last, move.line
            first = 0
    if first:
        yield first, last, last


def _named(first: int, last: int, out: int) -> FeatureLines:
    name = f"line {first}" if first == last else f"lines {first} to {last}"
    return FeatureLines(name, first, out)
