"""Options that several commands share, and what the environment says."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from gcodekit.cli import console

Json = Annotated[bool, typer.Option("--json", help="Print one JSON document.")]
Quiet = Annotated[bool, typer.Option("-q", "--quiet", help="Show only errors and warnings.")]
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

Set = Annotated[
    list[str] | None,
    typer.Option(
        "--set", metavar="NAME=VALUE", help="A dimension in place of the file's; once for each."
    ),
]


def given(values: list[str] | None) -> dict[str, str]:
    """Dimensions typed as NAME=VALUE. Raises `BadParameter` where one is not."""
    found: dict[str, str] = {}
    for text in values or []:
        name, sign, value = (part.strip() for part in text.partition("="))
        if not (name and sign and value):
            raise typer.BadParameter(f"--set {text}: write NAME=VALUE, as in --set pitch=12.5")
        if name in found:
            raise typer.BadParameter(f"--set {text}: {name} is given twice")
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
        where it is none
    """
    from gcodekit.expr import ExprError, evaluate

    try:
        return evaluate(text, {}, units="mm").value
    except ExprError as fault:
        raise typer.BadParameter(f"{of}: {text!r} is no length, write 10 or 3/8 in") from fault


def in_inches(*texts: str | None) -> bool:
    """Tell whether one of the lengths was typed in inches, to be answered in them too."""
    return any(unit in (text or "") for text in texts for unit in ("in", "thou"))


def refused(word: str, why: str) -> typer.Exit:
    """The end of a command that was asked for what is not known; the one line is said."""
    shown = "".join(c if c.isprintable() else "?" for c in word[:60])
    console.message(f"{shown}: {why}")
    return typer.Exit(1)
