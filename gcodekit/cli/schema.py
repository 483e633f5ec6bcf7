"""`gcodekit schema`: JSON Schema of the job and workshop files, for editors."""

from __future__ import annotations

from typing import Annotated

import typer

from gcodekit.cli import say


def schema(
    job: Annotated[bool, typer.Option("--job", help="Of the job file alone.")] = False,
    workshop: Annotated[
        bool, typer.Option("--workshop", help="Of the workshop file alone.")
    ] = False,
) -> None:
    """Print JSON Schema of the job and workshop files, for an editor."""
    from gcodekit.job.reference import schema as files

    if job and workshop:
        raise typer.BadParameter("give --job or --workshop; without either it is of both")
    say.document(files.schema("job" if job else "workshop" if workshop else "both"))
