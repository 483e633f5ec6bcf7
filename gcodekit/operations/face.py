"""Facing: from outside the work inward, round and round, so that the direction never changes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.flattening import nearest, to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.face import Face
from gcodekit.operations.area import area_drafts
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.end_milling import EndMilled, first
from gcodekit.operations.engagement_clearing import cleared_at_engagement
from gcodekit.operations.kind_cutting import KindCutting
from gcodekit.operations.measured_correction import correction_of, deepened
from gcodekit.operations.outline_clearing import Area
from gcodekit.operations.planned_operation import PLAN_SAG, Phase, PlanContext, PlannedOperation
from gcodekit.operations.wall_regions import run_out, swept_within
from gcodekit.part.plane_regions import RUN_OFF
from gcodekit.part.planned_solids import ask_face
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.toolpath.level_clearing import LOWERED_BESIDE
from gcodekit.toolpath.path import APPROACH, Path, depth_steps
from gcodekit.toolpath.zigzag import cells, in_order
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.rates import Rates

# Width of a facing pass: light, so that a big cutter does not stall a small spindle.
# Common practice, no source.
FACING_WIDTH = 0.6
# Cutters that do nothing else.
FACING = ("face mill", "fly cutter")


def face_drafts(
    work: PlanContext, face: Face, chosen: Chosen, top: float
) -> list[PlannedOperation]:
    """The whole top by an inward spiral of rings, or in a zigzag; a part of it as a pocket that is
    open at the edges."""
    cutter = chosen.finish
    if face.outline is not None and not to_shapely(face.outline, PLAN_SAG).covers(work.metal):
        region = run_out(face.outline, work, cutter.radius, face.depth.cut_to)
        return area_drafts(work, Area(feature=face, region=region, top=top, chosen=chosen))
    if face.cutting.way == "constant engagement":
        beyond = cutter.diameter + 2 * LOWERED_BESIDE
        area = Area(feature=face, region=grow(work.outline, beyond), top=top, chosen=chosen)
        drafts, _ = cleared_at_engagement(work, area, cutter, 0.0, 0.0)
        drafts = [replace(d, label="face", phase=Phase.FACE) for d in drafts]
    else:
        drafts = [_faced(work, face, cutter, top, "face")]
    deeper = deepened(face, correction_of(face))
    if deeper != face:
        drafts.append(_faced(work, deeper, cutter, face.depth.cut_to, "finish"))
    return drafts


def _faced(
    work: PlanContext, face: Face, cutter: Cutter, top: float, label: str
) -> PlannedOperation:
    """All of the top, down from `top` in passes over the stock's whole outline."""
    width = face.cutting.stepover or FACING_WIDTH * cutter.diameter
    follow = work.following(cutter, face.cutting, top - face.depth.cut_to)
    follow = replace(follow, rates=replace(follow.rates, stepover=width))
    rates = follow.rates
    path = work.path(rates)
    strokes = face.cutting.way == "zigzag"
    outline = work.outline
    ways = _strokes(outline, cutter, width) if strokes else _rings(outline, cutter, width, face)
    for z in depth_steps(top, face.depth.cut_to, rates.stepdown):
        if strokes:
            _to_and_fro(path, ways, cutter, z, top)
        else:
            _spiral(path, ways, cutter, z, top)
    return work.draft(face, label, cutter, rates.speed, path, Phase.FACE, following=follow)


def _rings(outline: Region, cutter: Cutter, width: float, face: Face) -> list[Chain]:
    """Rings from the rim inward that leave nothing between them."""
    wanted = to_shapely(outline, PLAN_SAG).buffer(-0.01)
    for _ in range(8):
        rings: list[Chain] = []
        offset = cutter.radius - width
        while (level := grow(outline, offset)) and not level.empty:
            rings += level.rings
            offset -= width
        swept = [shapely.LineString(r.flattened(PLAN_SAG)).buffer(cutter.radius) for r in rings]
        if wanted.difference(shapely.union_all(swept)).buffer(-0.01).is_empty:
            break
        width *= 0.8
    climb = face.cutting.direction == "climb"
    return [r.reversed() if climb else r for r in rings]


def _strokes(outline: Region, cutter: Cutter, width: float) -> list[Chain]:
    """Strokes along the longer side; the first takes one width off the edge."""
    beyond = to_shapely(grow(outline, max(cutter.radius - width / 2, 0.0)), PLAN_SAG)
    return [way for cell in in_order(cells(beyond, width)) for way in cell]


def _to_and_fro(path: Path, ways: list[Chain], cutter: Cutter, z: float, top: float) -> None:
    (x, y), (dx, dy) = ways[0].start, ways[0].tangent_at(0.0)
    by = cutter.radius + RUN_OFF
    path.over((x - dx * by, y - dy * by))
    path.drop(max(top, z) + APPROACH)
    path.sink(z, feed=path.feed)
    for way in ways:
        path.line_to(way.start)
        path.follow(way)


def _spiral(path: Path, rings: list[Chain], cutter: Cutter, z: float, top: float) -> None:
    first = rings[0]
    path.over(_outside(first, 2 * cutter.radius + RUN_OFF))
    path.drop(max(top, z) + APPROACH)
    path.sink(z, feed=path.feed)
    path.line_to(first.start)
    path.follow(first)
    for ring in rings[1:]:
        s, _ = nearest(ring, path.at or ring.start)
        path.line_to(ring.point_at(s))
        path.follow(ring.from_start_at(s))


def _outside(ring: Chain, by: float) -> Point:
    """A place straight out from the ring's start, `by` away."""
    (x, y), (tx, ty) = ring.start, ring.tangent_at(0.0)
    side = 1.0 if ring.area > 0 else -1.0
    return (x + side * ty * by, y - side * tx * by)


class FaceCutting(EndMilled[Face]):
    """How faces are cut."""

    def asked(self, feature: Face, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
        """All over its floor."""
        return ask_face(feature, cut, around)

    def footprint(self, work: PlanContext, feature: Face) -> BaseGeometry | None:
        """Within its outline."""
        del work
        return None if feature.outline is None else to_shapely(feature.outline, PLAN_SAG)

    def clears(self, feature: Face) -> bool:
        """Always."""
        del feature
        return True

    def cleared(self, work: PlanContext, feature: Face) -> Region | None:
        """Within its outline."""
        del work
        return feature.outline

    def level_floor(self, feature: Face) -> bool:
        """Always."""
        del feature
        return True

    def rounds(self, feature: Face) -> Iterable[tuple[Chain, bool]]:
        """Those of its outline, from inside."""
        return [(ring, True) for ring in feature.outline.rings] if feature.outline else []

    def area(self, work: PlanContext, feature: Face, cutter: Cutter) -> Region | None:
        """Its outline, run out over the metal's edge."""
        return _region(work, feature, cutter.radius)

    def obvious(
        self, work: PlanContext, feature: Face, mills: list[Cutter], top: float
    ) -> Cutter | None:
        """The rack's first face mill or fly cutter; within an outline the largest that passes."""
        del top
        if feature.outline is None:
            facing = (c for c in work.job.workshop.cutters if c.kind in FACING)
            return first(facing) or first(mills)
        return first(
            mills,
            lambda c: self.unfit(work, feature, c) is None and self.passes_in(work, feature, c),
        )

    def widest_cut(self, feature: Face, cutter: Cutter, rates: Rates) -> float:
        """From outside inward over all of the top."""
        if feature.outline is None and feature.cutting.way != "constant engagement":
            return min(feature.cutting.stepover or FACING_WIDTH * cutter.diameter, cutter.diameter)
        return KindCutting.widest_cut(self, feature, cutter, rates)

    def swept(self, work: PlanContext, feature: Face, cut: FinishingCut) -> BaseGeometry | None:
        """Within its outline."""
        region = _region(work, feature, max(c.radius for c in cut.cutters))
        return None if region is None else swept_within(region, cut)

    def drafts(
        self, work: PlanContext, feature: Face, chosen: Chosen, top: float, around: FeatureContext
    ) -> list[PlannedOperation]:
        """The whole top by an inward spiral of rings, or in a zigzag; a part of it as a pocket that
        is open at the edges."""
        del around
        return face_drafts(work, feature, chosen, top)


def _region(work: PlanContext, face: Face, radius: float) -> Region | None:
    if face.outline is None:
        return None
    return run_out(face.outline, work, radius, face.depth.cut_to)


CUTTING: KindCutting[Face] = FaceCutting()
