"""The text round the place where the TOML parser gave up."""

from __future__ import annotations

import re
from functools import cached_property

from gcodekit.job.document.key_places import Locator, in_bench_words

LONGEST_LINE = 1000  # characters looked at: the patterns below are not linear

_AT = re.compile(
    r"^(?P<reason>.*?) \(at (?:line (?P<line>\d+), column (?P<column>\d+)|end .*)\)$", re.DOTALL
)
KEY_START = re.compile(r"[ \t]*([A-Za-z0-9_.\"'-]+)[ \t]*=")
TOKEN = re.compile(
    r'(?P<long>"""(?:\\[\s\S]|[^\\])*?"""|\'\'\'[\s\S]*?\'\'\')'
    r"|(?P<string>\"(?:\\.|[^\"\\\n])*\"|'[^'\n]*')"
    r"|(?P<comment>#[^\n]*)|(?P<quote>[\"'])|(?P<bracket>[\[\]{}])"
)


class Spot:
    """The text round the place where the parser gave up."""

    def __init__(self, text: str, reported: str) -> None:
        match = _AT.match(reported)
        self.text = text
        self.reason = match["reason"] if match else reported
        self.at_end = not (match and match["line"])
        self.line = text.rstrip().count("\n") + 1
        self.at = len(text)
        if match and match["line"]:
            self.line = int(match["line"])
            self.at = self._line_start() + int(match["column"]) - 1

    def _line_start(self) -> int:
        start = 0
        for _ in range(self.line - 1):
            start = self.text.find("\n", start) + 1
        return start

    @cached_property
    def start(self) -> int:
        """Where the line begins."""
        return self.text.rfind("\n", 0, self.at) + 1

    @cached_property
    def line_text(self) -> str:
        """The line, or as much of it as a person would type."""
        return self.text[self.start : self.start + LONGEST_LINE].split("\n", 1)[0]

    @property
    def char(self) -> str:
        """What stands where the parser gave up; empty at the end."""
        return self.text[self.at : self.at + 1]

    @cached_property
    def value(self) -> str:
        """The value round the place: from the last = , [ or { to the next , ] } or comment."""
        begin = self.start + max(self.text[self.start : self.at].rfind(c) for c in "=,[{") + 1
        end = re.compile(r"[,\]}#\n]|$").search(self.text, self.at)
        return self.text[begin : end.start() if end else len(self.text)][:LONGEST_LINE].strip()

    @property
    def in_string(self) -> bool:
        """Whether a string on this line ran into the line's end."""
        return self.char == "\n" and (
            "Illegal character" in self.reason or "Found invalid character" in self.reason
        )

    @cached_property
    def before(self) -> Locator:
        """What the parser had accepted, located."""
        return Locator(self.text[: self.at]).run()

    @cached_property
    def brackets(self) -> list[tuple[str, int]]:
        """Brackets open at the place, outermost first, each with its line."""
        stack: list[tuple[str, int]] = []
        for token in TOKEN.finditer(self.text, self.before.statement, self.at):
            sign = token.group()
            if token.lastgroup == "quote":
                break
            if token.lastgroup == "bracket" and sign in "[{":
                stack.append((sign, self.text.count("\n", 0, token.start()) + 1))
            elif token.lastgroup == "bracket" and stack:
                stack.pop()
        return stack

    @property
    def in_header(self) -> bool:
        """Whether the line is a header."""
        return self.line_text.lstrip().startswith("[") and self.before.statement >= self.start

    def key(self, line: int) -> str:
        """The key that begins on a line, in bench words; the table's where none does."""
        match = KEY_START.match(self.text.split("\n")[line - 1])
        table = self.before.table
        if line == self.line and self.in_header:
            return ""
        return in_bench_words((*table, *match[1].split(".")) if match else table)
