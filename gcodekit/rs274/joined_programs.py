"""Programs run one after another on the same metal, read as one: a set-up's files in order."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from gcodekit.rs274.program_read import Event, Problem, ReadProgram


@dataclass(frozen=True, slots=True)
class JoinedPrograms:
    """`reading` counts its lines through all of them; `starts` are the lines before each.

    What one program ends with does not last into the next: each was read from a fresh start, so
    its first moves come from places not known.
    """

    reading: ReadProgram
    starts: tuple[int, ...]

    def own(self, problem: Problem) -> tuple[int, Problem]:
        """The program a problem is in, and the problem with that program's own line.
        What no line is to blame for belongs to the last: by then all of them have run."""
        if problem.line == 0:
            return len(self.starts) - 1, problem
        which = bisect_left(self.starts, problem.line) - 1
        return which, replace(problem, line=problem.line - self.starts[which])


def join(readings: Sequence[ReadProgram]) -> JoinedPrograms:
    """At least one program, in running order."""
    lines = [r.last_line for r in readings]
    starts = tuple(accumulate(lines[:-1], initial=0))
    if len(readings) == 1:
        return JoinedPrograms(readings[0], starts)
    unended = (s + r.last_line for s, r in zip(starts, readings, strict=True) if not r.ended)
    reading = ReadProgram(
        file=readings[-1].file,
        moves=tuple(
            m._replace(line=m.line + s)
            for s, r in zip(starts, readings, strict=True)
            for m in r.moves
        ),
        problems=tuple(
            replace(p, line=p.line + s) if p.line else p
            for s, r in zip(starts, readings, strict=True)
            for p in r.problems
        ),
        events=_one_after_another(readings, starts, lambda r: r.events),
        turns=_one_after_another(readings, starts, lambda r: r.turns),
        blocks=sum(r.blocks for r in readings),
        units=readings[-1].units,
        ended=all(r.ended for r in readings),
        lines=tuple(line for r in readings for line in r.lines[: r.last_line]),
        # where the first that does not end stops: that is what is said about it
        last_line=next(unended, sum(lines)),
    )
    return JoinedPrograms(reading, starts)


def _one_after_another(
    readings: Sequence[ReadProgram],
    starts: Sequence[int],
    events_of: Callable[[ReadProgram], Sequence[Event]],
) -> tuple[Event, ...]:
    firsts = accumulate((len(r.moves) for r in readings[:-1]), initial=0)
    return tuple(
        replace(e, line=e.line + s, before=e.before + first)
        for s, first, r in zip(starts, firsts, readings, strict=True)
        for e in events_of(r)
    )
