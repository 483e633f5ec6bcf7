"""The interface of a kind of feature to planning: how it is cut, and with what."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from functools import cache
from importlib import import_module
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from shapely.geometry.base import BaseGeometry

from gcodekit.errors import PlanError
from gcodekit.geometry.overlay import EMPTY
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Feature
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.planned_operation import PlanContext, PlannedOperation
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.rates import Rates

if TYPE_CHECKING:
    from gcodekit.operations.outline_clearing import Area

F = TypeVar("F", bound=Feature)
# Why a cutter cannot make a shape, and what would do: that takes long to find.
Unfit = tuple[str, Callable[[], str]]


class KindCutting(ABC, Generic[F]):
    """The way that features of one kind are cut; a kind's own module holds what differs from most.

    to_wall : it is cut back to a wall, the cutter coming in from beside the metal
    follows_line : its cutters go along its line, and turn in its corners
    one_stroke : it is cut along a line at one go, not stroke beside stroke
    enclosed : it is cut all within what is drawn
    either_way : it is roughed along its outline or at constant engagement, whichever is quicker
    roughed_larger : a larger cutter may clear it before the one that gets everywhere
    any_mill : any mill that goes in may cut it
    """

    to_wall = False
    follows_line = False
    one_stroke = False
    enclosed = False
    either_way = False
    roughed_larger = False
    any_mill = False

    # -- what it takes -----------------------------------------------------------------------

    @abstractmethod
    def asked(self, feature: F, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """The target of a feature, as planning sees it."""

    @abstractmethod
    def footprint(self, work: PlanContext, feature: F) -> BaseGeometry | None:
        """The area it covers in plan; None for all of the top."""

    def clears(self, feature: F) -> bool:
        """Tell whether nothing stands over its floor once it is cut."""
        del feature
        return False

    def cleared(self, work: PlanContext, feature: F) -> Region | None:
        """The area it clears within its outlines; None for anything else."""
        del work, feature
        return None

    def taken(self, feature: F, chosen: Chosen, asked: PlannedTarget, z: float) -> BaseGeometry:
        """The area that all its cutters take in plan at a height."""
        del feature, chosen
        return asked.required_at(z)

    def runs_on(self, work: PlanContext, feature: F, by: float) -> list[Region]:
        """The areas where its cutters may run out past its ends, by so many mm."""
        del work, feature, by
        return []

    def level_floor(self, feature: F) -> bool:
        """Tell whether it leaves a level floor at its full depth, where it has one and is
        finished."""
        del feature
        return False

    def surface(self, feature: F, top: float, around: FeatureContext) -> float:
        """The height that its depth is measured from, mm: the highest stock over it; `top` for all
        but spots."""
        del feature, around
        return top

    # -- its cutters -------------------------------------------------------------------------

    @abstractmethod
    def choose(
        self, work: PlanContext, feature: F, top: float, footprint: BaseGeometry | None
    ) -> Chosen:
        """The cutters of a feature, those of the job or of the rack. Raises `PlanError` naming what
        is missing or cannot do the work. `top`: height of the stock over it."""

    def settled(
        self, work: PlanContext, feature: F, chosen: Chosen, top: float, around: FeatureContext
    ) -> Chosen:
        """The cutters once it is known what stands beside the feature. Raises `PlanError`."""
        del work, feature, top, around
        return chosen

    def area(self, work: PlanContext, feature: F, cutter: Cutter) -> Region | None:
        """The area that a cutter has to reach all of; None for what it only has to get into."""
        del work, feature, cutter
        return None

    def enclosed_areas(
        self, work: PlanContext, feature: F, chosen: Chosen, top: float
    ) -> Iterator[Area]:
        """The areas that a cutter needs a way down into; none where it comes in from a side."""
        del work, feature, chosen, top
        yield from ()

    def widest_cut(self, feature: F, cutter: Cutter, rates: Rates) -> float:
        """The widest cut that roughing takes, mm: at constant engagement never the whole cutter."""
        even = feature.cutting.way == "constant engagement"
        return min(rates.stepover if even else cutter.diameter, cutter.diameter)

    # -- what cannot be ----------------------------------------------------------------------

    def misses(self, work: PlanContext, feature: F, chosen: Chosen) -> PlanError | None:
        """The refusal of a feature that cuts no stock at all, where that depends on its cutters."""
        del work, feature, chosen
        return None

    def check_beside(
        self, work: PlanContext, feature: F, chosen: Chosen, around: FeatureContext
    ) -> None:
        """Raise `PlanError` where its cutters run into what others keep."""
        del work, feature, chosen, around

    def swept(self, work: PlanContext, feature: F, cut: FinishingCut) -> BaseGeometry | None:
        """The area that the finishing cutter sweeps along it; None where it may come in from
        outside, or never has to."""
        del work, feature, cut
        return None

    def drawn_by(self, feature: F) -> str:
        """The key that draws it."""
        del feature
        return "outline"

    def in_reach(self, work: PlanContext, feature: F, required: BaseGeometry) -> BaseGeometry:
        """The part of its stock that is to be reached where no cutter coming from anywhere gets
        in."""
        del work, feature, required
        return EMPTY

    def cautions(self, work: PlanContext, feature: F, chosen: Chosen) -> tuple[str, ...]:
        """Warnings for whoever runs the program, a line each."""
        del work, feature, chosen
        return ()

    # -- how it is cut -----------------------------------------------------------------------

    @abstractmethod
    def drafts(
        self, work: PlanContext, feature: F, chosen: Chosen, top: float, around: FeatureContext
    ) -> list[PlannedOperation]:
        """The operations of a feature. Raises `PlanError`."""


@cache
def _of(name: str) -> KindCutting[Any]:  # each takes features of its own kind, and no others
    found: KindCutting[Any] = import_module(f"gcodekit.operations.{name}").CUTTING
    return found


def cutting_of(feature: Feature) -> KindCutting[Any]:  # of that feature's kind
    """Return how a feature is cut, from the module named after its kind."""
    return _of(feature.kind)
