"""A plot's picture for a printer without colour."""

from __future__ import annotations

import re

# Colours stand in attributes only, and no text can hold a quotation mark.
_COLOUR = re.compile(r'(?<==")#([0-9a-f]{6})(?=")')
# As ITU-R BT.709 weighs red, green and blue.
_RED, _GREEN, _BLUE = 0.2126, 0.7152, 0.0722
# Inks darker than the one become black, papers lighter than the other white: printers make dots of
# what lies between.
_BLACK, _WHITE = 0.34, 0.94


def black_and_white(svg: str) -> str:
    """The picture with white paper, black ink, and greys between.

    Examples
    --------
    >>> black_and_white('<rect fill="#fbf9f3" stroke="#1c2b33"/>')
    '<rect fill="#ffffff" stroke="#000000"/>'
    """
    return _COLOUR.sub(_grey, svg)


def _grey(found: re.Match[str]) -> str:
    red, green, blue = (int(found[1][i : i + 2], 16) / 255 for i in (0, 2, 4))
    level = _RED * red + _GREEN * green + _BLUE * blue
    level = 0.0 if level < _BLACK else 1.0 if level > _WHITE else level
    two = f"{round(255 * level):02x}"
    return f"#{two * 3}"
