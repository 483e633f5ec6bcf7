"""Saw cuts: passes along the line, each nearer to it than the one before, the blade coming in from
beside the work."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import PlanError
from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.overlay import common, union
from gcodekit.job.kinds.saw import Saw
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.effort import DEEP_PASSES
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.planned_operation import (
    Phase,
    PlanContext,
    PlannedOperation,
    overridden,
    refuse,
)
from gcodekit.part.plane_regions import RUN_OFF, grown
from gcodekit.part.planned_target import BELOW, FeatureContext, FinishingCut, PlannedTarget
from gcodekit.part.setup_stock import metal_levels
from gcodekit.part.solids import Prism
from gcodekit.toolpath.path import APPROACH, Path
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.edge_cutting import slitting
from gcodekit.trade.pass_optimiser import equal_passes
from gcodekit.trade.rates import Rates

# Metal thinner than twice this is none to run into, mm.
GRAZED = 0.005
# The arbor stays at least this far off the work, mm. Common practice, no source.
ARBOR_CLEAR = 0.2
# Straight in, the rim is in the work on both sides of its way: at this share of the feed. Common
# practice, no source.
STRAIGHT_IN = 0.5
SMALLER_ARBOR = "use a larger saw or a slimmer arbor and nut, or saw from both sides"


@dataclass(frozen=True, slots=True)
class SawFrame:
    """Places by their distance along a saw's line and from it toward the blade, mm."""

    start: Point
    along: Point
    toward: Point
    long: float

    @staticmethod
    def of(saw: Saw) -> SawFrame:
        """That of a saw cut."""
        (x0, y0), (x1, y1) = saw.start, saw.end
        long = math.dist(saw.start, saw.end)
        return SawFrame(saw.start, ((x1 - x0) / long, (y1 - y0) / long), saw.toward, long)

    def at(self, along: float, off: float) -> Point:
        """A place in plan."""
        (x, y), (ux, uy), (nx, ny) = self.start, self.along, self.toward
        return (x + along * ux + off * nx, y + along * uy + off * ny)

    def own(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape of the plan in these distances."""
        (x, y), (ux, uy), (nx, ny) = self.start, self.along, self.toward
        turn = [ux, uy, nx, ny, -(ux * x + uy * y), -(nx * x + ny * y)]
        return affinity.affine_transform(shape, turn)


@dataclass(frozen=True, slots=True)
class SawWay:
    """How a blade goes: at `depths` in turn, mm off the work's edge, which is `edge` from the line;
    from and to `ends` along it; beside all the work its axis is `clear` from the line."""

    frame: SawFrame
    edge: float
    depths: tuple[float, ...]
    ends: tuple[float, float]
    clear: float
    radius: float

    def off(self, depth: float) -> float:
        """The axis from the line at a depth."""
        return self.radius + self.edge - depth

    @property
    def middles(self) -> BaseGeometry:
        """All places that the axis passes over in plan, at full depth and on the way there."""
        low, high = sorted(self.ends)
        corners = ((low, self.radius), (high, self.radius), (high, self.clear), (low, self.clear))
        return shapely.Polygon([self.frame.at(u, n) for u, n in corners])


class SawCutting(KindCutting[Saw]):
    """How saw cuts are made."""

    follows_line = True
    one_stroke = True

    def asked(self, feature: Saw, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """The kerf, no higher than the blade is thick and as round at its ends as its rim."""
        area = _kerf(feature, around.setup.left.low, around.setup.left.high)
        kerf = Prism(area, feature.depth.floor, feature.depth.top)
        return PlannedTarget(name=feature.name, reach=cut.cutter.radius, required=(kerf,))

    def footprint(self, work: PlanContext, feature: Saw) -> BaseGeometry | None:
        """The kerf in the metal."""
        low, high = work.setup.left.low, work.setup.left.high
        return common(_kerf(feature, low, high), work.metal)

    def choose(
        self, work: PlanContext, feature: Saw, top: float, footprint: BaseGeometry | None
    ) -> Chosen:
        """The saw that gives the kerf its thickness."""
        del work, top, footprint
        saw = feature.cutting.cutter
        assert saw is not None  # the kind's own module names it
        return Chosen(finish=saw, rough=saw)

    def misses(self, work: PlanContext, feature: Saw, chosen: Chosen) -> PlanError | None:
        """The refusal of a kerf beside the stock."""
        del chosen
        kerf = self.footprint(work, feature)
        if kerf is not None and not kerf.buffer(-GRAZED).is_empty:
            return None
        return refuse(
            feature,
            f"{feature.name} cuts nothing: there is no stock on its side of the line",
            "check its side and its line",
            key="side",
        )

    def check_beside(
        self, work: PlanContext, feature: Saw, chosen: Chosen, around: FeatureContext
    ) -> None:
        """Refuse a cut too deep for its arbor, and a nut that turns in the spoil board."""
        saw, way = chosen.finish, _way(work, feature, chosen.finish, around)
        hold, bottom = work.setup.holds[feature.stage], work.setup.left.low[2]
        if hold.board is not None and feature.depth.floor + saw.lowest < bottom:
            raise refuse(
                feature,
                f"the nut of {work.called(saw)} would turn in the spoil board, "
                f"{work.say(bottom - feature.depth.floor - saw.lowest)} deep",
                "saw higher up, use a smaller nut, or hold the work in a vise",
                key="z",
            )
        for name, radius, low, high in _beside_blade(saw):
            body = grown(way.middles, radius + ARBOR_CLEAR)
            for z in _heights(work, around, feature.depth.floor + low, feature.depth.floor + high):
                met = grown(around.standing(body, z), -GRAZED)
                if not met.is_empty:
                    raise refuse(
                        feature,
                        f"the {name} of {work.called(saw)}, {work.say(2 * radius)}, would run "
                        f"into the work at {work.say_at(met)}, z {work.say(round(z, 3))}",
                        SMALLER_ARBOR,
                        key="from",
                    )

    def cautions(self, work: PlanContext, feature: Saw, chosen: Chosen) -> tuple[str, ...]:
        """What to mind at the machine."""
        saw = chosen.finish
        against = feature.cutting.direction == "conventional"
        fed = "against the teeth (conventional)" if against else "with the teeth (climb)"
        found = [
            f"slitting saw T{saw.number}: guard on, teeth leading clockwise seen from above, "
            f"fed {fed}",
            f"slitting saw T{saw.number}: Z is the underside of the blade",
        ]
        if saw.nut is not None and saw.nut.length > 0:
            found[-1] += f", its nut reaches {work.say(saw.nut.length)} below it"
        return tuple(found)

    def drafts(
        self, work: PlanContext, feature: Saw, chosen: Chosen, top: float, around: FeatureContext
    ) -> list[PlannedOperation]:
        """One pass after another the same way, back in the air."""
        saw = chosen.finish
        way = _way(work, feature, saw, around)
        rates = _rates(work, feature, saw, way.edge)
        path = work.path(rates)
        for depth in way.depths:
            _pass(path, way, depth, feature.depth.floor, top)
        return [work.draft(feature, "saw", saw, rates.speed, path, Phase.FREE)]


def _rates(work: PlanContext, saw_cut: Saw, saw: Cutter, deep: float) -> Rates:
    """The rates of a kerf so deep, with the job's own figures."""
    rates = slitting(work.job.material, saw, work.limits, depth=deep)
    return overridden(rates, saw_cut.cutting)


def _pass(path: Path, way: SawWay, depth: float, z: float, top: float) -> None:
    """In beside the work, straight in to a depth, along the line, straight out."""
    first, last = way.ends
    at = way.frame.at
    back = Chain.of_points([at(last, way.clear), at(first, way.clear)], closed=False)
    if path.at is None or not path.stays_down(back, above=top, z=z):
        path.over(at(first, way.clear))
        path.drop(top + APPROACH)
        path.sink(z, feed=path.feed)
    path.line_to(at(first, way.off(0.0) + GRAZED))
    straight = Chain.of_points(
        [at(first, way.off(0.0) + GRAZED), at(first, way.off(depth))], closed=False
    )
    path.follow(straight, feed=STRAIGHT_IN * path.feed)
    path.line_to(at(last, way.off(depth)))
    path.line_to(at(last, way.clear))


def _kerf(
    saw: Saw, low: tuple[float, float, float], high: tuple[float, float, float]
) -> BaseGeometry:
    """All that the blade passes over in plan, from its line to beyond a box of stock."""
    frame, radius = SawFrame.of(saw), saw.diameter / 2
    far = radius + math.dist(low[:2], high[:2]) + math.dist(saw.start, low[:2])
    corners = ((0.0, radius), (frame.long, radius), (frame.long, far), (0.0, far))
    return grown(shapely.Polygon([frame.at(u, n) for u, n in corners]), radius)


def _way(work: PlanContext, saw_cut: Saw, saw: Cutter, around: FeatureContext) -> SawWay:
    """How the blade goes; refused where the kerf's stock is all gone."""
    frame, radius = SawFrame.of(saw_cut), saw.radius
    kerf = _kerf(saw_cut, work.setup.left.low, work.setup.left.high)
    low, high = saw_cut.depth.floor, saw_cut.depth.top
    stands = union(around.standing(kerf, z) for z in _heights(work, around, low, high))
    inside = frame.own(grown(stands, -GRAZED))
    if inside.is_empty:
        raise refuse(
            saw_cut,
            f"{saw_cut.name} cuts nothing: no stock is left where it would cut",
            "remove it, or check its place and the set-up's zero",
            key="kind",
        )
    edge = inside.bounds[3] + GRAZED
    beyond = saw.radius + RUN_OFF
    near = shapely.box(-beyond, -1e6, frame.long + beyond, 1e6)
    clear = max(edge, common(frame.own(work.metal), near).bounds[3]) + beyond
    step = _rates(work, saw_cut, saw, edge).stepdown
    count = equal_passes(edge, step)
    if count > DEEP_PASSES:
        raise refuse(
            saw_cut,
            f"{count:,} passes of {work.say(step)}, at most {DEEP_PASSES}",
            "set a larger stepdown, or use a thicker saw",
            key="stepdown" if saw_cut.cutting.stepdown else "kind",
        )
    forward = (saw_cut.cutting.direction == "climb") == (saw_cut.side == "left")
    ends = (0.0, frame.long) if forward else (frame.long, 0.0)
    depths = tuple(edge * k / count for k in range(1, count + 1))
    return SawWay(frame, edge, depths, ends, clear, radius)


def _beside_blade(saw: Cutter) -> Iterator[tuple[str, float, float, float]]:
    """Nut, arbor and holder: name, radius, and from where to where above the blade's underside."""
    if saw.nut is not None and saw.nut.length > 0:
        yield "nut", saw.nut.diameter / 2, saw.lowest, 0.0
    end = saw.stickout if saw.holder is not None else math.inf
    yield "arbor", saw.shank / 2, saw.flute_length, end
    if saw.holder is not None:
        yield "holder", saw.holder.diameter / 2, saw.stickout, math.inf


def _heights(work: PlanContext, around: FeatureContext, low: float, high: float) -> list[float]:
    """Heights just above each level from one to another in the stock."""
    bottom, top = work.setup.left.low[2], work.setup.left.high[2]
    levels = {*metal_levels(work.setup), *(z for asked in around.asked for z in asked.levels)}
    inside = {max(low, bottom), *(z for z in levels if low < z)}
    return sorted(z + BELOW for z in inside if z < min(high, top) - BELOW)


CUTTING: KindCutting[Saw] = SawCutting()
