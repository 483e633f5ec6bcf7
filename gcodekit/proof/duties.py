"""Whether the cutter in the spindle is one for the canned cycle it is used in."""

from __future__ import annotations

from collections.abc import Mapping

from gcodekit.job.document.wording import one
from gcodekit.proof.once import Once
from gcodekit.rs274.program_read import ProblemList, ReadProgram
from gcodekit.trade.cutter import Cutter

TAPPING, BACK_BORING = 84, 87


def check_duties(
    reading: ReadProgram, cutters: Mapping[int, Cutter], problems: ProblemList
) -> None:
    """A tapping cycle drives a tap and nothing else; back boring needs a bar that reaches through
    the hole."""
    once = Once()
    for move in reading.moves:
        cutter = cutters.get(move.cutter) if move.cycle and move.kind != "rapid" else None
        if cutter is None:
            continue
        what = f"cutter {cutter.number} is {one(cutter.kind)}"
        if cutter.kind == "tap" and move.cycle != TAPPING:
            text = f"{what}: G{move.cycle} does not turn it back out of its thread, G84 does"
        elif cutter.kind != "tap" and move.cycle == TAPPING:
            text = f"G84 cuts a thread with a tap, and {what}"
        elif cutter.kind != "boring head" and move.cycle == BACK_BORING:
            text = f"G87 bores from below with a boring head, and {what}"
        else:
            continue
        once.note(text, move.line, move.end)
    once.report(problems)
