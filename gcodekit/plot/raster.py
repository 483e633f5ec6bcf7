"""The same picture as dots: an SVG text drawn into a PNG file's bytes."""

from __future__ import annotations

from gcodekit.errors import Fault, GcodekitError, Place
from gcodekit.plot.paper import HEIGHT, WIDTH, document, words

# Dots across the sheet: 200 to the inch on A4.
ACROSS = 2339
# Of CSS (Values and Units, section 5.2): what a millimetre of the picture's size is reckoned by.
_DOTS_PER_INCH = 96.0


def png(picture: str, *, name: str) -> bytes:
    """A PNG file's content.

    Parameters
    ----------
    name : of the file, for the message

    Raises
    ------
    GcodekitError
        This machine cannot draw it.
    """
    try:
        if not _lettered():
            raise _fault(name, "cannot be lettered: no sans-serif face was found here")
        return _drawn(picture, ACROSS)
    except ImportError as error:
        raise _fault(name, f"cannot be drawn here: {error}") from error
    except (ValueError, MemoryError) as error:
        raise _fault(name, f"cannot be drawn: {error}") from error


def _drawn(picture: str, across: int) -> bytes:
    from resvg_py import svg_to_bytes

    return svg_to_bytes(svg_string=picture, width=across, dpi=_DOTS_PER_INCH)


def _lettered() -> bool:
    """Whether there is a face to letter with: text without one is passed over in silence."""
    letter = words(WIDTH / 2, HEIGHT / 2, "M", size=100.0, fill="#000000")
    return _drawn(document("", letter), 60) != _drawn(document(""), 60)


def _fault(name: str, what: str) -> GcodekitError:
    return GcodekitError([Fault(Place(name), what, "draw it as .svg")])
