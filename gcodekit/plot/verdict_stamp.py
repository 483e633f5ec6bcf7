"""The stamp of a sheet: what the proof came to. It is the whole job's: where another set-up or file
fails, nobody is to cut this one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gcodekit.errors import counted
from gcodekit.plot.letters import fitted, text_width
from gcodekit.plot.paper import (
    FINE,
    INK,
    LARGE,
    LEGEND,
    PAPER,
    WARNING,
    PaperBox,
    document,
    group,
    rectangle,
    words,
)
from gcodekit.plot.sheet_facts import Stamp
from gcodekit.rs274.program_read import Problem

STAMP = PaperBox(LEGEND.left + 3, LEGEND.top + 2, LEGEND.right - 2.5, LEGEND.top + 12)


@dataclass(frozen=True, slots=True)
class DrawnSheet:
    """A sheet drawn but for its stamp, which waits for the verdict on the rest of the job. `stamp`
    is what the proof of this set-up came to, `problems` those on the sheet."""

    title: str
    content: tuple[str, ...]
    stamp: Stamp
    problems: tuple[Problem, ...]

    def text(self, failing: str = "") -> str:
        """The whole sheet, as SVG text; `failing` names another set-up or file of the job that has
        errors, "" where there is none."""
        return document(self.title, *self.content, _mark(self.stamp, self.problems, failing))


def _mark(stamp: Stamp, problems: Sequence[Problem], failing: str) -> str:
    """The stamp; a sheet that is not to be run has it in reverse."""
    wrong = any(p.severity == "error" for p in problems)
    said = counted(p.severity for p in problems)
    if wrong and stamp == "PASS":
        stamp = "FAIL"
    lines = (_MEANINGS[stamp], said)
    if failing and not wrong and stamp in ("PASS", "FAIL"):
        stamp, lines = "FAIL", (f"do not run: errors in {failing}", f"here: {said}")
    dark = stamp in ("FAIL", "UNPROVEN") or wrong
    ink = PAPER if dark else INK
    edge = WARNING if dark else INK
    parts = [rectangle(STAMP, fill=edge if dark else PAPER, stroke=edge, stroke_width=0.7)]
    size = LARGE * 1.1
    x, y = STAMP.left + 3, STAMP.top + 7
    parts.append(words(x, y, stamp, size=size, fill=ink, font_weight="bold"))
    left = STAMP.left + 6 + text_width(stamp, size, bold=True)
    for n, text in enumerate(lines):
        cell = fitted(text, STAMP.right - 1 - left, FINE)
        parts.append(words(left, STAMP.top + 4.2 + 3.6 * n, cell, size=FINE, fill=ink))
    return group("stamp", *parts)


_MEANINGS: dict[Stamp, str] = {
    "PASS": "proved against the drawing",
    "FAIL": "do not run this program",
    "UNPROVEN": "do not run unchecked",
    "DRY RUN": "read and cut virtually",
}
