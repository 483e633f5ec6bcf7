"""The first motion of a program that goes on with half-cut work: the cutter may stand anywhere,
deep in a pocket too, so it comes up before it goes anywhere else."""

from __future__ import annotations

from collections.abc import Sequence

from gcodekit.proof.chords import LEAST_TOUCH
from gcodekit.proof.findings import Blank
from gcodekit.rs274.program_read import Move, ProblemList


def check_part_starts(
    moves: Sequence[Move], starts: Sequence[int], blank: Blank, problems: ProblemList
) -> None:
    """Check the first motion after each of the lines `starts`: Z alone, to above the stock as it
    first was."""
    for start in starts:
        first = next((m for m in moves if m.line > start), None)
        if first is None or _comes_up(first, blank):
            continue
        problems.error(
            "the first motion is not Z up, and the cutter may stand in the work",
            line=first.line,
            where=first.end if first.known == "XYZ" else None,
            hint="raise Z above the stock first",
        )


def _comes_up(move: Move, blank: Blank) -> bool:
    """Tell whether a move says where Z is and nothing else, and that is above the stock."""
    return move.known == "Z" and move.end[2] >= blank.top - LEAST_TOUCH
