"""`gcodekit posts`: the dialects that can be written."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import typer

from gcodekit.cli import say
from gcodekit.cli.options import Json, Posts, posts_environment

if TYPE_CHECKING:
    from gcodekit.post.contract import Post
    from gcodekit.post.find import FoundPost


def posts(posts: Posts = None, as_json: Json = False) -> None:
    """List the posts, what each writes as it is, and where they were found."""
    from gcodekit.post.find import all_posts

    found, faults = all_posts(posts=posts, environment=posts_environment())
    wrong = say.faults(faults)
    if as_json:
        say.document([_document(f) for f in found])
    else:
        heads = ("name", "description", "units", "moves", "cycles", "cutters", "found in")
        say.table(heads, [_row(f) for f in found])
    if wrong:
        raise typer.Exit(1)


def _row(found: FoundPost) -> tuple[str, ...]:
    post = found.post
    cutters = "one a file" if post.one_cutter_a_file else "any number"
    cycles = " ".join(post.cycles) or "none"
    units, moves = post.units, ", ".join(_moves(post))
    return (post.name, post.description, units, moves, cycles, cutters, found.source)


def _moves(post: Post) -> list[str]:
    return ["lines", *(["arcs"] * post.arcs), *(["helices"] * (post.arcs and post.helices))]


def _document(found: FoundPost) -> dict[str, Any]:
    post = found.post
    return {
        "name": post.name,
        "description": post.description,
        "units": post.units,
        "moves": _moves(post),
        "cycles": list(post.cycles),
        "one_cutter_a_file": post.one_cutter_a_file,
        "file_ending": post.file_ending,
        "source": found.source,
    }
