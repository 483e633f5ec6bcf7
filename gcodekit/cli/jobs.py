"""`gcodekit check JOB` and `make JOB`: a job looked over, and made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Annotated, Literal

import typer

from gcodekit.cli import console
from gcodekit.cli.options import Json, Posts, Quiet, Set, given, posts_environment

JobPath = Annotated[Path, typer.Argument(metavar="JOB", help="The job file.")]


def check(
    job: JobPath,
    dimensions: Set = None,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Read and validate a job without planning it."""
    from gcodekit.making.check import check_job

    found = check_job(job, given(dimensions))
    wrong = console.faults(found)
    if as_json:
        from gcodekit.making.report import fault_rows

        console.document({"job_file": str(job), "problems": fault_rows(found)})
    if wrong:
        raise typer.Exit(1)
    if not (as_json or quiet):
        console.result(f"{job}: {console.verdict(found)}")


def make(
    job: JobPath,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="DIR",
            help="Where everything goes; default: beside JOB, named as it is.",
        ),
    ] = None,
    post: Annotated[
        str | None, typer.Option("--post", metavar="NAME", help="The dialect to write.")
    ] = None,
    posts: Posts = None,
    dimensions: Set = None,
    plot: Annotated[
        Literal["svg", "png"],
        typer.Option("--plot", help="Pictures as SVG alone, or as PNG beside it."),
    ] = "svg",
    model: Annotated[
        Path | None,
        typer.Option("--model", metavar="FILE", help="Write the finished part here (.stl)."),
    ] = None,
    explain: Annotated[
        bool, typer.Option("--explain", help="Say why each operation stands where it does.")
    ] = False,
    unproven: Annotated[
        bool, typer.Option("--unproven", help="Write the programs even if the proof fails.")
    ] = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Plan, write, read back, cut virtual stock and compare with the drawing."""
    from gcodekit.making.make import make as make_programs

    outcome = make_programs(
        job,
        out or job.with_suffix(""),
        dimensions=given(dimensions),
        post=post,
        posts=posts,
        posts_env=posts_environment(),
        unproven=unproven,
        png=plot == "png",
        model=model,
        explain=explain,
        progress=console.nothing if quiet else console.message,
    )
    console.faults(outcome.faults)
    if as_json:
        console.document(outcome.document)
    elif not quiet:
        for line in (*outcome.summary, *_left(outcome.files)):
            console.result(line)
    if outcome.verdict != "pass":
        raise typer.Exit(1)
    if not (as_json or quiet):
        console.result(f"{job}: pass, {console.verdict(outcome.faults)}")


def _left(files: Sequence[Path]) -> Iterator[str]:
    """How many files were written, and where."""
    if files:
        yield f"{len(files)} file{'s' if len(files) > 1 else ''} written to {files[0].parent}"
