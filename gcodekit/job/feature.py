"""What every feature of a job is: its depth, its cutting, and all that others ask of its drawing.

Each kind is a class of its own in `job.kinds`; what is asked of any feature is declared here.
Lengths in mm, angles in radians, feeds in mm/min, places in program coordinates.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, ClassVar, Literal, Self

from gcodekit.errors import Place
from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.region import Region, Shift
from gcodekit.job.band import Band
from gcodekit.job.document.wording import one
from gcodekit.job.keys.reading import Table
from gcodekit.job.measured import Measured, SizeAcross
from gcodekit.job.raw_stock import RawStock
from gcodekit.trade.cutter import SIDE_MILLS, Cutter

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from gcodekit.job.holdings import Hold

RoughWay = Literal["constant engagement", "contour parallel", "zigzag"]
Direction = Literal["climb", "conventional"]
CutterKey = Literal["cutter", "rough_with"]
# What is wrong, and what would be right.
Wrong = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """`top`: datum; `floor`: the drawing's floor (the metal's bottom when `through`);
    `cut_to`: where the cutter's full diameter goes (floor, or floor less the breakthrough).
    `into`: the earlier feature that it breaks into at its floor; `far`: z of that one's other side,
    -inf where it is open below."""

    top: float
    floor: float
    through: bool
    cut_to: float
    into: str = ""
    far: float = -math.inf

    @property
    def opens(self) -> bool:
        """Whether there is free space below: no lead or chip needs more room."""
        return self.through or bool(self.into)


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


@dataclass(frozen=True, slots=True)
class Freed:
    """What a feature cuts free over the metal's whole height: the part itself, or a `slug` that
    falls out of it."""

    area: Region
    slug: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Rim:
    """An edge that a feature leaves at its top: along an `outline`, an open `path`, or round holes
    of a `diameter` at `places`; `side`: where the metal is gone. `unknown`: why nobody can say
    where it is, else empty."""

    side: Literal["outside", "inside", "left", "right"] = "inside"
    outline: Region | None = None
    path: Chain | None = None
    places: tuple[Point, ...] = ()
    diameter: float = 0.0
    unknown: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature(ABC):
    """A feature. `after`: the feature (and its copies) that this one comes after; `copy_of`: the
    one that this is one of the copies of; `stage`: how many stops stand before it; `band`: the
    limits of its size, widths and outlines here being those aimed at; `measured`: what was measured
    of it after a finishing pass, which the next one makes up for."""

    name: str
    place: Place
    depth: Depth
    cutting: Cutting
    after: str | None = None
    copy_of: str = ""
    stage: int = 0
    band: Band | None = None
    measured: Measured | None = None

    kind: ClassVar[str]
    # Whether a cutter's side cuts it, and leaves a floor for others to start from.
    milled: ClassVar[bool] = True
    # Whether face mills and fly cutters do it.
    faces: ClassVar[bool] = False
    # Whether a pass of its own finishes its floor, or can.
    floor_finished: ClassVar[bool] = False

    # -- what is drawn -----------------------------------------------------------------------

    @abstractmethod
    def moved(self, shift: Shift) -> Self:
        """The same feature elsewhere. The metal side stays: left and right change hands in a
        mirror."""

    def among(self, features: Sequence[Feature], bottom: float, holds: Sequence[Hold]) -> Self:
        """The same, knowing every feature of its set-up; `bottom`: z of the stock's bottom, mm;
        `holds`: how the work is held in each stage."""
        del features, bottom, holds
        return self

    @abstractmethod
    def lines(self, metal: BaseGeometry) -> tuple[Chain, ...]:
        """The lines it is drawn by, on metal with this plan."""

    @property
    def weight(self) -> int:
        """How many places, or lines and arcs, it is made of."""
        return 1

    @property
    def half_width(self) -> float:
        """How far it reaches to either side of its lines."""
        return 0.0

    def size_words(self, say: Callable[[float], str]) -> str:
        """Its size in a callout; "" where that is worked out of its shape. `say` writes a
        length."""
        del say
        return ""

    @property
    def open_ended(self) -> bool:
        """Whether it runs out of the metal at an end of its line."""
        return False

    @property
    def whole_top(self) -> bool:
        """Whether it is all of the work's top, drawn by nothing."""
        return False

    @property
    def keeps(self) -> tuple[Region, ...]:
        """What is drawn to stay standing inside it, or within its line."""
        return ()

    @property
    def spares(self) -> bool:
        """Whether it leaves standing what others keep in what it clears, unless it stands on it."""
        return False

    @property
    def threads(self) -> tuple[tuple[Point, float, float], ...]:
        """Its threads: the axis in plan, and the radii of crests and roots."""
        return ()

    @property
    def axis(self) -> Point | None:
        """Where the one axis of what is round stands in plan; None where there is none."""
        return None

    @property
    def has_depth(self) -> bool:
        """Whether it is cut to a depth: a hole may be spotted or countersunk and no more."""
        return True

    @property
    def undercut(self) -> tuple[float, float] | None:
        """The heights between which it takes stock and leaves what is above; None where it takes
        all above its floor."""
        return None

    @property
    def aimed(self) -> bool:
        """Whether the program makes its size: a drill or reamer has its own."""
        return True

    def across(self) -> SizeAcross | Wrong:
        """The sizes that a gauge finds across it between walls that a pass of its own finishes;
        else why there is none, and what to do."""
        text = f"{one(self.kind)} has no size across that a finishing pass could correct"
        return text, "remove it, and change the drawing or the cutter"

    def in_one_pass(self) -> str:
        """Why no finishing pass of its own makes its size or floor; "" where one does."""
        return "" if self.cutting.finish else "finish = false leaves it without a finishing pass"

    def no_floor(self) -> str:
        """Why no finishing pass can cut its floor deeper; "" where one can."""
        if self.depth.opens:
            return "it goes right through, so it has no depth to correct"
        if not self.floor_finished or not self.has_depth:
            return f"no finishing pass makes the depth of {one(self.kind)}"
        return self.in_one_pass()

    def rims(self, metal: BaseGeometry) -> tuple[Rim, ...]:
        """The edges that it leaves at its top, on metal with this plan."""
        del metal
        return ()

    @property
    def optional(self) -> bool:
        """Whether the job goes on without it where it cannot be cut, with a warning."""
        return False

    def clears_top(self, raw: RawStock) -> bool:
        """Tell whether the whole top of the metal goes."""
        del raw
        return False

    # -- what goes, and what comes free ------------------------------------------------------

    @abstractmethod
    def taken_area(self, metal: BaseGeometry, narrowest: float) -> BaseGeometry:
        """In plan, what goes down to its depth, of metal with this plan; `narrowest`: the
        narrowest mill of the rack."""

    def all_round(self) -> BaseGeometry | None:
        """The same of what is drawn all round; None of anything else."""
        return None

    @property
    def standing(self) -> float:
        """How high what holds its piece stands at the metal's bottom."""
        return 0.0

    @property
    def freed(self) -> Freed | None:
        """What it cuts free, but for tabs or a skin."""
        return None

    def zero_lost(self, raw: RawStock, narrowest: float) -> Literal["x", "y"] | None:
        """The axis whose zero lies on an edge of the metal that it cuts away for good."""
        del raw, narrowest
        return None

    # -- what is wrong with it ---------------------------------------------------------------

    @abstractmethod
    def check_in_metal(self, table: Table, raw: RawStock, key: str) -> None:
        """Note where it lies outside the metal; at `key`, or at what draws it."""

    def check_depths(self, table: Table, bottom: float) -> None:
        """Note further depths that do not go with the metal, its bottom at z `bottom`."""
        del table, bottom

    def bad_cutter(
        self, cutter: Cutter, key: CutterKey, say: Callable[[float], str]
    ) -> Wrong | None:
        """Why a cutter that is named cannot do this."""
        del say
        if cutter.kind in ("drill", "spot drill"):
            return "is a drill and cannot mill", "name an end mill"
        if cutter.kind not in SIDE_MILLS:
            return f"is {one(cutter.kind)} and cannot mill {one(self.kind)}", "name an end mill"
        if cutter.kind == "fly cutter" and not self.faces:
            return f"cannot mill {one(self.kind)}", "use a fly cutter for faces only"
        if cutter.kind == "ball-nose end mill" and key == "cutter" and self.cutting.finish:
            return "leaves no flat floor", "finish with a flat end mill"
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Round(Feature):
    """Round holes of one diameter, the one aimed at, at several places."""

    places: tuple[Point, ...]
    diameter: float

    @property
    def weight(self) -> int:
        """Its places."""
        return len(self.places)

    @property
    def axis(self) -> Point | None:
        """Of a single one."""
        return self.places[0] if len(self.places) == 1 else None

    @property
    def widest(self) -> float:
        """Largest diameter it takes of the metal."""
        return self.diameter
