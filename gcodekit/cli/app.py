"""The command `gcodekit`: what it offers, and how it ends.

Exit codes: 0 done and clean; 1 the job, program or a named file is at fault; 2 wrong usage.
Every command imports what it needs when it runs, so that `--help` is quick.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from gcodekit.cli import (
    console,
    dry_run,
    explain,
    fits_threads,
    jobs,
    listings,
    outline,
    speeds,
    starting,
)
from gcodekit.errors import GcodekitError

# New objects between two searches for rings of dead ones: a command makes few of those and ends
# soon, and the usual 700 cost it a twentieth of its time.
SELDOM = 20_000

app = typer.Typer(
    name="gcodekit",
    help="From a drawing's own terms to proved RS-274 programs for a small mill.",
    no_args_is_help=True,
    # Its own option below: the ready-made one is unset, not false, while a command's help is asked
    # for, and to make out what an unset option means the library loads another, as large as itself.
    add_help_option=False,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
for command in (
    jobs.make,
    jobs.check,
    dry_run.dryrun,
    speeds.speeds,
    fits_threads.fits,
    fits_threads.thread,
    listings.posts,
    listings.materials,
    listings.cutters,
    outline.outline,
    starting.new,
    explain.explain,
    explain.schema,
):
    app.command()(command)


def _version(asked: bool) -> None:
    if asked:
        from importlib.metadata import PackageNotFoundError, version

        try:
            console.result(f"gcodekit {version('gcodekit')}")
        except PackageNotFoundError:
            console.result("gcodekit, run from its source folder")
        raise typer.Exit


def _help(context: typer.Context, asked: bool) -> None:
    if asked:
        console.result(context.get_help())
        raise typer.Exit


@app.callback()
def gcodekit(
    _version_: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Print the version."),
    ] = False,
    _help_: Annotated[
        bool,
        typer.Option("-h", "--help", callback=_help, is_eager=True, help="Show this message."),
    ] = False,
) -> None:
    """From a drawing's own terms to proved RS-274 programs for a small mill."""


def main(arguments: Sequence[str] | None = None) -> None:
    """Run a command line; ends in SystemExit."""
    gc.set_threshold(SELDOM)
    try:
        app(args=None if arguments is None else list(arguments), prog_name="gcodekit")
    except GcodekitError as error:
        console.faults(error.faults)
        sys.exit(1)
    except OSError as error:
        console.message(f"{error.filename or '-'}: {error.strerror or error}")
        sys.exit(1)
