"""One problem for many moves with the same fault: a wrong figure in a program's head is one
mistake, however many lines come after it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from gcodekit.errors import Severity
from gcodekit.rs274.problems import Point3, Problem, ProblemList


@dataclass(slots=True)
class _Noted:
    text: str
    line: int
    where: Point3 | None
    severity: Severity
    first: float
    count: int = 0
    worst: float = 0.0
    worst_said: str = ""
    worst_line: int = 0


@dataclass(slots=True)
class Once:
    """Faults by what they are; each is said of its first move, with the number of the others and
    the worst of them."""

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
    ) -> None:
        """One move's fault. `kind` is what makes it one with others, the text where left out;
        `size` is how bad it is, `said` that in words."""
        found = self.noted.get(kind or text)
        if found is None:
            found = _Noted(text, line, where, severity, size, worst=size)
            self.noted[kind or text] = found
        found.count += 1
        # the last figure of what is said is no worse
        if size > found.worst * (1 + 1e-6) + 1e-6:
            found.worst, found.worst_said, found.worst_line = size, said, line

    def report(self, problems: ProblemList) -> None:
        """Say all of them."""
        for found in self.noted.values():
            also = ""
            if found.count > 1:
                several = "s" if found.count > 2 else ""
                also = f" (and {found.count - 1} more move{several}"
                if found.worst_line:
                    also += f", {found.worst_said} in line {found.worst_line}"
                also += ")"
            say = problems.error if found.severity == "error" else problems.warn
            say(found.text + also, line=found.line, where=found.where)


def gathered(problems: Iterable[Problem]) -> list[Problem]:
    """Problems said in the same words as one: the first, with the number of lines it stands for."""
    groups: dict[tuple[Severity, str], list[Problem]] = {}
    for problem in problems:
        groups.setdefault((problem.severity, problem.text), []).append(problem)
    return [_as_one(group) for group in groups.values()]


def _as_one(group: list[Problem]) -> Problem:
    first = group[0]
    lines = sorted({p.line for p in group} - {first.line, 0})
    if not lines:
        return first
    more = f"line {lines[0]}" if len(lines) == 1 else f"{len(lines)} more lines, to {lines[-1]}"
    return replace(first, text=f"{first.text} (the same in {more})")
