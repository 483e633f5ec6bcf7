"""What a program leaves behind at its end and at every cutter change, and metal that it only runs
above."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely

from gcodekit.proof.chords import LEAST_TOUCH, lowest
from gcodekit.proof.findings import Blank
from gcodekit.rs274.program_read import Event, Move, Point3, ProblemList, ReadProgram
from gcodekit.trade.cutter import Cutter

# Level ways over the metal at a feed rate that come to less than this, mm, are a way in or out.
A_PASS = 5.0


def check_endings(
    reading: ReadProgram,
    blank: Blank,
    cutters: Mapping[int, Cutter],
    problems: ProblemList,
) -> None:
    """That there is an end, compensation off and the cutter out of the metal, and no spindle
    stopped in the stock."""
    if not reading.ended and not any("no end" in p.text for p in reading.problems):
        problems.warn("the program ends without M2 or M30", line=reading.last_line)
    for event in reading.events:
        if event.kind in ("end", "tool change"):
            _check_compensation(event, problems)
            _check_out(event, reading, blank, cutters, problems)
    _check_any_cut(reading, blank, problems)
    _check_turning(reading, blank, cutters, problems)


def _check_turning(
    reading: ReadProgram, blank: Blank, cutters: Mapping[int, Cutter], problems: ProblemList
) -> None:
    """No spindle is stopped while its cutter is in the stock: a drawn-out thread apart, it rubs,
    and welds itself in."""
    before = None
    for move in reading.moves:
        stopped = before is not None and before.spindle != 0 and move.spindle == 0
        if stopped and before is not None and move.cycle == 0 and before.known == "XYZ":
            cutter = cutters.get(before.cutter)
            if cutter is not None and cutter.kind != "tap" and _inside(before.end, cutter, blank):
                problems.error(
                    f"the spindle is stopped with cutter {cutter.number} still in the stock: "
                    "retract before M5",
                    line=move.line,
                    where=before.end,
                )
                return
        before = move


def _inside(place: Point3, cutter: Cutter, blank: Blank) -> bool:
    """Tell whether a cutter's tip is below the top of stock as it first was, within its radius."""
    x, y, z = place
    if z >= blank.top - LEAST_TOUCH:
        return False
    metal = blank.at(max(z, blank.bottom) + LEAST_TOUCH)
    return not metal.is_empty and metal.distance(shapely.Point(x, y)) < cutter.radius - LEAST_TOUCH


def _check_any_cut(reading: ReadProgram, blank: Blank, problems: ProblemList) -> None:
    """A minus forgotten, or a zero elsewhere than thought: all of it runs above the metal."""
    cuts = [m for m in reading.moves if m.kind != "rapid" and m.known == "XYZ"]
    if not cuts or blank.bottom >= blank.top:
        return
    deepest = min(cuts, key=lowest)
    if lowest(deepest) >= blank.top - LEAST_TOUCH:
        text = (
            f"nothing is cut: the deepest way at feed is {lowest(deepest) - blank.top:.3f} mm above"
        )
        problems.warn(f"{text} the metal's top", line=deepest.line, where=deepest.end)


def check_over(moves: Sequence[Move], blank: Blank, problems: ProblemList) -> None:
    """A warning where the tip goes at a feed rate on a level at which there never was metal: what
    it was to cut is left to the pass below, which takes two at once."""
    if blank.top <= blank.bottom:
        return
    over = [
        m
        for m in moves
        if m.kind != "rapid"
        and m.known_before == m.known == "XYZ"
        and m.start[2] == m.end[2] > blank.top + LEAST_TOUCH
    ]
    length = sum(m.length for m in over)
    if length < A_PASS:
        return
    z = over[0].end[2]
    text = f"{length:.0f} mm at a feed rate over the metal: its top is at z {blank.top:.3f}, "
    problems.warn(f"{text}this pass is at z {z:.3f}", line=over[0].line, where=over[0].end)


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
    reading: ReadProgram,
    blank: Blank,
    cutters: Mapping[int, Cutter],
    problems: ProblemList,
) -> None:
    """Tell whether the cutter stands clear of the metal as it first was: in a hole of its own it is
    stopped, and has to be drawn out by hand."""
    last = reading.moves[event.before - 1] if event.before else None
    cutter = cutters.get(last.cutter) if last is not None else None
    if last is None or cutter is None or last.known != "XYZ":
        return
    if _inside(last.end, cutter, blank):
        deep = f"{blank.top - last.end[2]:.3f} mm below the metal's top"
        text = f"cutter {cutter.number} is still in the metal {_when(event)}, {deep}"
        problems.warn(text, line=event.line, where=last.end)
