"""`gcodekit posts`: the dialects that can be written."""

from __future__ import annotations

import typer

from gcodekit.cli import say
from gcodekit.cli.options import Json, Posts, posts_environment


def posts(posts: Posts = None, as_json: Json = False) -> None:
    """List the posts and where they were found."""
    from gcodekit.post.find import all_posts

    found, faults = all_posts(posts=posts, environment=posts_environment())
    wrong = say.faults(faults)
    rows = [(f.post.name, f.post.description, f.source) for f in found]
    if as_json:
        say.document([dict(zip(("name", "description", "source"), r, strict=True)) for r in rows])
    else:
        say.table(("name", "description", "found in"), rows)
    if wrong:
        raise typer.Exit(1)
