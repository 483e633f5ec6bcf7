"""What is wrong with a program, and where: said the same way by the reader and by the proof."""

from __future__ import annotations

from dataclasses import dataclass, field

from gcodekit.errors import Severity

Point3 = tuple[float, float, float]

# A file that is no program at all would otherwise give a problem for every line.
MOST_PROBLEMS = 200


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong. `line` and `column` are 1-based, 0 where they do not apply; `where` is the
    place in program coordinates, mm."""

    severity: Severity
    line: int
    column: int
    where: Point3 | None
    text: str


@dataclass(slots=True)
class ProblemList:
    """Gathers problems, up to a limit that keeps memory bounded whatever the program is."""

    problems: list[Problem] = field(default_factory=list)

    @property
    def full(self) -> bool:
        """Whether nothing more is taken."""
        return len(self.problems) >= MOST_PROBLEMS

    def error(
        self, text: str, *, line: int = 0, column: int = 0, where: Point3 | None = None
    ) -> None:
        """Note an error."""
        self._add(Problem("error", line, column, where, text))

    def warn(
        self, text: str, *, line: int = 0, column: int = 0, where: Point3 | None = None
    ) -> None:
        """Note a warning."""
        self._add(Problem("warning", line, column, where, text))

    def _add(self, problem: Problem) -> None:
        if len(self.problems) < MOST_PROBLEMS - 1:
            self.problems.append(problem)
        elif not self.full:
            text = f"more than {MOST_PROBLEMS - 1} problems: the rest is left out"
            self.problems.append(Problem("error", problem.line, 0, None, text))
