"""What the features of a set-up take of the metal, as far as the drawing alone says it.

Which cutters finish them is not known here: of a profile's kerf there is sure to be as much as the
narrowest mill makes, of what is not to be finished as much as an ample allowance leaves. The metal
that a program is proved on is found later, with the cutters (`part.elsewhere`); this finds its
limits.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.flattening import disc, eroded, polygons_of, thin, to_shapely
from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.job.feature import Feature
from gcodekit.job.model import Setup
from gcodekit.job.stock.raw_metal import stock_plan
from gcodekit.job.stock.removed_stock import BEYOND, Slab
from gcodekit.job.workshop.machine import Workshop
from gcodekit.trade.cutter import FLAT_MILLS

# What is left for a later feature where the job does not say how much, mm: more than any is.
_AMPLE = 1.0


def narrowest(workshop: Workshop) -> float:
    """Diameter of the rack's narrowest mill, 0 where it has none."""
    return min((c.diameter for c in workshop.cutters if c.kind in FLAT_MILLS), default=0.0)


def taken_by(setup: Setup, workshop: Workshop) -> tuple[Slab, ...]:
    """Find what is sure to be gone after a set-up, in its own coordinates."""
    return tuple(slab for f in setup.features for slab in taken(f, setup, workshop))


def offcuts(setup: Setup) -> tuple[Slab, ...]:
    """Find what a set-up cuts free of the part, over the metal's whole height: all that lies
    outside a profile cut right through round the part, or inside a window's. The tabs and the skin
    that hold it count as cut."""
    whole = round_metal(stock_plan(setup.left))
    freed = [f.freed for f in setup.features if f.freed is not None]
    parts = [to_shapely(f.area, METAL_SAG) for f in freed if not f.slug]
    areas = [shapely.union_all([to_shapely(f.area, METAL_SAG) for f in freed if f.slug])]
    if parts:
        areas.append(whole.difference(shapely.union_all(parts)))
    low, high = setup.left.low[2] - BEYOND, setup.left.high[2] + BEYOND
    return tuple(Slab(a, low, high) for a in areas if not a.is_empty)


def taken(feature: Feature, setup: Setup, workshop: Workshop) -> list[Slab]:
    """Find what one feature is sure to take."""
    metal = stock_plan(setup.left)
    if feature.undercut is not None:
        area = feature.taken_area(metal, narrowest(workshop))
        return [Slab(_near(area, metal), *feature.undercut)]
    if not feature.has_depth:
        return []
    top, cut_to = setup.left.high[2] + BEYOND, feature.depth.cut_to
    area = feature.taken_area(metal, narrowest(workshop))
    if feature.spares:
        area = area.difference(shapely.union_all(_kept_by_others(feature, setup)))
    if not feature.cutting.finish and feature.milled:
        wall, floor = feature.cutting.wall_allowance, feature.cutting.floor_allowance
        inner = eroded(area, _AMPLE if wall is None else wall)
        # of a kerf just twice as wide as that hairs are left, which cross themselves
        area = shapely.MultiPolygon([p for p in polygons_of(inner) if not thin(p)])
        if not feature.depth.through:
            cut_to += _AMPLE if floor is None else floor
    if feature.standing:
        cut_to = max(cut_to, setup.left.low[2] + feature.standing)
    return [Slab(_near(area, metal), cut_to, top)] if cut_to < top else []


def _near(area: BaseGeometry, metal: BaseGeometry) -> BaseGeometry:
    """The part of an area within the metal and a little beyond."""
    x0, y0, x1, y1 = metal.bounds
    return shapely.clip_by_rect(area, x0 - BEYOND, y0 - BEYOND, x1 + BEYOND, y1 + BEYOND)


def _kept_by_others(feature: Feature, setup: Setup) -> list[BaseGeometry]:
    """Find what is to stay apart from the feature and is higher than its floor."""
    own = shapely.union_all([to_shapely(kept, METAL_SAG) for kept in feature.keeps])
    bodies = (to_shapely(kept, METAL_SAG) for kept in setup.kept_higher(feature))
    return [b for b in bodies if not b.intersection(own).area]


def discs(places: Iterable[Point], radius: float) -> BaseGeometry:
    """Discs of one radius."""
    return shapely.union_all([disc(p, radius) for p in places])


def round_metal(metal: BaseGeometry) -> BaseGeometry:
    """Metal with this plan and some air about it."""
    return metal.envelope.buffer(BEYOND, join_style="mitre")


def beyond_metal(point: Point, metal: BaseGeometry) -> float:
    """Beyond the metal's farthest corner from a point."""
    x0, y0, x1, y1 = metal.bounds
    corners = ((x0, y0), (x1, y0), (x0, y1), (x1, y1))
    return 2 * max(math.dist(point, c) for c in corners) + BEYOND
