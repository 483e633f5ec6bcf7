"""The modal state of the control while a program is read, and the modal groups.

Source: NISTIR 6556, tables 4, 5, 7 and section 3.6.1.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from gcodekit.rs274.parameters import Parameters
from gcodekit.rs274.program_read import (
    Conditions,
    Event,
    EventKind,
    Move,
    Point3,
    ProblemList,
    Tool,
)

# A dwell as long as this is likely meant in milliseconds, as some controls take it (common
# practice, no source).
LONG_DWELL = 30.0

# G codes are kept as ten times their number, so that 59.1 is a whole one.
MOTION, PLANE, DISTANCE, FEED_MODE, UNITS, COMPENSATION = 1, 2, 3, 5, 6, 7
LENGTH, RETURN, WORK, CONTROL, ONCE = 8, 10, 12, 13, 0
CENTRES = 4
G_GROUPS: dict[int, int] = {
    **dict.fromkeys((0, 10, 20, 30, 382, 730), MOTION),
    **dict.fromkeys((800, 810, 820, 830, 840, 850, 860, 870, 880, 890), MOTION),
    **dict.fromkeys((170, 180, 190), PLANE),
    **dict.fromkeys((900, 910), DISTANCE),
    # centres of arcs from where they start: the report has no other way and no word for it
    911: CENTRES,
    **dict.fromkeys((930, 940), FEED_MODE),
    **dict.fromkeys((200, 210), UNITS),
    **dict.fromkeys((400, 410, 420), COMPENSATION),
    **dict.fromkeys((430, 490), LENGTH),
    **dict.fromkeys((980, 990), RETURN),
    **dict.fromkeys((540, 550, 560, 570, 580, 590, 591, 592, 593), WORK),
    **dict.fromkeys((610, 611, 640), CONTROL),
    **dict.fromkeys((40, 100, 280, 300, 530, 920, 921, 922, 923), ONCE),
}
CYCLE_CODES: frozenset[int] = frozenset((730, 810, 820, 830, 840, 850, 860, 870, 880, 890))
# Group 0 codes whose axis words are not the motion's (3.4).
AXIS_USERS: frozenset[int] = frozenset((100, 280, 300, 920))
WORK_OFFSET_CODES: dict[int, int] = {
    code: place for place, code in enumerate((540, 550, 560, 570, 580, 590, 591, 592, 593), start=1)
}

STOPPING, CHANGE, SPINDLE, COOLANT, OVERRIDE = 4, 6, 7, 8, 9
M_GROUPS: dict[int, int] = {
    **dict.fromkeys((0, 1, 2, 30, 60), STOPPING),
    6: CHANGE,
    **dict.fromkeys((3, 4, 5), SPINDLE),
    **dict.fromkeys((7, 8, 9), COOLANT),
    **dict.fromkeys((48, 49), OVERRIDE),
}

# Names of the axes known, by a bit for each of X, Y, Z.
KNOWN: tuple[str, ...] = ("", "X", "Y", "XY", "Z", "XZ", "YZ", "XYZ")


def g_name(code: int) -> str:
    """A G code as it is written.

    Examples
    --------
    >>> g_name(591), g_name(20)
    ('G59.1', 'G2')
    """
    return f"G{code // 10}" + (f".{code % 10}" if code % 10 else "")


@dataclass(frozen=True, slots=True)
class CycleWords:
    """The words a canned cycle keeps from line to line: numbers as written, in mm and seconds.
    `aside` and `top` are the I, J and K of G87."""

    depth: float
    retract: float
    dwell: float = 0.0
    peck: float = 0.0
    aside: tuple[float, float] = (0.0, 0.0)
    top: float = 0.0


@dataclass(frozen=True, slots=True)
class Compensation:
    """Cutter radius compensation in force: `side` 1 left or -1 right of the path. `drawn` is where
    the path itself has come to in X and Y, None before the first move along it."""

    side: int
    radius: float
    drawn: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class HandStep:
    """One move asked of the hand: along `axis` (0, 1, 2) to `place`, as written; `cuts`: at a feed
    by feel, and not through the air. `up` and `down` say which way it may lead."""

    axis: int
    place: float
    cuts: bool
    up: bool
    down: bool


@dataclass(frozen=True, slots=True)
class HandRequest:
    """What a message asks of the hand: its line, its text, and the number of moves before it."""

    line: int
    column: int
    text: str
    steps: tuple[HandStep, ...]
    moves: int


@dataclass(slots=True)
class State:
    """Everything that lasts from line to line, and what has been read so far.

    Places are in mm in the coordinates of the work offset of the first move, without axis offsets:
    what a G92 adds is in `shift`, and a place as programmed plus `shift` is the place. `origin` is
    the zero of the work offset in force on the machine and `offset` the axis offsets in force;
    `free` are the axes (bits) whose offset was set at a place nobody knows.

    `length` is the length offset in force, None where it is not known; `tip_sure`: no cutter has
    come in since whose length was not said. `known` has a bit for each axis already commanded;
    `motion` is None while G80, or nothing yet, is in force; `refused` is the canned cycle whose
    line could not be executed last, until one can. `by_hand` are the axes (of "XYZ") on handwheels;
    `asked` is what a message has asked of the hand, until the stop for it.
    """

    problems: ProblemList
    parameters: Parameters
    tools: Mapping[int, Tool]
    slots: int | None = None
    block_delete: bool = False
    line: int = 0
    position: Point3 = (0.0, 0.0, 0.0)
    known: int = 0
    shift: Point3 = (0.0, 0.0, 0.0)
    origin: Point3 = (0.0, 0.0, 0.0)
    origin_known: int = 0
    offset: Point3 = (0.0, 0.0, 0.0)
    free: int = 0
    motion: int | None = None
    absolute: bool = True
    unit: float = 1.0
    units_said: bool = False
    initial_return: bool | None = None
    length: float | None = 0.0
    tip_sure: bool = True
    work_offset: int = 1
    work_said: bool = False
    selected: int = 0
    conditions: Conditions = field(default_factory=Conditions)
    compensation: Compensation | None = None
    sticky: CycleWords | None = None
    moves: list[Move] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    turns: list[Event] = field(default_factory=list)
    ended: bool = False
    cycle_moves: int = 0
    refused: int | None = None
    by_hand: str = ""
    asked: HandRequest | None = None
    blocks: int = 0
    warned: set[str] = field(default_factory=set)

    def forget(self, axes: int) -> None:
        """The place of these axes (bits) is no longer known in program coordinates."""
        self.known &= ~axes

    def set_unit(self, unit: float) -> None:
        """Millimetres in the unit programmed from here on."""
        self.unit = unit
        self.units_said = True
        self.parameters.unit = unit
        self.problems.units = "mm" if unit == 1.0 else "inch"

    def note(self, kind: EventKind, value: float = 0.0, text: str = "") -> None:
        """Something that happens before the next move."""
        event = Event(self.line, kind, len(self.moves), value, text, self.conditions)
        self.events.append(event)

    def dwell(self, seconds: float, column: int = 0) -> None:
        """Wait before the next move."""
        self.note("dwell", seconds)
        if seconds >= LONG_DWELL:
            text = f"dwell of {seconds:g} s: some controls read P in milliseconds, check yours"
            self.warn_once(text, column)

    def warn_once(self, text: str, column: int = 0) -> None:
        """Warn once, on the first line it applies to."""
        if text not in self.warned:
            self.warned.add(text)
            self.problems.warn(text, line=self.line, column=column)
