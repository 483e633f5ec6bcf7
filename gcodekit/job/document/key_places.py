"""Where each key of an accepted TOML text stands.

The standard parser gives values without lines. This walks text which that parser has accepted,
so it may be simple: it follows headers, keys, arrays and one-line tables, and skips values.
A key is noted only where its line differs from that of the table or array it stands in.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping

Path = tuple[str | int, ...]

_SPACE = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY = re.compile(r'"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'|[A-Za-z0-9_-]+')
_STRING = re.compile(
    r'"""(?:\\[\s\S]|[^\\])*?"""+|\'\'\'[\s\S]*?\'\'\'+'
    r"|\"(?:\\.|[^\"\\\n])*\"|'[^'\n]*'"
)
_PLAIN = re.compile(r"[^,\]}#\n]*")


class Locator:
    """Lines by key path, and the table the text ends in."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line = 1
        self.lines: dict[Path, int] = {(): 1}
        self.table: Path = ()
        self.counts: dict[Path, int] = {}
        self.statement = 0  # where the last header or key begins

    def run(self) -> Locator:
        """Walk the whole text; stop quietly where it is not TOML after all."""
        self.space()
        while self.at < len(self.text):
            before = self.statement = self.at
            if self.text[self.at] == "[":
                self.header()
            else:
                self.pair(self.table)
            self.space()
            if self.at == before:
                break
        return self

    def step(self, pattern: re.Pattern[str]) -> str:
        """Take what matches here, counting its lines."""
        match = pattern.match(self.text, self.at)
        taken = match.group() if match else ""
        self.at += len(taken)
        self.line += taken.count("\n")
        return taken

    def space(self) -> None:
        """Skip blanks, line ends and comments."""
        self.step(_SPACE)

    def sees(self, sign: str) -> bool:
        """Take a sign if it comes next."""
        if not self.text.startswith(sign, self.at):
            return False
        self.at += len(sign)
        return True

    def note(self, path: Path, line: int) -> None:
        """Keep the line of a path where it tells more than its parent's."""
        if self.lines.get(path[:-1]) != line:
            self.lines.setdefault(path, line)

    def key(self) -> list[str]:
        """A dotted key's parts."""
        parts: list[str] = []
        while True:
            self.space()
            raw = self.step(_KEY)
            parts.append(_unquoted(raw))
            self.space()
            if not self.sees("."):
                return parts

    def header(self) -> None:
        """`[a.b]` or `[[a.b]]`: the table that the keys below belong to."""
        line = self.line
        doubled = self.sees("[[")
        if not doubled:
            self.sees("[")
        parts = self.key()
        if not self.sees("]]" if doubled else "]"):
            self.at = len(self.text)
            return
        path: Path = ()
        for place, part in enumerate(parts):
            path = (*path, part)
            self.note(path, line)
            if doubled and place == len(parts) - 1:
                self.counts[path] = self.counts.get(path, 0) + 1
            if path in self.counts and (doubled or place < len(parts) - 1):
                path = (*path, self.counts[path] - 1)
        self.lines.setdefault(path, line)
        self.table = path

    def pair(self, table: Path) -> None:
        """Key "=" value."""
        self.space()
        line = self.line
        path = table
        for part in self.key():
            path = (*path, part)
            self.note(path, line)
        self.space()
        if self.sees("="):
            self.space()
            self.value(path)

    def value(self, path: Path) -> None:
        """Skip a value, noting what stands in it on lines of its own."""
        if self.sees("["):
            self.array(path)
        elif self.sees("{"):
            self.inline_table(path)
        elif not self.step(_STRING):
            self.step(_PLAIN)

    def array(self, path: Path) -> None:
        """Value ("," value)* "]"."""
        count = 0
        self.space()
        while self.at < len(self.text) and not self.sees("]"):
            before = self.at
            self.note((*path, count), self.line)
            self.value((*path, count))
            count += 1
            self.space()
            self.sees(",")
            self.space()
            if self.at == before:
                return

    def inline_table(self, path: Path) -> None:
        """Pair ("," pair)* "}"."""
        self.space()
        while self.at < len(self.text) and not self.sees("}"):
            before = self.at
            self.pair(path)
            self.space()
            self.sees(",")
            self.space()
            if self.at == before:
                return


def _unquoted(raw: str) -> str:
    """A key's part as the parser reads it."""
    if raw[:1] not in ("'", '"'):
        return raw
    try:
        value = tomllib.loads(f"key = {raw}")["key"]
    except ValueError:
        return raw
    return value if isinstance(value, str) else raw


def line_of(lines: Mapping[Path, int], path: Path) -> int:
    """The line of a key, or of the nearest table or array round it."""
    while path and path not in lines:
        path = path[:-1]
    return lines.get(path, 1)


def in_bench_words(path: Path) -> str:
    """A key path as it is said: ``setup 1.feature 3.at 2``, counted from 1.

    Examples
    --------
    >>> in_bench_words(("setup", 0, "feature", 2, "depth"))
    'setup 1.feature 3.depth'
    """
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f" {part + 1}"
        else:
            text += f".{part}" if text else part
    return text
