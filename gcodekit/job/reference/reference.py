"""The reference of the job and workshop files, one thing at a time, made from the key tables.

Line    one key of a table, as the reference shows it
Group   lines under a heading
Entry   all that is said of one subject, kind of feature, table or key
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Literal

from gcodekit.job.keys import feature_keys
from gcodekit.job.keys.keys import Key, KeyTable
from gcodekit.job.keys.kind_tables import kind_tables, usable_keys
from gcodekit.job.keys.not_yet import KEYS
from gcodekit.job.keys.tables import PlacedTable, below, own_keys, standings, words_of
from gcodekit.job.kinds import kinds
from gcodekit.job.reference.key_words import bounds, default, takes
from gcodekit.job.reference.long_texts import Note, line_for, notes

EntrySort = Literal["subject", "kind", "table", "key", "word", "trade word", "not yet"]
FEATURE = feature_keys.FEATURE


@dataclass(frozen=True, slots=True)
class KeyLine:
    """One key: its meaning, kind and unit, required or default, bounds, and its own table."""

    name: str
    meaning: str
    takes: str
    default: str
    bounds: str
    table: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Keys under a heading."""

    heading: str
    lines: tuple[KeyLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What is said of one thing.

    Parameters
    ----------
    where : the tables or kinds that a key, word or table stands in
    besides : headings with names that are only listed
    not_yet : names of keys to come
    """

    sort: EntrySort
    name: str
    title: str
    text: str = ""
    where: tuple[str, ...] = ()
    groups: tuple[Group, ...] = ()
    besides: tuple[tuple[str, tuple[str, ...]], ...] = ()
    not_yet: tuple[str, ...] = ()
    example: str = ""
    see: tuple[str, ...] = ()


def line(table: KeyTable, key: Key) -> KeyLine:
    """A key as a line of its table."""
    words = takes(key, words_of(table, key))
    return KeyLine(key.name, key.meaning, words, default(key), bounds(key), _leads_to(table, key))


def _leads_to(table: KeyTable, key: Key) -> str:
    """Find what explains the table, outline or path that a key holds, as it is asked for."""
    if key.kind in ("outline", "outlines") or key.name == "outlines":
        return "outline"
    if key.kind == "path":
        return "path"
    inner = below(table, key)
    if inner is None:
        return key.name if key.kind == "table" and key.name in notes().topics else ""
    return next(s.name for s in standings() if s.table is inner)


def lines(table: KeyTable, keys: Iterable[Key]) -> tuple[KeyLine, ...]:
    """Keys as lines of their table."""
    return tuple(line(table, key) for key in keys)


# -- subjects, kinds, tables ------------------------------------------------------------------


def subject(name: str) -> Entry:
    """A subject."""
    note = notes().topics[name]
    return Entry(
        sort="subject",
        name=name,
        title=note.title,
        text=note.text,
        example=note.example,
        see=note.see,
    )


def kind(name: str) -> Entry:
    """A kind of feature: its depth keys and its own in full, the others by name."""
    told, table = kinds()[name], kind_tables()[name]
    usable = [k for k in usable_keys(name) if k in FEATURE.keys]
    depths = [k for k in feature_keys.DEPTH_KEYS if k in usable]
    cutting = [k for k in feature_keys.CUTTING_KEYS if k in usable]
    others = [k for k in usable if k not in (*depths, *cutting)]
    named = (
        ("Common to all features", tuple(k.name for k in others if k.name != "kind")),
        ("Cutting", tuple(k.name for k in cutting)),
    )
    groups = (
        Group("Keys of this kind", lines(table, own_keys(name))),
        Group("Depth (gcodekit explain depth)", lines(table, depths)),
    )
    return Entry(
        sort="kind",
        name=name,
        title=f'kind = "{name}" of [[setup.feature]]',
        text=told.text,
        groups=tuple(g for g in groups if g.lines),
        besides=tuple((heading, names) for heading, names in named if names),
        not_yet=_to_come(table, KEYS.get(name, ())) if depths else (),
        example=told.example,
        see=(*told.see, "feature"),
    )


def table(place: PlacedTable) -> Entry:
    """A table with all its keys."""
    note = notes().tables.get(place.address, Note())
    keys = place.table
    groups: tuple[Group, ...] = (Group("Keys", lines(keys, keys.keys)),)
    if keys is FEATURE:
        known = (*feature_keys.DEPTH_KEYS, *feature_keys.CUTTING_KEYS)
        groups = (
            Group("Common to all features", lines(keys, (k for k in keys.keys if k not in known))),
            Group("Depth (gcodekit explain depth)", lines(keys, feature_keys.DEPTH_KEYS)),
            Group("Cutting (none is required)", lines(keys, feature_keys.CUTTING_KEYS)),
        )
    return Entry(
        sort="table",
        name=place.address,
        title=table_title(place),
        text=note.text,
        where=(keys.inside,) if keys.inside else (),
        groups=groups,
        not_yet=KEYS.get(keys.header, ()),
        example=note.example,
        see=note.see,
    )


_TITLES = {
    "job": "the top of the job file",
    "workshop": "the top of the workshop file",
    "outline": "{ } as an outline",
    "path": "{ } as an entry of a path",
}


def table_title(place: PlacedTable) -> str:
    """A table's header, and what stands round it."""
    header = place.table.header
    if header.startswith("["):
        return f"{header} of the {'job' if place.file == 'job' else 'workshop'} file"
    if place.address in _TITLES:
        return _TITLES[place.address]
    brackets = "[{ }, ...]" if _is_list(place) else "{ }"
    return f"{header} = {brackets} of {place.table.inside}"


def _is_list(place: PlacedTable) -> bool:
    parents = (s.table for s in standings() if s.table.header == place.table.inside)
    keys = [k for parent in parents for k in parent.keys if k.name == place.table.header]
    return any(k.kind == "tables" for k in keys)


def _to_come(table: KeyTable, own: tuple[str, ...]) -> tuple[str, ...]:
    """Keys to come of a kind, its own and every feature's."""
    every = (k for k in KEYS.get(FEATURE.header, ()) if k not in table.names)
    return (*own, *every)


# -- keys -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class KeyHome:
    """Where a key stands: a table, or a feature kind's own keys."""

    address: str
    said: str
    table: KeyTable
    keys: tuple[Key, ...]

    def key(self, name: str) -> Key | None:
        """A key of this home."""
        return next((k for k in self.keys if k.name == name), None)

    @property
    def example(self) -> str:
        """The example of the kind or table."""
        if self.address in kinds():
            return kinds()[self.address].example
        found = notes().tables.get(self.address)
        return found.example if found else ""


@cache
def homes() -> tuple[KeyHome, ...]:
    """Every table and every kind, in the order of the files."""
    found = []
    for place in standings():
        header = place.table.header
        said = header if header.startswith("[") else table_title(place)
        found.append(KeyHome(place.address, said, place.table, place.table.keys))
        if place.table is FEATURE:
            found += [
                KeyHome(kind, f'kind = "{kind}"', of_kind, own_keys(kind))
                for kind, of_kind in kind_tables().items()
            ]
    return tuple(found)


def key_entries(name: str, among: Iterable[KeyHome]) -> list[Entry]:
    """The key of that name wherever it stands; where it is the same key, once."""
    same: dict[Key, list[KeyHome]] = {}
    for home in among:
        key = home.key(name)
        if key is not None:
            same.setdefault(key, []).append(home)
    return [_key(key, found) for key, found in same.items()]


def _key(key: Key, found: list[KeyHome]) -> Entry:
    noted = [notes().keys[f"{h.address}.{key.name}"] for h in found if _noted(h, key)]
    note = noted[0] if noted else Note(text=key.text, example=key.example, see=key.see)
    examples = [note.example, *(line_for(key.name, h.example) for h in found)]
    return Entry(
        sort="key",
        name=key.name,
        title=key.name,
        text=note.text,
        where=tuple(h.said for h in found),
        groups=(Group("", (line(found[0].table, key),)),),
        example=next(filter(None, examples), ""),
        see=note.see,
    )


def _noted(home: KeyHome, key: Key) -> bool:
    return f"{home.address}.{key.name}" in notes().keys
