"""Words for people inside a program.

The text comes from job files, so anything may stand in it. What reaches the control is plain
printable ASCII that cannot end a comment, start a block, or be taken for a message or command.
"""

from __future__ import annotations

import re
import textwrap
import unicodedata

_SPELT = str.maketrans(
    {
        "(": "[", ")": "]", "{": "[", "}": "]",
        # some controls act on these wherever they stand, comments included (common practice,
        # no source), so none of them is ever sent
        "!": ".", "?": ".", "~": "-", "%": " pct", ";": ",", "$": "S", "\\": "/", "|": "/",
        "ß": "ss", "ø": "o", "Ø": "O", "æ": "ae", "Æ": "AE", "œ": "oe", "ł": "l", "Ł": "L",
        "đ": "d", "ı": "i", "°": " deg", "µ": "u", "μ": "u", "×": "x", "÷": "/", "±": "+/-",
        "⌀": "dia ", "∅": "dia ", "–": "-", "—": "-", "−": "-", "‘": "'", "’": "'",
        "“": '"', "”": '"', "«": '"', "»": '"', "…": "...", "≤": "<=", "≥": ">=",
    }
)  # fmt: skip

# "(MSG," is an order to the control, with or without spaces between its letters, and short words
# of other makes are too.
_ORDER = re.compile(r"([A-Za-z] *){1,7},")
# What the program asks of a hand at a stop begins so; nothing else may.
BY_HAND = "by hand: "


def printable(text: str) -> str:
    """The nearest safe ASCII on one line.

    Examples
    --------
    >>> printable("Gabel (links) ⌀12 ± 0.1°")
    'Gabel [links] dia 12 +/- 0.1 deg'
    """
    spelt = unicodedata.normalize("NFKD", text.translate(_SPELT)).translate(_SPELT)
    kept = (
        "" if unicodedata.combining(c) else c if " " <= c <= "~" else " " if c.isspace() else "_"
        for c in spelt
    )
    return " ".join("".join(kept).split())


def remarks(text: str, room: int) -> list[str]:
    """A comment in pieces of at most `room` characters, none of them an order to the control.

    Examples
    --------
    >>> remarks("m s g, all is well", 80)
    ['note: m s g, all is well']
    """
    pieces = textwrap.wrap(printable(text), room - len("note: "))
    return [_plain(piece) if _ORDER.match(piece) else _own(piece) for piece in pieces]


def _plain(piece: str) -> str:
    return f"note: {piece}"


def _own(piece: str) -> str:
    """A text that asks nothing of the hand: only the writer's own do."""
    return _plain(piece) if piece.lower().startswith(BY_HAND.strip()) else piece


def messages(text: str, room: int) -> list[str]:
    """A message to the operator in pieces of at most `room` characters."""
    return [_own(piece) for piece in textwrap.wrap(printable(text), room)]
