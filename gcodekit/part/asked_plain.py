"""Faces, pockets, bores and holes: areas and round places to a depth."""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.job.model import Bore, Face, Hole, Pocket, Setup
from gcodekit.part.asked import Around, Asked, FinishingCut
from gcodekit.part.metal import plan
from gcodekit.part.plane import area_of, discs, grown
from gcodekit.part.rounds import tightest_round
from gcodekit.part.solids import Pits, Prism, Solid
from gcodekit.trade.cutter import Cutter

# A face of the whole top is asked this far beyond the metal, mm, where there is only air.
BEYOND = 10.0
# A blind hole's drill goes deeper than the reamer by its lead and this much, mm: room for chips.
# The job file's contract.
CHIP_ROOM = 1.0
# A spotted place must be at least this share of the hole's diameter wide, to guide the drill.
# Common practice, no source.
LEAST_SPOT = 0.5


def ask_face(face: Face, cut: FinishingCut, around: Around) -> Asked:
    """All metal over the floor under the outline, above `top` too. A run-off meets only air."""
    if face.outline is None:
        return _to_floor(face, whole_top(around.setup), cut, reach=cut.cutter.radius)
    within = plan(around.setup)
    reach = min(cut.cutter.radius, tightest_round(face.outline.rings, left=True, within=within))
    return _to_floor(face, area_of(face.outline), cut, reach=reach)


def whole_top(setup: Setup) -> BaseGeometry:
    """The work's whole top and some air round it."""
    (x0, y0, _), (x1, y1, _) = setup.raw.low, setup.raw.high
    return shapely.box(x0 - BEYOND, y0 - BEYOND, x1 + BEYOND, y1 + BEYOND)


def ask_pocket(pocket: Pocket, cut: FinishingCut, around: Around) -> Asked:
    """The outline less the islands. Drawn rounds must be reached; sharp corners only as far as
    `corner` says."""
    reach = min(
        cut.cutter.radius,
        tightest_round(pocket.area.rings, left=True, within=plan(around.setup)),
        math.inf if pocket.corner is None else pocket.corner,
    )
    return _to_floor(pocket, area_of(pocket.area), cut, reach=reach)


def _to_floor(
    feature: Face | Pocket, area: BaseGeometry, cut: FinishingCut, *, reach: float
) -> Asked:
    floor = feature.depth.cut_to
    if not (cut.left or cut.left_on_floor):
        return Asked(name=feature.name, reach=reach, must=(Prism(area, floor),))
    # kept off the walls, the cutter leaves more in a corner, and rolls into no round of its size
    must = grown(grown(area, -(cut.left + reach)), reach) if cut.left else area
    return Asked(
        name=feature.name,
        reach=reach,
        must=(Prism(must, floor + cut.left_on_floor),),
        may=(Prism(area, floor),),
    )


def ask_bore(bore: Bore, cut: FinishingCut, around: Around) -> Asked:
    """The cylinder, full diameter to the depth; below it a point's or reamer's lead."""
    return _round_hole(bore, cut, ())


def ask_hole(hole: Hole, cut: FinishingCut, around: Around) -> Asked:
    """The cylinder and the point below it; or, undrilled, a spot from the surface there is."""
    if not hole.drilled:
        return _spots(hole, cut, around)
    radius, floor = hole.diameter / 2, hole.depth.cut_to
    top = around.top_over(discs(hole.places, radius))
    tips = {c.number: (c, _spot_tip(top, radius, c)) for c in cut.cutters if c.kind == "spot drill"}
    # above the floor a spot lies within the hole
    deeper = [Pits(hole.places, c, tip, radius, floor) for c, tip in tips.values() if tip < floor]
    return _round_hole(hole, cut, tuple(deeper))


def _spot_tip(top: float, radius: float, cutter: Cutter) -> float:
    """z of the tip that leaves a spot of this radius in a surface at `top`."""
    return top - min(radius, cutter.radius) / math.tan(cutter.tip_angle / 2)


def _spots(hole: Hole, cut: FinishingCut, around: Around) -> Asked:
    radius, cutter = hole.diameter / 2, cut.cutter
    top = around.top_over(discs(hole.places, radius))
    least, most = (_spot_tip(top, share * radius, cutter) for share in (LEAST_SPOT, 1.0))
    return Asked(
        name=hole.name,
        reach=0.0,
        must=(Pits(hole.places, cutter, least, radius, math.inf),),
        may=(Pits(hole.places, cutter, most, radius, math.inf),),
    )


def _round_hole(feature: Bore | Hole, cut: FinishingCut, extra: tuple[Solid, ...]) -> Asked:
    floor, radius = feature.depth.cut_to, feature.diameter / 2
    must = discs(feature.places, radius - cut.left)
    may: list[Solid] = [Prism(discs(feature.places, radius), floor)] if cut.left else []
    for cutter in cut.cutters:
        may += _below(feature, cutter, cut, floor)
    return Asked(
        name=feature.name,
        reach=min(cut.cutter.radius, radius),
        must=(Prism(must, floor),),
        may=(*may, *extra),
    )


def _below(
    feature: Bore | Hole, cutter: Cutter, cut: FinishingCut, floor: float
) -> tuple[Solid, ...]:
    """What a drill or reamer may take below the depth of full diameter."""
    if cutter.kind not in ("drill", "reamer"):
        return ()
    shoulder = _drilled_to(feature, cut) if cutter.kind == "drill" else floor
    tip = shoulder - cutter.point_length
    return (Pits(feature.places, cutter, tip, feature.diameter / 2, floor),)


def _drilled_to(feature: Bore | Hole, cut: FinishingCut) -> float:
    """z of the drill's shoulder: below a blind reamed hole there is room for lead and chips."""
    depth = feature.depth
    if isinstance(feature, Hole) and feature.drill_depth is not None:
        return depth.top - feature.drill_depth
    reamers = [c.point_length for c in cut.cutters if c.kind == "reamer"]
    if depth.through or not reamers:
        return depth.cut_to
    return depth.cut_to - max(reamers) - CHIP_ROOM
