"""The words of a PDF, as another program reads them."""

from io import BytesIO

from pypdf import PdfReader


def pages_of(pdf: bytes) -> list[str]:
    """The text of each page."""
    return [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]


def text_of(pdf: bytes) -> str:
    """The text of all pages, its lines joined."""
    return " ".join(" ".join(page.split()) for page in pages_of(pdf))
