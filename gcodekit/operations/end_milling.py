"""Features that end mills cut: the obvious one of the rack, and what rules a cutter out."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable, Iterable
from typing import Any, TypeVar

from shapely.geometry.base import BaseGeometry

from gcodekit.errors import Fault, PlanError
from gcodekit.geometry.chain import Arc, Chain
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Feature
from gcodekit.operations.choosing import tool_suggestions
from gcodekit.operations.choosing.roughing_cutter import rougher
from gcodekit.operations.choosing.tool_suggestions import (
    ROUND_SLACK,
    SAME_WIDTH,
    mills_for,
    widest_missed,
)
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.effort import refuse_excess
from gcodekit.operations.entry_room import has_way_in
from gcodekit.operations.kind_cutting import KindCutting, Unfit, cutting_of
from gcodekit.operations.passage import passes, widest_passing
from gcodekit.operations.planned_operation import PlanContext, refuse, wall_allowance
from gcodekit.trade.cutter import Cutter

F = TypeVar("F", bound=Feature)


class EndMilled(KindCutting[F]):
    """A kind of feature that end mills cut.

    goes_in : what the largest one that fits can do, in words
    too_large : what is wrong with a larger one where nothing else is
    how_in, instead : how a mill of the width goes in, and what else could be done, in words
    """

    goes_in = "that reaches all of it"
    too_large = "leaves no room to finish the walls"
    how_in = ""
    instead = ""

    @abstractmethod
    def obvious(
        self, work: PlanContext, feature: F, mills: list[Cutter], top: float
    ) -> Cutter | None:
        """The obvious one of mills whose flutes reach, the largest first; None where none does."""

    def fault(self, work: PlanContext, feature: F, cutter: Cutter) -> Unfit | None:
        """The reason why a cutter cannot make its shape, where no inside radius is too small for
        it."""
        del work, feature, cutter
        return None

    def unfit(self, work: PlanContext, feature: F, cutter: Cutter) -> Unfit | None:
        """The reason why a cutter cannot make the shape that is drawn, with the remedy."""
        tightest = self.tightest(feature)
        if tightest is not None and cutter.radius > tightest + ROUND_SLACK:
            called = work.called(cutter)
            return (
                f"{called} cannot reach the inside radius of {work.say(tightest)}",
                lambda: f"use a cutter of {work.say(2 * tightest)} or less",
            )
        return self.fault(work, feature, cutter)

    def rounds(self, feature: F) -> Iterable[tuple[Chain, bool]]:
        """The lines that it rolls along, and whether it lies on their left."""
        del feature
        return ()

    def tightest(self, feature: F) -> float | None:
        """Radius of the smallest drawn round that the cutter must roll into, mm."""
        radii = (
            s.radius
            for ring, left in self.rounds(feature)
            for s in ring
            if isinstance(s, Arc) and s.ccw == left
        )
        return min(radii, default=None)

    def width(self, feature: F) -> float | None:
        """The widest end mill that goes in, mm."""
        del feature
        return None

    def widest_area(self, feature: F) -> Region | None:
        """An area that the widest end mill has to pass in, where `area` is none."""
        del feature
        return None

    def limits(self, feature: F) -> list[float]:
        """Diameters, mm, over which no end mill reaches all of it."""
        del feature
        return []

    def leaves_room(self, feature: F, cutter: Cutter) -> bool:
        """Tell whether a cutter can rough everywhere and leave its allowance on both sides of
        it."""
        roughed = feature.cutting.rough and feature.cutting.finish
        return not roughed or self.has_room(feature, cutter, wall_allowance(feature, cutter))

    def has_room(self, feature: F, cutter: Cutter, wall: float) -> bool:
        """The same of one that leaves `wall` mm."""
        del feature, cutter, wall
        return True

    def why(self, feature: F) -> str:
        """The reason for its cutter, where it is not the largest that fits."""
        del feature
        return ""

    def passes_in(self, work: PlanContext, feature: F, cutter: Cutter) -> bool:
        """Tell whether a cutter passes in all of what it has to."""
        area = self.area(work, feature, cutter)
        return area is not None and passes(area, cutter.radius)

    def choose(
        self, work: PlanContext, feature: F, top: float, footprint: BaseGeometry | None
    ) -> Chosen:
        """The finishing cutter, and where it pays a larger one that roughs."""
        cutting = feature.cutting
        finish = cutting.cutter or self._of_rack(work, feature, top)
        fault = self.unfit(work, feature, finish)
        if fault is not None:
            raise refuse(feature, fault[0], fault[1]())
        rough = cutting.rough_with or self._rougher(work, feature, finish, top)
        refuse_excess(work, feature, rough, top, footprint)
        return Chosen(
            finish=finish, rough=rough, warnings=self._warnings(work, feature, finish, top)
        )

    def _of_rack(self, work: PlanContext, feature: F, top: float) -> Cutter:
        depth = top - feature.depth.cut_to
        mills = mills_for(work, depth)
        found = self.obvious(work, feature, mills, top)
        if found is None and mills and self.width(feature) is None:
            raise self._too_big(work, feature, mills[-1], depth)
        if found is None:
            raise self._lacking(work, feature, depth)
        return found

    def _rougher(self, work: PlanContext, feature: F, finish: Cutter, top: float) -> Cutter:
        """The roughing cutter; a cutter that the job names does all."""
        cutting = feature.cutting
        both = cutting.rough and cutting.finish
        if not self.roughed_larger or cutting.cutter or not both:
            return finish
        mills = mills_for(work, top - feature.depth.cut_to, roughing=True)
        return rougher(work, feature, finish, mills, top)

    def _warnings(
        self, work: PlanContext, feature: F, cutter: Cutter, top: float
    ) -> tuple[Fault, ...]:
        """A warning where the plan's own choice only just fits."""
        if feature.cutting.cutter is not None or self.leaves_room(feature, cutter):
            return ()
        called, wall = work.called(cutter), wall_allowance(feature, cutter)
        most, depth = cutter.diameter - 2 * wall, top - feature.depth.cut_to
        smaller = tool_suggestions.end_mill(work, depth, most=most)
        return (
            Fault(
                feature.place,
                f"{called} only just fits: it cuts the narrowest place at full width, and no "
                "smaller end mill in the rack reaches the depth",
                f"use {smaller}, and finish the walls",
                severity="warning",
            ),
        )

    def _lacking(self, work: PlanContext, feature: F, depth: float) -> PlanError:
        """The error that the rack has no end mill, with what it would have to measure."""
        most, limit = self.width(feature), ""
        if most is not None:
            limit = f": at most {work.say(most)} wide{self.how_in}"
        narrow = [c for c in mills_for(work, 0.0) if most is None or c.diameter < most + SAME_WIDTH]
        longest = max((c.flute_length for c in narrow), default=0.0)
        has = "none is that narrow" if most is not None else "the rack has none"
        if narrow:
            has = f"longest flutes: {work.say(longest)}, {work.say(depth - longest)} too short"
        return refuse(
            feature,
            f"no end mill in the rack can cut this {feature.kind}, {work.say(depth)} deep{limit}",
            f"use {tool_suggestions.end_mill(work, depth, most=most)} ({has}){self.instead}",
        )

    def _too_big(self, work: PlanContext, feature: F, smallest: Cutter, depth: float) -> PlanError:
        """The error that the smallest mill that reaches the depth is still too big."""
        fault = self.unfit(work, feature, smallest)
        area = self.area(work, feature, smallest)
        most = self._widest_that_does(feature, area, smallest)
        leave = ""
        if fault is not None:
            why = f"does not fit: {fault[0]}"
        elif area is None:
            why = "has no way in"
        else:
            why = "cannot reach everywhere"
            missed = widest_missed(area, smallest.radius)
            if most is not None:
                why += f" ({work.say_about(most)} or less can)"
            elif missed is not None:
                wide, place = missed
                why += (
                    f": a neck of up to {work.say_about(wide)} at {work.say_at(place)} stays uncut"
                )
            leave = ", or name one with cutter to leave uncut what it cannot reach"
        would = (
            "use a smaller one"
            if most is None
            else f"use {tool_suggestions.end_mill(work, depth, most=most)}"
        )
        return refuse(
            feature,
            "the smallest end mill in the rack that reaches the depth, "
            f"{work.say(smallest.diameter)}, {why}",
            f"{would}{leave}",
        )

    def _widest_that_does(self, feature: F, area: Region | None, smallest: Cutter) -> float | None:
        """The widest end mill, smaller than one that fails, that reaches all of a feature, mm;
        None: not known."""
        tightest = self.tightest(feature)
        limits = [*self.limits(feature), *([] if tightest is None else [2 * tightest])]
        area = self.widest_area(feature) or area
        if area is not None:
            limits.append(2 * widest_passing(area, smallest.radius))
        least = min(limits, default=0.0)
        return least if 0 < least < smallest.diameter else None

    def to_clear(
        self,
        work: PlanContext,
        feature: F,
        fitting: list[Cutter],
        top: float,
        has_room: Callable[[Cutter], bool],
    ) -> Cutter | None:
        """The largest of those that fit and have a way in, best with room for its allowance; where
        none has one, the largest that fits, for its operation to say so."""

        def comes_in(cutter: Cutter) -> bool:
            return has_way_in(work, feature, cutter, top)

        return (
            first(fitting, lambda c: has_room(c) and comes_in(c))
            or first(fitting, comes_in)
            or first(fitting, has_room)
            or first(fitting)
        )


def first(
    cutters: Iterable[Cutter], fits: Callable[[Cutter], bool] = lambda _: True
) -> Cutter | None:
    """The first of some cutters that fits."""
    return next((c for c in cutters if fits(c)), None)


def milled(feature: Feature) -> EndMilled[Any]:  # of that feature's kind
    """Return how a feature that end mills cut is cut."""
    kind = cutting_of(feature)
    assert isinstance(kind, EndMilled)
    return kind
