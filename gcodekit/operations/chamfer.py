"""Chamfers: once along the edge, or in several cuts each a little wider, on the cutter's flank;
round a hole in one plunge where the cutter is wide enough."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import Fault, PlanError
from gcodekit.job.kinds.chamfer import Chamfer
from gcodekit.operations.chamfer_clearance import (
    centre_lines,
    edge_ways,
    holding_met,
    plunged_to,
    plunges,
    slope_of,
    slope_on,
    stock_met,
    strokes,
)
from gcodekit.operations.chamfer_edge import gone, is_stock, lower, on_the_round
from gcodekit.operations.chamfer_ways import off_wall, tip_of
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.cycles import cycle_over, in_short_order, straight_down
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.mouth import TURNS_AT_BOTTOM
from gcodekit.operations.planned_operation import (
    PLAN_SAG,
    Phase,
    PlanContext,
    PlannedOperation,
    refuse,
)
from gcodekit.part.planned_bevel import PathSweep, drawn_strip, slope_left
from gcodekit.part.planned_target import BELOW, FeatureContext, FinishingCut, PlannedTarget
from gcodekit.toolpath.moves import HoleCycle
from gcodekit.toolpath.path import APPROACH
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.edge_cutting import TIP_BELOW, chamfering
from gcodekit.trade.hole_cutting import countersinking


class ChamferCutting(KindCutting[Chamfer]):
    """How chamfers are cut."""

    follows_line = True
    one_stroke = True

    def asked(self, feature: Chamfer, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """Its slope, as far as its cutter reaches."""
        slope = slope_of(feature, cut.cutter, around)
        left = slope_left(slope, around)
        past = (PathSweep(slope),) if feature.path is not None else ()
        return PlannedTarget(name=feature.name, reach=0.0, required=(left,), allowed=past)

    def footprint(self, work: PlanContext, feature: Chamfer) -> BaseGeometry | None:
        """The area along its edge, on either side: it comes after what makes its wall."""
        del work
        lines = [shapely.LineString(c.flattened(PLAN_SAG)) for c in feature.edges]
        return shapely.union_all(lines).buffer(feature.width)

    def choose(
        self, work: PlanContext, feature: Chamfer, top: float, footprint: BaseGeometry | None
    ) -> Chosen:
        """The cutter named, or the smallest of its angle that is wide enough, of spot drills the
        last."""
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
        least = min(able, key=lambda c: (c.kind == "spot drill", c.diameter))
        return Chosen(finish=least, rough=least)

    def settled(
        self,
        work: PlanContext,
        feature: Chamfer,
        chosen: Chosen,
        top: float,
        around: FeatureContext,
    ) -> Chosen:
        """With a warning where a part of its edge is lower than the rest."""
        del top
        if feature.optional:
            told = _round_told(work, feature, around)
        else:
            told = _lower_told(work, feature, around)
        return replace(chosen, warnings=(*chosen.warnings, *told))

    def misses(self, work: PlanContext, feature: Chamfer, chosen: Chosen) -> PlanError | None:
        """The refusal of a chamfer without stock along its edge."""
        strip = drawn_strip(feature, feature.width)
        if feature.optional or is_stock(strip, work.metal):
            return None
        return refuse(
            feature,
            f"{feature.name} cuts nothing: there is no stock along its edge",
            "check its side and the place of the edge",
            key="side" if feature.outline or feature.path else "diameter",
        )

    def check_beside(
        self, work: PlanContext, feature: Chamfer, chosen: Chosen, around: FeatureContext
    ) -> None:
        """Refuse a cutter that does not fit, or runs into what stands beside the edge, below it, or
        holds the work."""
        if gone(feature, around):
            if (part := on_the_round(feature, around)).is_empty:
                return
            where = f"below z {_foot(work, feature)}, at {work.say_at(part)}"
            text = f"all of it lies on the round of the stock, {where}"
            raise refuse(feature, text, "break it by hand", key="width")
        cutter = chosen.finish
        if plunges(feature, cutter, around):
            return
        ways = edge_ways(feature, cutter, around, work)
        if not ways:
            where = "beside the path" if feature.path else "inside the edge"
            raise refuse(
                feature,
                f"{work.called(cutter)} does not fit {where}",
                "use a smaller cutter, or draw it larger",
            )
        slope, (lines, more) = slope_on(feature, cutter, ways), centre_lines(feature, cutter, ways)
        met, z = next(stock_met(slope, cutter, lines, around, more=more), (None, 0.0))
        if met is not None:
            ends = ", or end the path before the wall" if feature.path else ""
            raise refuse(
                feature,
                f"{work.called(cutter)} would cut into the work beside or below the edge, at "
                f"{work.say_at(met)}, z {work.say(round(z, 3))}",
                "cut the wall first and deeper, use a smaller cutter, or make the chamfer smaller"
                + ends,
                key="width",
            )
        body = next(holding_met(feature, cutter, lines, around, more=more), None)
        if body is not None:
            hint = "move it, or break this edge by hand"
            raise refuse(feature, f"{work.called(cutter)} would run into {body}", hint, key="width")

    def drafts(
        self,
        work: PlanContext,
        feature: Chamfer,
        chosen: Chosen,
        top: float,
        around: FeatureContext,
    ) -> list[PlannedOperation]:
        """Every way along the edge; wide ones in several cuts, each lower than the one before."""
        del top
        cutter = chosen.finish
        if gone(feature, around):
            return []
        if plunges(feature, cutter, around):
            return [_plunged(work, feature, cutter)]
        rates = chamfering(work.job.material, cutter, work.limits, leg=feature.width)
        path = work.path(rates)
        cuts = math.ceil(feature.width / rates.stepover - 1e-9) + feature.cutting.spring_passes
        tip, drop = tip_of(feature, cutter), feature.depth.top - feature.depth.floor
        for stroke in strokes(work, feature, cutter, around):
            beside = stroke.down != stroke.way.start
            for n in range(1, cuts + 1):
                share = min(n * rates.stepover / feature.width, 1.0)
                path.over(stroke.down)
                path.drop(feature.depth.top + APPROACH)
                path.sink(tip + (1 - share) * drop, feed=path.feed if beside else None)
                path.line_to(stroke.way.start)
                path.follow(stroke.way)
                path.line_to(stroke.up)
        return [work.draft(feature, "chamfer", cutter, rates.speed, path, Phase.SIZE)]


def _wide_enough(cutter: Cutter, chamfer: Chamfer) -> bool:
    return chamfer.width + off_wall(cutter) <= cutter.radius + 1e-6


def _lower_told(work: PlanContext, chamfer: Chamfer, around: FeatureContext) -> Iterator[Fault]:
    part = lower(chamfer, around)
    if part.is_empty:
        return
    floor = around.top_over(part)
    text = (
        f"a part of its edge is already cut down to z {work.say(round(floor, 3))}, at "
        f"{work.say_at(part)}: there is no chamfer there"
    )
    hint = f"give that part a chamfer of its own with top = {work.say(floor).split()[0]}"
    yield Fault(chamfer.place, text, hint, "warning")


def _round_told(work: PlanContext, chamfer: Chamfer, around: FeatureContext) -> Iterator[Fault]:
    part = on_the_round(chamfer, around)
    if part.is_empty or gone(chamfer, around):
        return
    text = (
        f"{chamfer.name} is broken in part only: the rest lies on the round of the stock, below z "
        f"{_foot(work, chamfer)}, at {work.say_at(part)}"
    )
    yield Fault(chamfer.place, text, "break the rest by hand", "warning")


def _foot(work: PlanContext, chamfer: Chamfer) -> str:
    return work.say(round(chamfer.depth.floor, 3))


def _plunged(work: PlanContext, chamfer: Chamfer, cutter: Cutter) -> PlannedOperation:
    """Straight down at every place until the cone is as wide as the chamfer at the edge."""
    wide = chamfer.diameter + 2 * chamfer.width
    base = countersinking(work.job.material, cutter, work.limits, diameter=wide)
    rates = straight_down(base, chamfer.cutting)
    path = work.path(rates)
    dwell = TURNS_AT_BOTTOM * 60 / rates.speed
    start = chamfer.depth.top + APPROACH
    like = HoleCycle("drill", 0, 0, start, plunged_to(chamfer, cutter), rates.feed, dwell=dwell)
    cycle_over(path, in_short_order(work, chamfer.places), like)
    return work.draft(chamfer, "chamfer", cutter, rates.speed, path, Phase.SIZE)


CUTTING: KindCutting[Chamfer] = ChamferCutting()
