"""One sheet in three formats: the same words and figures in each, nothing taken for markup."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from pdf_text import pages_of, text_of
from sheet_samples import COLUMNS, picture, sheet

from gcodekit.sheet.black_white import black_and_white
from gcodekit.sheet.blocks import (
    BenchSheet,
    Cautions,
    Cell,
    Column,
    Facts,
    Heading,
    Paragraph,
    SheetPage,
    SheetTable,
    SideBySide,
    Steps,
    Tick,
    WriteIn,
)
from gcodekit.sheet.sheet_formats import ENDINGS, paper_for, sheet_bytes
from gcodekit.sheet.sheet_html import to_html
from gcodekit.sheet.sheet_pdf import to_pdf
from gcodekit.sheet.sheet_text import TICK, WIDTH, WRITE_IN, to_text


class Elements(HTMLParser):
    """Elements and words of a page."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.words: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append(tag)
        for name, text in attrs:
            assert not name.startswith("on")
            assert name not in ("href", "src") or (text or "").startswith("data:image/svg+xml")

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def test_nothing_in_a_job_is_markup() -> None:
    page = Elements(to_html(sheet()))
    assert "script" not in page.found
    assert "b" in page.found  # the strong paragraph's own
    assert page.found.count("b") == 1
    assert any("<script>alert(1)</script>" in text for text in page.words)
    assert "\x1b" not in to_html(sheet())
    assert "\x1b" not in to_text(sheet())


def test_all_formats_have_the_same_words() -> None:
    made = sheet(rows=7)
    html = "".join(Elements(to_html(made)).words)
    text, pdf = to_text(made), text_of(to_pdf(made))
    for word in ("aluminium", "set-up 1 of 2", "pocket 3: rough", "0.75", "1.50", "made by a test"):
        assert word in html
        assert word in text
        assert word in pdf


def test_boxes_stand_in_the_text() -> None:
    text = to_text(sheet())
    assert text.count(TICK) == 2 + 5
    assert text.count(WRITE_IN) == 5


@pytest.mark.parametrize("width", [60, 80, 120])
def test_text_is_no_wider_than_asked(width: int) -> None:
    assert max(map(len, to_text(sheet(3), width).splitlines())) <= width


def test_long_tables_go_on_with_their_heads() -> None:
    made = to_pdf(sheet(rows=120))
    pages = pages_of(made)
    assert len(pages) > 3
    assert all("operation" in page for page in pages)
    assert [re.findall(r"page (\d+) of (\d+)", p) for p in pages] == [
        [(str(n), str(len(pages)))] for n in range(1, len(pages) + 1)
    ]
    rows = re.findall(r"pocket (\d+): rough", "".join(pages[1:]))
    assert rows == [str(n) for n in range(120)]


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_paper_sizes(paper: str, size: tuple[int, int]) -> None:
    made = sheet_bytes(sheet(), ".pdf", "Letter" if paper == "Letter" else "A4")
    box = re.search(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", made)
    assert box is not None
    assert (round(float(box[1])), round(float(box[2]))) == size


def test_pdf_is_the_same_each_time() -> None:
    assert to_pdf(sheet()) == to_pdf(sheet())


def test_a_page_without_letters_of_helvetica_is_still_lettered() -> None:
    made = to_pdf(BenchSheet("Płyta", "sheet", (SheetPage("Ω", (Paragraph("Ł"),)),)))
    assert made.startswith(b"%PDF")


def test_pictures_are_lines_in_a_pdf_not_dots() -> None:
    made = to_pdf(sheet())
    assert b"/Subtype /Image" not in made
    assert "Ø24" in text_of(made)


def test_pictures_have_no_colour() -> None:
    colours = re.findall(r'"#(\w{2})(\w{2})(\w{2})"', black_and_white(picture().svg))
    assert colours
    assert all(r == g == b for r, g, b in colours)


def test_a_row_has_as_many_cells_as_there_are_columns() -> None:
    with pytest.raises(ValueError, match="cell for every column"):
        SheetTable((Column("a"), Column("b")), (("1",),))


def test_formats_and_papers() -> None:
    assert [sheet_bytes(sheet(), e, "A4")[:1] for e in ENDINGS] == [b"<", b"%", b"P"]
    assert (paper_for("mm"), paper_for("inch")) == ("A4", "Letter")
    with pytest.raises(ValueError, match="docx"):
        sheet_bytes(sheet(), ".docx", "A4")


@pytest.mark.parametrize("word", ["endless" * 900, "long words " * 900])
def test_what_is_too_long_for_a_page_is_broken(word: str) -> None:
    cells: tuple[Cell, ...] = (Tick(), word, "1.00", WriteIn())
    many = SheetTable(COLUMNS, tuple(("", f"row {n}", "", "") for n in range(90)))
    blocks = (
        Facts(((word[:200], word),)),
        Heading(word),
        Paragraph(word),
        Steps((word,)),
        SideBySide((many,), (many,)),
        SheetTable(COLUMNS, (cells,)),
        Cautions((word,)),
    )
    made = BenchSheet(word, "sheet", (SheetPage(word, blocks, word),), word)
    assert len(pages_of(to_pdf(made))) > 4
    assert max(map(len, to_text(made).splitlines())) <= WIDTH
    assert word[:60] in to_html(made)
