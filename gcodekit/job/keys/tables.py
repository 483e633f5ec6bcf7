"""Every table of keys of the job and workshop files, by the address under which it is explained.

address : where a table stands, dotted, as its header and its own name say: ``setup.hold.vise``
kind    : a feature kind; its table is that of every feature with the kind's own keys besides

The tables are found where they are declared, so that one added there is here too.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Literal

from gcodekit.job.keys import feature_keys, job_keys, material_keys, outline_keys, workshop_keys
from gcodekit.job.keys.keys import Key, KeyTable
from gcodekit.job.keys.kind_tables import declared, inner_tables, kind_names

WhichFile = Literal["job", "workshop"]

# Tables that are no header and stand in many places.
_NAMED = {
    job_keys.JOB.header: "job",
    workshop_keys.WORKSHOP.header: "workshop",
    outline_keys.OUTLINE.header: "outline",
    outline_keys.PATH_ENTRY.header: "path",
    outline_keys.PLACES.header: "places",
    job_keys.MEASURED.header: "measured",
}
_TOPS = (job_keys.JOB.header, workshop_keys.WORKSHOP.header)


@dataclass(frozen=True, slots=True)
class PlacedTable:
    """A table where it stands."""

    address: str
    table: KeyTable
    file: WhichFile

    @property
    def name(self) -> str:
        """The last word of the address."""
        return self.address.rpartition(".")[2]

    def key(self, name: str) -> Key | None:
        """A key of the table."""
        return self.table.key(name)


@cache
def standings() -> tuple[PlacedTable, ...]:
    """Every table, as a reader would go through the files from top to bottom."""
    job = [*_of(job_keys), *_of(feature_keys), *inner_tables(), *_of(outline_keys)]
    workshop = [*_of(workshop_keys), *_of(material_keys)]
    return (*_placed(job, "job"), *_placed(workshop, "workshop"))


def _placed(tables: list[KeyTable], file: WhichFile) -> Iterator[PlacedTable]:
    """A file's tables, each before those that stand in it."""
    headers = {table.header for table in tables}
    waiting = [table for table in tables if table.inside not in headers]
    while waiting:
        table = waiting.pop(0)
        yield PlacedTable(_address(table, tables), table, file)
        waiting = [*(t for t in tables if t.inside == table.header), *waiting]


def _of(module: object) -> list[KeyTable]:
    """The tables a module declares, in their order."""
    return [value for value in vars(module).values() if isinstance(value, KeyTable)]


def _address(table: KeyTable, tables: list[KeyTable]) -> str:
    if table.header in _NAMED:
        return _NAMED[table.header]
    if table.header.startswith("["):
        return table.header.strip("[]")
    around = next((t for t in tables if t.header == table.inside), None)
    above = _address(around, tables) if around else ""
    return f"{above}.{table.header}" if above not in ("", "job", "workshop") else table.header


def standing(address: str) -> PlacedTable:
    """The table of an address.

    Raises
    ------
    KeyError
        there is none
    """
    for found in standings():
        if found.address == address:
            return found
    raise KeyError(address)


def below(parent: KeyTable, key: Key) -> KeyTable | None:
    """The table that a key of a table holds, None where its keys are not declared or it has none.

    One declared below another table of the parent's will do: parallels stand in the vise's table
    or beside it.
    """
    if "table" not in (key.kind, *key.forms) and "tables" not in (key.kind, *key.forms):
        return None
    tables = [s.table for s in standings()]
    named = [t for t in tables if t.header.strip("[]").rpartition(".")[2] == key.name]
    beside = {t.header for t in tables if t.inside == parent.header}
    above = "" if parent.header in _TOPS else parent.header
    exact = [t for t in named if t.inside == above]
    near = [t for t in named if t.inside in beside] if above else []
    # a stop among the features has a holding as their set-up has
    wider = [t for t in named if t.inside == parent.inside] if above else []
    return next(iter([*exact, *near, *wider]), None)


def own_keys(kind: str) -> tuple[Key, ...]:
    """The keys that a feature kind has besides those of every feature."""
    return declared()[kind].keys


def words_of(table: KeyTable, key: Key) -> tuple[str, ...]:
    """The words a key may be."""
    if table.header == feature_keys.FEATURE.header and key.name == "kind":
        return kind_names()
    return key.choices
