"""Pieces of the reference as HTML: whatever comes from a text is escaped here."""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape

from gcodekit.sheet.html_elements import element


def words(text: str) -> str:
    """A text of the reference, on one line; what stands in backquotes is code.

    Examples
    --------
    >>> words("set `top` < 0")
    'set <code>top</code> &lt; 0'
    """
    return re.sub(r"`([^`]+)`", r"<code>\1</code>", escape(text, quote=False))


def paragraphs(text: str) -> str:
    """Paragraphs of the reference; indented ones keep their lines."""
    found = (part for part in text.split("\n\n") if part.strip())
    return "\n".join(
        listing(_outdented(part)) if part.startswith("    ") else element("p", words(part))
        for part in found
    )


def _outdented(part: str) -> str:
    return "\n".join(row.removeprefix("    ") for row in part.splitlines())


def listing(text: str) -> str:
    """Text as typed."""
    return element("pre", element("code", escape(text, quote=False)))


def links(pairs: Iterable[tuple[str, str]]) -> str:
    """Links one after another, by the words shown and the anchors they lead to; words alone where
    there is no anchor."""
    return ", ".join(
        element("a", escape(shown), href=f"#{to}") if to else escape(shown) for shown, to in pairs
    )
