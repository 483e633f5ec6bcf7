"""Areas to a floor: what of them must go, and what may stay on purpose."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, common, less, union
from gcodekit.job.feature import Feature
from gcodekit.job.model import Setup
from gcodekit.target.bodies import Upright
from gcodekit.target.demand import Demand, FeatureCutters
from gcodekit.target.drawn_areas import framed, grown
from gcodekit.target.measured_walls import Moved
from gcodekit.target.setup_metal import plan

# What goes is asked so far beyond the metal, mm, where there is only air.
ASKED_BEYOND = 10.0
# A gap as wide as the roughing cutter and what it leaves is one it gets through, though in chords
# it seems narrower by this, mm.
FITS = 0.0005
# Where a gap narrows nothing is asked of the last bit that a cutter only just gets into: what holds
# no circle of this radius, mm.
TIP = 0.05


def to_floor(
    feature: Feature,
    area: BaseGeometry,
    used: FeatureCutters,
    setup: Setup,
    reach: float,
    moved: Moved,
    beside: BaseGeometry = EMPTY,
) -> Demand:
    """An area down to the feature's depth, both `moved` by what was measured, less what is left on
    purpose, which may go; `beside` may as well."""
    floor = feature.depth.cut_to - moved.floor
    area = grown(area, moved.wall) if moved.wall else area
    required = common(area, _roughed(union((area, beside)), used, setup)) if used.left else area
    allowed = [] if beside.is_empty else [Upright(beside, floor)]
    if used.left or used.left_on_floor:
        allowed.append(Upright(area, floor))
    return Demand(
        name=feature.name,
        reach=reach,
        required=(Upright(required, floor + used.left_on_floor),),
        allowed=tuple(allowed),
    )


def _roughed(area: BaseGeometry, used: FeatureCutters, setup: Setup) -> BaseGeometry:
    """The area that a cutter reaches with its allowance off all walls; it may come in from beside
    the stock."""
    radius = used.cutter.radius
    air = less(framed(union((area, plan(setup))), 4 * radius + used.left), plan(setup))
    room = union((area, air))

    def reached(radius: float) -> BaseGeometry:
        return grown(grown(room, -(used.left + radius)), radius)

    sure, just = reached(radius + FITS), reached(radius - FITS)
    # half a micrometre more or less in a narrowing gap is many along it: only what is wide counts
    gaps = [gap for gap in shapely.get_parts(less(just, sure)) if not grown(gap, -TIP).is_empty]
    return union((sure, *gaps))
