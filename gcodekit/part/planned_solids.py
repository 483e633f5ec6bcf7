"""Faces, pockets, bores and holes: areas and round places to a depth."""

from __future__ import annotations

import math
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.model import Setup
from gcodekit.part.plane_regions import area_of, discs, grown, tightest_round
from gcodekit.part.planned_mouth import above_mouth, below, mouth_of, thread_of
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.part.setup_stock import plan
from gcodekit.part.solids import Pits, Prism, Solid
from gcodekit.trade.cutter import Cutter

# A face of the whole top is asked this far beyond the metal, mm, where there is only air.
IN_AIR = 10.0
# A spotted place must be at least this share of the hole's diameter wide, to guide the drill.
# Common practice, no source.
LEAST_SPOT = 0.5


def ask_face(face: Face, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
    """All metal over the floor under the outline, above `top` too. A run-off meets only air."""
    if face.outline is None:
        return _to_floor(face, whole_top(around.setup), cut, around, reach=cut.cutter.radius)
    within = plan(around.setup)
    reach = min(cut.cutter.radius, tightest_round(face.outline.rings, left=True, within=within))
    return _to_floor(face, area_of(face.outline), cut, around, reach=reach)


def whole_top(setup: Setup) -> BaseGeometry:
    """The work's whole top and some air round it."""
    (x0, y0, _), (x1, y1, _) = setup.left.low, setup.left.high
    return shapely.box(x0 - IN_AIR, y0 - IN_AIR, x1 + IN_AIR, y1 + IN_AIR)


def ask_pocket(pocket: Pocket, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
    """The outline less the islands. Drawn rounds must be reached; sharp corners only as far as
    `corner` says."""
    reach = min(
        cut.cutter.radius,
        tightest_round(pocket.area.rings, left=True, within=plan(around.setup)),
        math.inf if pocket.corner is None else pocket.corner,
    )
    return _to_floor(pocket, area_of(pocket.area), cut, around, reach=reach)


def _to_floor(
    feature: Face | Pocket,
    area: BaseGeometry,
    cut: FinishingCut,
    around: FeatureContext,
    *,
    reach: float,
) -> PlannedTarget:
    floor = feature.depth.cut_to
    if not (cut.left or cut.left_on_floor):
        return PlannedTarget(name=feature.name, reach=reach, required=(Prism(area, floor),))
    required = _roughed(area, cut, around) if cut.left else area
    return PlannedTarget(
        name=feature.name,
        reach=reach,
        required=(Prism(required, floor + cut.left_on_floor),),
        allowed=(Prism(area, floor),),
    )


def _roughed(area: BaseGeometry, cut: FinishingCut, around: FeatureContext) -> BaseGeometry:
    """The area that the roughing cutter reaches with its allowance off all that is kept; it may
    come in from beside the stock."""
    radius = cut.cutter.radius
    beside = less(grown(area.envelope, 4 * radius + cut.left), plan(around.setup))
    room = grown(union((area, beside)), -(cut.left + radius))
    return common(area, grown(room, radius))


def ask_bore(bore: Bore, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
    """The cylinder, full diameter to the depth; below it a point's or reamer's lead."""
    return _round_hole(bore, cut, ())


def ask_hole(hole: Hole, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
    """The cylinder and the point below it, a shaped mouth, a thread; or, undrilled, a spot from
    the surface there is or a countersink."""
    mouth, above = mouth_of(hole), above_mouth(hole, cut)
    if not hole.drilled and mouth:
        return PlannedTarget(name=hole.name, reach=0.0, required=mouth, allowed=above)
    if not hole.drilled:
        return _spots(hole, cut, around)
    radius, floor = hole.diameter / 2, hole.depth.cut_to
    top = around.top_over(discs(hole.places, radius))
    tips = {c.number: (c, _spot_tip(top, radius, c)) for c in cut.cutters if c.kind == "spot drill"}
    # above the floor a spot lies within the hole
    deeper = [Pits(hole.places, c, tip, radius, floor) for c, tip in tips.values() if tip < floor]
    whole = _round_hole(hole, cut, (*deeper, *above, *thread_of(hole, cut)))
    return replace(whole, required=(*whole.required, *mouth))


def _spot_tip(top: float, radius: float, cutter: Cutter) -> float:
    """z of the tip that leaves a spot of this radius in a surface at `top`."""
    return top - min(radius, cutter.radius) / math.tan(cutter.tip_angle / 2)


def _spots(hole: Hole, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
    radius, cutter = hole.diameter / 2, cut.cutter
    top = around.top_over(discs(hole.places, radius))
    least, most = (_spot_tip(top, share * radius, cutter) for share in (LEAST_SPOT, 1.0))
    widest = (Pits(hole.places, cutter, most, radius, math.inf),)
    return PlannedTarget(
        name=hole.name,
        reach=0.0,
        required=(Pits(hole.places, cutter, least, radius, math.inf),),
        allowed=widest,
    )


def _round_hole(feature: Bore | Hole, cut: FinishingCut, extra: tuple[Solid, ...]) -> PlannedTarget:
    floor, radius = feature.depth.cut_to, feature.diameter / 2
    area = discs(feature.places, radius)
    required = discs(feature.places, radius - cut.left)
    allowed: list[Solid] = [Prism(area, floor)] if cut.left else []
    band = feature.band
    if band is not None and not _aims(cut):
        # a reamer or drill cuts its own size: it has to lie between the limits
        required = discs(feature.places, band.least / 2)
        allowed.append(Prism(discs(feature.places, band.most / 2), floor))
    points = [b for c in cut.cutters if (b := below(feature, c, cut, floor)) is not None]
    return PlannedTarget(
        name=feature.name,
        reach=min(cut.cutter.radius, radius),
        required=(Prism(required, floor),),
        allowed=(*allowed, *points, *extra),
    )


def _aims(cut: FinishingCut) -> bool:
    """Tell whether the last cutter can be brought to any size."""
    return cut.cutter.kind not in ("drill", "reamer")
