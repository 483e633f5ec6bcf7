"""One problem for many moves with the same fault: a wrong figure in a program's head is one
mistake, however many lines come after it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from gcodekit.errors import Severity
from gcodekit.rs274.program_read import Point3, Problem, ProblemList
from gcodekit.units import Units


@dataclass(slots=True)
class _Noted:
    """`first` is how bad its first line is, `said` the worst of the lines after it."""

    text: str
    hint: str
    line: int
    where: Point3 | None
    severity: Severity
    first: float
    more: int = 0
    last_line: int = 0
    worst: float = 0.0
    said: str = ""


@dataclass(slots=True)
class FaultGroups:
    """Faults by kind; each is reported once, on its first line, with the number of further lines
    and the worst of them. `units`: those of the lengths in their texts."""

    units: Units = "mm"
    noted: dict[str, _Noted] = field(default_factory=dict)

    def note(
        self,
        text: str,
        line: int,
        where: Point3 | None = None,
        *,
        kind: str = "",
        size: float = 0.0,
        said: str = "",
        severity: Severity = "error",
        hint: str = "",
    ) -> None:
        """Note one move's fault. `kind` groups it with others, default: the text; `size` is how
        bad it is, `said` the same in words; `hint` is the remedy."""
        found = self.noted.get(kind or text)
        if found is None:
            new = _Noted(text, hint, line, where, severity, size, last_line=line, worst=size)
            self.noted[kind or text] = new
            return
        if line == found.line:
            if size > found.first:
                found.text, found.hint, found.where = text, hint, where
                found.first, found.worst = size, max(size, found.worst)
            return
        found.more += line != found.last_line
        found.last_line = line
        # the last figure of what is said is no worse
        if size > found.worst * (1 + 1e-6) + 1e-6:
            found.worst, found.said = size, f", {said} on line {line}"

    def report(self, problems: ProblemList) -> None:
        """Add them all to the problems."""
        for found in self.noted.values():
            several = "s" if found.more > 1 else ""
            also = f" (and {found.more} more line{several}{found.said})" if found.more else ""
            report = problems.error if found.severity == "error" else problems.warn
            report(found.text + also, line=found.line, where=found.where, hint=found.hint)


def gathered(problems: Iterable[Problem]) -> list[Problem]:
    """Problems of the same text as one: the first, with the number of lines it stands for."""
    groups: dict[tuple[Severity, str], list[Problem]] = {}
    for problem in problems:
        groups.setdefault((problem.severity, problem.text), []).append(problem)
    return [_as_one(group) for group in groups.values()]


def _as_one(group: list[Problem]) -> Problem:
    first = group[0]
    lines = sorted({p.line for p in group} - {first.line, 0})
    if not lines:
        return first
    more = f"line {lines[0]}" if len(lines) == 1 else f"{len(lines)} more lines, up to {lines[-1]}"
    return replace(first, text=f"{first.text} (also on {more})")
