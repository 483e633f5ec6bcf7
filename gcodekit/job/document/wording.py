"""How messages show what a file says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence


def plain(word: str) -> str:
    """A word without what a terminal would obey."""
    return word if word.isprintable() else "".join(c if c.isprintable() else "?" for c in word)


def quoted(word: str) -> str:
    """A word of the file as a message shows it: short, and nothing a terminal would obey."""
    return f'"{plain(word if len(word) <= 60 else f"{word[:57]}...")}"'


def shown(value: object) -> str:
    """A value as the file has it, short."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "a list"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, int) and abs(value) >= 1e18:
        return "a number of more than 18 digits"
    return str(value)


def one(thing: str) -> str:
    """A thing with its article.

    Examples
    --------
    >>> one("end mill"), one("drill")
    ('an end mill', 'a drill')
    """
    return f"an {thing}" if thing[0] in "aeiou" else f"a {thing}"


def listed(words: Sequence[str], last: str = "or") -> str:
    """Words as a sentence lists them.

    Examples
    --------
    >>> listed(["depth", "floor", "through"])
    'depth, floor or through'
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"
