"""The blocks of a sheet as reportlab sets them on a page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape
from typing import Literal

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import CondPageBreak, Flowable, Spacer, Table, TableStyle
from reportlab.platypus import Paragraph as SetParagraph

from gcodekit.plot.letters import plain
from gcodekit.sheet.blocks import (
    Align,
    BenchSheet,
    Block,
    Cautions,
    Cell,
    Column,
    Facts,
    Heading,
    Paragraph,
    Picture,
    SheetPage,
    SheetTable,
    SideBySide,
    Steps,
    Tick,
    WriteIn,
)
from gcodekit.sheet.pdf_faces import Faces
from gcodekit.sheet.pdf_flowables import MM, Box, DrawnPicture

# Beside each cell's text, points.
_PAD = 3.2
# Heads of columns against their cells.
_HEAD = 0.86
# Room that a heading needs under it, or it begins the next page; in sizes of type.
_AFTER_HEADING = 9.0
# Two columns taller than this, points, go one under the other: they are not broken over pages.
_TALLEST = 450.0
# Between two columns of blocks, points.
_GAP = 15.0
_ALIGNED: dict[Align, Literal[0, 1, 2]] = {"left": 0, "centre": 1, "right": 2}
_BARE = [
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]


class Setter:
    """Sets blocks in given faces and size of type, points."""

    def __init__(self, faces: Faces, size: float) -> None:
        self.faces, self.size = faces, size

    def page(self, sheet: BenchSheet, page: SheetPage, width: float) -> list[Flowable]:
        """A page of the sheet: its title over its blocks."""
        note = self._text(page.note, bold=True, align="right")
        above = Table(
            splitInRow=1,
            data=[[self._text(sheet.title), note]],
            colWidths=[width * 0.6, width * 0.4],
        )
        above.setStyle(TableStyle(_BARE))
        title = self._text(page.title, bold=True, scale=1.6)
        ruled = _breaking([[title]], colWidths=[width])
        ruled.setStyle(
            TableStyle([*_BARE, ("LINEBELOW", (0, 0), (-1, -1), 1.6, "black"),
                        ("BOTTOMPADDING", (0, 0), (-1, -1), 4)])
        )  # fmt: skip
        return [above, ruled, *self._broken(page.blocks, width)]

    def blocks(self, blocks: Iterable[Block], width: float) -> list[Flowable]:
        """Blocks, one under another."""
        return [flowable for block in blocks for flowable in self._block(block, width)]

    def _broken(self, blocks: Iterable[Block], width: float) -> Iterator[Flowable]:
        """The same with breaks of the page before headings that would stand alone."""
        for block in blocks:
            if isinstance(block, Heading):
                yield CondPageBreak(_AFTER_HEADING * self.size)
            yield from self._block(block, width)

    def height(self, flowables: Sequence[Flowable], width: float, high: float) -> float:
        """The height of flowables one under another, points."""
        total = 0.0
        for flowable in flowables:
            total += flowable.getSpaceBefore() + flowable.getSpaceAfter()
            total += flowable.wrap(width, high)[1]
        return total

    # -- one block ---------------------------------------------------------------------------

    def _block(self, block: Block, width: float) -> Iterator[Flowable]:
        match block:
            case Heading(text):
                yield self._heading(text)
            case Paragraph(text, strong):
                yield self._text(text, bold=strong, space=2.0)
            case Facts(pairs):
                yield from self._facts(pairs, width)
            case SheetTable():
                yield self._table(block, width)
                yield Spacer(0, 2)
            case Picture(svg, wide, high, _):
                yield DrawnPicture(svg, wide * MM, high * MM, width, self.faces)
            case Steps(items, numbered):
                yield from self._steps(items, numbered, width)
            case Cautions(items):
                yield self._cautions(items, width)
            case SideBySide(left, right, share):
                sides = self._sides(left, right, share, width)
                if sides.wrap(width, _TALLEST)[1] <= _TALLEST:
                    yield sides
                else:
                    yield from self.blocks((*left, *right), width)

    def _text(
        self,
        text: str,
        *,
        bold: bool = False,
        align: Align = "left",
        scale: float = 1.0,
        space: float = 0.0,
    ) -> SetParagraph:
        size = self.size * scale
        style = ParagraphStyle(
            "text",
            fontName=self.faces.bold if bold else self.faces.plain,
            fontSize=size,
            leading=1.2 * size,
            alignment=_ALIGNED[align],
            spaceBefore=space,
            spaceAfter=space,
            splitLongWords=1,
        )
        return SetParagraph(escape(self.faces.letters(plain(text))), style)

    def _heading(self, text: str) -> SetParagraph:
        heading = self._text(text.upper(), bold=True, scale=0.92)
        heading.style.spaceBefore, heading.style.spaceAfter = 0.75 * self.size, 2.0
        return heading

    def _facts(self, pairs: Sequence[tuple[str, str]], width: float) -> Iterator[Flowable]:
        """Labels over facts, as many beside one another as there is room for."""
        row: list[tuple[str, str, float]] = []
        for label, fact in pairs:
            wide = min(width, self._fact_width(label, fact))
            if row and sum(w for _, _, w in row) + wide > width:
                yield self._fact_row(row)
                row = []
            row.append((label, fact, wide))
        if row:
            yield self._fact_row(row)

    def _fact_width(self, label: str, fact: str) -> float:
        small = self._wide(label, bold=False) * 0.8
        return max(small, self._wide(fact, bold=True)) + 5 * _PAD

    def _fact_row(self, row: Sequence[tuple[str, str, float]]) -> Table:
        labels = [self._text(label, scale=0.8) for label, _, _ in row]
        facts = [self._text(fact, bold=True) for _, fact, _ in row]
        table = Table(
            [labels, facts], splitInRow=1, colWidths=[w for _, _, w in row], hAlign="LEFT"
        )
        table.setStyle(TableStyle([*_BARE, ("TOPPADDING", (0, 0), (-1, 0), 2.5)]))
        return table

    def _steps(self, items: Sequence[str], numbered: bool, width: float) -> Iterator[Flowable]:
        box = Box.tick(self.size)
        before = 1.5 * self.size if numbered else 0.0
        for n, item in enumerate(items, 1):
            number = [self._text(str(n), bold=True)] if numbered else []
            widths = [before] * numbered + [1.7 * self.size, width - before - 1.7 * self.size]
            table = _breaking([[*number, box, self._text(item)]], colWidths=widths)
            table.setStyle(TableStyle([*_BARE, ("BOTTOMPADDING", (0, 0), (-1, -1), 1.2)]))
            yield table

    def _cautions(self, items: Sequence[str], width: float) -> Table:
        mark = 1.2 * self.size
        rows = [[self._text("!", bold=True), self._text(item)] for item in items]
        table = _breaking(rows, colWidths=[mark + 5, width - mark - 5], spaceBefore=5)
        table.setStyle(
            TableStyle([*_BARE, ("BOX", (0, 0), (-1, -1), 1.2, "black"),
                        ("LEFTPADDING", (0, 0), (0, -1), 5),
                        ("TOPPADDING", (0, 0), (-1, 0), 3),
                        ("BOTTOMPADDING", (0, -1), (-1, -1), 3.5)])
        )  # fmt: skip
        return table

    def _sides(
        self, left: Sequence[Block], right: Sequence[Block], share: float, width: float
    ) -> Table:
        widths = [share * (width - _GAP), _GAP, (1 - share) * (width - _GAP)]
        cells = [self.blocks(left, widths[0]), "", self.blocks(right, widths[2])]
        table = Table([cells], colWidths=widths, spaceBefore=5)
        table.setStyle(TableStyle(_BARE))
        return table

    # -- tables ------------------------------------------------------------------------------

    def _table(self, table: SheetTable, width: float) -> Table:
        heads = [self._head(column) for column in table.columns]
        rows = [
            [self._cell(c, column) for c, column in zip(row, table.columns, strict=True)]
            for row in table.rows
        ]
        set_ = Table(
            [heads, *rows], splitInRow=1, colWidths=self._widths(table, width), repeatRows=1
        )
        rules = [("LINEABOVE", (0, n + 1), (-1, n + 1), 1.0, "black") for n in table.divided]
        set_.setStyle(
            TableStyle([
                ("LEFTPADDING", (0, 0), (-1, -1), _PAD),
                ("RIGHTPADDING", (0, 0), (-1, -1), _PAD),
                ("TOPPADDING", (0, 0), (-1, -1), 0.1 * self.size),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 0.2 * self.size),
                ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
                ("VALIGN", (0, 1), (-1, -1), "TOP"),
                ("LINEBELOW", (0, 0), (-1, 0), 1.0, "black"),
                ("LINEBELOW", (0, 1), (-1, -1), 0.3, "#777777"),
                *rules,
            ])
        )  # fmt: skip
        return set_

    def _head(self, column: Column) -> list[Flowable]:
        lines = [self._text(column.head, bold=True, align=column.align, scale=_HEAD)]
        if column.unit:
            lines.append(self._text(column.unit, align=column.align, scale=_HEAD))
        return [*lines]

    def _cell(self, cell: Cell, column: Column) -> Flowable:
        match cell:
            case Tick():
                return Box.tick(self.size)
            case WriteIn(width):
                return Box(width * MM, 1.35 * self.size)
            case _:
                return self._text(cell, align=column.align)

    def _widths(self, table: SheetTable, width: float) -> list[float]:
        """Columns without a share as wide as their widest cell, the others what is left."""
        wide = [self._column_width(table, n) for n in range(len(table.columns))]
        left = width - sum(w for w, c in zip(wide, table.columns, strict=True) if not c.share)
        shares = sum(c.share for c in table.columns)
        if shares and left > 0:
            return [
                left * c.share / shares if c.share else w
                for w, c in zip(wide, table.columns, strict=True)
            ]
        total = sum(wide)
        return [w * min(1.0, width / total) for w in wide]

    def _column_width(self, table: SheetTable, n: int) -> float:
        column = table.columns[n]
        words = [*column.head.split(), column.unit] if column.head else [column.unit]
        wide = [self._wide(word, bold=True) * _HEAD for word in words]
        for row in table.rows:
            match row[n]:
                case Tick():
                    wide.append(self.size)
                case WriteIn(width):
                    wide.append(width * MM)
                case str() as text:
                    wide.append(self._wide(text, bold=False))
        return max(wide, default=0.0) + 2 * _PAD + 0.5

    def _wide(self, text: str, *, bold: bool) -> float:
        face = self.faces.bold if bold else self.faces.plain
        return float(stringWidth(self.faces.letters(plain(text)), face, self.size))


def _breaking(
    rows: Sequence[Sequence[object]],
    colWidths: Sequence[float],
    *,
    repeatRows: int = 0,
    hAlign: Literal["LEFT", "CENTER"] = "CENTER",
    spaceBefore: float = 0.0,
) -> Table:
    """A table whose rows go on to the next page where one is taller than a page."""
    return Table(
        [tuple(row) for row in rows],
        colWidths=colWidths,
        repeatRows=repeatRows,
        hAlign=hAlign,
        spaceBefore=spaceBefore,
        splitInRow=1,
    )
