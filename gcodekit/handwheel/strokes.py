"""The work of the hands: stops of the table, strokes between them, holes and turns of a rotary
table. Places are of the cutter's axis, on the table's scales, program coordinates, mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from gcodekit.geometry.chain import Point
from gcodekit.trade.cutter import Cutter

# Which handle is turned to come to a stop: one, or first one and then the other; "down": the
# cutter is up, goes there and comes down.
Handle = Literal["down", "x", "y", "xy", "yx"]


@dataclass(frozen=True, slots=True)
class TableStop:
    """A place where the table stops, and the handles that bring it there."""

    handle: Handle
    at: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class StrokeTable:
    """The same stops at one depth after another. `stepped`: some of them are steps along a line
    that no single handle follows."""

    depths: tuple[float, ...]
    stops: tuple[TableStop, ...]
    stepped: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnStroke:
    """One cut on the rotary table: the cutter's axis at `radius` from the table's; the drawing's
    angle under the cutter goes from `start` to `end`, radians."""

    radius: float
    start: float
    end: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnTable:
    """Cuts on the rotary table, at one depth after another; `centre` is its axis."""

    depths: tuple[float, ...]
    centre: Point
    turns: tuple[TurnStroke, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HandHole:
    """One hole of a table: to `bottom` at the cutter's tip, in pecks of `peck` (0: at one go)."""

    at: Point
    bottom: float
    peck: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleTable:
    """Holes of one cutter in order; `start`: the height where feeding begins."""

    holes: tuple[HandHole, ...]
    start: float


HandTable = StrokeTable | TurnTable | HoleTable


@dataclass(frozen=True, slots=True, kw_only=True)
class HandOperation:
    """One cutter's work on one feature by hand. `speed` in rev/min, `feed` in mm/min; `stops` are
    what the operator does before it, `notes` what is said of it; `instead`: why it cannot be done
    by hand and what to do, and there are no tables then. `file_to`: how much its steps leave to
    file off, mm."""

    feature: str
    label: str
    cutter: Cutter
    speed: float
    feed: float
    tables: tuple[HandTable, ...]
    touch_off: str = ""
    stops: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    instead: str = ""
    file_to: float = 0.0
