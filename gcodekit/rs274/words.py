"""A line's text to words: letters with numbers, each with its column.

`quick_words` is the fast path for lines of plain words, without columns; `scan` reads any line
and knows the place of everything in it. Both follow NISTIR 6556, 3.3.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

# Longest line, NISTIR 6556, 3.3.
LONGEST_LINE = 256
# No machine moves a kilometre; bounded numbers keep later arithmetic finite.
LARGEST_NUMBER = 1e6

LETTERS = "ABCDFGHIJKLMNPQRSTXYZ"
_NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)"
_QUICK = re.compile(rf"([DFGHIJKLMNPQRSTXYZ])({_NUMBER})").findall
# The same with blanks allowed anywhere inside the number, for a line kept at its full width.
_BLANK = r"[ \t]*"
_SPACED = re.compile(
    rf"{_BLANK}[+-]?{_BLANK}(?:(?:[0-9]{_BLANK})+(?:\.{_BLANK}(?:[0-9]{_BLANK})*)?"
    rf"|\.{_BLANK}(?:[0-9]{_BLANK})+)"
)
_MESSAGE = re.compile(r"[ \t]*[mM][ \t]*[sS][ \t]*[gG][ \t]*,(.*)")


@dataclass(frozen=True, slots=True)
class Word:
    """A letter and its number; `column` is 1-based."""

    letter: str
    value: float
    column: int


@dataclass(slots=True)
class Scanned:
    """A line taken apart. `faults` are (column, text); `comment` is the last one on the line."""

    words: list[Word] = field(default_factory=list)
    faults: list[tuple[int, str]] = field(default_factory=list)
    comment: str | None = None
    deleted: bool = False
    number: int | None = None

    @property
    def message(self) -> str | None:
        """What the last comment shows to the operator, if it is a message."""
        found = _MESSAGE.match(self.comment) if self.comment is not None else None
        return found.group(1).strip() if found else None


def quick_words(line: str) -> list[tuple[str, str]] | None:
    """Letters and number texts of a line of plain words; None if `scan` has to look at it.

    Examples
    --------
    >>> quick_words("g0x +0. 12 34y 7")
    [('G', '0'), ('X', '+0.1234'), ('Y', '7')]
    >>> quick_words("G1 X1 (out)") is None
    True
    """
    compact = line.upper().replace(" ", "").replace("\t", "").rstrip("\r\n")
    found: list[tuple[str, str]] = _QUICK(compact)
    size = len(found)
    for _, number in found:
        size += len(number)
    return found if size == len(compact) and len(line) <= LONGEST_LINE else None


def scan(line: str) -> Scanned:
    """Take a line apart; whatever is not allowed on it becomes a fault with its column."""
    out = Scanned()
    text = line.rstrip("\r\n")
    if len(text) > LONGEST_LINE:
        fault = f"the line has {len(text)} characters, at most {LONGEST_LINE} are allowed"
        out.faults.append((LONGEST_LINE + 1, fault))
        return out
    at = _skip_blanks(text, 0)
    if at < len(text) and text[at] == "/":
        out.deleted = True
        at = _skip_blanks(text, at + 1)
    first = True
    while at < len(text):
        at = _item(text, at, out, first)
        first = False
        at = _skip_blanks(text, at)
    return out


def _skip_blanks(text: str, at: int) -> int:
    while at < len(text) and text[at] in " \t":
        at += 1
    return at


def _item(text: str, at: int, out: Scanned, first: bool) -> int:
    """Read one comment or word at `at`; where to go on."""
    char = text[at].upper()
    if char == "(":
        return _comment(text, at, out)
    if char == ";":
        out.comment = text[at + 1 :]
        return len(text)
    if char in LETTERS and char.isascii():
        return _word(text, at, out, first)
    if char in "#[]":
        fault = f"parameters and expressions ({text[at]!r}) are not read yet"
        out.faults.append((at + 1, fault))
        return len(text)
    if char == "/":
        out.faults.append((at + 1, "a block delete slash may only stand first on the line"))
    else:
        out.faults.append((at + 1, f"{text[at]!r} begins no word"))
    return _resume(text, at + 1)


def _resume(text: str, at: int) -> int:
    """The next place where a word or a comment may begin, after a fault."""
    while (
        at < len(text) and not (text[at].isascii() and text[at].isalpha()) and text[at] not in "(;"
    ):
        at += 1
    return at


def _comment(text: str, at: int, out: Scanned) -> int:
    end = text.find(")", at)
    if end < 0:
        out.faults.append((at + 1, "the comment is not closed on its line"))
        return len(text)
    inside = text[at + 1 : end]
    if "(" in inside:
        column = at + 2 + inside.index("(")
        out.faults.append((column, "a comment inside a comment is not allowed"))
    out.comment = inside
    return end + 1


def _word(text: str, at: int, out: Scanned, first: bool) -> int:
    letter = text[at].upper()
    found = _SPACED.match(text, at + 1)
    if not found:
        after = _skip_blanks(text, at + 1)
        if after < len(text) and text[after] in "#[":
            fault = f"{letter}: parameters and expressions are not read yet"
            out.faults.append((at + 1, fault))
            return len(text)
        out.faults.append((at + 1, f"{letter} has no number"))
        return _resume(text, at + 1)
    digits = "".join(found.group().split())
    if letter == "N":
        _line_number(digits, at, out, first)
    elif abs(float(digits)) > LARGEST_NUMBER:
        out.faults.append((at + 1, f"{letter}{digits} is beyond any machine"))
    else:
        out.words.append(Word(letter, float(digits), at + 1))
    return found.end()


def _line_number(digits: str, at: int, out: Scanned, first: bool) -> None:
    if not first:
        out.faults.append((at + 1, "a line number may only stand first on the line"))
    elif not digits.isdigit() or len(digits) > 5:
        fault = f"N{digits}: a line number has one to five digits and no sign or point"
        out.faults.append((at + 1, fault))
    else:
        out.number = int(digits)
