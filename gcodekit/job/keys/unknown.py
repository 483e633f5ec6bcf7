"""Keys that a table does not know: said with the nearest known one, or with where they belong."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gcodekit.expr import nearest
from gcodekit.job.keys import feature_keys, job_keys, outline_keys, workshop_keys
from gcodekit.job.keys.former_words import FORMER_KEYS, SAID_FOR_KEYS
from gcodekit.job.keys.kind_tables import declared
from gcodekit.job.keys.not_yet import KEYS, key_not_yet

if TYPE_CHECKING:
    from gcodekit.job.keys.keys import KeyTable
    from gcodekit.job.keys.reading import Table

# Tables in which a key may be at home elsewhere in the file, most likely first.
_JOB_HOMES: tuple[KeyTable, ...] = (
    job_keys.SETUP,
    job_keys.JOB,
    job_keys.STOCK,
    job_keys.HOLD,
    feature_keys.FEATURE,
    job_keys.ZERO,
    job_keys.VISE,
)
_WORKSHOP_HOMES: tuple[KeyTable, ...] = (
    workshop_keys.MACHINE,
    workshop_keys.CUTTER,
    workshop_keys.SPINDLE,
    workshop_keys.HOLDER,
    workshop_keys.NUT,
    workshop_keys.WORKSHOP,
)
_WORKSHOP_HEADERS = frozenset(t.header for t in _WORKSHOP_HOMES) | {
    "travel",
    "backlash",
    "park",
    "dial",
}
# Words so general that their presence in another table says nothing.
_EVERYWHERE = frozenset({"name", "kind", "at", "centre", "angle", "length", "count", "start"})


def unknown_key(table: Table, name: str, *, kind: str = "") -> str | None:
    """Note a key that the table does not have; the key that was probably meant."""
    header = table.keys.header
    if key_not_yet(header, name, kind):
        table.error(name, "is not yet supported", "remove it")
        return None
    new = FORMER_KEYS.get(name)
    if new in table.keys.names:
        table.error(name, f"is now called {new}", f"write {new}")
        return new
    hint = _single_brackets(header, name) or _home(table, name, kind)
    close = None
    if not hint:
        known = [*table.keys.names, *KEYS.get(header, ())]
        meant = SAID_FOR_KEYS.get(name)
        close = meant if meant in table.keys.names else nearest(name, known)
        hint = f"did you mean {close}?" if close else f"use one of {', '.join(table.keys.names)}"
    table.error(name, f"is not a key of {header}", hint)
    return close


def _single_brackets(header: str, name: str) -> str:
    """The top-level headers that are written one level too high."""
    if header != job_keys.JOB.header:
        return ""
    if name == "feature":
        return "a feature belongs to a set-up: write [[setup.feature]]"
    if name in ("hold", "zero", "copy"):
        brackets = "[[setup.copy]]" if name == "copy" else f"[setup.{name}]"
        return f"{name} belongs to [[setup]]: write {brackets}"
    return ""


def _home(table: Table, name: str, kind: str) -> str:
    """Find where a key known elsewhere belongs."""
    header = table.keys.header
    if kind:
        kinds = [k for k, own in declared().items() if any(o.name == name for o in own.keys)]
        if kinds:
            return f"use it with kind = {' or '.join(kinds)}"
        for inner in declared()[kind].tables:
            if name in inner.names and name not in _EVERYWHERE:
                return f"{name} belongs to {inner.header}: {_move(inner, table)}"
    if header == outline_keys.OUTLINE.header or name in _EVERYWHERE:
        return ""
    homes = _WORKSHOP_HOMES if header in _WORKSHOP_HEADERS else _JOB_HOMES
    for home in homes:
        if home.header != header and name in home.names:
            return f"{name} belongs to {home.header}: {_move(home, table)}"
    return ""


def _move(home: KeyTable, table: Table) -> str:
    """Find how to bring a key home."""
    if home.header == job_keys.SETUP.header:
        return "move it above that set-up's first [setup.hold] or [[setup.feature]]"
    if home.header in (job_keys.JOB.header, workshop_keys.WORKSHOP.header):
        return "move it above the first header in [ ]"
    if home.header.startswith("["):
        return "move it below that header"
    return f"move it into {home.header} = {{ ... }}"
