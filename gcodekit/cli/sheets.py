"""`gcodekit sheet JOB` and `handwheel JOB`: paper for the bench."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

import typer

from gcodekit.cli import console
from gcodekit.cli.jobs import JobPath, PostName
from gcodekit.cli.options import Posts, Quiet, Set, given, posts_environment
from gcodekit.errors import Fault

SheetFile = Annotated[
    Path,
    typer.Option("--out", metavar="FILE", help="File to write, .html, .pdf or .txt."),
]
PaperSize = Annotated[
    Literal["a4", "letter"] | None,
    typer.Option("--paper", help="Paper of a PDF; default: letter for an inch job, else a4."),
]
SIZES: dict[str, Literal["A4", "Letter"]] = {"a4": "A4", "letter": "Letter"}


def sheet(
    job: JobPath,
    out: SheetFile,
    paper: PaperSize = None,
    post: PostName = None,
    posts: Posts = None,
    dimensions: Set = None,
    quiet: Quiet = False,
) -> None:
    """Write a job's set-up sheet.

    The job is planned and proved first; a page for each set-up, and a cover for several.
    """
    from gcodekit.making.setup_sheets import PostChoice, leave_sheet

    found = leave_sheet(
        job,
        out,
        paper=SIZES[paper] if paper else None,
        dimensions=given(dimensions),
        choice=PostChoice(post, posts, posts_environment()),
        date=console.today(),
        progress=console.nothing if quiet else console.message,
    )
    _told(out, found, quiet=quiet)


def handwheel(
    job: JobPath,
    out: SheetFile,
    paper: PaperSize = None,
    post: PostName = None,
    posts: Posts = None,
    dimensions: Set = None,
    quiet: Quiet = False,
) -> None:
    """Write a job as work for a mill moved by hand.

    The job is planned and proved first. Then the same cutters and depths are laid
    out as straight strokes and holes, with readings for dials or a digital readout.
    """
    from gcodekit.making.hand_sheets import leave_handwheel_sheet
    from gcodekit.making.setup_sheets import PostChoice

    found = leave_handwheel_sheet(
        job,
        out,
        PostChoice(post, posts, posts_environment()),
        paper=SIZES[paper] if paper else None,
        dimensions=given(dimensions),
        date=console.today(),
        progress=console.nothing if quiet else console.message,
    )
    _told(out, found, quiet=quiet)


def _told(out: Path, found: Sequence[Fault], *, quiet: bool) -> None:
    """Say what is warned of, and that the file is there."""
    console.faults(found)
    if not quiet:
        console.result(f"{out}: written")
