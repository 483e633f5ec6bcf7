"""The reference page: one HTML text that needs no script and asks for nothing from elsewhere."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable, Mapping
from hashlib import sha256
from importlib.resources import files
from pathlib import Path

from gcodekit.errors import Fault, JobError, Place
from gcodekit.job.keys.kind_tables import kind_names
from gcodekit.job.reference.long_texts import notes
from gcodekit.making.files import check_folder, leave
from gcodekit.making.reference_page.markup import links, words
from gcodekit.making.reference_page.pictures import picture
from gcodekit.making.reference_page.sections import (
    contents,
    drawn_tables,
    job_tables,
    kind_section,
    subject_section,
    table_section,
    trade_index,
    workshop_tables,
)
from gcodekit.sheet.html_elements import element
from gcodekit.version import program_and_version

ENDINGS = (".html", ".htm")
INTRODUCTION = """\
Every key of the job file and the workshop file: what it is, its unit, whether it is required or \
what its default is, and its bounds. Bare numbers are in the units of the file; limits and \
defaults are shown in mm and are the same lengths in an inch file. `gcodekit explain WORD` shows \
any part of this page in the terminal."""


def leave_reference(file: Path, progress: Callable[[str], None] = lambda _: None) -> Path:
    """Write the page, whole or not at all; `progress` is told of each picture.

    Raises
    ------
    GcodekitError
        where it cannot be written
    """
    if file.suffix.lower() not in ENDINGS:
        fault = Fault(Place(str(file)), "is not an HTML file", "name a file that ends in .html")
        raise JobError([fault])
    if file.is_dir():
        raise JobError([Fault(Place(str(file)), "is a folder", "name a file")])
    check_folder(file.parent)
    progress("drawing an example of each kind of feature, about ten seconds in all")
    pictures = {}
    for kind in kind_names():
        progress(f"drawing {kind}")
        pictures[kind] = picture(kind)
    return leave(file.parent, {file.name: page(pictures)})[0]


def page(pictures: Mapping[str, str]) -> str:
    """The text of the page; `pictures`: the SVG text of each kind of feature."""
    style = files("gcodekit.making.reference_page").joinpath("style.css").read_text("utf-8")
    digest = b64encode(sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:"
    head = (
        '<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        "<title>gcodekit reference</title>\n"
        f"<style>{style}</style>\n"
    )
    title = element("h1", "gcodekit reference") + element("p", words(INTRODUCTION))
    foot = element("p", f"{program_and_version()}. Written by gcodekit explain --html.")
    body = (
        f"{_contents()}\n{element('header', title)}\n{element('main', _sections(pictures))}\n"
        f"{element('footer', foot)}\n"
    )
    html = element("html", f"\n<head>\n{head}</head>\n<body>\n{body}</body>\n", lang="en")
    return f"<!DOCTYPE html>\n{html}\n"


def _contents() -> str:
    parts = [
        f"\n{element('h2', element('a', heading, href=f'#{_part(heading)}'))}"
        + element("ul", *(element("li", links([entry])) for entry in entries))
        for heading, entries in contents()
    ]
    index = element("h2", element("a", "Trade words", href="#trade-words"))
    return element("nav", *parts, f"\n{index}\n", aria_label="Contents")


def _part(heading: str) -> str:
    """The anchor of a part of the page."""
    return heading.lower().replace(" ", "-")


def _sections(pictures: Mapping[str, str]) -> str:
    bodies = (
        map(subject_section, notes().topics),
        (kind_section(kind, drawn) for kind, drawn in pictures.items()),
        map(table_section, job_tables()),
        map(table_section, drawn_tables()),
        map(table_section, workshop_tables()),
    )
    parts = [
        f"\n{element('h2', heading, id=_part(heading))}\n" + "\n".join(body)
        for (heading, _), body in zip(contents(), bodies, strict=True)
    ]
    return "".join(parts) + f"\n{element('h2', 'Trade words', id='trade-words')}\n{trade_index()}\n"
