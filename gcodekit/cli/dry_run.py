"""`gcodekit dryrun PROGRAM`: read any program, cut it virtually, list what is wrong."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from gcodekit.cli import console
from gcodekit.cli.options import Json, Quiet, Set, WorkshopFile, given, refused

if TYPE_CHECKING:
    from gcodekit.making.dryrun import DryRun
    from gcodekit.proof.time import ProgramTime

Three = tuple[float, float, float]

STANDARD_INPUT = Path("-")
# A program of 500,000 lines, the longest that is read, has no more characters.
LONGEST_TYPED = 100_000_000

Program = Annotated[
    Path,
    typer.Argument(metavar="PROGRAM", help="The program to run; - reads it from standard input."),
]
JobFile = Annotated[
    Path | None,
    typer.Option("--job", metavar="JOB", help="The job it is for: metal, machine, drawing."),
]
SetupName = Annotated[
    str | None,
    typer.Option(
        "--setup", metavar="NAME", help="Which set-up of the job; left out: the header says."
    ),
]
Block = Annotated[
    Three | None, typer.Option("--block", metavar="X Y Z", help="A block of metal, mm.")
]
RoundBar = Annotated[
    tuple[float, float] | None,
    typer.Option("--round", metavar="D L", help="An upright round bar, mm."),
]
Zero = Annotated[
    Three | None,
    typer.Option(
        "--zero",
        metavar="X Y Z",
        help="Program zero from the metal's left front bottom corner; left, front, top.",
    ),
]
InSpindle = Annotated[
    int, typer.Option("--cutter", metavar="N", min=0, help="In the spindle at the start.")
]
Numbers = Annotated[
    Literal["mm", "inch"] | None,
    typer.Option("--units", help="Of the program's numbers until it says G20 or G21; mm."),
]
Picture = Annotated[
    Path | None, typer.Option("--plot", metavar="FILE", help="Draw it, in a .svg or .png file.")
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
    """Read any RS-274 program, cut it virtually and list what is wrong with it."""
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
        raise typer.BadParameter("--zero is measured on the metal: give --block or --round")
    if dimensions and job is None:
        raise typer.BadParameter("--set gives a job's dimensions: give --job too")
    if setup is not None and job is None:
        raise typer.BadParameter("--setup names one of a job's: give --job too")
    if setup is not None and (block or round_bar):
        raise typer.BadParameter("--setup brings its own metal: leave out --block and --round")


def _print(run: DryRun) -> None:
    from gcodekit.making.summary import clock

    found = run.findings
    console.result(f"{found.blocks} blocks, {run.moves} moves, {clock(run.way.time_s)}")
    lifts = "lifted once" if run.way.retracts == 1 else f"lifted {run.way.retracts} times"
    console.result(
        f"cutting {run.way.cut_length:.1f} mm, rapid {run.way.rapid_length:.1f} mm, {lifts}"
    )
    if found.box:
        low, high = found.box
        spans = (f"{a} {p:g} to {q:g}" for a, p, q in zip("XYZ", low, high, strict=True))
        console.result(", ".join(spans))
    console.result("cutters: " + (", ".join(f"T{n}" for n in found.cutters) or "none named"))
    _print_times(run.way)
    if found.stock is not None:
        stock = found.stock
        console.result(
            f"virtual stock, cells of {stock.cell:.3g} mm: "
            f"{stock.before - stock.left:.0f} of {stock.before:.0f} mm3 cut away, "
            f"{stock.air_share:.0%} of the time at feed rates in air"
        )
    setting = run.setting
    if setting.target is not None:
        left = f", left standing in reach {found.reachable_uncut:.4f} mm"
        said = f"gouge {found.gouge:.4f} mm" + (left if setting.complete else "")
        console.result(f"compared with the drawing of {setting.setup.name}: {said}")
    console.result(console.verdict(run.faults))


def _print_times(way: ProgramTime) -> None:
    from gcodekit.making.summary import clock, name_of, waits

    if way.cutters:
        rows = ((name_of(c.cutter), clock(c.cut_s), clock(c.rapid_s)) for c in way.cutters)
        console.table(("cutter", "cutting", "rapids"), rows)
    if said := waits(way):
        console.result(said)
