"""One key of the job or workshop file: declared once, read, explained and checked by it.

Key        one key: its name, what kind of value it takes, its limits, default and meaning
KeyTable   the keys of one table of a file, under the header a user would write
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

# Bounds that many keys have. What is finer can be neither cut nor measured, what is slower does not
# move; both would be worked at for ever. Common practice, no source.
FINEST = 0.01  # mm: a step of a cut
SMALLEST = 0.05  # mm: a hole, slot or cutter
THINNEST = 0.1  # mm: a piece of stock
SHORTEST = 0.001  # mm: an edge of an outline, a depth
SLOWEST_FEED = 0.01  # mm/min
SLOWEST_SPEED, FASTEST_SPEED = 1.0, 500_000.0  # rev/min

KeyKind = Literal[
    "text",
    "flag",
    "choice",
    "count",
    "length",
    "angle",
    "feed",
    "acceleration",
    "speed",
    "number",
    "point",
    "points",
    "lengths",
    "texts",
    "counts",
    "numbers",
    "expression",
    "table",
    "tables",
    "outline",
    "outlines",
    "path",
    "polar",
    "mixed",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of a table.

    `over` and `least`, `most` bound numbers, in the unit a bench would name them: mm, degrees,
    mm/min, rev/min. `default` is the value of a key that is not given, None if there is none;
    `unset` says in words what then applies where that is no one value. `figures` is how many a
    list has, where that is fixed, `entries` the most it may have. A mixed key may be any of its
    `forms`; `choices` are then the words it may be. `text`, `example` and `see` are what the
    reference says of it beyond its meaning.
    """

    name: str
    kind: KeyKind
    meaning: str
    default: object = None
    unset: str = ""
    required: bool = False
    choices: tuple[str, ...] = ()
    over: float | None = None
    least: float | None = None
    most: float | None = None
    figures: int | None = None
    entries: int | None = None
    forms: tuple[KeyKind, ...] = ()
    text: str = ""
    example: str = ""
    see: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class KeyTable:
    """The keys of one table; `header` as a user writes it, `inside` the header it stands under."""

    header: str
    keys: tuple[Key, ...]
    inside: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """Every key's name, in the order of the reference."""
        return tuple(k.name for k in self.keys)

    def key(self, name: str) -> Key | None:
        """The key of that name."""
        return next((k for k in self.keys if k.name == name), None)
