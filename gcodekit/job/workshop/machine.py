"""The workshop as checked: one machine and its rack; mm, mm/min, rev/min."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from gcodekit.errors import Place
from gcodekit.geometry.chain import Point
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material
from gcodekit.trade.rates import CuttingLimits, Rigidity, SpindleLimits

Units = Literal["mm", "inch"]
AXES = ("x", "y", "z")
ToolChange = Literal["by hand", "automatic", "separate files"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spindle:
    """`steps` are the speeds of a belt or gear head (rev/min); empty means stepless."""

    slowest: float
    fastest: float
    power: float | None = None
    steps: tuple[float, ...] = ()
    by_hand: bool = False
    reverse: bool = False
    start_time: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """The handwheels' dials: one division of X, Y and Z and the travel of a whole turn, mm, None
    where not given. The numbers of `reversed_axes` rise as the cutter goes toward minus."""

    divisions: tuple[float | None, float | None, float | None]
    turns: tuple[float | None, float | None, float | None] = (None, None, None)
    reversed_axes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """One machine of the workshop file. `converted` are the axes that its control drives."""

    name: str
    post: str = "rs274_full"
    travel: tuple[float, float, float] | None = None
    rapid: float = 1000.0
    feed_max: float = 500.0
    acceleration: float = 100.0
    spindle: Spindle
    rigidity: Rigidity = "light"
    backlash: tuple[float, float] | None = None
    tool_change: ToolChange = "by hand"
    tool_length: Literal["touch off", "table"] = "touch off"
    coolant: Literal["none", "mist", "flood"] = "none"
    converted: tuple[str, ...] = AXES
    park: Point | None = None
    park_z: float | None = None
    edge_finder: float | None = None
    dial: Dial | None = None
    feeler: float | None = None

    @property
    def by_hand(self) -> tuple[int, ...]:
        """The axes on their handwheels: 0, 1, 2 for X, Y, Z."""
        return tuple(i for i, axis in enumerate(AXES) if axis not in self.converted)

    @property
    def hand_letters(self) -> str:
        """The same as letters."""
        return "".join("XYZ"[i] for i in self.by_hand)

    @property
    def cutting_limits(self) -> CuttingLimits:
        """What its cuts are held within."""
        s = self.spindle
        return CuttingLimits(
            spindle=SpindleLimits(
                slowest=s.slowest, fastest=s.fastest, steps=s.steps, power=s.power
            ),
            feed_max=self.feed_max,
            rigidity=self.rigidity,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Workshop:
    """The machine, the rack, and the materials of the workshop's own."""

    file: str
    units: Units
    machine: Machine
    cutters: tuple[Cutter, ...]
    cutter_places: dict[int, Place] = field(default_factory=dict)
    materials: tuple[Material, ...] = ()
