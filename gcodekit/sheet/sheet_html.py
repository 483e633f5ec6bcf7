"""A sheet as one HTML text: no script, nothing fetched from elsewhere, pages for printing."""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256
from html import escape
from importlib.resources import files

from gcodekit.plot.letters import plain
from gcodekit.sheet.black_white import black_and_white
from gcodekit.sheet.blocks import (
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
from gcodekit.sheet.html_elements import element

_BOX = '<span class="box"></span>'


def to_html(sheet: BenchSheet) -> str:
    """The text of an HTML file."""
    style = files("gcodekit.sheet").joinpath("sheet.css").read_text("utf-8")
    digest = b64encode(sha256(style.encode()).digest()).decode()
    # widths of boxes and columns stand with them
    policy = (
        f"default-src 'none'; style-src 'sha256-{digest}'; style-src-attr 'unsafe-inline'; "
        "img-src data:"
    )
    head = (
        '<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{_said(sheet.title)}: {_said(sheet.sort)}</title>\n<style>{style}</style>\n"
    )
    pages = "\n".join(_page(sheet, n) for n in range(len(sheet.pages)))
    html = element("html", f"\n<head>\n{head}</head>\n<body>\n{pages}\n</body>\n", lang="en")
    return f"<!DOCTYPE html>\n{html}\n"


def _page(sheet: BenchSheet, n: int) -> str:
    page = sheet.pages[n]
    sort = f"{sheet.sort}, {n + 1} of {len(sheet.pages)}" if len(sheet.pages) > 1 else sheet.sort
    foot = element("footer", element("span", _said(sheet.footer)), element("span", _said(sort)))
    return element("section", _top(sheet, page), *map(_block, page.blocks), foot)


def _top(sheet: BenchSheet, page: SheetPage) -> str:
    note = element("span", _said(page.note), class_="note") if page.note else ""
    above = element("p", element("span", _said(sheet.title)), note)
    return element("header", above, element("h1", _said(page.title)))


def _said(text: str) -> str:
    return escape(plain(text), quote=False)


def _block(block: Block) -> str:
    match block:
        case Heading(text):
            return element("h2", _said(text))
        case Paragraph(text, strong):
            return element("p", element("b", _said(text)) if strong else _said(text))
        case Facts(pairs):
            return _facts(pairs)
        case SheetTable():
            return _table(block)
        case Picture():
            return _picture(block)
        case Steps(items, numbered):
            rows = (element("li", _BOX, element("span", _said(t))) for t in items)
            return element("ol" if numbered else "ul", *rows, class_="steps")
        case Cautions(items):
            rows = (element("li", _said(t)) for t in items)
            return element("ul", *rows, class_="cautions")
        case SideBySide(left, right, share):
            widths = f"grid-template-columns:{share:.3f}fr {1 - share:.3f}fr"
            sides = (element("div", *map(_block, side)) for side in (left, right))
            return element("div", *sides, class_="sides", style=widths)


def _facts(pairs: tuple[tuple[str, str], ...]) -> str:
    rows = (
        element("div", element("dt", _said(k)), element("dd", _said(text))) for k, text in pairs
    )
    return element("dl", *rows)


def _picture(picture: Picture) -> str:
    """As data in the page: nothing in it can reach the page, or anything else."""
    data = b64encode(black_and_white(picture.svg).encode()).decode()
    image = (
        f'<img alt="{escape(plain(picture.shows))}" style="width:{picture.width:.1f}mm" '
        f'src="data:image/svg+xml;base64,{data}">'
    )
    return element("figure", image)


def _table(table: SheetTable) -> str:
    total = sum(c.share for c in table.columns)
    heads = (_head(column, total) for column in table.columns)
    rows = (
        element(
            "tr",
            *(_cell(cell, column) for cell, column in zip(row, table.columns, strict=True)),
            **({"class_": "divided"} if n in table.divided else {}),
        )
        for n, row in enumerate(table.rows)
    )
    return element(
        "table", element("thead", element("tr", *heads)), element("tbody", "\n", "\n".join(rows))
    )


def _head(column: Column, total: float) -> str:
    unit = element("small", _said(column.unit)) if column.unit else ""
    width = {"style": f"width:{100 * column.share / total:.1f}%"} if column.share else {}
    return element("th", _said(column.head), unit, class_=column.align, **width)


def _class(column: Column) -> str:
    """How cells are set; those that share the width are the ones to be broken."""
    return f"{column.align} broken" if column.share else column.align


def _cell(cell: Cell, column: Column) -> str:
    match cell:
        case Tick():
            return element("td", _BOX, class_="tick")
        case WriteIn(width):
            box = f'<span class="write" style="width:{width:.0f}mm"></span>'
            return element("td", box, class_=column.align)
        case _:
            return element("td", _said(cell), class_=_class(column))
