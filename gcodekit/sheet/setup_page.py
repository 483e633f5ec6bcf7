"""The page of one set-up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gcodekit.job.features.size_words import size_lines
from gcodekit.job.model import Job
from gcodekit.job.raw_stock import RawStock
from gcodekit.plot.work_holding_view import SIZE
from gcodekit.post.header import OFFSET_WORDS
from gcodekit.sheet.blocks import (
    Block,
    Cautions,
    Cell,
    Column,
    Facts,
    Heading,
    Paragraph,
    Picture,
    SheetPage,
    SheetTable,
    SideBySide,
    Steps,
    Tick,
    WriteIn,
)
from gcodekit.sheet.caution_texts import cautions_of
from gcodekit.sheet.cutter_tables import cutter_notes, cutter_table, operation_table
from gcodekit.sheet.edge_finding import zero_steps
from gcodekit.sheet.figures import decimals, figure, length, unit_of
from gcodekit.sheet.hold_words import hold_steps
from gcodekit.sheet.made_setup import MadeSetup
from gcodekit.sheet.measuring import SizeRow, size_rows_of
from gcodekit.sheet.second_chance import second_chance
from gcodekit.units import Units, format_time

UNPROVEN = "UNPROVEN: do not run unchecked"


def setup_page(job: Job, made: MadeSetup, number: int) -> SheetPage:
    """The page of a job's set-up, counted from 1."""
    setup = made.setup
    blocks: list[Block] = [Facts(tuple(_facts(job, made))), *_picture(made)]
    held = (Heading("Work-holding"), Steps(tuple(hold_steps(job, setup, made.lowest)), True))
    zero = (Heading("Program zero"), Steps(tuple(zero_steps(job, setup)), True))
    blocks.append(SideBySide(held, zero))
    blocks += [Heading("Cutters in running order"), cutter_table(job, made)]
    blocks += [*cutter_notes(job, made), *_stops(made)]
    blocks += _worked(job, made)
    if made.program.notes:
        blocks += [Heading("Afterwards"), Steps(made.program.notes)]
    if made.warnings:
        blocks += [Heading("Warnings of this set-up"), Cautions(made.warnings)]
    blocks.append(Cautions(cautions_of(made.program)))
    several = f"set-up {number} of {len(job.setups)}" if len(job.setups) > 1 else ""
    return SheetPage(setup.name, tuple(blocks), UNPROVEN if made.unproven else several)


def _facts(job: Job, made: MadeSetup) -> Iterator[tuple[str, str]]:
    setup, units = made.setup, job.units
    yield "material", job.material.name
    yield ("stock" if setup.left == setup.raw else "stock left"), stock_words(setup.left, units)
    yield "machine", job.workshop.machine.name
    yield ("programs" if len(made.files) > 1 else "program"), ", ".join(f.name for f in made.files)
    if made.program.notices:
        yield "this is", "; ".join(made.program.notices)
    yield "program zero", setup.zero_text
    yield "work offset", OFFSET_WORDS[setup.work_offset - 1]
    yield "safe height", f"Z {figure(made.program.safe_z, units)}"
    yield "time", time_words(made.seconds, made.change_seconds)


def time_words(seconds: float, changes: float) -> str:
    """Of moves, and of cutter changes on top of it."""
    more = f", cutter changes about {format_time(changes)}" if changes else ""
    return f"{format_time(seconds)}{more}"


def stock_words(stock: RawStock, units: Units) -> str:
    """Shape and size."""
    sizes = [high - low for low, high in zip(stock.low, stock.high, strict=True)]
    if stock.shape == "round":
        along = "xyz".index(stock.axis)
        across = sizes[(along + 1) % 3]
        return f"Ø{figure(across, units)} × {length(sizes[along], units)}"
    return f"{' × '.join(figure(s, units) for s in sizes)} {unit_of(units)}"


def _picture(made: MadeSetup) -> Iterator[Block]:
    """The picture, and the features that have a number in it."""
    setup, view = made.setup, made.view
    if view is None:
        return
    held = "vise" if setup.hold.vise else "chuck" if setup.hold.chuck else "work-holding"
    yield Picture(view.svg, *SIZE, f"{setup.name}: the stock in its {held}, program zero and axes")
    if view.numbered:
        said = "; ".join(f"{n} {text}" for n, text in view.numbered)
        yield Paragraph(f"In the picture: {said}.")


def _stops(made: MadeSetup) -> Iterator[Block]:
    """What the program's other stops ask, in their order."""
    if made.other_stops:
        yield Heading("Other stops, in running order")
        yield Steps(made.other_stops)


def _worked(job: Job, made: MadeSetup) -> Iterator[Block]:
    """Operations, and beside them the sizes to check, under them where there are limits, which
    take more room; then what to do with a reading."""
    units = job.units
    operations = (Heading("Operations"), operation_table(made, units))
    rows = list(size_rows_of(made.setup))
    sizes = (Heading("Sizes to check"), _sizes(rows, units)) if rows else ()
    if sizes and all(r.least is None for r in rows):
        yield SideBySide(operations, sizes, 0.48)
    else:
        yield from (*operations, *sizes)
    outlines = [s for s in size_lines(made.setup, units) if " off the drawing" in s]
    yield from (Paragraph(f"Check {text}.") for text in outlines)
    yield from (Paragraph(text) for text in second_chance(job, made))
    for line in made.program.corrections:
        yield Paragraph(f"Corrected: {line}.")


def _sizes(rows: Sequence[SizeRow], units: Units) -> SheetTable:
    unit = unit_of(units)
    limited = any(r.least is not None for r in rows)
    columns = (
        Column(""),
        Column("size", share=1.0),
        Column("nominal", unit, "right"),
        *((Column("limits", unit, "right"),) if limited else ()),
        Column("measure with", share=0.7),
        Column("measured", unit, "centre"),
    )
    cells: list[tuple[Cell, ...]] = []
    for r in rows:
        limits = [mm for mm in (r.least, r.most) if mm is not None]
        places = decimals([r.nominal, *limits], units)
        between = "–".join(figure(mm, units, places) for mm in limits) or "none"
        sized = (Tick(), f"{r.feature}: {r.what}", figure(r.nominal, units, places))
        cells.append((*sized, *((between,) if limited else ()), r.tool, WriteIn(15)))
    return SheetTable(columns, tuple(cells))
