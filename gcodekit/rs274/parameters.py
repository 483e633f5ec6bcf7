"""The numbered parameters of a control: which places they hold, and in what units they are read.

Source: NISTIR 6556, 3.2.1, table 2.
"""

from __future__ import annotations

from collections.abc import Mapping

from gcodekit.rs274.program_read import Point3

TOP_INDEX = 5399
# The first (X) of three that hold a place.
PROBED, HOME, SECOND_HOME, AXIS_OFFSETS = 5061, 5161, 5181, 5211
SELECTED = 5220


def first_of(system: int) -> int:
    """The X parameter of a coordinate system, 1 to 9."""
    return 5201 + 20 * system


_LENGTHS = frozenset(
    first + axis
    for first in (PROBED, HOME, SECOND_HOME, AXIS_OFFSETS, *map(first_of, range(1, 10)))
    for axis in range(3)
)


class Parameters:
    """The parameters given or set; places are kept in mm, and read and set in the units in force,
    so that a program which changes its units half way still finds them where they were."""

    __slots__ = ("unit", "unset", "values")

    def __init__(self, given: Mapping[int, float]) -> None:
        self.values: dict[int, float] = dict(given)
        self.unit = 1.0
        self.unset: set[int] = set()

    def get(self, index: int) -> float:
        """The value the program sees; 0 where it was never set, which is noted."""
        value = self.values.get(index)
        if value is None:
            if index == SELECTED:
                return 1.0
            self.unset.add(index)
            return 0.0
        return value / self.unit if index in _LENGTHS else value

    def set(self, index: int, value: float) -> None:
        """Set a value as the program gives it."""
        self.values[index] = value * self.unit if index in _LENGTHS else value

    def place(self, first: int) -> Point3:
        """A place, mm; 0 where it was never set."""
        get = self.values.get
        return get(first, 0.0), get(first + 1, 0.0), get(first + 2, 0.0)

    def known(self, first: int) -> int:
        """The axes of a place that were given or set, as bits."""
        return sum(1 << axis for axis in range(3) if first + axis in self.values)

    def keep(self, first: int, place: Point3) -> None:
        """Set a place, mm."""
        for axis in range(3):
            self.values[first + axis] = place[axis]
