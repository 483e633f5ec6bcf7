"""What a program leaves behind at its end and at every cutter change."""

from __future__ import annotations

from collections.abc import Mapping

import shapely

from gcodekit.proof.blank import Blank
from gcodekit.proof.chords import lowest
from gcodekit.proof.rapids import TOUCH
from gcodekit.rs274.moves import Event, Reading
from gcodekit.rs274.problems import ProblemList
from gcodekit.trade.cutter import Cutter


def check_endings(
    reading: Reading, blank: Blank, cutters: Mapping[int, Cutter], problems: ProblemList
) -> None:
    """That there is an end, compensation off and the cutter out of the metal; one zero."""
    if not reading.ended and not any("no end" in p.text for p in reading.problems):
        problems.warn("the program ends without M2 or M30", line=reading.last_line)
    for event in reading.events:
        if event.kind in ("end", "tool change"):
            _check_compensation(event, problems)
            _check_out(event, reading, blank, cutters, problems)
    _check_any_cut(reading, blank, problems)
    offsets = [e for e in reading.events if e.kind == "work offset"]
    other = next((e for e in offsets if e.value != offsets[0].value), None)
    if other is not None:
        problems.warn("more than one work offset: all are taken as one zero", line=other.line)


def _check_any_cut(reading: Reading, blank: Blank, problems: ProblemList) -> None:
    """A minus forgotten, or a zero elsewhere than thought: all of it runs above the metal."""
    cuts = [m for m in reading.moves if m.kind != "rapid" and m.known == "XYZ"]
    if not cuts or blank.bottom >= blank.top:
        return
    deepest = min(cuts, key=lowest)
    if lowest(deepest) >= blank.top - TOUCH:
        text = (
            f"nothing is cut: the deepest way at feed is {lowest(deepest) - blank.top:.3f} mm above"
        )
        problems.warn(f"{text} the metal's top", line=deepest.line, where=deepest.end)


def _when(event: Event) -> str:
    return "at the end of the program" if event.kind == "end" else "at the cutter change"


def _check_compensation(event: Event, problems: ProblemList) -> None:
    """The next cutter's diameter, or the next program's first move, is not what it was meant
    for."""
    side = event.conditions.compensation
    if side:
        code = "G41" if side > 0 else "G42"
        text = f"cutter compensation {code} is still on {_when(event)}: G40 belongs before it"
        problems.error(text, line=event.line)


def _check_out(
    event: Event,
    reading: Reading,
    blank: Blank,
    cutters: Mapping[int, Cutter],
    problems: ProblemList,
) -> None:
    """Whether the cutter stands clear of the metal as it first was: in a hole of its own it is
    stopped, and has to be drawn out by hand."""
    last = reading.moves[event.before - 1] if event.before else None
    cutter = cutters.get(last.cutter) if last is not None else None
    if last is None or cutter is None or last.known != "XYZ":
        return
    x, y, z = last.end
    if z >= blank.top - TOUCH:
        return
    metal = blank.at(max(z, blank.bottom) + TOUCH)
    if not metal.is_empty and metal.distance(shapely.Point(x, y)) < cutter.radius - TOUCH:
        deep = f"{blank.top - z:.3f} mm below the metal's top"
        text = f"cutter {cutter.number} is still in the metal {_when(event)}, {deep}"
        problems.warn(text, line=event.line, where=last.end)
