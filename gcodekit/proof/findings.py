"""The stock and drawing a program is checked against, and the findings of the proof."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from shapely.geometry.base import BaseGeometry

from gcodekit.rs274.program_read import Point3, Problem
from gcodekit.target.demand import ThreadDemand
from gcodekit.target.target import Slice


class TargetSlices(Protocol):
    """The drawing's target for the set-up: its levels, descending, and a slice at any height."""

    @property
    def levels(self) -> tuple[float, ...]:
        """Heights where what is asked changes."""

    @property
    def threads(self) -> tuple[ThreadDemand, ...]:
        """Threads that helical moves have to cut."""

    def asks(self, z: float) -> bool:
        """Tell whether anything has to go at a height."""

    def slice(self, z: float) -> Slice:
        """The target at a height."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """The metal before the program's first cut, program coordinates, mm.

    `at` gives the metal at a height; `levels` are the heights where it changes other than at
    `bottom` and `top`; `lowest` is as deep as a cutter's full diameter may go. `whole` is the
    metal without what was hollowed out of it before: only round that is there room for a cutter to
    come in from; left out, it is the metal itself.
    """

    at: Callable[[float], BaseGeometry]
    bottom: float
    top: float
    lowest: float
    levels: tuple[float, ...] = ()
    whole: Callable[[float], BaseGeometry] | None = None

    @property
    def hollow(self) -> bool:
        """Tell whether there may be stock above free space."""
        return self.whole is not None

    def outer(self, z: float) -> BaseGeometry:
        """The metal at a height, its hollows counted in."""
        return (self.whole or self.at)(z)


@dataclass(frozen=True, slots=True)
class StockFinding:
    """The result of the virtual stock: its cells' width, mm; mm^3 of stock before and after; the
    share of the feed moves' time in which nothing was cut."""

    cell: float
    before: float
    left: float
    air_share: float


@dataclass(frozen=True, slots=True)
class FeatureFinding:
    """mm. `gouge`: how far its cuts leave the finished part; `uncut`: how far metal stands
    inside the drawing; `reachable_uncut`: the same where its finishing cutter could reach."""

    gouge: float = 0.0
    uncut: float = 0.0
    reachable_uncut: float = 0.0


SpaceBox = tuple[Point3, Point3]


@dataclass(frozen=True, slots=True)
class Findings:
    """The proof's result. Lengths in mm; `box` bounds the tip's known places,
    `cutters` are those that move, in order of first use; `stock` is None where no metal is."""

    problems: tuple[Problem, ...]
    features: dict[str, FeatureFinding]
    gouge: float
    uncut: float
    reachable_uncut: float
    blocks: int
    box: SpaceBox | None
    cutters: tuple[int, ...]
    stock: StockFinding | None

    @property
    def passed(self) -> bool:
        """Tell whether there is no error."""
        return all(p.severity != "error" for p in self.problems)
