"""A program as read: its moves, in mm, mm/min and program coordinates, and the problems that reader
and proof find in it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from gcodekit.errors import Severity
from gcodekit.units import Units

Point3 = tuple[float, float, float]
MoveKind = Literal["rapid", "line", "arc"]
PathControl = Literal["exact path", "exact stop", "continuous"]

# A file that is no program at all would otherwise give a problem for every line.
MOST_PROBLEMS = 200
# The axes of each plane: first, second, and the one at right angles (NISTIR 6556, 4.3.6.1).
PLANE_AXES: dict[int, tuple[int, int, int]] = {17: (0, 1, 2), 18: (2, 0, 1), 19: (1, 2, 0)}


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong. `line` and `column` are 1-based, 0 where they do not apply; `where` is the
    place in program coordinates, mm; `hint` is the remedy."""

    severity: Severity
    line: int
    column: int
    where: Point3 | None
    text: str
    hint: str = ""

    @property
    def full_text(self) -> str:
        """The problem, then the remedy."""
        return f"{self.text}, {self.hint}" if self.hint else self.text


@dataclass(slots=True)
class ProblemList:
    """Gathers problems, up to a limit that keeps memory bounded whatever the program is. `units`:
    those of the lengths in their texts."""

    problems: list[Problem] = field(default_factory=list)
    units: Units = "mm"

    @property
    def full(self) -> bool:
        """Tell whether the limit is reached."""
        return len(self.problems) >= MOST_PROBLEMS

    def error(
        self,
        text: str,
        *,
        line: int = 0,
        column: int = 0,
        where: Point3 | None = None,
        hint: str = "",
    ) -> None:
        """Note an error."""
        self._add(Problem("error", line, column, where, text, hint))

    def warn(
        self,
        text: str,
        *,
        line: int = 0,
        column: int = 0,
        where: Point3 | None = None,
        hint: str = "",
    ) -> None:
        """Note a warning."""
        self._add(Problem("warning", line, column, where, text, hint))

    def _add(self, problem: Problem) -> None:
        if len(self.problems) < MOST_PROBLEMS - 1:
            self.problems.append(problem)
        elif not self.full:
            text = f"more than {MOST_PROBLEMS - 1} problems: no more are listed"
            self.problems.append(Problem("error", problem.line, 0, None, text))


@dataclass(frozen=True, slots=True)
class Tool:
    """A line of the tool table: mm, `length` None where it is not known. A negative diameter
    compensates to the other side (NISTIR 6556, B.4)."""

    diameter: float = 0.0
    length: float | None = None


@dataclass(frozen=True, slots=True)
class Conditions:
    """The conditions in force during a move.

    Parameters
    ----------
    feed : mm/min, 0 where none was set
    speed : rev/min
    spindle : 0 still, 1 clockwise, -1 counter-clockwise
    coolant : any of the letters m (mist) and f (flood)
    cutter : number in the spindle, 0 for none
    feed_set : an F word has been read since the feed mode was last changed
    inverse_time : G93, the feed was worked out from the move's time
    plane : 17, 18 or 19
    compensation : 1 for G41, -1 for G42, 0 for none
    length_offset : the H of G43 in force, 0 for none
    path : G61, G61.1 or G64; `rounding` is the P of G64, mm, None where it had none
    """

    feed: float = 0.0
    speed: float = 0.0
    spindle: int = 0
    coolant: str = ""
    cutter: int = 0
    feed_set: bool = False
    inverse_time: bool = False
    plane: int = 17
    compensation: int = 0
    length_offset: int = 0
    path: PathControl = "continuous"
    rounding: float | None = None


# Moves and curves are made by the hundred thousand: a named tuple is made in a third of the time
# that a frozen dataclass takes.
class CircularPart(NamedTuple):
    """The circular part of an arc or helix.

    `centre` has the start's coordinate along the axis at right angles to the plane; `sweep` is in
    radians, positive counter-clockwise seen from that axis' positive end.
    """

    centre: Point3
    plane: int
    sweep: float
    radius: float


class Move(NamedTuple):
    """One motion. `known_before` and `known` are the axes (of "XYZ") whose place is known before
    and after it: an axis is unknown until it has been commanded. `cycle` is the number, 81 of G81,
    of the canned cycle that makes it, 0 for none. `by_hand`: the operator makes it at a stop, as
    the message says."""

    line: int
    kind: MoveKind
    start: Point3
    end: Point3
    conditions: Conditions
    known_before: str = "XYZ"
    known: str = "XYZ"
    curve: CircularPart | None = None
    cycle: int = 0
    by_hand: bool = False

    @property
    def length(self) -> float:
        """Along the path, mm; a helix along the helix."""
        if self.curve is None:
            return math.dist(self.start, self.end)
        axis = PLANE_AXES[self.curve.plane][2]
        rise = self.end[axis] - self.start[axis]
        return math.hypot(self.curve.radius * self.curve.sweep, rise)

    @property
    def feed(self) -> float:
        """mm/min; 0 where none was set."""
        return self.conditions.feed

    @property
    def speed(self) -> float:
        """rev/min."""
        return self.conditions.speed

    @property
    def spindle(self) -> int:
        """0 still, 1 clockwise, -1 counter-clockwise."""
        return self.conditions.spindle

    @property
    def coolant(self) -> str:
        """Letters m (mist) and f (flood)."""
        return self.conditions.coolant

    @property
    def cutter(self) -> int:
        """Number in the spindle, 0 for none."""
        return self.conditions.cutter


EventKind = Literal[
    "tool change",
    "stop",
    "hand stop",
    "optional stop",
    "end",
    "message",
    "dwell",
    "work offset",
    "probe",
    "coolant",
    "units",
    "spindle",
]


@dataclass(frozen=True, slots=True)
class Event:
    """An event between moves. `before` is the index of the move that follows; `value` is the
    cutter's number, the seconds of a dwell, the number of the work offset or the millimetres in a
    unit, whose `text` is the unit before, 1, -1 or 0 for a spindle that is told to turn or to stop;
    at a hand stop the operator makes the moves that its `text` asks for. `conditions` hold from
    then on. A work offset is noted when it is first said, and when where its zero lies from the one
    before is not known."""

    line: int
    kind: EventKind
    before: int
    value: float = 0.0
    text: str = ""
    conditions: Conditions = Conditions()


@dataclass(frozen=True, slots=True)
class ReadProgram:
    """A program as read.

    Parameters
    ----------
    blocks : number of lines that hold a word or set a parameter
    units : those it ends in; `units_said`: it has a G20 or G21
    ended : an M2 or M30 was reached
    parameters : all that were given or set, at the end; places in mm
    lines : the text, line by line
    turns : where the spindle is told to turn or to stop
    """

    file: str
    moves: tuple[Move, ...]
    problems: tuple[Problem, ...]
    events: tuple[Event, ...]
    blocks: int
    units: Literal["mm", "inch"]
    ended: bool
    last_line: int = 0
    units_said: bool = False
    parameters: Mapping[int, float] = field(default_factory=dict)
    lines: tuple[str, ...] = ()
    turns: tuple[Event, ...] = ()

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The problems that are errors."""
        return tuple(p for p in self.problems if p.severity == "error")

    @property
    def cutters(self) -> tuple[int, ...]:
        """Those that move, in order of first use."""
        return tuple(dict.fromkeys(m.cutter for m in self.moves if m.cutter))

    def block(self, line: int) -> str:
        """The text of a line, "" where there is none."""
        return self.lines[line - 1].strip() if 0 < line <= len(self.lines) else ""
