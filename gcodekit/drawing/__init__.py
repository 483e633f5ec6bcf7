"""Drawings, DXF and SVG: a file from disk is read by its ending."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from gcodekit.drawing.drawing_model import LARGEST_DRAWING, Drawing, refused
from gcodekit.drawing.dxf import read_dxf
from gcodekit.drawing.svg import read_svg

DRAWING_READERS = {".dxf": read_dxf, ".svg": read_svg}


def read_drawing(path: Path, shown_as: str) -> Drawing:
    """The drawing in a file; `shown_as` is its name in messages.

    Raises
    ------
    DrawingError
        one fault: the file cannot be had, or is no drawing
    """
    reader = DRAWING_READERS.get(path.suffix.lower())
    if reader is None:
        raise refused(shown_as, "is neither a .dxf nor an .svg file", "save it as one of them")
    return _read(path.suffix.lower(), _bytes(path, shown_as), shown_as)


@lru_cache(maxsize=4)  # several outlines come from one file
def _read(suffix: str, raw: bytes, shown_as: str) -> Drawing:
    return DRAWING_READERS[suffix](raw, shown_as)


def _bytes(path: Path, shown_as: str) -> bytes:
    try:
        if not path.is_file():  # a device or a pipe may never end
            there = "is not a file" if path.exists() else "no such file"
            raise refused(shown_as, there, "check the name")
        with path.open("rb") as file:
            raw = file.read(LARGEST_DRAWING + 1)
    except (OSError, ValueError) as error:  # ValueError: a name with a null character
        reason = getattr(error, "strerror", None) or str(error)
        raise refused(shown_as, f"cannot be read ({reason})", "check the file") from None
    if len(raw) > LARGEST_DRAWING:
        raise refused(
            shown_as, f"is larger than {LARGEST_DRAWING // 1_000_000} MB", "save only the outlines"
        )
    return raw
