"""Strokes cut along their middle: letters, lines and graduations, with a point or a mill as deep as
their line asks."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import PlanError
from gcodekit.geometry.chain import Chain, same
from gcodekit.geometry.flattening import quarter_chords
from gcodekit.geometry.overlay import EMPTY
from gcodekit.job.features.engraved import ENGRAVERS, Engraved
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.planned_operation import (
    Phase,
    PlanContext,
    PlannedOperation,
    overridden,
    refuse,
)
from gcodekit.part.plane_regions import grown, line_of
from gcodekit.part.planned_target import BELOW, FeatureContext, FinishingCut, PlannedTarget
from gcodekit.part.setup_stock import metal, metal_levels
from gcodekit.part.sweep import by_segments
from gcodekit.toolpath.path import APPROACH, Path, depth_steps
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.edge_cutting import engraving
from gcodekit.trade.rates import Rates

E = TypeVar("E", bound=Engraved)

# A line of unknown width is looked for stock along this, mm to either side.
THIN_LINE = 0.05
# Metal thinner than twice this is none to run into, mm.
GRAZED = 0.005
# A point comes down at its cutting feed to this above the surface, mm: a fine one plunges so slowly
# that the way through the air would take longer than the line. Common practice, no source.
NEAR = 0.1
# A line no deeper than so many tolerances could as well be left out and pass. Two: one that the
# cut may be off, one that it is seen by.
LEAST_DEEP = 2.0


@dataclass(frozen=True, slots=True)
class Groove:
    """What a cutter takes along `ways`, its tip at `low`, in a surface at `high`."""

    ways: BaseGeometry
    cutter: Cutter
    low: float
    high: float

    @property
    def levels(self) -> tuple[float, ...]:
        """Top, middle and bottom."""
        return (self.high, (self.high + self.low) / 2, self.low)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """At its widest."""
        x0, y0, x1, y1 = self.ways.bounds
        wide = self.cutter.radius_at(self.high - self.low)
        return (x0 - wide, y0 - wide, x1 + wide, y1 + wide)

    def section(self, z: float) -> BaseGeometry:
        """All strokes as wide as they are at a height."""
        wide = self.cutter.radius_at(z - self.low)
        if not self.low <= z < self.high or wide <= 0:
            return EMPTY
        # near its tip far too thin for its sweep to be looked at all along
        return by_segments(self.ways, wide, chords=quarter_chords(wide))


def ways_of(strokes: Iterable[Chain]) -> BaseGeometry:
    """Strokes as lines."""
    return shapely.MultiLineString([line_of(stroke) for stroke in strokes])


class StrokeCutting(KindCutting[E]):
    """How strokes are cut."""

    follows_line = True
    one_stroke = True
    enclosed = True

    def asked(self, feature: E, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """Its groove."""
        del around
        return PlannedTarget(
            name=feature.name, reach=0.0, required=(groove_of(feature, cut.cutter),)
        )

    def footprint(self, work: PlanContext, feature: E) -> BaseGeometry | None:
        """Its lines in plan."""
        del work
        return grown(ways_of(feature.stroke_chains), max(feature.half_width, THIN_LINE))

    def drawn_by(self, feature: E) -> str:
        """Its kind: any of several keys draws it."""
        del feature
        return "kind"

    def choose(
        self, work: PlanContext, feature: E, top: float, footprint: BaseGeometry | None
    ) -> Chosen:
        """The cutter named, or of those with a point the finest that makes the line."""
        del footprint
        _check_surface(work, feature, top)
        named = feature.cutting.cutter
        those = [named] if named else [c for c in work.job.workshop.cutters if c.kind in ENGRAVERS]
        able = [c for c in those if feature.bad_cutter(c, "cutter", work.say) is None]
        if not able:
            raise _no_cutter(work, feature, those)
        best = min(able, key=_preference)
        _check_depth(work, feature, best)
        return Chosen(finish=best, rough=best)

    def misses(self, work: PlanContext, feature: E, chosen: Chosen) -> PlanError | None:
        """The refusal of strokes without stock under them."""
        area = self.footprint(work, feature)
        deepest = feature.depth.top - feature.depth_with(chosen.finish)
        # on the flank of a round bar the stock may lie below all of it
        if area is not None and area.intersection(metal(work.setup, deepest)).area > GRAZED:
            return None
        return refuse(
            feature,
            f"{feature.name} cuts nothing: there is no stock under it",
            "check its place",
            key=self.drawn_by(feature),
        )

    def check_beside(
        self, work: PlanContext, feature: E, chosen: Chosen, around: FeatureContext
    ) -> None:
        """Refuse what stands beside its lines where its cutter, shank or holder goes."""
        cutter, ways = chosen.finish, ways_of(feature.stroke_chains)
        surface, highest = feature.depth.top, work.setup.left.high[2]
        tip = surface - feature.depth_with(cutter)
        levels = {surface, highest, *metal_levels(work.setup)}
        levels |= {z for asked in around.asked for z in asked.levels}
        # what stands is the same between two levels, and the cutter is widest at the upper one
        looks = {z + BELOW for z in levels} | {z - BELOW for z in levels}
        for z in sorted(z for z in looks if surface < z < highest):
            body = grown(ways, cutter.body_radius_at(z - tip))
            met = grown(around.standing(body, z), -GRAZED)
            if not met.is_empty:
                raise refuse(
                    feature,
                    f"{work.called(cutter)} would cut into the work beside it, at "
                    f"{work.say_at(met)}, z {work.say(round(z, 3))}",
                    "move it away from there, or use a slimmer cutter",
                    key=self.drawn_by(feature),
                )

    def drafts(
        self, work: PlanContext, feature: E, chosen: Chosen, top: float, around: FeatureContext
    ) -> list[PlannedOperation]:
        """Every stroke, the nearest next; deep ones in several passes."""
        del top, around
        cutter, surface = chosen.finish, feature.depth.top
        deep = feature.depth_with(cutter)
        rates = _rates(work, feature, cutter, deep)
        path = work.path(rates)
        levels = depth_steps(surface, surface - deep, rates.stepdown)
        levels += [levels[-1]] * feature.cutting.spring_passes
        strokes = [work.line_in_arcs(feature, stroke) for stroke in feature.stroke_chains]
        for stroke in nearest_next(strokes):
            _cut(path, stroke, levels, surface)
        return [work.draft(feature, feature.kind, cutter, rates.speed, path, Phase.SIZE)]


def groove_of(feature: Engraved, cutter: Cutter) -> Groove:
    """The groove that a cutter leaves, as planning sees it."""
    surface = feature.depth.top
    low = surface - feature.depth_with(cutter)
    return Groove(ways_of(feature.stroke_chains), cutter, low, surface)


def _cut(path: Path, stroke: Chain, levels: Sequence[float], surface: float) -> None:
    """One stroke to its depth, to and fro; a closed one round and round."""
    if path.at is not None and path.z < surface and same(path.at, stroke.start):
        path.rise(levels[0])
    else:
        path.over(stroke.start)
        path.drop(surface + APPROACH)
        path.sink(surface + NEAR, feed=path.feed)
    for z in levels:
        path.sink(z)
        path.follow(stroke)
        stroke = stroke if stroke.closed else stroke.reversed()


def nearest_next(strokes: Sequence[Chain]) -> list[Chain]:
    """The strokes in the order of a short way: from the end of each to the nearest end of another,
    which is begun there."""
    left = list(strokes)
    ends = np.array([(s.start, s.end) for s in left], dtype=np.float64)
    at, open_ = ends[0, 0], np.ones(len(left), dtype=bool)
    found: list[Chain] = []
    for _ in left:
        away = np.hypot(*np.moveaxis(ends - at, -1, 0))
        away[~open_] = math.inf
        number, end = divmod(int(away.argmin()), 2)
        open_[number] = False
        found.append(left[number].reversed() if end else left[number])
        at = ends[number, 1 - end]
    return found


def _rates(work: PlanContext, feature: Engraved, cutter: Cutter, deep: float) -> Rates:
    """Rates of a line so deep, with what the job says put in their place."""
    if cutter.kind not in ENGRAVERS:
        return work.milling(cutter, feature.cutting, width=cutter.diameter)
    rates = engraving(work.job.material, cutter, work.limits, depth=deep)
    return overridden(rates, feature.cutting)


def _preference(cutter: Cutter) -> tuple[int, float, float]:
    """An engraving cutter before what only has a point, the finer tip and the slimmer first."""
    kind = ENGRAVERS.index(cutter.kind) if cutter.kind in ENGRAVERS else len(ENGRAVERS)
    return (kind, cutter.tip_diameter, cutter.diameter)


def _check_surface(work: PlanContext, feature: Engraved, top: float) -> None:
    """Refuse a surface that is not where the line's width, or its depth, is measured from."""
    surface = feature.depth.top
    if top > surface + BELOW:
        raise refuse(
            feature,
            f"stock lies above it, up to z {work.say(top)}",
            "set top to the height of the surface, or face the work first",
            key="top",
        )
    if feature.line_width is not None and top < surface - BELOW:
        raise refuse(
            feature,
            f"the surface there is at z {work.say(top)}, below top",
            f"set top = {work.say(top).split()[0]}",
            key="top",
        )


def _no_cutter(work: PlanContext, feature: Engraved, those: Sequence[Cutter]) -> PlanError:
    """The refusal where no cutter makes the line; of a single one with its reason."""
    wide = feature.line_width
    line = f"of {work.say(wide)}" if wide is not None else f"{work.say(_deep(feature))} deep"
    if len(those) == 1:
        wrong = feature.bad_cutter(those[0], "cutter", work.say)
        assert wrong is not None
        return refuse(feature, f"{work.called(those[0])} {wrong[0]}", wrong[1])
    finer = " with a finer tip" if wide is not None else ""
    hint = f"add an engraving cutter{finer}, or name one"
    return refuse(feature, f"the rack has no cutter with a point for a line {line}", hint)


def _deep(feature: Engraved) -> float:
    return feature.depth.top - feature.depth.cut_to


def _check_depth(work: PlanContext, feature: Engraved, cutter: Cutter) -> None:
    """Refuse a line that goes through the stock, or is too shallow to be told from none."""
    deep, key = feature.depth_with(cutter), "depth" if feature.line_width is None else "line_width"
    if feature.depth.top - deep <= work.setup.left.low[2] + BELOW:
        text = f"its lines are {work.say(deep)} deep, through the stock"
        raise refuse(feature, text, "make them narrower or shallower", key=key)
    least = LEAST_DEEP * work.job.tolerance
    if deep < least - BELOW:
        said = work.say(round(deep, 4))
        text = f"its lines are {said} deep, at least {work.say(least)} is needed"
        hint = "make them deeper, or set a smaller tolerance"
        raise refuse(feature, text, hint, key=key)
