"""The cover of a job with several set-ups: the part, their order, what to lay out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gcodekit.job.model import Job
from gcodekit.job.raw_stock import Stock
from gcodekit.plot.part_view.part_sheet import part_figure
from gcodekit.plot.part_view.surface_mesh import SurfaceMesh
from gcodekit.sheet.blocks import (
    Block,
    Cautions,
    Cell,
    Column,
    Facts,
    Heading,
    Picture,
    SheetPage,
    SheetTable,
    Steps,
    Tick,
)
from gcodekit.sheet.caution_texts import CAUTIONS
from gcodekit.sheet.figures import clock, column, figure, length, unit_of
from gcodekit.sheet.made_setup import MadeSetup
from gcodekit.sheet.setup_page import time_words
from gcodekit.trade.cutter import Cutter
from gcodekit.units import Units

# Of the part's picture, mm.
_PICTURE = (130.0, 88.0)


def cover_page(job: Job, made: Sequence[MadeSetup], part: SurfaceMesh | None) -> SheetPage:
    """The page; `part`: the finished part in the stock's frame."""
    seconds = sum(m.seconds for m in made)
    changes = sum(m.change_seconds for m in made)
    facts = (
        ("material", job.material.name),
        ("stock to cut", stock_to_cut(job.stock, job.units)),
        ("machine", job.workshop.machine.name),
        ("total time", time_words(seconds, changes)),
    )
    blocks: list[Block] = [Facts(facts)]
    if part is not None:
        title = f"the finished part: {job.name}"
        blocks.append(Picture(part_figure(part, title, _PICTURE), *_PICTURE, title))
    blocks += [Heading("Set-ups, in this order"), _order(made)]
    blocks += [Heading("Cutters to lay out"), _cutters(job, made)]
    blocks += [Heading("To buy or have ready"), Steps(tuple(_ready(job, made)))]
    blocks.append(Cautions(CAUTIONS))
    return SheetPage(job.name, tuple(blocks))


def stock_to_cut(stock: Stock, units: Units) -> str:
    """Shape, size and what the saw may leave on it."""
    if stock.shape == "round":
        along = "xyz".index(stock.axis)
        across, long = stock.size[(along + 1) % 3], stock.size[along]
        text = f"bar Ø{figure(across, units)} × {length(long, units)}"
    else:
        text = f"block {' × '.join(figure(s, units) for s in stock.size)} {unit_of(units)}"
    if stock.hollow is not None:
        text += ", shaped or hollow as drawn"
    if stock.plates > 1:
        thick = length(stock.size[2] / stock.plates, units)
        text += f": {stock.plates} plates {thick} thick, stacked"
    if stock.oversize:
        text += f", any side up to {length(stock.oversize, units)} further out"
    return text


def _order(made: Sequence[MadeSetup]) -> SheetTable:
    columns = (
        Column(""),
        Column("", align="right"),
        Column("set-up", share=1.0),
        Column("face up"),
        Column("against the fixed jaw", share=0.7),
        Column("face down", share=0.6),
        Column("program", share=1.0),
        Column("time", "min:s", "right"),
    )
    rows: list[tuple[Cell, ...]] = []
    for n, m in enumerate(made, 1):
        programs = ", ".join(f.name for f in m.files)
        faces = (m.setup.up, m.setup.against or "–", m.setup.down or "–")
        rows.append((Tick(), str(n), m.setup.name, *faces, programs, clock(m.seconds)))
    return SheetTable(columns, tuple(rows))


def _cutters(job: Job, made: Sequence[MadeSetup]) -> SheetTable:
    unit = unit_of(job.units)
    columns = (
        Column(""),
        Column("T", align="right"),
        Column("cutter", share=1.0),
        Column("kind", share=0.7),
        Column("Ø", unit, "right"),
        Column("stick-out", unit, "right"),
        Column("set-ups", share=0.5),
    )
    used = _used(made)
    diameters = column([c.diameter for c, _ in used], job.units)
    outs = column([c.stickout for c, _ in used], job.units)
    rows: list[tuple[Cell, ...]] = [
        (Tick(), str(c.number), c.name, c.kind, diameter, out, ", ".join(map(str, numbers)))
        for (c, numbers), diameter, out in zip(used, diameters, outs, strict=True)
    ]
    return SheetTable(columns, tuple(rows))


def _used(made: Sequence[MadeSetup]) -> list[tuple[Cutter, list[int]]]:
    """Each cutter by its number, and the set-ups it is used in."""
    found: dict[int, tuple[Cutter, list[int]]] = {}
    for n, m in enumerate(made, 1):
        for cutter in m.program.cutters:
            found.setdefault(cutter.number, (cutter, []))[1].append(n)
    return [found[number] for number in sorted(found)]


def _ready(job: Job, made: Sequence[MadeSetup]) -> Iterator[str]:
    """Stock, what is pressed in, taps for the bench; the cutters are all in the rack."""
    yield f"Stock: {job.material.name}, {stock_to_cut(job.stock, job.units)}."
    for m in made:
        for feature in m.setup.features:
            if feature.band is not None and feature.band.bush is not None and not feature.copy_of:
                bush = feature.band.bush
                least, most = (figure(mm, job.units) for mm in (bush.least, bush.most))
                yield f"Bush for {feature.name}: {least} to {most} {unit_of(job.units)} outside."
        yield from (f"{note}." for note in m.program.notes)
    yield "Cutters: none to buy, all are in the workshop's rack."
