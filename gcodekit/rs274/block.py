"""The words of one line, sorted by command and checked against the rules for a line.

Source: NISTIR 6556, sections 3.3.5, 3.4, 3.5 and table 4.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from gcodekit.rs274.exact_arcs import BlockError
from gcodekit.rs274.expressions import NEAR_WHOLE
from gcodekit.rs274.state import (
    AXIS_USERS,
    G_GROUPS,
    LENGTH,
    M_GROUPS,
    MOTION,
    ONCE,
    g_name,
)
from gcodekit.rs274.words import Word


@dataclass(slots=True)
class Block:
    """Codes by modal group, all other words by letter; `used` are those a command has taken."""

    g: dict[int, int] = field(default_factory=dict)
    m: dict[int, int] = field(default_factory=dict)
    values: dict[str, float] = field(default_factory=dict)
    columns: dict[str | int, int] = field(default_factory=dict)
    used: set[str] = field(default_factory=set)

    @property
    def axes(self) -> bool:
        """Tell whether an axis is named."""
        values = self.values
        return "X" in values or "Y" in values or "Z" in values

    @property
    def moves(self) -> bool:
        """Tell whether the axes named are the motion's, not those of a code of group 0."""
        once = self.g.get(ONCE)
        return self.axes and once not in AXIS_USERS and (once != 40 or "P" in self.values)

    def take(self, letter: str) -> float | None:
        """The value of a word, which is then accounted for."""
        self.used.add(letter)
        return self.values.get(letter)

    def need(self, letter: str, of: str) -> float:
        """The value of a word that must be there."""
        value = self.take(letter)
        if value is None:
            raise BlockError(f"{of} needs {_article(letter)} word on its line")
        return value

    def whole(self, letter: str, of: str) -> int:
        """The value of a word that must be there, a whole number, not negative."""
        value = self.need(letter, of)
        if abs(value - round(value)) > NEAR_WHOLE or round(value) < 0:
            raise BlockError(f"{letter}{value:g} must be a whole number, 0 or greater", letter)
        return round(value)


def _article(letter: str) -> str:
    return f"{'an' if letter in 'FHILMNRSX' else 'a'} {letter}"


def sort_words(words: Iterable[Word], faults: list[tuple[int, str]]) -> Block:
    """Sort a line's words; what breaks a rule is added to `faults` as (column, text)."""
    block = Block()
    m_words = 0
    for word in words:
        if word.letter == "G":
            _sort_g(word, block, faults)
        elif word.letter == "M":
            m_words += 1
            _sort_m(word, block, faults)
        elif word.letter in "ABC":
            text = f"{word.letter} is a rotary axis: only X, Y and Z can be read"
            faults.append((word.column, text))
        elif word.letter in block.values:
            faults.append(
                (word.column, f"two {word.letter} words on one line: only one is allowed")
            )
        else:
            block.values[word.letter] = word.value
            block.columns[word.letter] = word.column
    if m_words > 4:
        faults.append(
            (block.columns.get("M", 1), f"{m_words} M words on one line: at most 4 are allowed")
        )
    return block


def _sort_g(word: Word, block: Block, faults: list[tuple[int, str]]) -> None:
    code = round(word.value * 10)
    if abs(word.value * 10 - code) > NEAR_WHOLE or code not in G_GROUPS:
        faults.append((word.column, f"G{word.value:g} is not an RS-274 G code"))
        return
    group = G_GROUPS[code]
    if group in block.g:
        text = f"{g_name(block.g[group])} and {g_name(code)} are of the same modal group: "
        text += "put them on separate lines"
        faults.append((word.column, text))
        return
    block.g[group] = code
    block.columns[group] = word.column


def _sort_m(word: Word, block: Block, faults: list[tuple[int, str]]) -> None:
    code = round(word.value)
    block.columns.setdefault("M", word.column)
    if abs(word.value - code) > NEAR_WHOLE or code not in M_GROUPS:
        faults.append((word.column, f"M{word.value:g} is not an RS-274 M code"))
        return
    group = M_GROUPS[code]
    if group in block.m:
        text = f"M{block.m[group]} and M{code} are of the same modal group: "
        faults.append((word.column, f"{text}put them on separate lines"))
        return
    block.m[group] = code


# Words that only some commands use; anywhere else they are an error, never ignored.
_USERS = {
    "D": "G41 or G42",
    "H": "G43",
    "I": "an arc or G87",
    "J": "an arc or G87",
    "K": "an arc or G87",
    "L": "a canned cycle or G10",
    "P": "G4, G10, G64 or a canned cycle with a dwell",
    "Q": "G73 or G83",
    "R": "an arc or a canned cycle",
}


def check_used(block: Block) -> None:
    """Refuse a word that no command on the line uses."""
    for letter in block.values:
        if letter in _USERS and letter not in block.used:
            text = f"{letter} needs {_USERS[letter]} on the same line"
            raise BlockError(text, letter)


def check_motion(block: Block, motion: int | None) -> None:
    """Tell whether the line's words agree with each other and the motion in force (None: none)."""
    code, once = block.g.get(MOTION), block.g.get(ONCE)
    if once in AXIS_USERS and block.axes and code not in (None, 800):
        text = f"{g_name(once or 0)} and {g_name(code or 0)} both need the axis words"
        text += ": put them on separate lines"
        raise BlockError(text, ONCE)
    if code == 800 and block.moves:
        raise BlockError("axis words with G80, which cancels motion: name G0 or G1 instead", MOTION)
    in_force = code if code is not None else motion
    if block.moves and in_force is None:
        raise BlockError("axis words with no G0, G1, G2, G3 or canned cycle in force")
    if once == 530:
        if in_force not in (0, 10):
            raise BlockError("G53 needs G0 or G1 in force", ONCE)
        if not block.axes:
            raise BlockError("G53 needs an axis word", ONCE)
    if code is not None and code != 800 and not block.axes:
        raise BlockError(f"{g_name(code)} needs an axis word", MOTION)
    if block.g.get(LENGTH) == 490 and "H" in block.values:
        raise BlockError("H goes with G43, not with G49", "H")
