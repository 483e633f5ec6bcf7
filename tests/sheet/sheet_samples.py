"""A sheet with every block in it, and texts that would be markup."""

from gcodekit.plot.paper import PaperBox, document, line, rectangle, tag, words
from gcodekit.sheet.blocks import (
    BenchSheet,
    Block,
    Cautions,
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

HOSTILE = "<b>&amp; \x1b[31m</script><script>alert(1)</script>"
COLUMNS = (
    Column(""),
    Column("operation", share=2),
    Column("depth", "mm", "right"),
    Column("measured", "mm", "centre"),
)


def picture() -> Picture:
    drawn = (
        rectangle(PaperBox(10, 10, 90, 60), fill="#f0ead9", stroke="#1c2b33", stroke_width=0.5),
        tag("circle", cx=50, cy=35, r=12, stroke="#9c1c0c", stroke_width=0.3),
        tag("path", d="M20 20a8 8 0 0 1 16 0Z", fill="#1c2b33"),
        line(10, 70, 90, 70, stroke="#1c2b33", stroke_dasharray="3 1"),
        words(50, 80, f"Ø24 {HOSTILE}", fill="#1c2b33", text_anchor="middle"),
    )
    return Picture(document("sample", *drawn), 180, 127, f"a plate {HOSTILE}")


def table(rows: int) -> SheetTable:
    cells = ((Tick(), f"pocket {n}: rough", f"{n / 4:.2f}", WriteIn(20)) for n in range(rows))
    return SheetTable(COLUMNS, tuple(cells), frozenset({2}))


def blocks() -> tuple[Block, ...]:
    steps = Steps(("Square the stock.", "Find the left edge."), numbered=True)
    return (
        Facts((("material", "aluminium"), ("stock", HOSTILE))),
        picture(),
        Heading(f"Zero {HOSTILE}"),
        SideBySide((steps,), (Paragraph(HOSTILE, strong=True),), 0.6),
        table(5),
        Cautions(("Wear eye protection.", HOSTILE)),
    )


def sheet(rows: int = 0) -> BenchSheet:
    pages = [SheetPage("Flat on the board", blocks(), "set-up 1 of 2")]
    if rows:
        pages.append(SheetPage("Long", (table(rows),)))
    return BenchSheet(f"Plate {HOSTILE}", "set-up sheet", tuple(pages), "made by a test")
