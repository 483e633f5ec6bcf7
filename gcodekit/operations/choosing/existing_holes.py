"""The hole that is there already where a bore is to be brought to size."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.flattening import disc
from gcodekit.geometry.overlay import less, union
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.operations.boring import boring_settings
from gcodekit.operations.planned_operation import PlanContext
from gcodekit.part.setup_stock import metal, metal_levels
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.hole_cutting import BORING_TRIAL, reaming_allowance

# Just over a level, mm.
_JUST = 1e-4


def opened(work: PlanContext, bore: Bore, top: float, *, deeper: float = 0.0) -> float:
    """Diameter, mm, of the hole that goes down to the bore's floor, and `deeper`, at each of its
    places when its turn comes: drilled or bored by features written before it, by earlier set-ups
    or there in the stock; 0.0 where one place has none."""
    floor = max(bore.depth.cut_to - deeper, work.setup.left.low[2])
    holes = _written_before(work, bore)
    levels = [
        *(z for z in metal_levels(work.setup) if floor < z < top),
        *(h.depth.cut_to for h in holes if floor < h.depth.cut_to < top),
    ]
    return 2 * min(
        _free(bore, at, stock, gone)
        for stock, gone in (_at_height(work, holes, z + _JUST) for z in {floor, *levels})
        for at in bore.places
    )


def _written_before(work: PlanContext, bore: Bore) -> list[Hole | Bore]:
    before: list[Feature] = []
    for feature in work.setup.features:
        if feature.name == bore.name:
            break
        before.append(feature)
    return [f for f in before if isinstance(f, Bore) or (isinstance(f, Hole) and f.drilled)]


def _at_height(
    work: PlanContext, holes: list[Hole | Bore], z: float
) -> tuple[BaseGeometry, BaseGeometry]:
    """The metal that the set-up begins with, and what holes take of it."""
    deep = (hole for hole in holes if hole.depth.cut_to < z)
    gone = union(disc(place, _drilled(hole) / 2) for hole in deep for place in hole.places)
    return metal(work.setup, z), gone


def _free(bore: Bore, at: Point, stock: BaseGeometry, gone: BaseGeometry) -> float:
    """Radius round a place that is free of metal, at most the bore's."""
    radius = bore.diameter / 2
    left = less(stock.intersection(disc(at, radius)), gone)
    return radius if left.is_empty else min(radius, float(left.distance(shapely.Point(at))))


def _drilled(hole: Hole | Bore) -> float:
    """A reamed hole may still be as its drill has left it."""
    reamed = isinstance(hole, Hole) and hole.ream
    return hole.diameter - (2 * reaming_allowance(hole.diameter) if reamed else 0.0)


def finds_hole(bore: Bore, last: Cutter, hole: float) -> bool:
    """Tell whether a reamer or boring head does with a hole of that diameter, mm, as it is."""
    left = bore.diameter - hole
    if last.kind == "reamer":
        usual = reaming_allowance(bore.diameter)
        return usual / 2 <= left + _JUST and left <= 2 * usual + _JUST
    least = last.range[0] if last.range else 0.0
    set_first = boring_settings(bore.diameter, hole)[0]
    return left >= BORING_TRIAL and hole > last.shank and set_first >= least - _JUST
