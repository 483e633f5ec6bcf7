"""Single-stroke letters: every letter and sign as the few lines that a cutter follows.

The table is in `data/simplex_letters.txt`, with where it comes from and the acknowledgement that
goes with it. Its units are its own: capitals are `CAPITALS` of them high.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

Stroke = tuple[tuple[float, float], ...]

# The height of capitals and of figures, in the table's units.
CAPITALS = 21.0
# The width of a space.
SPACE = 16.0
# An accent's foot stands so far over the letter.
OVER_LETTER = 3.0
_TABLE = "data/simplex_letters.txt"
_REMARK = "//"
# Letters that lose their dot under an accent.
_DOTLESS = {"i": "ı", "j": "ȷ"}
# Accents that hang below the letter.
_BELOW = frozenset({"\N{COMBINING CEDILLA}"})


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter's strokes, x from its left side and y from the line it stands on, and its width with
    the space about it."""

    width: float
    strokes: tuple[Stroke, ...]

    @property
    def top(self) -> float:
        """The height of its highest point."""
        return max((y for stroke in self.strokes for _, y in stroke), default=0.0)


@cache
def letters() -> Mapping[str, Letter]:
    """Every letter and sign of the table; accents stand over x 0, y 0."""
    text = files("gcodekit.drawing").joinpath(_TABLE).read_text(encoding="utf-8")
    lines = (line for line in text.splitlines() if line and not line.startswith(_REMARK))
    found = {" ": Letter(SPACE, ())}
    for line in lines:
        sign, width, strokes = line.split(" ", 2)
        found[sign] = Letter(float(width), tuple(_stroke(s) for s in strokes.split(" | ")))
    return found


def _stroke(text: str) -> Stroke:
    pairs = (point.split(",") for point in text.split())
    return tuple((float(x), float(y)) for x, y in pairs)


def letter(sign: str) -> Letter | None:
    """The letter for a sign, composed with its accent where the table has it so; None where it has
    neither.

    Examples
    --------
    >>> letter("I").strokes
    (((4.0, 21.0), (4.0, 0.0)),)
    >>> letter("Ω") is None
    True
    """
    known = None if unicodedata.combining(sign) else letters().get(sign)
    if known is not None:
        return known
    plain, *accents = list(unicodedata.normalize("NFD", sign))
    plain = _DOTLESS.get(plain, plain)
    base, over = letters().get(plain), [letters().get(accent) for accent in accents]
    if base is None or unicodedata.combining(plain) or len(over) != 1 or over[0] is None:
        return None
    up = 0.0 if accents[0] in _BELOW else base.top + OVER_LETTER
    moved = tuple(
        tuple((x + base.width / 2, y + up) for x, y in stroke) for stroke in over[0].strokes
    )
    return Letter(base.width, (*base.strokes, *moved))


def unknown_sign(text: str) -> tuple[str, int] | None:
    """The first sign of a text that there is no letter for, and its place, from 1.

    Examples
    --------
    >>> unknown_sign("5 Ω")
    ('Ω', 3)
    """
    composed = unicodedata.normalize("NFC", text)
    return next(((s, n) for n, s in enumerate(composed, 1) if letter(s) is None), None)


def spelt(text: str) -> tuple[Letter, ...]:
    """The letters of a text that has no unknown sign."""
    found = (letter(sign) for sign in unicodedata.normalize("NFC", text))
    return tuple(one for one in found if one is not None)
