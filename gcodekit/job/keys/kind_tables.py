"""The keys of each kind of feature, as its own module declares them.

That module lies above this room: it is found when it is asked for, never imported.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from typing import Protocol, cast

from gcodekit.job.keys.feature_keys import FEATURE
from gcodekit.job.keys.keys import Key, KeyTable

# What is the same of a kind that cuts nothing.
_CUTS_NOTHING = ("name", "kind")


class Declared(Protocol):
    """What a kind declares of its keys."""

    @property
    def keys(self) -> tuple[Key, ...]:
        """Its own."""

    @property
    def tables(self) -> tuple[KeyTable, ...]:
        """What stands in tables of its own."""

    @property
    def cuts(self) -> bool:
        """Whether it cuts anything, and so has every feature's keys."""

    @property
    def barred(self) -> tuple[str, ...]:
        """Keys of every feature that are refused in it."""


@cache
def declared() -> Mapping[str, Declared]:
    """Every kind by its name, in the order in which lists name them."""
    return cast("Mapping[str, Declared]", import_module("gcodekit.job.kinds").kinds())


def kind_names() -> tuple[str, ...]:
    """Every kind's name."""
    return tuple(declared())


@cache
def kind_tables() -> Mapping[str, KeyTable]:
    """The table of a feature of each kind: every feature's keys, then its own."""
    return {name: _table(kind) for name, kind in declared().items()}


def _table(kind: Declared) -> KeyTable:
    common = FEATURE.keys if kind.cuts else [k for k in FEATURE.keys if k.name in _CUTS_NOTHING]
    return KeyTable(FEATURE.header, (*common, *kind.keys), FEATURE.inside)


def usable_keys(kind: str) -> tuple[Key, ...]:
    """The keys that a feature of a kind may have: of those it is read with, the ones that it does
    not refuse."""
    barred = declared()[kind].barred
    return tuple(k for k in kind_tables()[kind].keys if k.name not in barred)


def inner_tables() -> tuple[KeyTable, ...]:
    """The tables that stand in features of any kind, each once."""
    return tuple(dict.fromkeys(t for kind in declared().values() for t in kind.tables))
