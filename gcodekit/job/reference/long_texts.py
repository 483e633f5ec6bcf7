"""The long texts and examples of the reference, from the data file beside this module."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """What is said of a subject, table or key beyond the lines of its keys.

    Parameters
    ----------
    text : paragraphs parted by empty lines; indented lines stay as they are
    example : part of a file, as typed
    see : what else to look up
    words : of a subject or table, further words that lead to it
    """

    title: str = ""
    text: str = ""
    example: str = ""
    see: tuple[str, ...] = ()
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Notes:
    """Every note: of subjects by name, tables and keys by address."""

    topics: Mapping[str, Note]
    tables: Mapping[str, Note]
    keys: Mapping[str, Note]


@cache
def notes() -> Notes:
    """The notes of the data file."""
    text = files("gcodekit.job").joinpath("data/reference.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    topics, tables, keys = (
        {name: _note(entry) for name, entry in data.get(sort, {}).items()}
        for sort in ("topic", "table", "key")
    )
    return Notes(topics, tables, keys)


def _note(entry: Mapping[str, Any]) -> Note:
    read: dict[str, Any] = {
        k: tuple(v) if isinstance(v, list) else v.strip("\n") for k, v in entry.items()
    }
    return Note(**read)


def line_for(key: str, example: str) -> str:
    """The line of an example that gives a key, if one does so on a line of its own or in { }.

    Examples
    --------
    >>> line_for("axis", 'round = { diameter = 50, axis = "z" }')
    'axis = "z"'
    """
    line = re.search(rf"^\s*({key}\s*=\s*(.*))$", example, re.MULTILINE)
    if line and all(line[2].count(a) == line[2].count(b) for a, b in ("[]", "{}")):
        return re.sub(r"\s*=\s*", " = ", line[1], count=1)
    inner = re.search(rf"[{{,]\s*({key} = (?:\[[^\[\]]*\]|\"[^\"]*\"|[^\s,\[\]{{}}]+))", example)
    return inner[1] if inner else ""
