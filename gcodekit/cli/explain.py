"""`gcodekit explain [WORD]` and `schema`: the reference of the job and workshop files, a word at a
time, and for editors."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from gcodekit.cli import console
from gcodekit.cli.options import Json, refused

if TYPE_CHECKING:
    from gcodekit.job.reference.reference import Entry, Group, KeyLine

WIDTH = 79  # of a line, so that it stands whole in a terminal of 80
NAME_WIDTH = 14  # of the column of keys
_KEPT = "\x00"  # a space at which no line is broken


def explain(
    key: Annotated[
        str | None,
        typer.Argument(
            metavar="[WORD]",
            help="A key, a table such as setup.hold, a kind of feature, or a trade word.",
            show_default=False,
        ),
    ] = None,
    html: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write the whole reference, with pictures, as a page."),
    ] = None,
    as_json: Json = False,
) -> None:
    """Explain a key, a kind of feature or a trade word; without one list all keys."""
    from gcodekit.job.reference.look_up import look_up, nearest_word

    if html is not None:
        _page(html, key, as_json=as_json)
        return
    if key is None:
        _overview(as_json)
        return
    found = look_up(key)
    if not found:
        close = nearest_word(key)
        hint = f"did you mean {close}?" if close else "gcodekit explain lists every word"
        raise refused(key, f"not found, {hint}")
    if as_json:
        from dataclasses import asdict

        console.document({"key": key, "entries": [asdict(e) for e in found]})
        return
    for n, entry in enumerate(found):
        if n:
            console.result("")
        for row in entry_rows(entry):
            console.result(row)


def _page(file: Path, key: str | None, *, as_json: bool) -> None:
    """Write the whole reference; progress goes to standard error."""
    if key is not None or as_json:
        raise typer.BadParameter("give --html FILE alone: the page has every word")
    from gcodekit.errors import GcodekitError
    from gcodekit.making.reference_page.page import leave_reference

    try:
        written = leave_reference(file, progress=console.message)
    except GcodekitError as error:
        console.faults(error.faults)
        raise typer.Exit(1) from None
    console.result(f"{written} written")


def schema(
    job: Annotated[bool, typer.Option("--job", help="Only of the job file.")] = False,
    workshop: Annotated[
        bool, typer.Option("--workshop", help="Only of the workshop file.")
    ] = False,
) -> None:
    """Print JSON Schema of the job and workshop files, for an editor."""
    from gcodekit.job.reference import schema as files

    if job and workshop:
        raise typer.BadParameter("give --job or --workshop, not both")
    console.document(files.schema("job" if job else "workshop" if workshop else "both"))


# -- one entry --------------------------------------------------------------------------------


def entry_rows(entry: Entry) -> Iterator[str]:
    """An entry as lines of text."""
    yield from _title(entry)
    if entry.sort == "key":
        yield from _rows_of_key(entry.groups[0].lines[0])
    if entry.text:
        yield from paragraphs(entry.text)
    if entry.sort in ("kind", "table"):
        for group in entry.groups:
            yield from _group(group)
    for heading, names in entry.besides:
        yield ""
        yield from _wrapped(f"  {heading}: ", ", ".join(names))
    if entry.not_yet:
        yield ""
        coming = (name.replace(" ", _KEPT) for name in entry.not_yet)
        yield from _wrapped("  Not yet: ", ", ".join(coming))
    if entry.example:
        yield ""
        yield "  Example"
        yield from (f"    {row}".rstrip() for row in entry.example.splitlines())
    if entry.see:
        yield ""
        yield from _wrapped("  See also: gcodekit explain ", ", ".join(dict.fromkeys(entry.see)))


def _title(entry: Entry) -> Iterator[str]:
    where = ", ".join(entry.where)
    if entry.sort in ("key", "word", "not yet") and where:
        at = "at" if where.startswith("the top") else "in"
        yield from _wrapped("", f"{entry.title}  {at} {where}", indent="    ")
    else:
        yield entry.title


def _rows_of_key(line: KeyLine) -> Iterator[str]:
    yield from _wrapped("  ", f"{line.meaning[:1].upper()}{line.meaning[1:]}.")
    yield from _wrapped("  ", _value(line))


def _group(group: Group) -> Iterator[str]:
    yield ""
    yield f"  {group.heading}"
    for line in group.lines:
        name = line.name.ljust(NAME_WIDTH)
        yield from _wrapped(f"    {name}  ", line.meaning)
        yield from _wrapped(" " * (NAME_WIDTH + 6), _value(line))


def _value(line: KeyLine) -> str:
    table = f" (gcodekit explain {line.table})" if line.table else ""
    return "; ".join(filter(None, (f"{line.takes}{table}", line.default, line.bounds)))


# -- the overview -----------------------------------------------------------------------------


def _overview(as_json: bool) -> None:
    from gcodekit.job.reference.overview import overview

    found = overview()
    if as_json:
        from dataclasses import asdict

        console.document([asdict(part) for part in found])
        return
    for part in found:
        console.result(part.heading)
        for name, words in part.rows:
            for row in _wrapped(f"  {name.ljust(18)} ", words):
                console.result(row)
    console.result("* required. `gcodekit explain WORD` explains any word here and trade words.")


# -- lines ------------------------------------------------------------------------------------


def paragraphs(text: str) -> Iterator[str]:
    """Text wrapped, an empty line before each paragraph; indented lines as they are."""
    for paragraph in text.split("\n\n"):
        yield ""
        if paragraph.startswith("    "):
            yield from (f"  {row}" for row in paragraph.splitlines())
        else:
            yield from _wrapped("  ", " ".join(paragraph.split()))


def _wrapped(start: str, text: str, *, indent: str | None = None) -> Iterable[str]:
    """Lines that begin with `start` and go on below its end; quoted words and a number with its
    unit stay whole."""
    kept = re.sub(r'(?:kind = )?"[^"]*"', lambda quoted: quoted[0].replace(" ", _KEPT), text)
    kept = re.sub(r"(\d) (mm|degrees|rev/min)", rf"\1{_KEPT}\2", kept)
    rows = textwrap.wrap(
        kept,
        WIDTH,
        initial_indent=start,
        subsequent_indent=" " * len(start) if indent is None else indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return (row.replace(_KEPT, " ") for row in rows)
