"""`gcodekit check JOB` and `make JOB`: a job looked over, and made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from gcodekit.cli import console
from gcodekit.cli.options import Json, Posts, Quiet, Set, given, posts_environment

if TYPE_CHECKING:
    from gcodekit.planning.job_part import JobPart

JobPath = Annotated[Path, typer.Argument(metavar="JOB", help="Job file.")]
Folder = Annotated[
    Path | None,
    typer.Option(
        "--out",
        metavar="DIR",
        help="Folder for programs, pictures and report; default: next to JOB, with its name.",
    ),
]
PostName = Annotated[
    str | None,
    typer.Option("--post", metavar="NAME", help="Post to write with; default: the machine's."),
]
Pictures = Annotated[
    Literal["svg", "png"], typer.Option("--plot", help="Pictures: svg alone, or png as well.")
]
Model = Annotated[
    Path | None,
    typer.Option("--model", metavar="FILE", help="File for a model of the finished part, .stl."),
]


From = Annotated[
    str,
    typer.Option("--from", metavar="FEATURE", help="Start again at this feature."),
]
FromCutter = Annotated[
    int | None,
    typer.Option("--from-cutter", metavar="N", help="Start again at the change to this cutter."),
]
FinishOnly = Annotated[
    bool, typer.Option("--finish-only", help="Write the finishing passes alone.")
]
Only = Annotated[
    str,
    typer.Option(
        "--only",
        metavar="FEATURE",
        help="Write this feature alone, to practise in air or foam; or its finishing passes.",
    ),
]


def part_wanted(start: str, cutter: int | None, *, finish_only: bool, only: str) -> JobPart:
    """Return the part of the programs that is wanted. Raises `BadParameter` for options that do
    not go together."""
    from gcodekit.planning.job_part import JobPart

    if only and (start or cutter is not None):
        other = "--from" if start else "--from-cutter"
        raise typer.BadParameter(f"--only cuts one feature alone: leave out {other}")
    return JobPart(start=start, cutter=cutter, finish_only=finish_only, only=only)


def check(
    job: JobPath,
    dimensions: Set = None,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Check a job file without planning it."""
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
    out: Folder = None,
    post: PostName = None,
    posts: Posts = None,
    dimensions: Set = None,
    plot: Pictures = "svg",
    model: Model = None,
    start: From = "",
    cutter: FromCutter = None,
    finish_only: FinishOnly = False,
    only: Only = "",
    explain: Annotated[
        bool, typer.Option("--explain", help="Explain cutters, sequence, speeds and feeds.")
    ] = False,
    unproven: Annotated[
        bool, typer.Option("--unproven", help="Write the programs even if the proof fails.")
    ] = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Make a job's programs and prove them.

    The programs are planned, written, read back, cut in virtual stock and compared
    with the drawing. With --from, --from-cutter, --finish-only or --only a part of
    them is written, in files of its own name, and the rest counts as cut.
    """
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
        date=console.today(),
        part=part_wanted(start, cutter, finish_only=finish_only, only=only),
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
