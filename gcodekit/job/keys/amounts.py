"""Numbers, points and words of a file in inside units, with every fault noted at its place."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Protocol

from gcodekit.errors import FaultList, Place
from gcodekit.expr import Expect, ExprError, as_number, nearest
from gcodekit.geometry.chain import Point
from gcodekit.job.document.wording import plain, quoted
from gcodekit.job.keys.former_words import FORMER_VALUES, SAID_FOR_KINDS
from gcodekit.job.keys.keys import Key
from gcodekit.units import Quantity, Units, format_length, format_point

# Behind a length: what an amount is a length per. Behind a plain number: its unit.
_PER: Mapping[Expect, str] = {"length": "", "feed": "/min", "acceleration": "/s2"}
_UNIT: Mapping[Expect, str] = {"angle": " degrees", "speed": " rev/min"}
_PLAIN = Key(name="", kind="length", meaning="")


class Located(Protocol):
    """What knows the place of each key of a file."""

    def place(self, path: tuple[str | int, ...]) -> Place:
        """The place of a key."""


@dataclass(frozen=True, slots=True)
class FileSource:
    """One file being read: its places, its units and dimensions, and the faults found so far."""

    document: Located
    faults: FaultList
    units: Units = "mm"
    names: Mapping[str, Quantity] = field(default_factory=dict)

    def place(self, path: tuple[str | int, ...]) -> Place:
        """Find where a key stands."""
        place = self.document.place(path)
        return place.at(plain(place.key))

    def error(self, path: tuple[str | int, ...], message: str, hint: str = "") -> None:
        """Note an error at a key."""
        self.faults.error(self.place(path), message, hint)

    def with_words(self, words: Mapping[str, float]) -> FileSource:
        """The same, with place words standing for these lengths (mm)."""
        places = {word: Quantity(mm, "length") for word, mm in words.items()}
        return replace(self, names={**self.names, **places})

    def say(self, mm: float) -> str:
        """A length in words, in the file's units."""
        return format_length(mm, self.units)

    def rounded_down(self, mm: float) -> float:
        """A length no more than this that `say` writes in full."""
        step = 1e-4 if self.units == "mm" else 25.4e-5
        return math.floor(mm / step + 1e-6) * step

    def say_point(self, p: Point) -> str:
        """A point in words, in the file's units."""
        return format_point(*p, self.units)

    def amount(
        self, path: tuple[str | int, ...], value: object, key: Key, expect: Expect
    ) -> float | None:
        """A number within its key's bounds, in inside units; None if at fault."""
        try:
            result = as_number(value, self.names, units=self.units, expect=expect)
        except ExprError as fault:
            if not fault.follows:  # else the dimension it uses has its own fault
                self.error(path, fault.message, fault.hint)
            return None
        for warning in result.warnings:
            self.faults.warn(self.place(path), warning)
        size = math.degrees(result.value) if expect == "angle" else result.value
        bad = self._out_of_bounds(size, key, expect)
        if bad:
            self.error(path, *bad)
            return None
        return result.value

    def _out_of_bounds(self, size: float, key: Key, expect: Expect) -> tuple[str, str] | None:
        def say(x: float) -> str:
            if expect in _PER:
                return f"{self.say(x)}{_PER[expect]}"
            return f"{x:.10g}{_UNIT.get(expect, '')}"

        if key.over is not None and size <= key.over:
            return f"{say(size)} is too small", f"it must be greater than {say(key.over)}"
        if key.least is not None and size < key.least:
            return f"{say(size)} is too small", f"it must be at least {say(key.least)}"
        if key.most is not None and size > key.most:
            return f"{say(size)} is too large", f"it must be at most {say(key.most)}"
        return None

    def point(self, path: tuple[str | int, ...], value: object) -> Point | None:
        """[x, y] in mm."""
        if not isinstance(value, list) or len(value) != 2:
            self.error(path, "is not a point", "write [x, y]")
            return None
        x, y = (self.amount((*path, i), v, _PLAIN, "length") for i, v in enumerate(value))
        return None if x is None or y is None else (x, y)

    def choose(
        self, path: tuple[str | int, ...], value: object, choices: tuple[str, ...]
    ) -> str | None:
        """One of `choices`."""
        words = " or ".join(f'"{c}"' for c in choices)
        if len(choices) > 2:
            words = "one of " + ", ".join(f'"{c}"' for c in choices)
        if isinstance(value, str) and value in choices:
            return value
        if isinstance(value, str) and (new := FORMER_VALUES.get(value)) in choices:
            self.error(path, f'"{value}" is now called "{new}"', f'write "{new}"')
        elif isinstance(value, str):
            meant = SAID_FOR_KINDS.get(value) if path[-1] == "kind" else None
            close = meant if meant in choices else nearest(value, choices)
            hint = f'did you mean "{close}"?' if close else f"use {words}"
            self.error(path, f"{quoted(value)} is not known", hint)
        else:
            self.error(path, "is not a word in quotes", f"use {words}")
        return None
