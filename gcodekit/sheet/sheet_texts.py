"""Every text that a sheet is lettered with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from gcodekit.sheet.blocks import (
    BenchSheet,
    Block,
    Cautions,
    Facts,
    Heading,
    Paragraph,
    Picture,
    SheetTable,
    SideBySide,
    Steps,
)
from gcodekit.sheet.pdf_pictures import letterings


def texts_of(sheet: BenchSheet) -> Iterator[str]:
    """Every text that the pages are lettered with, in pictures too."""
    for page in sheet.pages:
        yield from (page.title, page.note)
        yield from _texts(page.blocks)


def _texts(blocks: Iterable[Block]) -> Iterator[str]:
    for block in blocks:
        match block:
            case Heading(text) | Paragraph(text):
                yield text
            case Facts(pairs):
                yield from (text for pair in pairs for text in pair)
            case SheetTable(columns, rows):
                yield from (text for c in columns for text in (c.head, c.unit))
                yield from (cell for row in rows for cell in row if isinstance(cell, str))
            case Picture(svg):
                yield from letterings(svg)
            case Steps(items) | Cautions(items):
                yield from items
            case SideBySide(left, right):
                yield from _texts((*left, *right))
