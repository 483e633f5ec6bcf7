"""What holds the work, as checked: program coordinates of its set-up, mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from gcodekit.geometry.chain import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Vise:
    """Jaws along `along`, closing across it; `parallels` is (height, thickness) of the pair."""

    grip: float
    jaw_width: float
    jaw_depth: float
    along: Literal["x", "y"] = "x"
    centre: Point = (0.0, 0.0)
    fixed: str = "back"
    parallels: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chuck:
    """On the table, jaws up round the middle of the work; `jaw_height` is how far they stand out
    of the chuck's face, `angle` where the first of them is."""

    diameter: float
    jaws: int
    grip: float
    jaw_height: float
    angle: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Clamp:
    """`size` is (width, length), `height` above the work's top."""

    at: Point
    size: tuple[float, float]
    height: float
    angle: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bolts:
    """Down through the holes of a feature cut before, at `places`; `diameter` is the holes'."""

    feature: str
    places: tuple[Point, ...]
    diameter: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """How the work is held; all None and no clamps: not said."""

    vise: Vise | None = None
    chuck: Chuck | None = None
    clamps: tuple[Clamp, ...] = ()
    board: float | None = None
    rotary: Point | None = None
    bolts: Bolts | None = None

    @property
    def said(self) -> bool:
        """Whether any holding was given."""
        bases = (self.vise, self.chuck, self.clamps, self.rotary, self.bolts)
        return any(bases) or self.board is not None
