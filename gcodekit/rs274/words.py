"""A line's text to words and parameter settings, each with its column.

Source: NISTIR 6556, 3.3 and appendix E.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from string import ascii_lowercase
from typing import NamedTuple

from gcodekit.rs274.expressions import NUMBER_PATTERN, NoValueError, Reader, shown

# Longest line, NISTIR 6556, 3.3.
LONGEST_BLOCK = 256
# No machine moves a kilometre; bounded numbers keep later arithmetic finite.
LARGEST_NUMBER = 1e6
LARGEST_SETTING = 1e300

# Blanks mean nothing and letters have no case outside comments. Only ASCII letters have a case
# here: str.upper would make words of letters that are none of the language's.
_BARE = str.maketrans({" ": None, "\t": None} | {c: c.upper() for c in ascii_lowercase})
_WORD = re.compile(rf"([A-DF-MP-TX-Z])({NUMBER_PATTERN})").match
_LINE_NUMBER = re.compile(r"N([0-9]*)(.?)").match
_BEGINS = re.compile("[A-Z]").search
_OPENS = re.compile("[(;]").search
_UNPRINTABLE = re.compile(r"[\x00-\x08\x0a-\x1f\x7f]").search
_MESSAGE = re.compile(r"[ \t]*[mM][ \t]*[sS][ \t]*[gG][ \t]*,(.*)").match

LETTERS = frozenset("ABCDFGHIJKLMPQRSTXYZ")


class Word(NamedTuple):
    """A letter and its number; `column` is 1-based."""

    letter: str
    value: float
    column: int


@dataclass(slots=True)
class Scanned:
    """A line taken apart. `settings` are parameters and their new values; `faults` are
    (column, text); `comment` is the last one on the line."""

    words: list[Word] = field(default_factory=list)
    settings: list[tuple[int, float]] = field(default_factory=list)
    faults: list[tuple[int, str]] = field(default_factory=list)
    comment: str | None = None

    @property
    def message(self) -> str | None:
        """The message to the operator in the last comment, if it is one."""
        found = _MESSAGE(self.comment) if self.comment is not None else None
        return found.group(1).strip() if found else None


def is_deleted(line: str) -> bool:
    """Tell whether the line begins with the block delete slash."""
    return line.lstrip(" \t").startswith("/")


def scan(line: str, parameter: Callable[[int], float]) -> Scanned:
    """Take a line apart; whatever is not allowed on it becomes a fault with its column.

    Parameters
    ----------
    parameter : the value a parameter has before this line
    """
    out = Scanned()
    text = line.rstrip("\r\n")
    if len(text) > LONGEST_BLOCK:
        fault = f"line of {len(text)} characters: at most {LONGEST_BLOCK} are allowed"
        out.faults.append((LONGEST_BLOCK + 1, fault))
        return out
    at = text.index("/") + 1 if is_deleted(text) else 0
    first = True
    while at < len(text):
        opening = _OPENS(text, at)
        end = opening.start() if opening else len(text)
        if end > at:
            _Segment(text[at:end], at, out, parameter).read(first)
        at = _comment(text, end, out) if opening else end
        first = False
    return out


def _comment(text: str, at: int, out: Scanned) -> int:
    """Read the comment that opens at `at`; where to go on."""
    if text[at] == ";":
        out.comment = text[at + 1 :]
        return len(text)
    end = text.find(")", at)
    if end < 0:
        out.faults.append((at + 1, "comment without ) on its line"))
        return len(text)
    inside = text[at + 1 : end]
    if "(" in inside:
        column = at + 2 + inside.index("(")
        out.faults.append((column, "comment inside a comment: use [ ] inside ( )"))
    unprintable = _UNPRINTABLE(inside)
    if unprintable:
        column = at + 2 + unprintable.start()
        out.faults.append((column, "comment holds a character that cannot be printed"))
    out.comment = inside
    return end + 1


class _Segment:
    """The part of a line between two comments: no word or value reaches over a comment."""

    def __init__(
        self, raw: str, offset: int, out: Scanned, parameter: Callable[[int], float]
    ) -> None:
        self.raw = raw
        self.offset = offset
        self.text = raw.translate(_BARE)
        self.out = out
        self.values = Reader(self.text, parameter)
        self._places: list[int] = []

    def column(self, at: int) -> int:
        """The column in the line of a character of the bare text, 1-based."""
        if len(self.text) == len(self.raw):
            return self.offset + at + 1
        if not self._places:
            self._places = [k for k, char in enumerate(self.raw) if char not in " \t"]
        place = self._places[at] if at < len(self._places) else len(self.raw)
        return self.offset + place + 1

    def fault(self, at: int, text: str) -> None:
        self.out.faults.append((self.column(at), text))

    def read(self, first: bool) -> None:
        """Read all items; `first`: nothing has come before on the line."""
        text, at = self.text, 0
        while at < len(text):
            found = _WORD(text, at)
            if found:
                self._add(found.group(1), float(found.group(2)), at)
                at = found.end()
            else:
                at = self._other(at, first)
            first = False

    def _add(self, letter: str, value: float, at: int) -> None:
        if not -LARGEST_NUMBER <= value <= LARGEST_NUMBER:
            self.fault(at, f"{letter}{value:g} is out of range: at most {LARGEST_NUMBER:,.0f}")
        else:
            self.out.words.append(Word(letter, value, self.column(at)))

    def _other(self, at: int, first: bool) -> int:
        """Read what is no word of a plain number; where to go on."""
        char = self.text[at]
        try:
            if char == "N":
                return self._line_number(at, first)
            if char == "#":
                return self._setting(at)
            if char in LETTERS:
                return self._valued(at)
        except NoValueError as fault:
            # where a broken value ends cannot be told: the rest is left alone
            self.fault(fault.at, fault.text)
            return len(self.text)
        if char == "/":
            self.fault(at, "/ (block delete) is only allowed at the start of a line")
        else:
            given = self.line_character(at)
            wrong = "is not an RS-274 letter" if given.isalpha() else "is not expected here"
            self.fault(at, f"{shown(given)} {wrong}")
        return self._resume(at + 1)

    def line_character(self, at: int) -> str:
        """A character as the line has it, in its own case."""
        return self.raw[self.column(at) - 1 - self.offset]

    def _resume(self, at: int) -> int:
        """The next place where a word may begin, after a fault."""
        found = _BEGINS(self.text, at)
        return found.start() if found else len(self.text)

    def _line_number(self, at: int, first: bool) -> int:
        found = _LINE_NUMBER(self.text, at)
        assert found is not None
        digits, after = found.groups()
        if not first:
            self.fault(at, "N (line number) is only allowed at the start of a line")
        elif not 1 <= len(digits) <= 5 or after == ".":
            self.fault(at, f"N{digits}: a line number must be 1 to 5 digits, no sign or point")
        if digits and after != ".":
            return found.end(1)
        return self._resume(found.end(1))

    def _setting(self, at: int) -> int:
        values = self.values
        index, after = values.index(at + 1)
        if self.text[after : after + 1] != "=":
            raise NoValueError(at, f"#{index} without =: nothing is assigned")
        value, after = values.value(after + 1)
        if abs(value) > LARGEST_SETTING:
            raise NoValueError(at, f"value of #{index} too large")
        self.out.settings.append((index, value))
        return after

    def _valued(self, at: int) -> int:
        """A word whose number is a parameter, an expression or a function."""
        letter, after = self.text[at], self.text[at + 1 : at + 2]
        if after not in ("#", "[") and not self.values.begins_function(at + 1):
            self.fault(at, f"{letter} without a number")
            return self._resume(at + 1)
        value, end = self.values.value(at + 1)
        self._add(letter, value, at)
        return end
