"""A sheet as plain text: for a screen beside the machine, and for tests of its figures."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from itertools import zip_longest

from gcodekit.plot.letters import plain
from gcodekit.sheet.blocks import (
    Align,
    BenchSheet,
    Block,
    Cautions,
    Cell,
    Facts,
    Heading,
    Paragraph,
    Picture,
    SheetTable,
    SideBySide,
    Steps,
    Tick,
    WriteIn,
)

WIDTH = 80
TICK, WRITE_IN = "[ ]", "________"
# Between two columns; no column is made narrower than this.
_GAP, _NARROWEST = 2, 6


def to_text(sheet: BenchSheet, width: int = WIDTH) -> str:
    """The text of a file, so many letters wide."""
    lines = [*_wrapped(plain(sheet.title), width), *_wrapped(plain(sheet.sort), width), ""]
    for page in sheet.pages:
        title = plain(page.title) + (f" ({plain(page.note)})" if page.note else "")
        lines += ["=" * width, *_wrapped(title, width), "=" * width, *_blocks(page.blocks, width)]
        lines.append("")
    lines += _wrapped(plain(sheet.footer), width)
    return "\n".join(line.rstrip() for line in lines).rstrip() + "\n"


def _wrapped(text: str, width: int, first: str = "", then: str = "") -> list[str]:
    """Lines of a text, words too long for one broken; the first begins with one indent, those after
    it with the other."""
    filled = textwrap.wrap(text, width, initial_indent=first, subsequent_indent=then)
    return filled or [first]


def _blocks(blocks: Iterable[Block], width: int) -> Iterator[str]:
    for block in blocks:
        yield from _block(block, width)


def _block(block: Block, width: int) -> Iterator[str]:
    match block:
        case Heading(text):
            yield from ("", *_wrapped(plain(text).upper(), width))
        case Paragraph(text):
            yield from _wrapped(plain(text), width)
        case Facts(pairs):
            for label, fact in pairs:
                yield from _wrapped(f"{plain(label)}: {plain(fact)}", width, "", "  ")
        case SheetTable():
            yield from _table(block, width)
        case Picture():
            yield from _wrapped(f"[picture: {plain(block.shows)}]", width)
        case Steps(items, numbered):
            for n, item in enumerate(items, 1):
                mark = f"{TICK} {f'{n}. ' if numbered else ''}"
                yield from _wrapped(plain(item), width, mark, " " * len(mark))
        case Cautions(items):
            yield ""
            for item in items:
                yield from _wrapped(plain(item), width, "! ", "  ")
        case SideBySide(left, right):
            yield from _blocks((*left, *right), width)


# -- tables --------------------------------------------------------------------------------------


def _table(table: SheetTable, width: int) -> Iterator[str]:
    columns = table.columns
    texts = [[_cell(cell) for cell in row] for row in table.rows]
    heads = [[plain(c.head), plain(c.unit)] for c in columns]
    widths = _widths(table, heads, texts, width)
    aligns = [c.align for c in columns]
    wrapped = [textwrap.wrap(h, w) for (h, _), w in zip(heads, widths, strict=True)]
    deepest = max(map(len, wrapped))
    lifted = [[""] * (deepest - len(lines)) + lines for lines in wrapped]
    units = [[*lines, unit] for lines, (_, unit) in zip(lifted, heads, strict=True)]
    yield from _row(units if any(c.unit for c in columns) else lifted, widths, aligns)
    rule = (" " * _GAP).join("-" * w for w in widths)
    yield rule
    for n, row in enumerate(texts):
        if n in table.divided and n:
            yield rule
        cells = [textwrap.wrap(text, w) or [""] for text, w in zip(row, widths, strict=True)]
        yield from _row(cells, widths, aligns)


def _row(cells: Sequence[list[str]], widths: Sequence[int], aligns: Sequence[Align]) -> list[str]:
    return [
        (" " * _GAP).join(
            _aligned(text, w, align) for text, w, align in zip(line, widths, aligns, strict=True)
        )
        for line in zip_longest(*cells, fillvalue="")
    ]


def _aligned(text: str, width: int, align: Align) -> str:
    match align:
        case "right":
            return text.rjust(width)
        case "centre":
            return text.center(width)
        case "left":
            return text.ljust(width)


def _cell(cell: Cell) -> str:
    match cell:
        case Tick():
            return TICK
        case WriteIn():
            return WRITE_IN
        case _:
            return plain(cell)


def _widths(
    table: SheetTable, heads: Sequence[list[str]], rows: Sequence[Sequence[str]], width: int
) -> list[int]:
    """Each column as wide as its widest cell; where that is too much, those that share the width
    give way, the widest first."""
    wide = []
    for n, (head, unit) in enumerate(heads):
        words = [*head.split(), unit, *(row[n] for row in rows)]
        wide.append(max(1, *map(len, words)))
    sharing = [n for n, c in enumerate(table.columns) if c.share] or list(range(len(wide)))
    room = width - _GAP * (len(wide) - 1)
    while sum(wide) > room:
        widest = max(sharing, key=lambda n: wide[n])
        if wide[widest] <= _NARROWEST:
            break
        wide[widest] -= 1
    return wide
