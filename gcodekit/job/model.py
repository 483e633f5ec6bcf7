"""A checked job: what the job and workshop files say, every length in mm, angle in radians,
feed in mm/min, and every place in the program coordinates of its set-up."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Protocol

from gcodekit.errors import Fault, Place
from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.region import Region
from gcodekit.job.band import Band
from gcodekit.job.holdings import Hold
from gcodekit.job.hole_shapes import Counterbore, Countersink
from gcodekit.job.workshop.machine import Units, Workshop
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material
from gcodekit.trade.threads import Thread

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

RoughWay = Literal["even load", "follow outline", "to and fro"]
Direction = Literal["climb", "conventional"]
Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Raw stock in its own frame, corner left front bottom at 0, 0, 0; `size` is x, y, z overall.

    A round bar has its axis along `axis`, its diameter is the size across it. `plates` > 1: a
    stack cut as one; `size` is the whole stack's. `hollow` is what a tube or a shaped plate lacks
    of its bar or block all along its axis, seen along that, from its lower left corner.
    """

    shape: Literal["block", "round"]
    size: tuple[float, float, float]
    axis: Literal["x", "y", "z"] = "z"
    plates: int = 1
    oversize: float = 0.0  # every side not yet machined may lie this much further out
    hollow: BaseGeometry | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RawStock:
    """The raw stock as it sits in a set-up, program coordinates.

    `low`, `high` are opposite corners of its box; a round's axis runs along `axis` (program axes)
    through the middle of the box.
    """

    shape: Literal["block", "round"]
    low: tuple[float, float, float]
    high: tuple[float, float, float]
    axis: Literal["x", "y", "z"] = "z"
    plates: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """`top`: datum; `floor`: the drawing's floor (the metal's bottom when `through`);
    `cut_to`: where the cutter's full diameter goes (floor, or floor less the breakthrough)."""

    top: float
    floor: float
    through: bool
    cut_to: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """How a feature is to be cut; None where the job leaves it to the plan. `way`: how it is
    roughed. `places` are where the job gives its figures, by key."""

    cutter: Cutter | None = None
    rough_with: Cutter | None = None
    rough: bool = True
    way: RoughWay | None = None
    finish: bool = True
    wall_allowance: float | None = None
    floor_allowance: float | None = None
    spring_passes: int = 0
    direction: Direction = "conventional"
    speed: float | None = None
    feed: float | None = None
    plunge_feed: float | None = None
    stepdown: float | None = None
    stepover: float | None = None
    places: Mapping[str, Place] = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Feature:
    name: str
    place: Place
    depth: Depth
    cutting: Cutting
    after: str | None = None  # the feature (and its copies) that this one comes after
    copy_of: str = ""  # the feature that this is one of the `copies` of
    stage: int = 0  # how many stops stand before it
    band: Band | None = None  # the limits of its size; widths and outlines here are those aimed at


@dataclass(frozen=True, slots=True, kw_only=True)
class Face(_Feature):
    """Mill flat. `outline` None: the work's whole top."""

    outline: Region | None = None
    kind: Literal["face"] = "face"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pocket(_Feature):
    """`outline` less `islands` cleared to a flat floor. `area` is that difference, as drawn."""

    outline: Region
    islands: tuple[Region, ...] = ()
    area: Region
    corner: float | None = None
    kind: Literal["pocket"] = "pocket"


SlotEnd = Literal["round", "open"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot(_Feature):
    """`path` is the centre line between the centres of the end radii."""

    path: Chain
    width: float
    ends: tuple[SlotEnd, SlotEnd] = ("round", "round")
    kind: Literal["slot"] = "slot"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tabs:
    """Evenly spread when `at` is empty, else nearest to those points."""

    count: int = 0
    width: float
    height: float
    at: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile(_Feature):
    """Along a closed `outline`, or an open `path`; `side` is where the cutter stands."""

    outline: Region | None = None
    path: Chain | None = None
    side: Literal["outside", "inside", "on", "left", "right"]
    tabs: Tabs | None = None
    skin: float | None = None
    kind: Literal["profile"] = "profile"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore(_Feature):
    """Milled helically and finished to size. `diameter` is the one aimed at."""

    places: tuple[Point, ...]
    diameter: float
    finish_with: Literal["end mill", "boring head", "reamer"] = "end mill"
    kind: Literal["bore"] = "bore"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole(_Feature):
    """Spotted, drilled and perhaps reamed or tapped. `diameter` is the one aimed at, of a threaded
    hole the tapping drill's. `peck`: depth of a peck, 0.0 for none, None to leave it to the plan.
    `drilled` False: spot or countersink only. `spot_asked`: by the job, not by default. `pilot`:
    diameter of a smaller drill that goes first."""

    places: tuple[Point, ...]
    diameter: float
    spot: bool = True
    spot_asked: bool = False
    pilot: float | None = None
    peck: float | None = None
    ream: bool = False
    thread: Thread | None = None
    tapping: Literal["by hand", "machine"] = "by hand"
    drill_depth: float | None = None
    counterbore: Counterbore | None = None
    countersink: Countersink | None = None
    drilled: bool = True
    kind: Literal["hole"] = "hole"

    @property
    def widest(self) -> float:
        """Largest diameter it takes of the metal."""
        mouths = (self.counterbore, self.countersink)
        return max(self.diameter, *(m.diameter for m in mouths if m), 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge(_Feature):
    """One side milled back to a plane through `point`: the metal beyond it, on the side that the
    unit vector `away` points to, goes."""

    point: Point
    away: Point
    kind: Literal["edge"] = "edge"


@dataclass(frozen=True, slots=True, kw_only=True)
class Boss(_Feature):
    """`kept` is left standing, everything round it goes: as far as `within`, or None: to the edge
    of the metal."""

    kept: Region
    within: Region | None = None
    kind: Literal["boss"] = "boss"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sector(_Feature):
    """Cut to a radius about `centre`, counter-clockwise from angle `start` to `end` (start < end,
    a full turn at most): what lies beyond it (`outside`) or within it goes, from `from_radius`;
    None: from the metal's limit. `open_ends`: the cutter may run on."""

    centre: Point
    radius: float
    start: float
    end: float
    side: Literal["outside", "inside"]
    from_radius: float | None = None
    open_ends: bool = False
    kind: Literal["arc"] = "arc"

    @property
    def whole(self) -> bool:
        """Whether it goes all the way round."""
        return self.end - self.start > math.tau - 1e-9


Feature = Face | Pocket | Slot | Profile | Bore | Hole | Edge | Boss | Sector


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """The program waits while the operator does what `text` says; from there on the work is held
    by `hold`."""

    name: str
    place: Place
    text: str
    hold: Hold


class Removal(Protocol):
    """Metal that is gone, by its sections."""

    @property
    def levels(self) -> tuple[float, ...]:
        """Heights where the section changes."""

    def section(self, z: float) -> BaseGeometry:
        """What is gone at a height."""

    def pieces(self, z: float) -> list[BaseGeometry]:
        """The same in pieces that may overlap."""

    @property
    def upright(self) -> bool:
        """Whether it was cut from the face that is up, or from the opposite one: its section then
        changes at levels only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """One set-up: one program (or one a cutter). `place` is its header's line in the job.

    `raw` is as large as the stock may be, its oversize counted in.
    """

    name: str
    place: Place
    raw: RawStock
    zero_text: str  # "x left + 5, y front + 10, z top": for headers and sheets, units of the job
    clearance: float
    breakthrough: float
    work_offset: int
    hold: Hold
    features: tuple[Feature, ...]
    stops: tuple[Stop, ...] = ()
    up: str = "top"
    turn: float = 0.0
    order: Literal["planned", "as written"] = "planned"
    origin: tuple[float, float, float] = (0.0, 0.0, 0.0)  # program zero in the stock frame, mm
    against: str | None = None  # the finished face at the fixed jaw, in words for the sheet
    down: str | None = None  # the finished face that is down, likewise
    loose: bool = False  # what was cut free of the part before has been taken away
    # what set-ups before have taken away, as this one sees it
    gone: tuple[Removal, ...] = field(default=(), compare=False, repr=False)
    # of that, what the raw stock never had
    missing: tuple[Removal, ...] = field(default=(), compare=False, repr=False)
    cut_down: RawStock | None = None  # the least block or bar round what they left; None: raw
    as_drawn: RawStock | None = None  # that without its oversize; None: it has none
    oversize: tuple[Vector, Vector] = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))  # of `raw`'s low and high

    @property
    def holds(self) -> tuple[Hold, ...]:
        """How the work is held in each stage: at first, and after each stop."""
        return (self.hold, *(stop.hold for stop in self.stops))

    @property
    def left(self) -> RawStock:
        """The least block or bar round the metal there is, its oversize counted in."""
        return self.cut_down or self.raw

    @property
    def sure(self) -> RawStock:
        """The least block or bar round the metal as drawn."""
        return self.as_drawn or self.left


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A whole job, checked. `warnings` were found on the way and stop nothing."""

    name: str
    file: str
    path: Path
    units: Units
    material: Material
    tolerance: float
    stock: Stock
    workshop: Workshop
    post: str
    setups: tuple[Setup, ...]
    warnings: tuple[Fault, ...] = ()
    fingerprint: str = ""  # of the job file, its workshop, its drawings and what was given
    given: tuple[tuple[str, str], ...] = ()  # dimensions given in place of the file's, as written
