"""What goes wrong for a user, and where.

A user's mistake is a `Fault`: a place, what is wrong, and what would be right. Loaders gather
every fault of a file and raise them together in one `GcodekitError`; anything else that is
raised is a defect of the program and shows a traceback.

    GcodekitError
      JobError       the job or workshop file is at fault
      PlanError      the job is well formed but cannot be cut as asked
      DrawingError   a DXF or SVG file cannot be read
      PostError      a post cannot be found, or cannot write what the program needs
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

Severity = Literal["error", "warning"]


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where in a user's file something stands.

    Parameters
    ----------
    file : name as the user gave it
    line, column : 1-based; 0 where not known
    key : dotted path in bench terms, e.g. ``setup 1.feature 2.depth``
    """

    file: str = ""
    line: int = 0
    column: int = 0
    key: str = ""

    def __str__(self) -> str:
        parts = [self.file or "-"]
        if self.line:
            parts.append(str(self.line))
            if self.column:
                parts.append(str(self.column))
        return ":".join(parts)

    def at(self, key: str) -> Place:
        """The same line under another key."""
        return Place(self.file, self.line, self.column, key)


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong: ``file:line: key: what is wrong, what would be right``.

    Examples
    --------
    >>> print(Fault(Place("a.toml", 3, key="depth"), "-2 is not positive", "write 2"))
    a.toml:3: depth: -2 is not positive, write 2
    >>> print(Fault(Place("a.toml", 3, key="depth"), "deeper than the stock", severity="warning"))
    a.toml:3: warning: depth: deeper than the stock
    """

    place: Place
    message: str
    hint: str = ""
    severity: Severity = "error"

    @property
    def text(self) -> str:
        """Key, what is wrong, what would be right."""
        text = f"{self.message}, {self.hint}" if self.hint else self.message
        return f"{self.place.key}: {text}" if self.place.key else text

    def __str__(self) -> str:
        mark = "warning: " if self.severity == "warning" else ""
        return " ".join(f"{self.place}: {mark}{self.text}".split())


def errors_of(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Those of some faults that stop the work."""
    return tuple(f for f in faults if f.severity == "error")


def counted(severities: Iterable[Severity]) -> str:
    """The number of errors and warnings, in words.

    Examples
    --------
    >>> counted(["warning", "warning"]), counted(["error"]), counted([])
    ('no errors, 2 warnings', '1 error', 'nothing wrong found')
    """
    found = list(severities)
    errors, warnings = found.count("error"), found.count("warning")
    if not found:
        return "nothing wrong found"
    words = f"{errors or 'no'} error{'' if errors == 1 else 's'}"
    return f"{words}, {warnings} warning{'' if warnings == 1 else 's'}" if warnings else words


@dataclass(slots=True)
class FaultList:
    """Gathers faults so that a whole file is reported at once."""

    faults: list[Fault] = field(default_factory=list)

    def error(self, place: Place, message: str, hint: str = "") -> None:
        """Note an error."""
        self.faults.append(Fault(place, message, hint))

    def warn(self, place: Place, message: str, hint: str = "") -> None:
        """Note a warning."""
        self.faults.append(Fault(place, message, hint, "warning"))

    @property
    def errors(self) -> tuple[Fault, ...]:
        """The faults that stop the work."""
        return errors_of(self.faults)

    @property
    def warnings(self) -> tuple[Fault, ...]:
        """The faults that do not."""
        return tuple(f for f in self.faults if f.severity == "warning")


class GcodekitError(Exception):
    """A user's error: one or more faults, each with its place."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(str(f) for f in self.faults))


class JobError(GcodekitError):
    """The job or workshop file is at fault."""


class PlanError(GcodekitError):
    """A well-formed job that cannot be cut as asked."""


class DrawingError(GcodekitError):
    """A DXF or SVG file that cannot be read."""


class PostError(GcodekitError):
    """A post is missing, broken, or cannot write what the program needs."""
