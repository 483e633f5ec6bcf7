"""A table of a file, read key by key by what `keys` declares: every fault is noted with its
place and reading goes on, so that a whole file is reported at once."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from gcodekit.expr import Expect, nearest
from gcodekit.geometry.chain import Point
from gcodekit.job.document.wording import listed, shown
from gcodekit.job.keys.amounts import FileSource
from gcodekit.job.keys.former_words import SAID_FOR_KEYS
from gcodekit.job.keys.keys import Key, KeyTable
from gcodekit.job.keys.not_yet import key_not_yet
from gcodekit.job.keys.unknown import unknown_key

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """One table of a file. A getter returns None (or the key's default) where the key is left
    out, and None where it is wrong: the fault is then noted already."""

    source: FileSource
    path: Path
    data: Mapping[str, Any]
    keys: KeyTable

    # -- faults ------------------------------------------------------------------------------

    def error(self, key: str | Path, message: str, hint: str = "") -> None:
        """Note an error at a key of this table (or a path below it)."""
        self.source.error(self.below(key), message, hint)

    def warn(self, key: str | Path, message: str, hint: str = "") -> None:
        """Note a warning at a key of this table."""
        self.source.faults.warn(self.source.place(self.below(key)), message, hint)

    def below(self, key: str | Path) -> Path:
        """The full path of a key of this table; "" for the table itself."""
        if isinstance(key, tuple):
            return (*self.path, *key)
        return (*self.path, key) if key else self.path

    # -- what is there -----------------------------------------------------------------------

    def checked(self, *, kind: str = "") -> Table:
        """The table itself, after noting unknown and missing keys (`kind`: of the feature)."""
        meant = {
            unknown_key(self, name, kind=kind) for name in self.data if name not in self.keys.names
        }
        for key in self.keys.keys:
            missing = key.required and key.name not in self.data and key.name not in meant
            if missing and not self.refused:
                self.error(key.name, "is missing", f"add it: {key.meaning}")
        return self

    @property
    def refused(self) -> bool:
        """Whether a key not yet supported is given: it may be what seems missing."""
        kind = self.data.get("kind")
        kind = kind if isinstance(kind, str) else ""
        return any(
            name not in self.keys.names and key_not_yet(self.keys.header, name, kind)
            for name in self.data
        )

    def has(self, name: str) -> bool:
        """Tell whether the key is given."""
        return name in self.data

    def raw(self, name: str) -> Any:
        """The key's value as the file has it, or None."""
        return self.data.get(name)

    def given(self, *names: str) -> list[str]:
        """Find which of these keys are given."""
        return [n for n in names if n in self.data]

    def one_of(self, *names: str, what: str) -> str | None:
        """The one of these keys that is given."""
        given = self.given(*names)
        if len(given) == 1:
            return given[0]
        if len(given) > 1:
            self.error(given[1], f"{' and '.join(given)} are both given", "remove one of them")
        elif not self.refused and not self.misspelt(*names):
            self.error("", f"{what} is missing", f"give {listed(names)}")
        return None

    def misspelt(self, *names: str) -> bool:
        """Tell whether one of these keys was meant by a key that is not known."""
        known = self.keys.names
        unknown = (given for given in self.data if given not in known)
        return any((SAID_FOR_KEYS.get(g) or nearest(g, known)) in names for g in unknown)

    def _key(self, name: str) -> Key:
        key = self.keys.key(name)
        if key is None:
            raise KeyError(f"{name} is not declared in {self.keys.header}")
        return key

    def _wrong(self, name: str | Path, value: object, wanted: str) -> None:
        self.error(name, f"{shown(value)} is not {wanted}")

    def many(self, name: str, value: object) -> bool:
        """Tell whether a list has more entries than its key may have; then the fault is noted."""
        most = self._key(name).entries
        if most is None or not isinstance(value, list) or len(value) <= most:
            return False
        self.error(name, f"has {len(value):,} entries", f"use at most {most:,}")
        return True

    # -- words -------------------------------------------------------------------------------

    def text(self, name: str) -> str | None:
        """A line of text."""
        key = self._key(name)
        value = self.data.get(name, key.default)
        if value is None:
            return None
        if not isinstance(value, str) or not value.strip():
            self._wrong(name, value, "a text")
            return None
        if len(value) > 200 or any(ord(c) < 32 for c in value):
            self.error(
                name, "is not one line of plain text", "use at most 200 characters, no line breaks"
            )
            return None
        return value.strip()

    def flag(self, name: str) -> bool:
        """true or false."""
        value = self.data.get(name, self._key(name).default)
        if isinstance(value, bool):
            return value
        if value is not None:
            self._wrong(name, value, "true or false")
        return False

    def choice(self, name: str) -> str | None:
        """One of the key's words."""
        key = self._key(name)
        value = self.data.get(name, key.default)
        if value is None:
            return None
        return self.source.choose(self.below(name), value, key.choices)

    def texts(self, name: str) -> tuple[str, ...] | None:
        """A list of the key's words; of any, where it has none."""
        key = self._key(name)
        value = self.data.get(name, key.default)
        if isinstance(value, tuple):
            return value
        if not isinstance(value, list):
            self._wrong(name, value, "a list of words")
            return None
        if self.many(name, value):
            return None
        if not key.choices:
            return self._any_texts(name, value)
        chosen = [
            self.source.choose(self.below((name, i)), word, key.choices)
            for i, word in enumerate(value)
        ]
        return None if None in chosen else tuple(w for w in chosen if w is not None)

    def _any_texts(self, name: str, value: list[object]) -> tuple[str, ...] | None:
        words: list[str] = []
        for i, word in enumerate(value):
            if isinstance(word, str) and word.strip() and len(word) <= 200 and word.isprintable():
                words.append(word.strip())
            else:
                self._wrong((name, i), word, "a line of text")
        return tuple(words) if len(words) == len(value) else None

    # -- numbers -----------------------------------------------------------------------------

    def _amount(self, name: str, kind: Expect) -> float | None:
        key = self._key(name)
        if name not in self.data:
            default = key.default
            if not isinstance(default, int | float):
                return None
            return math.radians(default) if kind == "angle" else float(default)
        return self.source.amount(self.below(name), self.data[name], key, kind)

    def length(self, name: str) -> float | None:
        """mm."""
        return self._amount(name, "length")

    def angle(self, name: str) -> float | None:
        """Radians."""
        return self._amount(name, "angle")

    def feed(self, name: str) -> float | None:
        """mm/min."""
        return self._amount(name, "feed")

    def acceleration(self, name: str) -> float | None:
        """mm/s2."""
        return self._amount(name, "acceleration")

    def speed(self, name: str) -> float | None:
        """rev/min."""
        return self._amount(name, "speed")

    def number(self, name: str) -> float | None:
        """A plain number."""
        return self._amount(name, "number")

    def count(self, name: str) -> int | None:
        """A whole number."""
        amount = self._amount(name, "count")
        return None if amount is None else int(amount)

    def _list(self, name: str, kind: Expect, n: int | None) -> tuple[float, ...] | None:
        key = self._key(name)
        if name not in self.data:
            return None
        value = self.data[name]
        if self.many(name, value):
            return None
        if not isinstance(value, list) or (n is not None and len(value) != n):
            wanted = f"a list of {n} numbers" if n is not None else "a list of numbers"
            if isinstance(value, list):
                many = "1 number" if len(value) == 1 else f"{len(value)} numbers"
                self.error(name, f"has {many}", f"write {wanted}")
            else:
                self._wrong(name, value, wanted)
            return None
        found = [
            self.source.amount(self.below((name, i)), v, key, kind) for i, v in enumerate(value)
        ]
        return None if None in found else tuple(f for f in found if f is not None)

    def lengths(self, name: str, n: int | None = None) -> tuple[float, ...] | None:
        """`n` lengths, or any number of them, mm."""
        return self._list(name, "length", n)

    def counts(self, name: str, n: int | None = None) -> tuple[int, ...] | None:
        """Whole numbers."""
        found = self._list(name, "count", n)
        return None if found is None else tuple(int(f) for f in found)

    def numbers(self, name: str) -> tuple[float, ...] | None:
        """Plain numbers."""
        return self._list(name, "number", None)

    # -- points ------------------------------------------------------------------------------

    def point(self, name: str) -> Point | None:
        """x and y, mm."""
        if name not in self.data:
            default: Point | None = self._key(name).default  # type: ignore[assignment]  # keys.py
            return default
        return self.source.point(self.below(name), self.data[name])

    def points(self, name: str) -> list[Point] | None:
        """One point or a list of points, mm."""
        value = self.data.get(name)
        if isinstance(value, list) and value and not any(isinstance(v, list) for v in value):
            single = self.source.point(self.below(name), value)
            return None if single is None else [single]
        if not isinstance(value, list) or not value:
            self._wrong(name, value, "a point [x, y] or a list of points")
            return None
        if self.many(name, value):
            return None
        found = [self.source.point(self.below((name, i)), v) for i, v in enumerate(value)]
        return None if None in found else [p for p in found if p is not None]

    # -- tables ------------------------------------------------------------------------------

    def table(self, name: str, keys: KeyTable) -> Table | None:
        """A table below this one."""
        value = self.data.get(name)
        if value is None:
            return None
        return self.entry((name,), value, keys)

    def entry(self, path: Path, value: object, keys: KeyTable) -> Table | None:
        """A value below this table as a table of its own, checked."""
        if not isinstance(value, Mapping):
            self._wrong(path, value, f"a table {{ {', '.join(keys.names[:4])} ... }}")
            return None
        return Table(self.source, self.below(path), value, keys).checked()

    def tables(self, name: str, keys: KeyTable) -> list[Table]:
        """A list of tables below this one, each still to be checked."""
        value = self.data.get(name)
        if value is None:
            return []
        if isinstance(value, Mapping):
            value_hint = f"write {keys.header} in double brackets"
            if not keys.header.startswith("["):
                value_hint = f"write {name} = [{{ ... }}]"
            self.error(name, "is one table where a list of them is needed", value_hint)
            return []
        if not isinstance(value, list):
            self._wrong(name, value, "a list of tables")
            return []
        if self.many(name, value):
            return []
        found = []
        for i, entry in enumerate(value):
            if isinstance(entry, Mapping):
                found.append(Table(self.source, self.below((name, i)), entry, keys))
            else:
                self._wrong((name, i), entry, "a table")
        return found

    def as_kind(self, keys: KeyTable) -> Table:
        """The same table under other keys."""
        return replace(self, keys=keys)
