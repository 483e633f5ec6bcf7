"""`gcodekit new FILE`: a commented job to start from."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from gcodekit.cli import say


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
        say.message(f"{file}: it is there already, name a new file")
        raise typer.Exit(1) from None
    say.result(f"{file} written. Next: gcodekit check {file}")
