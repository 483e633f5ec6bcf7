"""The scales of a hand-moved table: a digital readout's steps or a dial's divisions, and how a
position reads on them."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from gcodekit.geometry.chain import Point
from gcodekit.job.workshop.dials import dial_reading
from gcodekit.job.workshop.machine import Dial, Machine
from gcodekit.units import MM_PER_INCH, Units

# The finest step that digital readouts of hobby mills show, mm: 0.01 mm and 0.0005 in. Common
# practice, no source.
READOUT = {"mm": 0.01, "inch": 0.0005 * MM_PER_INCH}
# How far past a position the table is wound before it comes back to it, mm, at the least: more
# than any usable screw has backlash. Common practice, no source.
TAKE_UP = {"mm": 1.0, "inch": 0.05 * MM_PER_INCH}
# The times its known backlash that an axis is wound past a position.
TAKE_UP_TIMES = 3.0


@dataclass(frozen=True, slots=True)
class AxisScale:
    """One axis: `step` is a division or a readout's step, mm. `turn` is the travel of one turn of
    the handwheel, mm (None: not known, or a readout). `reversed_`: the dial's numbers rise as the
    cutter goes toward minus. `dial` False: a digital readout."""

    step: float
    units: Units
    dial: bool = False
    turn: float | None = None
    reversed_: bool = False

    def steps(self, mm: float) -> float:
        """A position in steps of the scale."""
        return mm / self.step

    def at(self, count: int) -> float:
        """The position of a whole number of steps, mm."""
        return count * self.step

    def near(self, mm: float, spread: int = 1) -> list[float]:
        """Positions on the scale round one, mm, the nearest first."""
        low = math.floor(self.steps(mm) + 1e-9)
        counts = range(low - spread + 1, low + spread + 1)
        return sorted((self.at(c) for c in counts), key=lambda p: abs(p - mm))

    def shallow(self, z: float) -> float:
        """The depth on the scale that goes no deeper than z."""
        return self.at(math.ceil(self.steps(z) - 1e-6))

    def from_plus(self, mm: float, backlash: float | None) -> float:
        """Where a dial that is turned toward minus has to be stopped, mm: it is ahead of the table
        by the backlash, and stops short rather than too far. A readout shows the table itself."""
        if not self.dial or not backlash:
            return mm
        return mm - self.at(math.floor(self.steps(backlash) + 1e-6))

    def reads(self, mm: float) -> str:
        """A position on the scale as it reads: mm or inch; on a dial whole turns from zero, then
        the division, the numbers rising as the dial's do."""
        if not self.dial:
            return self._plain(mm)
        count = round(self.steps(-mm if self.reversed_ else mm))
        return dial_reading(count, None if self.turn is None else round(self.turn / self.step))

    def _plain(self, mm: float) -> str:
        value, places = (mm, 2) if self.units == "mm" else (mm / MM_PER_INCH, 4)
        text = f"{value:.{places}f}"
        return text.removeprefix("-") if float(text) == 0 else text


@dataclass(frozen=True, slots=True, kw_only=True)
class TableScales:
    """The scales of X, Y and Z. `backlash` of X and Y is None where nobody measured it, mm."""

    x: AxisScale
    y: AxisScale
    z: AxisScale
    units: Units
    backlash: tuple[float, float] | None = None
    take_up: float = field(default=TAKE_UP["mm"])

    @property
    def dials(self) -> bool:
        """Whether the table is set by dials."""
        return self.x.dial

    @property
    def coarsest(self) -> float:
        """The larger step of X and Y, mm: how far a reading may be from the position."""
        return max(self.x.step, self.y.step)

    def place(self, point: Point) -> tuple[str, str]:
        """How a place reads in X and Y."""
        return self.x.reads(point[0]), self.y.reads(point[1])

    def nearest(self, point: Point) -> Point:
        """The place on both scales nearest to a point."""
        return self.x.near(point[0])[0], self.y.near(point[1])[0]


def scales_of(machine: Machine, units: Units) -> TableScales:
    """The scales of a machine: its dials, or where X and Y have none a digital readout in the job's
    units."""
    dial, backlash = machine.dial, machine.backlash
    readout = AxisScale(READOUT[units], units)
    known = max(backlash) * TAKE_UP_TIMES if backlash else 0.0
    take_up = max(TAKE_UP[units], known)
    if dial is None or None in dial.divisions[:2]:
        return TableScales(
            x=readout, y=readout, z=readout, units=units, backlash=backlash, take_up=take_up
        )
    x, y = (_dialled(dial, axis, units) for axis in (0, 1))
    z = _dialled(dial, 2, units) if dial.divisions[2] is not None else readout
    return TableScales(x=x, y=y, z=z, units=units, backlash=backlash, take_up=take_up)


def _dialled(dial: Dial, axis: int, units: Units) -> AxisScale:
    step = dial.divisions[axis]
    assert step is not None  # asked for before
    return AxisScale(step, units, True, dial.turns[axis], "xyz"[axis] in dial.reversed_axes)
