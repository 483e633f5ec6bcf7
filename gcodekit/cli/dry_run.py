"""`gcodekit dryrun PROGRAM`: read any program, cut it virtually, list what is wrong."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from gcodekit.cli import console
from gcodekit.cli.options import Json, Quiet, Set, WorkshopFile, given, refused
from gcodekit.units import (
    MM_PER_INCH,
    Units,
    format_coordinate,
    format_size,
    format_time,
    mm_per,
)

if TYPE_CHECKING:
    from gcodekit.making.dryrun import DryRun
    from gcodekit.proof.time import ProgramTime

Three = tuple[float, float, float]

STANDARD_INPUT = Path("-")
# A program of 500,000 lines, the longest that is read, has no more characters.
LONGEST_TYPED = 100_000_000

Program = Annotated[
    Path,
    typer.Argument(metavar="PROGRAM", help="Program to read; - for standard input."),
]
JobFile = Annotated[
    Path | None,
    typer.Option("--job", metavar="JOB", help="Job of the program: stock, machine, drawing."),
]
SetupName = Annotated[
    str | None,
    typer.Option("--setup", metavar="NAME", help="Set-up of the job; default: as in the header."),
]
Block = Annotated[
    Three | None, typer.Option("--block", metavar="X Y Z", help="Stock: a block, mm.")
]
RoundBar = Annotated[
    tuple[float, float] | None,
    typer.Option("--round", metavar="D L", help="Stock: an upright round bar, mm."),
]
Zero = Annotated[
    Three | None,
    typer.Option(
        "--zero",
        metavar="X Y Z",
        help="Program zero from the stock's lower left front corner, mm; default: left front top.",
    ),
]
InSpindle = Annotated[
    int, typer.Option("--cutter", metavar="N", min=0, help="Cutter in the spindle at the start.")
]
Numbers = Annotated[
    Literal["mm", "inch"] | None,
    typer.Option("--units", help="Units before any G20 or G21; default: mm."),
]
Picture = Annotated[
    Path | None, typer.Option("--plot", metavar="FILE", help="Picture to draw, .svg or .png.")
]


def dryrun(
    program: Program,
    job: JobFile = None,
    setup: SetupName = None,
    dimensions: Set = None,
    workshop: WorkshopFile = None,
    block: Block = None,
    round_bar: RoundBar = None,
    zero: Zero = None,
    cutter: InSpindle = 0,
    units: Numbers = None,
    plot: Picture = None,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Read and dry-run any RS-274 program.

    The program is cut in virtual stock, and what is wrong with it is listed.
    """
    _check_metal(block, round_bar, zero, setup=setup, dimensions=dimensions, job=job)
    from gcodekit.making.dryrun import PICTURES, dry_run

    if plot is not None and plot.suffix.lower() not in PICTURES:
        raise typer.BadParameter(f"--plot {plot}: name a file that ends in .svg or .png")
    typed = sys.stdin.buffer.read(LONGEST_TYPED + 1) if program == STANDARD_INPUT else None
    if typed is not None and len(typed) > LONGEST_TYPED:
        raise refused("standard input", f"longer than {LONGEST_TYPED:,} characters, name a file")
    run = dry_run(
        Path("standard input") if typed is not None else program,
        typed=typed,
        job=job,
        setup=setup,
        dimensions=given(dimensions),
        workshop=workshop,
        block=block,
        round_bar=round_bar,
        zero=zero,
        cutter=cutter,
        units=units,
        plot=plot,
        date=console.today(),
        progress=console.nothing if quiet else console.message,
    )
    wrong = console.faults(run.faults)
    if as_json:
        console.document(run.document())
    elif not quiet:
        _print(run)
    if wrong:
        raise typer.Exit(1)


def _check_metal(
    block: Three | None,
    round_bar: tuple[float, float] | None,
    zero: Three | None,
    *,
    setup: str | None,
    dimensions: list[str] | None,
    job: Path | None,
) -> None:
    """Refuse options that do not go together. Raises `BadParameter`."""
    if block and round_bar:
        raise typer.BadParameter("give --block or --round, not both")
    if zero and not (block or round_bar):
        raise typer.BadParameter("--zero is measured on the stock: give --block or --round")
    if dimensions and job is None:
        raise typer.BadParameter("--set gives a job's dimensions: give --job too")
    if setup is not None and job is None:
        raise typer.BadParameter("--setup names one of a job's: give --job too")
    if setup is not None and (block or round_bar):
        raise typer.BadParameter("a set-up has its own stock: remove --block or --round")


def _print(run: DryRun) -> None:
    from gcodekit.making.summary import measured

    found, units = run.findings, run.units
    word = "mm" if units == "mm" else "in"
    console.result(f"{found.blocks} blocks, {run.moves} moves, {format_time(run.way.time_s)}")
    cut, rapid = (_whole(v, units) for v in (run.way.cut_length, run.way.rapid_length))
    several = "" if run.way.retracts == 1 else "s"
    console.result(f"cutting {cut}, rapid {rapid}, {run.way.retracts} retract{several}")
    if found.box:
        ends = ([format_coordinate(v, units) for v in corner] for corner in found.box)
        spans = (f"{a} {p} to {q}" for a, p, q in zip("XYZ", *ends, strict=True))
        console.result(", ".join(spans) + f" {word}")
    console.result("cutters: " + (", ".join(f"T{n}" for n in found.cutters) or "none loaded"))
    _print_times(run.way)
    if found.stock is not None:
        stock = found.stock
        cell = format_size(float(f"{stock.cell:.3g}"), units)
        cut, whole = (_volume(v, units) for v in (stock.before - stock.left, stock.before))
        console.result(
            f"virtual stock, {cell} cells: {cut} of {whole} cut away, "
            f"{stock.air_share:.0%} of the feed time in air"
        )
    setting = run.setting
    if setting.target is not None:
        said = measured(found.gouge, found.reachable_uncut if setting.complete else None, units)
        console.result(f"compared with the drawing of {setting.setup.name}: {said}")
    console.result(console.verdict(run.faults))


def _whole(mm: float, units: Units) -> str:
    """A path's length in words, to a tenth."""
    return f"{mm / mm_per(units):.1f} {'mm' if units == 'mm' else 'in'}"


def _volume(mm3: float, units: Units) -> str:
    return f"{mm3:.0f} mm3" if units == "mm" else f"{mm3 / MM_PER_INCH**3:.3f} in3"


def _print_times(way: ProgramTime) -> None:
    from gcodekit.making.summary import name_of, waits

    if way.cutters:
        times = ((c.cutter, c.cut_s, c.rapid_s) for c in way.cutters)
        rows = ((name_of(n), format_time(cut), format_time(rapid)) for n, cut, rapid in times)
        console.table(("cutter", "cutting", "rapids"), rows)
    if said := waits(way):
        console.result(said)
