"""The faces a PDF is lettered with: Helvetica, which every reader has, or where it lacks a letter
one that this machine has."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

# Files of faces with wide alphabets, plain and bold, as systems have them; looked for where
# reportlab looks for faces, and in the folders of Windows and macOS.
_FILES = (
    ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf"),
    ("NotoSans-Regular.ttf", "NotoSans-Bold.ttf"),
    ("LiberationSans-Regular.ttf", "LiberationSans-Bold.ttf"),
    ("arial.ttf", "arialbd.ttf"),
    ("Arial.ttf", "Arial Bold.ttf"),
)
# What Helvetica's alphabet (PDF 1.7, annex D, WinAnsiEncoding) has another sign for.
_FOR_HELVETICA = str.maketrans({"−": "–", "≤": "<", "≥": ">", "‑": "-"})


@dataclass(frozen=True, slots=True)
class Faces:
    """Names of the plain and the bold face; `standard`: the one that is in no file."""

    plain: str = "Helvetica"
    bold: str = "Helvetica-Bold"
    standard: bool = True

    def letters(self, text: str) -> str:
        """The text in letters that the faces have."""
        if not self.standard:
            return text
        return text.translate(_FOR_HELVETICA).encode("cp1252", "replace").decode("cp1252")


def faces_for(texts: Iterable[str]) -> Faces:
    """The faces that these texts need, as far as this machine has any; a letter that no face has
    is a question mark."""
    lacking = any(_lacks(text) for text in texts)
    return (_found() or Faces()) if lacking else Faces()


def _lacks(text: str) -> bool:
    try:
        text.translate(_FOR_HELVETICA).encode("cp1252")
    except UnicodeEncodeError:
        return True
    return False


def _found() -> Faces | None:
    """The first pair of files that is there."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    for plain, bold in _FILES:
        try:
            pdfmetrics.registerFont(TTFont("sheet", plain))
            pdfmetrics.registerFont(TTFont("sheet-bold", bold))
        except (TTFError, OSError):
            continue
        pdfmetrics.registerFontFamily("sheet", normal="sheet", bold="sheet-bold")
        return Faces("sheet", "sheet-bold", standard=False)
    return None
