"""A sheet for the bench: pages of headings, text, tables, pictures and boxes, before it is HTML,
PDF or text.

Every text is plain text: nothing in it is markup, in any of the three. Figures are given as they
are to be read, in the units of the job and with one number of decimals in a column.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Align = Literal["left", "right", "centre"]


@dataclass(frozen=True, slots=True)
class Tick:
    """A box to tick, in place of a cell's text."""


@dataclass(frozen=True, slots=True)
class WriteIn:
    """A box to write a figure in, in place of a cell's text; `width` in mm on the paper."""

    width: float = 18.0


Cell = str | Tick | WriteIn


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading inside a page."""

    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Short facts, each under its label: material, machine, file."""

    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its head, the unit under it, how its cells are set, and its share of the
    width that is left; 0: only as wide as its cells."""

    head: str
    unit: str = ""
    align: Align = "left"
    share: float = 0.0


@dataclass(frozen=True, slots=True)
class SheetTable:
    """Rows of cells under heads; `divided`: the rows with a stronger line above them."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    divided: frozenset[int] = frozenset()

    def __post_init__(self) -> None:
        if any(len(row) != len(self.columns) for row in self.rows):
            raise ValueError("each row must have a cell for every column")


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing of the plot: the whole SVG text, its size on the paper in mm, and what it shows,
    for those who do not see it. It is made smaller where it is wider than its place."""

    svg: str
    width: float
    height: float
    shows: str


@dataclass(frozen=True, slots=True)
class Steps:
    """Things to do in their order, each with a box to tick; `numbered` or not."""

    items: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Cautions:
    """What to heed, in a frame of its own."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SideBySide:
    """Two columns of blocks; `share` is the left one's part of the width. They are not broken over
    pages: no longer than half a page."""

    left: tuple[Block, ...]
    right: tuple[Block, ...]
    share: float = 0.5


Block = Heading | Paragraph | Facts | SheetTable | Picture | Steps | Cautions | SideBySide


@dataclass(frozen=True, slots=True)
class SheetPage:
    """What begins on paper of its own; what does not fit goes on to further pages."""

    title: str
    blocks: tuple[Block, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class BenchSheet:
    """All pages of one sheet; `title` is the job, `sort` what kind of sheet it is, `footer` what
    each page says of its origin."""

    title: str
    sort: str
    pages: tuple[SheetPage, ...]
    footer: str = ""
