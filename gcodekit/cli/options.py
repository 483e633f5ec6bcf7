"""Options that several commands share, and the folders of posts that the environment names."""

from __future__ import annotations

import math
import os
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from gcodekit.cli import console

Json = Annotated[bool, typer.Option("--json", help="Print one JSON document.")]
Quiet = Annotated[bool, typer.Option("-q", "--quiet", help="Show only errors and warnings.")]
Posts = Annotated[
    Path | None,
    typer.Option("--posts", metavar="DIR", help="Folder of posts to search first."),
]
WorkshopFile = Annotated[
    Path | None,
    typer.Option(
        "--workshop", metavar="FILE", help="Workshop file; default: the built-in bench mill."
    ),
]

Set = Annotated[
    list[str] | None,
    typer.Option(
        "--set", metavar="NAME=VALUE", help="Replace a dimension of the job file; repeatable."
    ),
]


def given(values: list[str] | None) -> dict[str, str]:
    """Return the dimensions typed as NAME=VALUE. Raises `BadParameter` for anything else."""
    found: dict[str, str] = {}
    for text in values or []:
        name, sign, value = (part.strip() for part in text.partition("="))
        if not (name and sign and value):
            raise typer.BadParameter(f"--set {text}: write NAME=VALUE, as in --set pitch=12.5")
        if name in found:
            raise typer.BadParameter(f"--set {text}: {name} is set twice")
        found[name] = value
    return found


def posts_environment() -> str | None:
    """Folders of posts that the environment names."""
    return os.environ.get("GCODEKIT_POSTS")


def length(text: str, *, of: str) -> float:
    """A length typed on the command line, mm: `10`, `3/8 in`, `1-1/4 in`, `250 thou`.

    Raises
    ------
    typer.BadParameter
        it is not a length
    """
    from gcodekit.expr import ExprError, evaluate

    try:
        return evaluate(text, {}, units="mm").value
    except ExprError as fault:
        raise typer.BadParameter(f"{of}: {text!r} is not a length, write 10 or 3/8 in") from fault


def in_inches(*texts: str | None) -> bool:
    """Tell whether one of the lengths was typed in inches, so that the answer is in inch too."""
    return any(unit in (text or "") for text in texts for unit in ("in", "thou"))


def whole_number(least: int, most: int) -> Callable[[str], int]:
    """Return a reader of whole numbers within bounds, for an option that counts something."""

    def read(text: str) -> int:
        if not (text.isascii() and text.isdigit() and least <= int(text[:9]) <= most):
            raise typer.BadParameter(f"{text!r} is not a whole number from {least} to {most}")
        return int(text)

    return read


def number(least: float, most: float) -> Callable[[str], float]:
    """Return a reader of numbers within bounds."""

    def read(text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not least <= value <= most:
            raise typer.BadParameter(f"{text!r} is not a number from {least:g} to {most:g}")
        return value

    return read


def refused(word: str, why: str) -> typer.Exit:
    """End a command that was asked for something unknown, with one line that says why."""
    shown = "".join(c if c.isprintable() else "?" for c in word[:60])
    console.message(f"{shown}: {why}")
    return typer.Exit(1)
