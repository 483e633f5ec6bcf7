"""A checked job: what the job and workshop files say, every length in mm, angle in radians,
feed in mm/min, and every place in the program coordinates of its set-up."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Protocol

from gcodekit.errors import Fault, Place
from gcodekit.job.feature import Feature
from gcodekit.job.holdings import Hold
from gcodekit.job.raw_stock import RawStock, Stock
from gcodekit.job.workshop.machine import Units, Workshop
from gcodekit.trade.materials import Material

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from gcodekit.geometry.region import Region

Vector = tuple[float, float, float]


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
        """Find what is gone at a height."""

    def pieces(self, z: float) -> list[BaseGeometry]:
        """The same in pieces that may overlap."""

    @property
    def upright(self) -> bool:
        """Whether it was cut from the face that is up, or from the opposite one: its section then
        changes at levels only."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One of the pieces that an earlier `setup` has parted the stock into: the one that stands at
    x, y, or x, y, z of that set-up's program coordinates, mm."""

    setup: str
    at: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """One set-up: one program (or one a cutter). `place` is its header's line in the job.

    `raw` is as large as the stock may be, its oversize counted in.
    """

    name: str
    place: Place
    raw: RawStock
    zero_text: str  # "x left + 5, y front + 10, z top": for headers and sheets, units of the job
    # the sides that x, y and z of it are counted from: axis, 0 for the low one or 1 for the high
    zero_touched: frozenset[tuple[int, int]] = frozenset()
    zero_on: str | None = None  # the feature that its x and y are on
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
    piece: Piece | None = None  # the piece that is taken, where an earlier set-up has parted it
    strangers: frozenset[str] = frozenset()  # earlier set-ups that took another piece
    # what set-ups before have taken away, as this one sees it
    gone: tuple[Removal, ...] = field(default=(), compare=False, repr=False)
    # of that, what the raw stock never had
    missing: tuple[Removal, ...] = field(default=(), compare=False, repr=False)
    cut_down: RawStock | None = None  # the least block or bar round what they left; None: raw
    as_drawn: RawStock | None = None  # that without its oversize; None: it has none
    oversize: tuple[Vector, Vector] = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))  # of `raw`'s low and high

    def shares_stock(self, other: Setup) -> bool:
        """Tell whether this set-up and another cut the same piece, or one cut what became both."""
        return other.name not in self.strangers and self.name not in other.strangers

    @property
    def holds(self) -> tuple[Hold, ...]:
        """How the work is held in each stage: at first, and after each stop."""
        return (self.hold, *(stop.hold for stop in self.stops))

    def kept_higher(self, feature: Feature) -> list[Region]:
        """Find what other features keep standing that is higher than one's floor."""
        others = (o for o in self.features if o.name != feature.name)
        higher = (o for o in others if o.depth.top > feature.depth.cut_to)
        return [kept for other in higher for kept in other.keeps]

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
