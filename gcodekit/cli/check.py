"""`gcodekit check JOB`: read and validate a job without planning it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from gcodekit.cli import say
from gcodekit.cli.options import Set, given


def check(
    job: Annotated[Path, typer.Argument(metavar="JOB", help="The job file.")],
    dimensions: Set = None,
) -> None:
    """Read and validate a job without planning it."""
    from gcodekit.making.check import check_job

    if say.faults(check_job(job, given(dimensions))):
        raise typer.Exit(1)
    say.result(f"{job}: nothing wrong found")
