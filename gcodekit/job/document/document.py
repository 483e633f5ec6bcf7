"""A job or workshop file from disk to TOML values, each with its line."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from gcodekit.errors import Fault, JobError, Place
from gcodekit.expr import nearest
from gcodekit.job.document import key_places
from gcodekit.job.document.syntax import explain

__all__ = ["LARGEST_JOB", "Document", "nearest", "parse_document", "read_document"]

LARGEST_JOB = 1_000_000  # bytes: a thousand times a long job
KeyPath = key_places.Path
# The parser's time goes with the square of a dotted key's length: half a million parts would hang.
_LONG_KEY = re.compile(r"(?<![\w-])(?:[\w-]++[ \t]*+\.[ \t]*+){30}")
MORE = "later errors may follow from this one"


@dataclass(frozen=True, slots=True)
class Document:
    """A file's TOML values and where they stand.

    Parameters
    ----------
    file : name as the user gave it
    data : the values, as the standard parser gives them
    places : line of each key path; ask `place`, which also finds what stands on the same line
    """

    file: str
    data: dict[str, Any]
    places: dict[KeyPath, int]

    def place(self, path: KeyPath) -> Place:
        """Line and bench name (``setup 1.feature 3.depth``) of a key.

        A key that is not there has the line of the table it would stand in.
        """
        return Place(
            self.file, key_places.line_of(self.places, path), 0, key_places.in_bench_words(path)
        )


def read_document(path: Path, shown_as: str) -> Document:
    """Read a file; `shown_as` is the name used in messages.

    Raises
    ------
    JobError
        one fault: the file cannot be read, or the first place where it is not TOML
    """
    return parse_document(_text(path, shown_as), shown_as)


def parse_document(text: str, shown_as: str) -> Document:
    """The same from text.

    Raises
    ------
    JobError
        one fault: the first place where it is not TOML
    """
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    long_key = _LONG_KEY.search(text)
    if long_key:
        line = text.count("\n", 0, long_key.start()) + 1
        raise _error(shown_as, line, "more than 30 names joined by points", "use fewer levels")
    try:
        return _parsed(text, shown_as)
    except RecursionError:
        raise _error(shown_as, 0, "brackets nested too deeply", "use fewer levels") from None


def _parsed(text: str, shown_as: str) -> Document:
    try:
        data = tomllib.loads(text)
    except ValueError as error:  # the parser's own error is one, as is a number of 5000 digits
        raise _syntax_error(text, shown_as, error) from None
    return Document(shown_as, data, key_places.Locator(text).run().lines)


def _syntax_error(text: str, shown_as: str, error: ValueError) -> JobError:
    found = explain(text, str(error))
    hint = f"{found.hint}; {MORE}" if found.hint else MORE
    return _error(shown_as, found.line, found.message, hint, key=found.key)


def _error(file: str, line: int, message: str, hint: str = "", *, key: str = "") -> JobError:
    return JobError([Fault(Place(file, line, 0, key), message, hint)])


def _text(path: Path, shown_as: str) -> str:
    """The file's text, or one line saying why it cannot be had."""
    try:
        if path.is_dir():
            raise _error(shown_as, 0, "is a folder", "name a job file")
        with path.open("rb") as file:
            raw = file.read(LARGEST_JOB + 1)
    except FileNotFoundError:
        raise _error(shown_as, 0, "no such file", "check the name") from None
    except (OSError, ValueError) as error:  # ValueError: a name with a null character
        reason = getattr(error, "strerror", None) or str(error)
        raise _error(shown_as, 0, f"cannot be read ({reason})", "check the file") from None
    if len(raw) > LARGEST_JOB:
        size = f"larger than {LARGEST_JOB // 1_000_000} MB"
        raise _error(shown_as, 0, size, "keep a job to a page or two of text")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise _error(shown_as, line, "not UTF-8 text", "save the file in UTF-8") from None
