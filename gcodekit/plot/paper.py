"""The sheet of paper a set-up is drawn on: A4 across, its frame, its inks, and the whole of it as
SVG text or as dots.

Everything is mm on the paper, x to the right, y down, as SVG has it.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from gcodekit.errors import Fault, GcodekitError, Place
from gcodekit.plot.letters import plain

WIDTH, HEIGHT = 297.0, 210.0
# Dots across the sheet: 200 to the inch on A4.
ACROSS = 2339
# Of CSS (Values and Units, section 5.2): what a millimetre of the picture's size is reckoned by.
_DOTS_PER_INCH = 96.0

PAPER = "#fbf9f3"
INK = "#1c2b33"
SOFT = "#5d6a6f"
FAINT = "#939a97"
METAL = "#f0ead9"
SWEPT = "#ddd3ba"
BODY = "#d5dbd9"
# Dark enough to stand out in grey print too.
WARNING = "#9c1c0c"

# Type sizes. Capitals are 0.73 of them, so that those of the finest are 1.8 mm high, the least that
# ISO 3098-1 has, and those of the plain 2.5 mm, its next.
FINE, SMALL, PLAIN, LARGE = 2.5, 2.9, 3.4, 5.0
_TYPEFACES = "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', 'Noto Sans', sans-serif"


@dataclass(frozen=True, slots=True)
class PaperBox:
    """A rectangle on the paper."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """mm."""
        return self.bottom - self.top

    def grown(self, by: float) -> PaperBox:
        """Larger by so much on every side."""
        return PaperBox(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def meets(self, other: PaperBox) -> bool:
        """Whether the two have room in common."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom

    def holds(self, other: PaperBox) -> bool:
        """Whether the other lies in it."""
        across = self.left <= other.left and other.right <= self.right
        return across and self.top <= other.top and other.bottom <= self.bottom


# ISO 5457: 20 mm at the filing edge, 10 mm at the others.
FRAME = PaperBox(20, 10, WIDTH - 10, HEIGHT - 10)
TITLE = PaperBox(FRAME.left, FRAME.bottom - 24, FRAME.right, FRAME.bottom)
LEGEND = PaperBox(FRAME.right - 78, FRAME.top, FRAME.right, TITLE.top)
DRAWING = PaperBox(FRAME.left, FRAME.top, LEGEND.left, TITLE.top)
# The views' room: sizes left and below, captions above, depths at the right lie outside it.
VIEW = PaperBox(DRAWING.left + 16, DRAWING.top + 7.5, DRAWING.right - 14, DRAWING.bottom - 3)


def number(value: float) -> str:
    """A coordinate to a hundredth of a millimetre, as short as it goes."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def tag(name: str, *inside: str, **attributes: str | float) -> str:
    """An element. Attribute names: `_` stands for `-`; numbers are coordinates."""
    parts = [name]
    for key, value in attributes.items():
        said = number(value) if isinstance(value, float | int) else value
        parts.append(f'{key.rstrip("_").replace("_", "-")}="{escape(said)}"')
    if not inside:
        return f"<{' '.join(parts)}/>"
    return f"<{' '.join(parts)}>{''.join(inside)}</{name}>"


def line(x0: float, y0: float, x1: float, y1: float, **attributes: str | float) -> str:
    """A straight stroke."""
    return tag("line", x1=x0, y1=y0, x2=x1, y2=y1, **attributes)


def group(name: str, *inside: str, **attributes: str | float) -> str:
    """A part of the sheet, by name."""
    return tag("g", *inside, id=name, **attributes)


def rectangle(box: PaperBox, **attributes: str | float) -> str:
    """A rectangle."""
    return tag("rect", x=box.left, y=box.top, width=box.width, height=box.height, **attributes)


def words(x: float, y: float, text: str, *, size: float = PLAIN, **attributes: str | float) -> str:
    """Lettering; the text is escaped."""
    return tag("text", escape(plain(text)), x=x, y=y, font_size=size, **attributes)


def haloed(
    x: float, y: float, text: str, ink: str = INK, size: float = SMALL, **attributes: str | float
) -> str:
    """Lettering that stays legible over strokes."""
    halo: dict[str, str | float] = {"stroke": PAPER, "stroke_width": 0.9, "paint_order": "stroke"}
    return words(x, y, text, size=size, fill=ink, **halo, **attributes)


def document(title: str, *content: str, size: tuple[float, float] = (WIDTH, HEIGHT)) -> str:
    """The whole picture as a text of its own: no scripts, nothing fetched from elsewhere; `size` is
    its width and height, mm."""
    width, height = size
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" font-family="{_TYPEFACES}" fill="none" '
        'stroke-linecap="round" stroke-linejoin="round" role="img">'
    )
    sheet = tag("rect", width=width, height=height, fill=PAPER)
    return "\n".join((head, tag("title", escape(plain(title))), sheet, *content, "</svg>")) + "\n"


def png(picture: str, *, name: str) -> bytes:
    """The same picture as dots: an SVG text drawn into a PNG file's bytes.

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
        return _in_dots(picture, ACROSS)
    except ImportError as error:
        raise _fault(name, f"cannot be drawn here: {error}") from error
    except (ValueError, MemoryError) as error:
        raise _fault(name, f"cannot be drawn: {error}") from error


def _in_dots(picture: str, across: int) -> bytes:
    from resvg_py import svg_to_bytes

    return svg_to_bytes(svg_string=picture, width=across, dpi=_DOTS_PER_INCH)


def _lettered() -> bool:
    """Tell whether there is a face to letter with: text without one is passed over in silence."""
    letter = words(WIDTH / 2, HEIGHT / 2, "M", size=100.0, fill="#000000")
    return _in_dots(document("", letter), 60) != _in_dots(document(""), 60)


def _fault(name: str, what: str) -> GcodekitError:
    return GcodekitError([Fault(Place(name), what, "draw it as .svg")])
