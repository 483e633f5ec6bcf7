"""A sheet in the format that a file's ending asks for."""

from __future__ import annotations

from gcodekit.sheet.blocks import BenchSheet
from gcodekit.sheet.sheet_html import to_html
from gcodekit.sheet.sheet_pdf import Paper, to_pdf
from gcodekit.sheet.sheet_text import to_text
from gcodekit.units import Units

ENDINGS = (".html", ".pdf", ".txt")


def paper_for(units: Units) -> Paper:
    """The paper that a workshop with these units has: common practice, no source."""
    return "Letter" if units == "inch" else "A4"


def sheet_bytes(sheet: BenchSheet, ending: str, paper: Paper) -> bytes:
    """A file's bytes; `ending` is one of `ENDINGS`, `paper` is for PDF: HTML is printed on what the
    printer has."""
    match ending:
        case ".html":
            return to_html(sheet).encode()
        case ".pdf":
            return to_pdf(sheet, paper)
        case ".txt":
            return to_text(sheet).encode()
        case _:
            raise ValueError(f"no sheet is written as {ending}")
