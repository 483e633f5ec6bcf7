"""Trade words that are no keys of the files, and the pages that answer them, from a data file."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class TradeWord:
    """The answer to some words of the trade.

    Parameters
    ----------
    words : what may be asked
    pages : what is shown: subjects, tables, kinds or keys, as they are looked up
    text : what is said first; all there is where the tool does not have the subject
    see : what else to look up
    """

    words: tuple[str, ...]
    pages: tuple[str, ...] = ()
    text: str = ""
    see: tuple[str, ...] = ()


@cache
def declared_words() -> tuple[TradeWord, ...]:
    """The entries of the data file, in its order."""
    text = files("gcodekit.job").joinpath("data/trade_words.toml").read_text(encoding="utf-8")
    return tuple(map(_read, tomllib.loads(text)["word"]))


def _read(entry: Mapping[str, Any]) -> TradeWord:
    given: dict[str, Any] = {k: tuple(v) if isinstance(v, list) else v for k, v in entry.items()}
    return TradeWord(**given)


@cache
def trade_words() -> Mapping[str, TradeWord]:
    """The answers by each of their words, as `spelling` writes it."""
    return {spelling(word): entry for entry in declared_words() for word in entry.words}


def spelling(word: str) -> str:
    """A word without capitals, hyphens, underscores, points and spaces too many.

    Examples
    --------
    >>> spelling("Up-Milling"), spelling("lead_in")
    ('up milling', 'lead in')
    """
    return " ".join(re.sub(r"[-_./]", " ", word.lower()).split())
