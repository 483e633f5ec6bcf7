"""A line's words sorted into what they ask for, held against the rules for one line.

Source: NISTIR 6556, sections 3.3.5, 3.4, 3.5 and table 4.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from gcodekit.rs274.state import (
    CYCLES,
    G_GROUPS,
    G_LATER,
    LENGTH,
    M_GROUPS,
    MOTION,
    ONCE,
    g_name,
)
from gcodekit.rs274.words import Word

# Near enough to a whole number, NISTIR 6556, 3.3.2.1.
WHOLE = 1e-4
AXES = "XYZ"


class BlockError(Exception):
    """A line that may not be executed; `letter` names the word to point at."""

    def __init__(self, text: str, letter: str = "") -> None:
        super().__init__(text)
        self.text = text
        self.letter = letter


@dataclass(slots=True)
class Block:
    """Codes by modal group, all other words by letter; `used` are those a command has taken."""

    g: dict[int, int] = field(default_factory=dict)
    m: dict[int, int] = field(default_factory=dict)
    values: dict[str, float] = field(default_factory=dict)
    columns: dict[str, int] = field(default_factory=dict)
    used: set[str] = field(default_factory=set)

    @property
    def axes(self) -> bool:
        """Whether an axis is named."""
        return any(a in self.values for a in AXES)

    def take(self, letter: str) -> float | None:
        """The value of a word, which is then accounted for."""
        self.used.add(letter)
        return self.values.get(letter)

    def need(self, letter: str, of: str) -> float:
        """The value of a word that must be there."""
        value = self.take(letter)
        if value is None:
            raise BlockError(f"{of} needs {_article(letter)} word")
        return value

    def whole(self, letter: str, of: str) -> int:
        """The value of a word that must be there, a whole number, not negative."""
        value = self.need(letter, of)
        if abs(value - round(value)) > WHOLE or round(value) < 0:
            raise BlockError(f"{letter}{value:g} is not a whole number from 0", letter)
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
            faults.append((word.column, f"{word.letter}: rotary axes are not read yet"))
        elif word.letter in block.values:
            faults.append((word.column, f"a second {word.letter} word on one line"))
        else:
            block.values[word.letter] = word.value
            block.columns[word.letter] = word.column
    if m_words > 4:
        faults.append((block.columns.get("M", 1), f"{m_words} M words, at most 4 are allowed"))
    return block


def _sort_g(word: Word, block: Block, faults: list[tuple[int, str]]) -> None:
    code = round(word.value * 10)
    if abs(word.value * 10 - code) > WHOLE or code not in G_GROUPS:
        name = g_name(code) if code in G_LATER else f"G{word.value:g}"
        reason = "is not read yet" if code in G_LATER else "is not a G code of the language"
        faults.append((word.column, f"{name} {reason}"))
        return
    group = G_GROUPS[code]
    if group in block.g:
        text = f"{g_name(block.g[group])} and {g_name(code)} belong to one modal group"
        faults.append((word.column, text))
        return
    block.g[group] = code
    block.columns.setdefault("G", word.column)


def _sort_m(word: Word, block: Block, faults: list[tuple[int, str]]) -> None:
    code = round(word.value)
    block.columns.setdefault("M", word.column)
    if abs(word.value - code) > WHOLE or code not in M_GROUPS:
        faults.append((word.column, f"M{word.value:g} is not an M code of the language"))
        return
    group = M_GROUPS[code]
    if group in block.m:
        faults.append((word.column, f"M{block.m[group]} and M{code} belong to one modal group"))
        return
    block.m[group] = code


# Words that only some commands use; anywhere else they are an error, never ignored.
_USERS = {
    "D": "G41 or G42",
    "H": "G43",
    "I": "an arc",
    "J": "an arc",
    "K": "an arc",
    "L": "a canned cycle",
    "P": "G4, G64 or a canned cycle with a dwell",
    "Q": "G83",
    "R": "an arc or a canned cycle",
}


def check_used(block: Block) -> None:
    """Every word must have been taken by a command."""
    for letter, user in _USERS.items():
        if letter in block.values and letter not in block.used:
            raise BlockError(f"{letter} belongs to {user}, there is none on this line", letter)


def check_motion(block: Block, motion: int | None) -> None:
    """Whether the line's words agree with each other and the motion in force (None: none)."""
    code = block.g.get(MOTION)
    if code == 800 and block.axes:
        raise BlockError("axis words with G80, which cancels the motion", "G")
    in_force = code if code is not None else motion
    if block.axes and in_force is None:
        raise BlockError("axis words without a motion: no G0, G1, G2, G3 or cycle is in force")
    if block.g.get(ONCE) == 530:
        if in_force not in (0, 10):
            raise BlockError("G53 needs G0 or G1 in force", "G")
        if not block.axes:
            raise BlockError("G53 needs an axis word", "G")
    if code is not None and code != 800 and not block.axes:
        arc_words = code in (20, 30) and any(w in block.values for w in "IJKR")
        if code in CYCLES or arc_words or code in (0, 10, 20, 30):
            raise BlockError(f"{g_name(code)} needs an axis word", "G")
    if LENGTH in block.g and block.g[LENGTH] == 490 and "H" in block.values:
        raise BlockError("H belongs to G43, not to G49", "H")
