"""Tool length offsets (G43 H): in a program that uses them, every cutter needs its own.

A cutter that runs with another's offset, or with none, goes too deep or too high by the difference
of their lengths, which no picture of the paths shows.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from gcodekit.rs274.program_read import Move, ProblemList, ReadProgram


@dataclass(frozen=True, slots=True)
class _Use:
    """The first move in z that a cutter makes with an offset, 0 for none."""

    cutter: int
    offset: int
    move: Move


def check_length_offsets(reading: ReadProgram, problems: ProblemList) -> None:
    """Each cutter against each offset it moves with."""
    uses = [u for visit in _visits(reading) for u in _uses(visit)]
    # a line that is not executed may have said it
    unread = sorted(p.line for p in reading.errors if p.column)
    changes = sorted(e.line for e in reading.events if e.kind == "tool change")
    uses = [u for u in uses if not _between(unread, changes, u.move.line)]
    if not any(u.offset for u in uses):
        return
    owners = _owners(uses)
    for use in uses:
        line, where = use.move.line, use.move.end
        if use.offset == 0:
            text = f"cutter {use.cutter} moves in Z with no tool length offset, others have one"
            hint = f"put G43 H{use.cutter} before it"
            problems.error(text, line=line, where=where, hint=hint)
        elif owners[use.offset] != use.cutter:
            text = f"cutter {use.cutter} runs with tool length offset H{use.offset}, which is"
            text += f" that of cutter {owners[use.offset]}"
            problems.error(text, line=line, where=where, hint="give it its own H word")
        elif use.offset != use.cutter and not _house_rule(uses):
            text = f"cutter {use.cutter} runs with tool length offset H{use.offset}"
            problems.warn(text, line=line, where=where, hint="check that it is its own")


def _between(unread: Sequence[int], changes: Sequence[int], line: int) -> bool:
    """Tell whether a line was not executed between the last cutter change and this one; both lists
    ascending."""
    before = bisect_right(changes, line)
    change = changes[before - 1] if before else 0
    return bisect_left(unread, change) < bisect_right(unread, line)


def _visits(reading: ReadProgram) -> Iterator[Sequence[Move]]:
    """The moves between cutter changes."""
    firsts = [e.before for e in reading.events if e.kind == "tool change"]
    bounds = [0, *firsts, len(reading.moves)]
    for first, last in pairwise(bounds):
        yield reading.moves[first:last]


def _uses(visit: Sequence[Move]) -> Iterator[_Use]:
    """Each cutter's first moves in Z with each offset: on the way to a machine position no offset
    is asked for. Rising with no offset is a way out."""
    known = (m for m in visit if m.cutter and "Z" in m.known)
    down = (m for m in known if "Z" not in m.known_before or m.end[2] < m.start[2])
    for offset, moves in groupby(down, key=lambda m: m.conditions.length_offset):
        first = next(moves)
        yield _Use(first.cutter, offset, first)


def _owners(uses: Sequence[_Use]) -> dict[int, int]:
    """Whose an offset is: of those that move with it, the cutter of that number, else the
    first."""
    owners: dict[int, int] = {}
    for use in uses:
        if use.offset == use.cutter or use.offset not in owners:
            owners[use.offset] = use.cutter
    return owners


def _house_rule(uses: Sequence[_Use]) -> bool:
    """Tell whether offsets and cutters are numbered apart by the same figure throughout (H11 for
    T1, H12 for T2)."""
    apart = {u.offset - u.cutter for u in uses if u.offset}
    return len(apart) == 1 and len({u.cutter for u in uses}) > 1
