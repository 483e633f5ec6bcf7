"""`gcodekit new FILE`: a job file to start from, of a plate or of one kind of feature, and the
built-in workshop to edit."""

from __future__ import annotations

import textwrap
from importlib.resources import files
from pathlib import Path
from typing import Annotated

import typer

from gcodekit.cli import console
from gcodekit.cli.options import refused

HEAD = """\
# A job for gcodekit with one {kind}: put your own sizes in place of these.
#
#   gcodekit explain {kind:<10}   what its keys mean
#   gcodekit check {file}
#   gcodekit make {file}

"""
NO_WORKSHOP = (
    '# workshop = "workshop.toml"         # your machine and cutters (gcodekit new --help)'
)


def new(
    file: Annotated[
        Path | None, typer.Argument(metavar="[FILE]", help="Job file to write.")
    ] = None,
    kind: Annotated[
        str | None,
        typer.Option("--kind", metavar="KIND", help="One feature of that kind only."),
    ] = None,
    workshop: Annotated[
        Path | None,
        typer.Option(
            "--workshop",
            metavar="FILE",
            help="Write the built-in machine and cutters here, to edit.",
        ),
    ] = None,
) -> None:
    """Write a job or workshop file to start from.

    An existing file is never overwritten.
    """
    if file is None and workshop is None:
        raise typer.BadParameter("name the job file to write, or --workshop FILE")
    if kind is not None and file is None:
        raise typer.BadParameter("--kind goes with a job file: name it before the option")
    texts: list[tuple[Path, str]] = []
    if workshop is not None:
        texts.append((workshop, _workshop_text()))
    if file is not None:
        texts.append((file, _job_text(file, kind, workshop)))
    there = [path for path, _ in texts if path.exists()]
    for path in there:
        console.message(f"{path}: exists already and is never overwritten, choose another name")
    if there:
        raise typer.Exit(1)
    for path, text in texts:
        with path.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
        console.result(f"{path} written")
    if file is not None:
        console.result(f"Next: gcodekit check {file}")


def _workshop_text() -> str:
    built_in = files("gcodekit.job").joinpath("data", "bench_mill.toml")
    text = built_in.read_text(encoding="utf-8")
    # what that file says of itself at its head is not so of a copy
    body = text[text.index("units = ") :]
    return (
        "# Your machine and cutters. The figures are the built-in bench mill's: put in yours, as\n"
        "# measured, and take out the cutters that you do not have. A job names this file:\n"
        '#   workshop = "workshop.toml"\n'
        "# What each key means: gcodekit explain machine, gcodekit explain cutter\n\n" + body
    )


def _job_text(file: Path, kind: str | None, workshop: Path | None) -> str:
    named = NO_WORKSHOP
    if workshop is not None:
        named = f"workshop = {_quoted(_beside(file, workshop))}"
    if kind is None:
        text = files("gcodekit.cli").joinpath("starter.toml").read_text(encoding="utf-8")
        return text if workshop is None else _with_workshop(text, named)
    from gcodekit.job.kinds import kinds
    from gcodekit.job.reference.example_jobs import example_job

    if kind not in kinds():
        raise refused(kind, f"no such kind of feature, choose one of {', '.join(kinds())}")
    head, job = HEAD.format(kind=kind, file=file), example_job(kind, workshop=named)
    return f"{head}{job}\n{_other_keys(kind)}"


def _other_keys(kind: str) -> str:
    """The kind's own keys that the example does not use, as comments."""
    from gcodekit.job.kinds import kinds

    own = kinds()[kind]
    rows = ["# It also takes:"] + [
        row
        for key in own.keys
        if f"\n{key.name} =" not in own.example
        for row in textwrap.wrap(
            f"{key.name:<14} {key.meaning}",
            width=98,
            initial_indent="#   ",
            subsequent_indent="#" + " " * 18,
        )
    ]
    return "\n".join(rows) + "\n" if len(rows) > 1 else ""


def _with_workshop(text: str, named: str) -> str:
    """The starter job with a workshop file named where it shows how."""
    lines = text.splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("# workshop = "))
    lines[at : at + 2] = [named]
    return "\n".join(lines) + "\n"


def _beside(file: Path, workshop: Path) -> str:
    """The workshop file as the job names it: relative to the job's folder where it lies there."""
    try:
        return workshop.resolve().relative_to(file.resolve().parent).as_posix()
    except ValueError:
        return workshop.resolve().as_posix()


def _quoted(path: str) -> str:
    return '"' + path.replace("\\", "\\\\").replace('"', '\\"') + '"'
