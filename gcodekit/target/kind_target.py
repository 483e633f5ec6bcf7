"""The interface of a kind of feature to the proof and to the second opinion on the stock.

A kind is found by being here: the module of its name holds a class with all that is asked below,
and `TARGET`, one of them. They go by what is drawn, never by what a feature works out of it for
the planner. Lengths in mm, places in program coordinates; solids go on beyond the stock.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from functools import cache
from importlib import import_module
from typing import TYPE_CHECKING, Any, ClassVar, Generic, TypeVar

from manifold3d import CrossSection, Manifold

from gcodekit.geometry.chain import Point
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Feature
from gcodekit.job.model import Setup
from gcodekit.target.bodies import Box
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.setup_metal import SetupSoFar
from gcodekit.target.volumes import AMPLE, Extent, Finish, Middle, reached, unfinished, upright
from gcodekit.units import Units

if TYPE_CHECKING:
    from gcodekit.target.neighbours import Neighbours

F = TypeVar("F", bound=Feature)

# Cutters run past the metal by their radius and this, mm: the job file's contract. A gap as wide
# ends an open slot.
RUN_OFF = 1.0
# They come down beside the metal no farther from it than their radius, and this, mm, by a small
# one: there is only air.
LEAST_OFF = 2.0


class KindTarget(ABC, Generic[F]):
    """The target of features of one kind."""

    # Whether a window cut in what it keeps is no part of that.
    pierced: ClassVar[bool] = False
    # Whether it takes from top or side alone: what is then left as one piece is the work itself.
    trims: ClassVar[bool] = False
    # Whether it is as wide as its cutter, which is not drawn.
    kerf_wide: ClassVar[bool] = False

    # -- what the proof asks of it -----------------------------------------------------------

    @abstractmethod
    def demand(
        self, feature: F, used: FeatureCutters, so_far: SetupSoFar, others: Neighbours
    ) -> Demand:
        """The demand (required, allowed and kept) with `used` cutting it, after what those
        `so_far` demand."""

    @abstractmethod
    def drawn(self, feature: F, whole: Demand) -> list[Box]:
        """The boxes in plan round what is drawn, or round its `whole` demand where that goes
        farther; none of what has no end."""

    def beyond(self, feature: F, used: FeatureCutters) -> float:
        """How much farther than a whole cutter's run-off its cutters may be beside the stock and
        what is drawn: they come down there, or are led in on an arc."""
        del feature
        return max(used.widest, LEAST_OFF)

    # -- what it leaves to others ------------------------------------------------------------

    def kept(self, feature: F) -> tuple[Region, ...]:
        """The body it keeps above its floor, which other features' cutters stay off."""
        del feature
        return ()

    def window(self, feature: F) -> Region | None:
        """The piece it cuts out of the plate round it, which stays."""
        del feature
        return None

    def part(self, feature: F) -> Region | None:
        """The piece it goes round that is a part once it comes free."""
        del feature
        return None

    def parts_stock(self, feature: F) -> bool:
        """Tell whether its part or window comes free of the stock, but for tabs and a skin."""
        del feature
        return False

    # -- what it takes, as a solid -----------------------------------------------------------

    @abstractmethod
    def in_plan(self, feature: F, setup: Setup, finish: Finish, extent: Extent) -> CrossSection:
        """The area it takes in plan, with corners that its cutter does not reach."""

    def low(self, feature: F, finish: Finish, extent: Extent, setup: Setup) -> float:
        """The height z down to which it takes that."""
        del setup
        low, cutting = feature.depth.cut_to, feature.cutting
        if extent != "least" or feature.depth.through:
            return low
        if not cutting.finish:
            low += AMPLE if cutting.floor_allowance is None else cutting.floor_allowance
        return low + finish.corner_radius

    def reached(self, area: CrossSection, setup: Setup, finish: Finish) -> CrossSection:
        """The part of an area that its cutter reaches."""
        return reached(area, setup, finish)

    def solid(
        self,
        feature: F,
        setup: Setup,
        finish: Finish,
        extent: Extent,
        stock: Manifold | None = None,
    ) -> Manifold:
        """The solid it takes. `stock`: what there is when its turn comes, for what is drawn to run
        on to the end of that; None: it ends as drawn, and at the most where the raw stock does."""
        del stock
        area = self.in_plan(feature, setup, finish, extent)
        if extent == "least":
            area = self.reached(unfinished(area, feature), setup, finish)
        return upright(area, self.low(feature, finish, extent, setup), setup)

    # -- what holds its piece, and what it leaves --------------------------------------------

    def tab_middles(self, feature: F, widest: float) -> tuple[Middle, ...]:
        """The middles of its tabs; `widest`: radius of the widest cutter beside them."""
        del feature, widest
        return ()

    def tabs(self, feature: F, setup: Setup, finish: Finish) -> list[tuple[Point, Manifold]]:
        """Every tab: its middle and its body."""
        del feature, setup, finish
        return []

    def skin(self, feature: F, setup: Setup, finish: Finish) -> Manifold | None:
        """The skin under it."""
        del feature, setup, finish
        return None

    def scrap(self, feature: F, finish: Finish) -> float:
        """The width up to which a piece left at the stock's side is a corner of waste."""
        del feature, finish
        return 0.0

    def remedy(self, feature: F, plate: int, units: Units) -> str:
        """Return what would hold a piece that it leaves free; `plate`: of which of a stack, from 1,
        or 0 where there is none."""
        del plate, units
        if not feature.depth.through:
            return "clamp it, or cut this while tabs or solid stock still hold it"
        return "clamp it, or cut round it with a profile that has tabs"


# Any: which kind it is shows by the name alone, and its module takes that kind's features
def target_kind(feature: Feature) -> KindTarget[Any]:
    """Return the target of a feature's kind."""
    return _named(feature.kind)


@cache
def _named(kind: str) -> KindTarget[Any]:
    found: KindTarget[Any] = import_module(f"gcodekit.target.{kind}").TARGET
    return found
