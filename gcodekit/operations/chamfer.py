"""Chamfers: once round along the edge, or in several cuts each a little wider, on the cutter's
flank."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import PlanError
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.offset import grow
from gcodekit.geometry.overlay import EMPTY, less
from gcodekit.job.kinds.chamfer import Chamfer
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.planned_operation import Phase, PlanContext, PlannedOperation, refuse
from gcodekit.part.plane_regions import area_of, grown
from gcodekit.part.planned_target import BELOW, FeatureContext, FinishingCut, PlannedTarget
from gcodekit.part.setup_stock import metal_levels
from gcodekit.toolpath.path import APPROACH
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.edge_cutting import TIP_BELOW, chamfering

# It comes down and goes up this far from the edge, mm, beyond what it cuts.
OFF_EDGE = 0.5
# A round past the start is cut twice, mm: no mark is left there.
OVERLAP = 1.0
# The tip stays this far above a floor below the edge, mm.
OVER_FLOOR = 0.1
# Metal thinner than twice this is none to run into, mm.
GRAZED = 0.005


@dataclass(frozen=True, slots=True)
class Slope:
    """The material that a chamfer takes along the edge of `area`, towards its inside or (`inward`
    False) away, from nothing at `low` to `width` at `high`."""

    area: BaseGeometry
    inward: bool
    width: float
    low: float
    high: float

    @property
    def levels(self) -> tuple[float, ...]:
        """Top, middle and bottom."""
        return (self.high, (self.high + self.low) / 2, self.low)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """At its widest."""
        x0, y0, x1, y1 = grown(self.area, 0.0 if self.inward else self.width).bounds
        return (x0, y0, x1, y1)

    def section(self, z: float) -> BaseGeometry:
        """The strip at a height."""
        if not self.low <= z < self.high:
            return EMPTY
        wide = self.width * (z - self.low) / (self.high - self.low)
        if self.inward:
            return less(self.area, grown(self.area, -wide))
        return less(grown(self.area, wide), self.area)


def slope_of(chamfer: Chamfer) -> Slope:
    """The slope that it cuts, as planning sees it."""
    depth = chamfer.depth
    inward = chamfer.side == "outside"
    return Slope(area_of(chamfer.outline), inward, chamfer.width, depth.floor, depth.top)


class ChamferCutting(KindCutting[Chamfer]):
    """How chamfers are cut."""

    follows_line = True
    one_stroke = True

    def asked(self, feature: Chamfer, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """Its slope."""
        del cut, around
        return PlannedTarget(name=feature.name, reach=0.0, required=(slope_of(feature),))

    def footprint(self, work: PlanContext, feature: Chamfer) -> BaseGeometry | None:
        """Its strip."""
        del work
        slope = slope_of(feature)
        return slope.section(slope.high - BELOW)

    def choose(
        self, work: PlanContext, feature: Chamfer, top: float, footprint: BaseGeometry | None
    ) -> Chosen:
        """The cutter named, or the smallest of its angle that is wide enough."""
        del footprint
        if top > feature.depth.top + BELOW:
            raise refuse(
                feature,
                f"stock lies above the edge, up to z {work.say(top)}",
                "set top to the height of the edge, or face the work first",
                key="top",
            )
        named = feature.cutting.cutter
        those = [named] if named else work.job.workshop.cutters
        able = [
            c
            for c in those
            if feature.bad_cutter(c, "cutter", work.say) is None and _wide_enough(c, feature)
        ]
        if not able:
            angle = f"{2 * math.degrees(feature.slope):g} degrees"
            wide = work.say(feature.width / (0.5 - TIP_BELOW))
            raise refuse(
                feature,
                f"the rack has no chamfer mill of {angle} that is wide enough",
                f"add one of {angle}, {wide} or wider",
            )
        least = min(able, key=lambda c: c.diameter)
        return Chosen(finish=least, rough=least)

    def misses(self, work: PlanContext, feature: Chamfer, chosen: Chosen) -> PlanError | None:
        """The refusal of a chamfer without stock along its edge."""
        strip = self.footprint(work, feature)
        if strip is not None and strip.intersection(work.metal).area > GRAZED:
            return None
        return refuse(
            feature,
            f"{feature.name} cuts nothing: there is no stock along its edge",
            "check its side and the place of the outline",
            key="side",
        )

    def check_beside(
        self, work: PlanContext, feature: Chamfer, chosen: Chosen, around: FeatureContext
    ) -> None:
        """Refuse inside corners it cannot reach, and what stands where its cutter goes: beside the
        edge and below it."""
        cutter, slope = chosen.finish, slope_of(feature)
        tip = _tip(feature, cutter)
        rings = [shapely.LineString(r.flattened(GRAZED)) for r in _rings(work, feature, cutter)]
        if not rings:
            raise refuse(
                feature,
                f"{work.called(cutter)} does not fit inside the outline",
                "use a smaller cutter, or draw it larger",
            )
        _check_corners(work, feature, cutter)
        way = shapely.union_all(rings)
        highest = work.setup.left.high[2]
        levels = {tip - OVER_FLOOR, slope.low, *metal_levels(work.setup)}
        levels |= {z for asked in around.asked for z in asked.levels}
        for z in sorted(z + BELOW for z in levels if tip - OVER_FLOOR <= z < highest):
            body = way.buffer(max(cutter.body_radius_at(z - tip), OVER_FLOOR))
            met = grown(less(around.standing(body, z), slope.section(z)), -GRAZED)
            if not met.is_empty:
                raise refuse(
                    feature,
                    f"{work.called(cutter)} would cut into the work beside or below the edge, at "
                    f"{work.say_at(met)}, z {work.say(round(z, 3))}",
                    "cut the wall first and deeper, use a smaller cutter, or make the chamfer "
                    "smaller",
                    key="width",
                )

    def drafts(
        self,
        work: PlanContext,
        feature: Chamfer,
        chosen: Chosen,
        top: float,
        around: FeatureContext,
    ) -> list[PlannedOperation]:
        """Every ring of the edge; wide ones in several cuts, each lower than the one before."""
        del top, around
        cutter = chosen.finish
        rates = chamfering(work.job.material, cutter, work.limits, leg=feature.width)
        path = work.path(rates)
        cuts = math.ceil(feature.width / rates.stepover - 1e-9) + feature.cutting.spring_passes
        tip, drop = _tip(feature, cutter), feature.depth.top - feature.depth.floor
        for ring in _rings(work, feature, cutter):
            way, away = _from_beside(feature, ring)
            for n in range(1, cuts + 1):
                share = min(n * rates.stepover / feature.width, 1.0)
                path.over(away)
                path.drop(feature.depth.top + APPROACH)
                path.sink(tip + (1 - share) * drop, feed=path.feed)
                path.line_to(way.start)
                path.follow(way)
                path.line_to(away)
        return [work.draft(feature, "chamfer", cutter, rates.speed, path, Phase.SIZE)]


def _wide_enough(cutter: Cutter, chamfer: Chamfer) -> bool:
    return chamfer.width + TIP_BELOW * cutter.diameter <= cutter.radius + 1e-6


def _tip(chamfer: Chamfer, cutter: Cutter) -> float:
    """z of the tip, as far off the wall as it is below the chamfer's foot on the flank."""
    return chamfer.depth.floor - TIP_BELOW * cutter.diameter / math.tan(chamfer.slope)


def _rings(work: PlanContext, chamfer: Chamfer, cutter: Cutter) -> list[Chain]:
    """Ways of the cutter's centre, turned the way they are cut."""
    outside = chamfer.side == "outside"
    edge = work.in_arcs(chamfer, chamfer.outline, inward=not outside)
    off = TIP_BELOW * cutter.diameter
    keeps_turn = (chamfer.cutting.direction == "climb") != outside
    rings = grow(edge, off if outside else -off).rings
    return [ring if keeps_turn else ring.reversed() for ring in rings]


def _from_beside(chamfer: Chamfer, ring: Chain) -> tuple[Chain, tuple[float, float]]:
    """The ring with a little more from its start, in the middle of its longest piece; and a place
    beside that where the cutter is clear of the edge."""
    longest = max(range(len(ring.segments)), key=lambda i: ring.segments[i].length)
    start = sum(s.length for s in ring.segments[:longest]) + ring.segments[longest].length / 2
    turned = ring.from_start_at(start)
    (x, y), (dx, dy) = turned.start, turned.tangent_at(0.0)
    # a ring lies to the left of its own way round where it is walked counter-clockwise
    left = (ring.area > 0) == (chamfer.side == "inside")
    off = chamfer.width + OFF_EDGE
    side = off if left else -off
    overlap = turned.between(0.0, min(OVERLAP, turned.length / 4))
    whole = Chain((*turned.segments, *overlap.segments))
    return whole, (x - dy * side, y + dx * side)


def _check_corners(work: PlanContext, chamfer: Chamfer, cutter: Cutter) -> None:
    """Refuse inside corners into which the cutter's flank does not get."""
    off = TIP_BELOW * cutter.diameter
    outside = chamfer.side == "outside"
    rim = area_of(chamfer.outline)
    back = grown(grown(rim, off), -off) if outside else grown(grown(rim, -off), off)
    missed = less(back, rim) if outside else less(rim, back)
    sharp = grown(missed, -GRAZED)
    if not sharp.is_empty:
        raise refuse(
            chamfer,
            f"{work.called(cutter)} cannot reach its inside corner at {work.say_at(sharp)}: it "
            "needs "
            f"a radius of {work.say(off)}",
            "round the corner, or use a smaller cutter",
            key="outline",
        )


CUTTING: KindCutting[Chamfer] = ChamferCutting()
