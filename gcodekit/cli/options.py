"""Options that several commands share, and what the environment says."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

Json = Annotated[bool, typer.Option("--json", help="Print one JSON document.")]
Posts = Annotated[
    Path | None,
    typer.Option("--posts", metavar="DIR", help="A folder of posts, searched first."),
]
WorkshopFile = Annotated[
    Path | None,
    typer.Option(
        "--workshop", metavar="FILE", help="The workshop file; left out: a small bench mill."
    ),
]


def posts_environment() -> str | None:
    """Folders of posts that the environment names."""
    return os.environ.get("GCODEKIT_POSTS")
