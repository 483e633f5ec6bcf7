"""Axes on their handwheels: what is asked of the hand, gathered until the program has to stop.

A stop is a message in one fixed form, in several lines where one has no room, which whoever reads
the program takes at its word, then M0::

    (MSG, by hand: move to Y12.500, dial 5+0, then feed down to Z-3.000, dial -2+50)
    M0

Steps one after another along one axis are one: a lift of which nothing comes is never asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from gcodekit.errors import Fault, Place, PostError
from gcodekit.job.workshop.dials import dial_reading
from gcodekit.job.workshop.machine import Dial
from gcodekit.post.comments import BY_HAND
from gcodekit.post.contract import Post
from gcodekit.post.numbers import ControlGrid
from gcodekit.toolpath.moves import HoleCycle

# A hand is told places to a micrometre, or a ten-thousandth of an inch, and divisions of its dial
# to a tenth.
TOLD_DECIMALS = {False: 3, True: 4}
TOLD_OF_DIVISION = 1


@dataclass(frozen=True, slots=True)
class _Asked:
    """One step: along an axis to a place in counts, from one (None: nobody knows); `verb` is of a
    hole, "" where the way says it."""

    axis: int
    start: int | None
    place: int
    cuts: bool
    verb: str = ""
    more: str = ""


@dataclass(slots=True)
class HandWheels:
    """The axes on handwheels (0, 1, 2 for X, Y, Z) and what is asked of them so far."""

    axes: tuple[int, ...]
    grid: ControlGrid
    dial: Dial | None = None
    _asked: list[_Asked] = field(default_factory=list)

    def count(self, mm: float) -> int:
        """A coordinate in counts, as fine as a hand is told."""
        spare = max(0, self.grid.decimals - TOLD_DECIMALS[self.grid.inch])
        step: int = 10**spare
        return round(self.grid.count(mm) / step) * step

    def ask(self, axis: int, start: int | None, place: int, *, cuts: bool) -> None:
        """Ask for a move; with the one just asked along the same axis it becomes one."""
        last = self._asked[-1] if self._asked else None
        if last is None or last.axis != axis or not _joins(last, place):
            self._asked.append(_Asked(axis, start, place, cuts))
            return
        self._asked.pop()
        if axis == 2 and not _down(last.start, last.place):
            # what it rises from, cuts or not, no further step makes deeper
            last = replace(last, cuts=False)
        if last.start != place:
            self._asked.append(replace(last, place=place, cuts=cuts or last.cuts))

    def drill(self, bottom: int, out: int, hole: HoleCycle) -> None:
        """Ask for a hole, and to come out of it."""
        last = self._asked[-1] if self._asked else None
        if last is not None and last.axis == 2 and _down(last.start, last.place):
            self._asked.pop()
        more = ""
        if hole.kind == "peck" and hole.peck > 0:
            more = f" in pecks of {self._text(self.count(hole.peck))}"
        down, up = ("feed down", "feed up") if hole.kind == "ream" else ("drill", "")
        self._asked.append(_Asked(2, None, bottom, True, down, more))
        self._asked.append(_Asked(2, bottom, out, False, up))

    def told(self, room: int) -> list[list[str]]:
        """All that is asked, stop by stop, each in lines of at most so many characters where that
        can be; with it nothing is asked any more."""
        asked, self._asked = self._asked, []
        stops: list[list[_Asked]] = []
        for step in asked:
            # one hole, or one way beside it, a stop: whoever is told more forgets
            if not stops or (step.axis != 2 and any(s.axis == 2 and s.cuts for s in stops[-1])):
                stops.append([])
            stops[-1].append(step)
        return [self._lines(stop, room) for stop in stops]

    def _lines(self, stop: Sequence[_Asked], room: int) -> list[str]:
        lines: list[str] = []
        for step in map(self._words, stop):
            longer = f"{lines[-1]}, then {step}" if lines else ""
            if lines and len(longer) <= room:
                lines[-1] = longer
            else:
                lines.append(f"{BY_HAND}{step}")
        return lines

    def _words(self, step: _Asked) -> str:
        letter, verb = "XYZ"[step.axis], step.verb or _verb(step)
        return f"{verb} to {letter}{self._text(step.place)}{step.more}{self._reading(step)}"

    def _text(self, count: int) -> str:
        """A place with all its decimals: a hand reads them off a scale."""
        decimals = min(self.grid.decimals, TOLD_DECIMALS[self.grid.inch])
        text = f"{count / 10**self.grid.decimals:.{decimals}f}"
        return text.removeprefix("-") if float(text) == 0 else text

    def _reading(self, step: _Asked) -> str:
        dial, axis = self.dial, step.axis
        division = dial.divisions[axis] if dial is not None else None
        if dial is None or division is None:
            return ""
        way = -1 if "xyz"[axis] in dial.reversed_axes else 1
        mm, turn = step.place / self.grid.counts_per_mm, dial.turns[axis]
        count = round(way * mm / division, TOLD_OF_DIVISION) + 0.0
        return f", dial {dial_reading(count, None if turn is None else round(turn / division))}"

    def at_once(self, post: Post, axes: Sequence[int]) -> PostError:
        """The error that a move takes an axis on a handwheel along with others."""
        names = " and ".join("XYZ"[i] for i in axes)
        text = f"a cut moves {names} together with other axes: {names} is on its handwheel"
        return PostError([Fault(Place(post.name, key="converted"), text, "drive that axis")])


def _down(start: int | None, place: int) -> bool:
    """Tell whether a way surely leads down."""
    return start is not None and place < start


def _joins(last: _Asked, place: int) -> bool:
    """Tell whether a further step along the same axis is one with the last."""
    if last.verb:
        return last.verb == "feed up" and place > last.place
    if last.cuts and (last.axis != 2 or (_down(last.start, last.place) and place > last.place)):
        # what was cut is cut
        return False
    return last.start is not None or place > last.place


def _verb(step: _Asked) -> str:
    if step.axis != 2:
        return "feed" if step.cuts else "move"
    if not _down(step.start, step.place):
        return "raise"
    return "feed down" if step.cuts else "lower"
