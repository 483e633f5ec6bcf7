"""The state a program leaves at its end and at every cutter change, and programs that cut only
air."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely

from gcodekit.proof.chords import LEAST_TOUCH, lowest
from gcodekit.proof.findings import Blank
from gcodekit.rs274.program_read import Event, Move, Point3, ProblemList, ReadProgram
from gcodekit.trade.cutter import Cutter
from gcodekit.units import format_coordinate, format_size

# Level ways over the metal at a feed rate that come to less than this, mm, are a way in or out.
A_PASS = 5.0


def check_endings(
    reading: ReadProgram,
    blank: Blank,
    cutters: Mapping[int, Cutter],
    problems: ProblemList,
) -> None:
    """Check that there is an end, compensation off, the cutter out of the stock, and no spindle
    stopped in the stock."""
    if not reading.ended and not any("no end" in p.text for p in reading.problems):
        text = "program ends without M2 or M30"
        problems.warn(text, line=reading.last_line, hint="put M2 on the last line")
    for event in reading.events:
        if event.kind in ("end", "tool change"):
            _check_compensation(event, problems)
            _check_out(event, reading, blank, cutters, problems)
    _check_any_cut(reading, blank, problems)
    _check_turning(reading, blank, cutters, problems)


def _check_turning(
    reading: ReadProgram, blank: Blank, cutters: Mapping[int, Cutter], problems: ProblemList
) -> None:
    """Check that no spindle stops with its cutter in the stock: a tap apart, the cutter rubs,
    and welds itself in."""
    before = None
    for move in reading.moves:
        stopped = before is not None and before.spindle != 0 and move.spindle == 0
        if stopped and before is not None and move.cycle == 0 and before.known == "XYZ":
            cutter = cutters.get(before.cutter)
            if cutter is not None and cutter.kind != "tap" and _inside(before.end, cutter, blank):
                problems.error(
                    f"spindle stops with cutter {cutter.number} still in the stock",
                    line=move.line,
                    where=before.end,
                    hint="retract before M5",
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
        high = format_size(lowest(deepest) - blank.top, problems.units)
        text = f"nothing is cut: the lowest feed move is {high} above the stock"
        hint = "check the origin and the sign of Z"
        problems.warn(text, line=deepest.line, where=deepest.end, hint=hint)


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
    units = problems.units
    z, top = (format_coordinate(v, units) for v in (over[0].end[2], blank.top))
    far = format_size(float(f"{length:.3g}"), units)
    text = f"{far} of feed moves above the stock: its top is at Z{top}, this pass at Z{z}"
    hint = "check the origin and Z"
    problems.warn(text, line=over[0].line, where=over[0].end, hint=hint)


def _when(event: Event) -> str:
    return "at the end of the program" if event.kind == "end" else "at the cutter change"


def _check_compensation(event: Event, problems: ProblemList) -> None:
    """The next cutter's diameter, or the next program's first move, is not what it was meant
    for."""
    side = event.conditions.compensation
    if side:
        code = "G41" if side > 0 else "G42"
        text = f"cutter compensation {code} still on {_when(event)}"
        problems.error(text, line=event.line, hint="put G40 before it")


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
        deep = format_size(blank.top - last.end[2], problems.units)
        text = f"cutter {cutter.number} still in the stock {_when(event)}, {deep} below its top"
        problems.warn(text, line=event.line, where=last.end, hint="retract first")
