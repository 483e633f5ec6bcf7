"""What stands at the top of a program, for the person who is about to run it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from gcodekit.job.model import Stock
from gcodekit.planning.program import Program
from gcodekit.post.numbers import MM_PER_INCH
from gcodekit.trade.cutter import Cutter

WORK_OFFSETS = ("G54", "G55", "G56", "G57", "G58", "G59")


def header(
    program: Program, cutters: Iterable[Cutter], *, inch: bool, unproven: bool, post: str
) -> Iterator[str]:
    """Lines of words: job, set-up, units, stock, zero, cutters, and the warning before a run."""
    job, setup = program.job, program.setup
    if unproven:
        yield "UNPROVEN: this program was not found to be right. Do not run it as it is."
    yield f"{job.name}: {setup.name}"
    yield f"job file {job.file}, machine {job.workshop.machine.name}, post {post}"
    yield f"units {'inch' if inch else 'mm'}"
    yield f"material {job.material.name}, stock {_stock(job.stock, inch=inch)}"
    yield f"side up: {setup.up}; zero: {setup.zero_text}"
    offset = WORK_OFFSETS[setup.work_offset - 1]
    yield f"zero held in {offset}; clear of everything at z {_length(program.safe_z, inch=inch)}"
    yield "G61: the cutter follows the path exactly, no corner is rounded"
    for cutter in cutters:
        size = _length(cutter.diameter, inch=inch)
        yield f"cutter T{cutter.number}: {cutter.name}, {cutter.kind}, diameter {size}"
    for note in program.notes:
        yield f"afterwards: {note}"
    yield "dry run first above the part, hand on the stop"
    if unproven:
        yield "UNPROVEN"


def _stock(stock: Stock, *, inch: bool) -> str:
    size = " x ".join(_length(s, inch=inch) for s in stock.size)
    shape = f"round along {stock.axis}, " if stock.shape == "round" else ""
    plates = f", {stock.plates} plates as one" if stock.plates > 1 else ""
    return f"{shape}{size}{plates}"


def _length(mm: float, *, inch: bool) -> str:
    """A length for people: three decimals in mm, four in inch, no idle zeros."""
    value, decimals = (mm / MM_PER_INCH, 4) if inch else (mm, 3)
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
