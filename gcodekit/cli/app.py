"""The command `gcodekit`: its subcommands, its own options and its exit codes.

Exit codes: 0 done and clean; 1 the job, program or a named file is at fault; 2 wrong usage.
Every command imports what it needs when it runs, so that `--help` is quick.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from typing import Annotated, Any

import typer
from typer.completion import get_completion_inspect_parameters, show_callback
from typer.core import TyperGroup

from gcodekit.cli import (
    console,
    dry_run,
    explain,
    fits_threads,
    jobs,
    listings,
    outline,
    sheets,
    speeds,
    starting,
)
from gcodekit.errors import GcodekitError
from gcodekit.version import program_and_version

# New objects between two searches for rings of dead ones: a command makes few of those and ends
# soon, and the usual 700 cost it a twentieth of its time.
SELDOM = 20_000

NAME = "gcodekit"
# Set by the shell when it asks what may follow the words typed so far.
COMPLETING = "_GCODEKIT_COMPLETE"
SHELLS = ("bash", "zsh", "fish")


class _Commands(TyperGroup):
    """The commands, and a shell's name behind `--show-completion`: an option that takes a word
    would load the same large library as the help option below."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Take the shell's name out of the words."""
        if args[:1] == ["--show-completion"] and len(args) > 1:
            ctx.obj = args.pop(1)
            if ctx.obj not in SHELLS:
                raise typer.BadParameter(f"{ctx.obj!r} is not one of {', '.join(SHELLS)}")
        return super().parse_args(ctx, args)


app = typer.Typer(
    name=NAME,
    cls=_Commands,
    help="Make proved RS-274 programs for a small mill from a drawing's own terms.",
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
    sheets.sheet,
    sheets.handwheel,
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
        console.result(program_and_version())
        raise typer.Exit


def _completion(context: typer.Context, parameter: typer.CallbackParam, asked: bool) -> None:
    if asked:
        show_callback(context, parameter, context.obj or asked)


def _help(context: typer.Context, asked: bool) -> None:
    if asked:
        console.result(context.get_help())
        raise typer.Exit


@app.callback()
def gcodekit(
    _version_: Annotated[
        bool,
        typer.Option("-V", "--version", callback=_version, is_eager=True, help="Show the version."),
    ] = False,
    _completion_: Annotated[
        bool,
        typer.Option(
            "--show-completion",
            callback=_completion,
            is_eager=True,
            help="Print a completion script; add bash, zsh or fish for another shell.",
        ),
    ] = False,
    _help_: Annotated[
        bool,
        typer.Option(
            "-h", "--help", callback=_help, is_eager=True, help="Show this message and exit."
        ),
    ] = False,
) -> None:
    """Make proved RS-274 programs for a small mill from a drawing's own terms."""


def main(arguments: Sequence[str] | None = None) -> None:
    """Run a command line; ends in SystemExit."""
    gc.set_threshold(SELDOM)
    if COMPLETING in os.environ:
        get_completion_inspect_parameters()  # makes the shells' answers known
    try:
        app(args=None if arguments is None else list(arguments), prog_name=NAME)
    except GcodekitError as error:
        console.faults(error.faults)
        sys.exit(1)
    except OSError as error:
        console.message(f"{error.filename or '-'}: {error.strerror or error}")
        sys.exit(1)
