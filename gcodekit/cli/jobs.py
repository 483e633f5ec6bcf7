"""`gcodekit new FILE`, `check JOB`, `make JOB --out DIR`: a job file begun, looked over, made."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from gcodekit.cli import console
from gcodekit.cli.options import Posts, Set, given, posts_environment

JobPath = Annotated[Path, typer.Argument(metavar="JOB", help="The job file.")]


def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The job file to write.")],
) -> None:
    """Write a commented job file to start from; never over an existing file."""
    from importlib.resources import files

    starter = files("gcodekit.cli").joinpath("starter.toml").read_text(encoding="utf-8")
    try:
        with file.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(starter)
    except FileExistsError:
        console.message(f"{file}: it is there already, name a new file")
        raise typer.Exit(1) from None
    console.result(f"{file} written. Next: gcodekit check {file}")


def check(
    job: JobPath,
    dimensions: Set = None,
) -> None:
    """Read and validate a job without planning it."""
    from gcodekit.making.check import check_job

    if console.faults(check_job(job, given(dimensions))):
        raise typer.Exit(1)
    console.result(f"{job}: nothing wrong found")


def make(
    job: JobPath,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Where everything goes.")],
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
) -> None:
    """Plan, write, read back, cut virtual stock and compare with the drawing."""
    from gcodekit.making.make import make as make_programs

    outcome = make_programs(
        job,
        out,
        dimensions=given(dimensions),
        post=post,
        posts=posts,
        posts_env=posts_environment(),
        unproven=unproven,
        png=plot == "png",
        model=model,
        explain=explain,
        progress=console.message,
    )
    console.faults(outcome.faults)
    for line in outcome.summary:
        console.result(line)
    if outcome.verdict != "pass":
        raise typer.Exit(1)
