"""The tables of a set-up's page: its cutters in running order, and its operations."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from gcodekit.job.model import Job
from gcodekit.sheet.blocks import Cell, Column, Paragraph, SheetTable, Tick
from gcodekit.sheet.figures import (
    clock,
    column,
    decimals,
    feed_figure,
    figure,
    length,
    span,
    unit_of,
)
from gcodekit.sheet.made_setup import MadeSetup, Visit
from gcodekit.trade.cut_load import Load
from gcodekit.units import Units, mm_per

# How the program's words of touching off end.
_SET_TO = re.compile(r" and set Z to (-?\d+(?:\.\d+)?)$")


def cutter_table(job: Job, made: MadeSetup) -> SheetTable:
    """A row each time a cutter comes into the spindle."""
    units, unit = job.units, unit_of(job.units)
    touch = job.workshop.machine.tool_length == "touch off"
    columns = (
        Column(""),
        Column("T", align="right"),
        Column("cutter", share=0.9),
        Column("Ø", unit, "right"),
        Column("stick-out", unit, "right"),
        Column("speed", "rev/min", "right"),
        Column("feed", f"{unit}/min", "right"),
        *((Column("touch off", share=1.4), Column("set Z", unit, "right")) if touch else ()),
    )
    visits = made.visits
    diameters = column([v.cutter.diameter for v in visits], units)
    outs = _stick_outs(visits, made.program.safe_z, units)
    rows = []
    for visit, diameter, out in zip(visits, diameters, outs, strict=True):
        speeds = [f"{s:.0f}" for s in _range([r.speeds for r in visit.runs])]
        driven = [r.feeds for r in visit.runs if r.feeds[1] > 0]
        feeds = [feed_figure(f, units) for f in _range(driven)] if driven else ["by hand"]
        named = (str(visit.cutter.number), visit.cutter.name, diameter, out)
        cells: tuple[Cell, ...] = (Tick(), *named, span(speeds), span(feeds))
        rows.append((*cells, *(_touched(visit.touch_off) if touch else ())))
    return SheetTable(columns, tuple(rows))


def _range(pairs: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return min(low for low, _ in pairs), max(high for _, high in pairs)


def _stick_outs(visits: Sequence[Visit], safe_z: float, units: Units) -> list[str]:
    """The least rounded up, so that it still is enough."""
    outs = [v.stick_out(safe_z) for v in visits]
    places = min(1, decimals([most for _, most in outs], units)) if units == "mm" else 2
    step = mm_per(units) * 10.0**-places
    texts = []
    for least, most in outs:
        up = min(math.ceil(least / step - 1e-9) * step, most)
        texts.append(span([figure(mm, units, places) for mm in (up, most)]))
    return texts


def _touched(words: str) -> tuple[str, str]:
    """Where, and the z to set there."""
    found = _SET_TO.search(words)
    if found is None:
        return words, ""
    return words[: found.start()].removeprefix("touch "), found[1]


def cutter_notes(job: Job, made: MadeSetup) -> Iterator[Paragraph]:
    """What the table's columns mean, and what the stops for cutters and speeds ask."""
    machine, units = job.workshop.machine, job.units
    yield Paragraph(
        "Stick-out: from the least that keeps the holder off the flutes and above work and "
        "work-holding, to the one that the program is proved with."
    )
    if machine.tool_length == "table":
        yield Paragraph("Lengths are taken from the control's tool table: check them there.")
    elif machine.feeler is not None:
        thick = length(machine.feeler, units)
        yield Paragraph(
            f"With the {thick} feeler between cutter and surface, set Z higher by {thick}."
        )
    stops = sum(file.stops for file in made.files)
    if stops:
        asks = ["load and touch off each cutter"] if machine.tool_change != "automatic" else []
        asks += ["set each speed"] if machine.spindle.by_hand else []
        asks += ["do what is listed below"] if made.other_stops else []
        said = f", to {' and to '.join(asks)}" if asks else ""
        times = {1: "once", 2: "twice"}.get(stops, f"{stops} times")
        yield Paragraph(f"The program stops {times}{said}. Read its message before you start it.")
    hand_stops = sum(file.hand_stops for file in made.files)
    if hand_stops:
        axes = " and ".join(machine.hand_letters)
        yield Paragraph(
            f"It also stops {hand_stops} times for you to move {axes} by hand, with the spindle "
            "turning. Go where each message says, in its order, lock the axis, then start the "
            "program again."
        )
    in_plan = [letter for letter in machine.hand_letters if letter != "Z"]
    if hand_stops and in_plan:
        yield Paragraph(
            f"Come to each place of {' and '.join(in_plan)} from its minus side. On a cut toward "
            "minus, turn the dial on past the reading by the backlash."
        )


def operation_table(made: MadeSetup, units: Units) -> SheetTable:
    """A row for each operation, those of each cutter together."""
    unit = unit_of(units)
    columns = (
        Column(""),
        Column("operation", share=1.0),
        Column("T", align="right"),
        Column("lowest Z", unit, "right"),
        Column("cut depth", unit, "right"),
        Column("cut width", unit, "right"),
        Column("time", "min:s", "right"),
    )
    visits = made.visits
    runs = made.runs
    loads = [o.load for v in visits for o in v.operations]
    places = 2 if units == "mm" else 3
    lowest = column([r.lowest if math.isfinite(r.lowest) else None for r in runs], units)
    depths = ["" if w is None else figure(w.depth, units, places) for w in loads]
    widths = ["" if w is None else figure(_width(w), units, places) for w in loads]
    numbers = [str(v.cutter.number) for v in visits for _ in v.runs]
    rows: list[tuple[Cell, ...]] = [
        (Tick(), f"{r.feature}: {r.label}", number, z, depth, width, clock(r.seconds))
        for r, number, z, depth, width in zip(runs, numbers, lowest, depths, widths, strict=True)
    ]
    starts = frozenset(n for n in range(1, len(runs)) if numbers[n] != numbers[n - 1])
    return SheetTable(columns, tuple(rows), starts)


def _width(load: Load) -> float:
    """Of a clearing pass its stepover, of any other what it takes."""
    return load.width if load.stepover is None else load.stepover
