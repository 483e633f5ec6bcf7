"""A sheet as a PDF on A4 or Letter, black and white."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from io import BytesIO
from typing import TYPE_CHECKING, Literal

from gcodekit.plot.letters import plain
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
from gcodekit.sheet.pdf_faces import Faces, faces_for
from gcodekit.sheet.pdf_pictures import letterings

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas
    from reportlab.platypus import Flowable, PageTemplate

Paper = Literal["A4", "Letter"]

# Width and height in points: ISO 216, ANSI/ASME Y14.1.
SIZES: dict[Paper, tuple[float, float]] = {"A4": (595.276, 841.890), "Letter": (612.0, 792.0)}
# Margins, points: 12 mm at the sides, 11 mm above and below, where printers reach.
_SIDE, _END = 34.0, 31.2
# Room for the footer.
_FOOT = 14.0
# Sizes of type tried, largest first, until a page fits on one sheet of paper; what fits at none is
# set at `_LONG` and goes on to the next.
_TYPE = (9.5, 9.0, 8.5, 8.0, 7.5)
_LONG = 8.5


def to_pdf(sheet: BenchSheet, paper: Paper = "A4") -> bytes:
    """The bytes of a PDF; the same for the same sheet."""
    faces = faces_for([sheet.title, sheet.sort, sheet.footer, *_texts_of(sheet)])
    # how many pages there are is known when they have been set once
    _, count = _built(sheet, paper, faces, 0)
    return _built(sheet, paper, faces, count)[0]


def _built(sheet: BenchSheet, paper: Paper, faces: Faces, count: int) -> tuple[bytes, int]:
    """The bytes, each page said to be one of `count`, and how many there are."""
    from reportlab.platypus import BaseDocTemplate

    out = BytesIO()
    title = f"{plain(sheet.title)}: {plain(sheet.sort)}"
    template = BaseDocTemplate(
        out, pagesize=SIZES[paper], title=title, author="gcodekit", invariant=1
    )
    numbers = range(len(sheet.pages))
    template.addPageTemplates([_template(sheet, n, paper, faces, count) for n in numbers])
    template.build([f for n in numbers for f in _story(sheet, n, paper, faces)])
    return out.getvalue(), template.page


def _room(paper: Paper) -> tuple[float, float]:
    """Of the page's text: width and height, points."""
    width, height = SIZES[paper]
    return width - 2 * _SIDE, height - 2 * _END - _FOOT


def _template(
    sheet: BenchSheet, number: int, paper: Paper, faces: Faces, count: int
) -> PageTemplate:
    from reportlab.platypus import Frame, PageTemplate

    wide, high = _room(paper)
    frame = Frame(
        _SIDE,
        _END + _FOOT,
        wide,
        high,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    title = f"{plain(sheet.sort)}: {plain(sheet.pages[number].title)}"

    def foot(canvas: Canvas, _: object) -> None:
        canvas.setFont(faces.plain, 7.5)
        canvas.drawString(_SIDE, _END, faces.letters(plain(sheet.footer)))
        said = f"{title}, page {canvas.getPageNumber()} of {count}"
        canvas.drawRightString(_SIDE + wide, _END, faces.letters(said))

    return PageTemplate(id=str(number), frames=[frame], onPage=foot)


def _story(sheet: BenchSheet, number: int, paper: Paper, faces: Faces) -> Iterator[Flowable]:
    """What stands on the pages of one page of the sheet, at the size of type that suits it."""
    from reportlab.platypus import NextPageTemplate, PageBreak

    from gcodekit.sheet.pdf_blocks import Setter

    wide, high = _room(paper)
    page = sheet.pages[number]
    for size in _TYPE:
        setter = Setter(faces, size)
        if setter.height(setter.page(sheet, page, wide), wide, high) <= high:
            break
    else:
        setter = Setter(faces, _LONG)
    yield NextPageTemplate(str(number))
    if number:
        yield PageBreak()
    yield from setter.page(sheet, page, wide)


def _texts_of(sheet: BenchSheet) -> Iterator[str]:
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
