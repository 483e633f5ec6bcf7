"""The modal state of the control while a program is read, and the modal groups.

Source: NISTIR 6556, tables 4, 5, 7 and section 3.6.1.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from gcodekit.rs274.moves import Conditions, Event, Move
from gcodekit.rs274.problems import Point3, ProblemList

MM_PER_INCH = 25.4

# G codes are kept as ten times their number, so that 59.1 is a whole one.
MOTION, PLANE, DISTANCE, FEED_MODE, UNITS, COMPENSATION = 1, 2, 3, 5, 6, 7
LENGTH, RETURN, WORK, CONTROL, ONCE = 8, 10, 12, 13, 0
G_GROUPS: dict[int, int] = {
    **dict.fromkeys((0, 10, 20, 30, 800, 810, 820, 830, 840, 850, 890), MOTION),
    **dict.fromkeys((170, 180, 190), PLANE),
    **dict.fromkeys((900, 910), DISTANCE),
    **dict.fromkeys((930, 940), FEED_MODE),
    **dict.fromkeys((200, 210), UNITS),
    400: COMPENSATION,
    **dict.fromkeys((430, 490), LENGTH),
    **dict.fromkeys((980, 990), RETURN),
    **dict.fromkeys((540, 550, 560, 570, 580, 590, 591, 592, 593), WORK),
    **dict.fromkeys((610, 611, 640), CONTROL),
    **dict.fromkeys((40, 530), ONCE),
}
# In the language, but not read yet: refused by name.
G_LATER: frozenset[int] = frozenset(
    (100, 280, 300, 382, 410, 420, 860, 870, 880, 920, 921, 922, 923)
)
CYCLES: frozenset[int] = frozenset((810, 820, 830, 840, 850, 890))
WORK_OFFSETS: dict[int, int] = {
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
class Sticky:
    """What a canned cycle keeps from its line before: numbers as written, in mm and seconds."""

    depth: float
    retract: float
    dwell: float
    peck: float


@dataclass(slots=True)
class State:
    """Everything that lasts from line to line, and what has been read so far.

    `position` is in mm in program coordinates; `known` has a bit for each axis already commanded;
    `motion` is None while G80, or nothing yet, is in force.
    """

    problems: ProblemList
    block_delete: bool = False
    line: int = 0
    position: Point3 = (0.0, 0.0, 0.0)
    known: int = 0
    motion: int | None = None
    plane: int = 17
    absolute: bool = True
    inverse_time: bool = False
    unit: float = 1.0
    initial_return: bool | None = None
    length_offset: int | None = None
    work_offset: int | None = None
    selected: int = 0
    conditions: Conditions = field(default_factory=Conditions)
    sticky: Sticky | None = None
    moves: list[Move] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    ended: bool = False
    cycle_moves: int = 0
    blocks: int = 0

    def forget(self, axes: int) -> None:
        """The place of these axes (bits) is no longer known in program coordinates."""
        self.known &= ~axes
