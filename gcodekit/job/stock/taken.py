"""What the features of a set-up take of the metal, as far as the drawing alone says it.

Which cutters finish them is not known here: of a profile's kerf there is sure to be as much as the
narrowest mill makes, of what is not to be finished as much as an ample allowance leaves. The metal
that a program is proved on is found later, with the cutters (`part.elsewhere`); this finds its
limits.
"""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.discs import SAG, disc
from gcodekit.geometry.flat import eroded, polygons_of, thin, to_shapely
from gcodekit.geometry.shapes import sector
from gcodekit.job.model import (
    Bore,
    Boss,
    Edge,
    Face,
    Feature,
    Hole,
    Pocket,
    Profile,
    Sector,
    Setup,
    Slot,
)
from gcodekit.job.stock.raw_metal import stock_plan
from gcodekit.job.stock.removed import BEYOND, Slab
from gcodekit.job.workshop.machine import Workshop
from gcodekit.trade.cutter import FLAT_MILLS

# What is left for a later feature where the job does not say how much, mm: more than any is.
_AMPLE = 1.0


def kerf_width(profile: Profile, workshop: Workshop) -> float:
    """The kerf, as narrow as it may be: of the cutter named, or else of the rack's narrowest."""
    if profile.cutting.cutter is not None:
        return profile.cutting.cutter.diameter
    return min((c.diameter for c in workshop.cutters if c.kind in FLAT_MILLS), default=0.0)


def taken_by(setup: Setup, workshop: Workshop) -> tuple[Slab, ...]:
    """What is sure to be gone after a set-up, in its own coordinates."""
    return tuple(slab for f in setup.features for slab in taken(f, setup, workshop))


def offcuts(setup: Setup) -> tuple[Slab, ...]:
    """What a set-up cuts free of the part, over the metal's whole height: all that lies outside a
    profile cut right through round the part, or inside a window's. The tabs and the skin that hold
    it count as cut."""
    whole = _round(stock_plan(setup.left))
    parts: list[BaseGeometry] = []
    slugs: list[BaseGeometry] = []
    for f in setup.features:
        match f:
            case Profile(outline=outline) if outline is not None and _parts(f):
                (slugs if f.side == "inside" else parts).append(to_shapely(outline, SAG))
            case Boss() if f.within is not None and f.depth.through:
                parts.append(to_shapely(f.kept, SAG))
    areas = [shapely.union_all(slugs)]
    if parts:
        areas.append(whole.difference(shapely.union_all(parts)))
    low, high = setup.left.low[2] - BEYOND, setup.left.high[2] + BEYOND
    return tuple(Slab(a, low, high) for a in areas if not a.is_empty)


def _parts(profile: Profile) -> bool:
    """Whether a profile goes right through, or would but for its skin."""
    return profile.depth.through or profile.skin is not None


def taken(feature: Feature, setup: Setup, workshop: Workshop) -> list[Slab]:
    """What one feature is sure to take."""
    top = setup.left.high[2] + BEYOND
    cut_to = feature.depth.cut_to
    area = taken_area(feature, setup, workshop)
    if not feature.cutting.finish and not isinstance(feature, Hole):
        wall, floor = feature.cutting.wall_allowance, feature.cutting.floor_allowance
        inner = eroded(area, _AMPLE if wall is None else wall)
        # of a kerf just twice as wide as that hairs are left, which cross themselves
        area = shapely.MultiPolygon([p for p in polygons_of(inner) if not thin(p)])
        if not feature.depth.through:
            cut_to += _AMPLE if floor is None else floor
    if isinstance(feature, Profile):
        standing = max(feature.skin or 0.0, feature.tabs.height if feature.tabs else 0.0)
        cut_to = max(cut_to, setup.left.low[2] + standing) if standing else cut_to
    if isinstance(feature, Hole) and not feature.drilled:
        return []
    x0, y0, x1, y1 = stock_plan(setup.left).bounds
    near = shapely.clip_by_rect(area, x0 - BEYOND, y0 - BEYOND, x1 + BEYOND, y1 + BEYOND)
    return [Slab(near, cut_to, top)] if cut_to < top else []


def taken_area(feature: Feature, setup: Setup, workshop: Workshop) -> BaseGeometry:
    """In plan, what a feature takes down to its depth."""
    if isinstance(feature, Pocket | Slot | Bore | Hole):
        return drawn_area(feature)
    metal = stock_plan(setup.left)
    match feature:
        case Face():
            return to_shapely(feature.outline, SAG) if feature.outline else _round(metal)
        case Edge():
            return _beyond_plane(feature, metal)
        case Boss():
            rim = to_shapely(feature.within, SAG) if feature.within else _round(metal)
            return rim.difference(to_shapely(feature.kept, SAG))
        case Sector():
            return _sector(feature, metal)
        case Profile():
            return _kerf(feature, kerf_width(feature, workshop))


def drawn_area(feature: Pocket | Slot | Bore | Hole) -> BaseGeometry:
    """The same of what is drawn all round."""
    if isinstance(feature, Pocket):
        return to_shapely(feature.area, SAG)
    if isinstance(feature, Slot):
        round_ = to_shapely(feature.path, SAG).buffer(feature.width / 2)
        return shapely.union_all([round_, *_square_ends(feature)])
    return shapely.union_all([disc(p, feature.diameter / 2) for p in feature.places])


def _square_ends(slot: Slot) -> list[BaseGeometry]:
    """Half a slot's width beyond each of its open ends, as wide as the slot."""
    path, half = slot.path, slot.width / 2
    found: list[BaseGeometry] = []
    for at, run, end in zip((0.0, path.length), (-half, half), slot.ends, strict=True):
        if end == "open":
            (x, y), (dx, dy) = path.point_at(at), path.tangent_at(at)
            way = shapely.LineString([(x, y), (x + run * dx, y + run * dy)])
            found.append(way.buffer(half, cap_style="flat"))
    return found


def _round(metal: BaseGeometry) -> BaseGeometry:
    """The metal and some air about it."""
    return metal.envelope.buffer(BEYOND, join_style="mitre")


def _beyond_plane(edge: Edge, metal: BaseGeometry) -> BaseGeometry:
    (px, py), (dx, dy) = edge.point, edge.away
    far = _far(edge.point, metal)
    corners = [
        (px + s * -dy + t * dx, py + s * dx + t * dy)
        for s, t in ((-far, 0.0), (far, 0.0), (far, far), (-far, far))
    ]
    return shapely.Polygon(corners)


def _sector(arc: Sector, metal: BaseGeometry) -> BaseGeometry:
    inner, outer = arc.radius, arc.from_radius or _far(arc.centre, metal)
    if arc.side == "inside":
        inner, outer = arc.from_radius or 0.0, arc.radius
    return to_shapely(sector(inner, outer, start=arc.start, end=arc.end, centre=arc.centre), SAG)


def _far(point: tuple[float, float], metal: BaseGeometry) -> float:
    """Beyond the metal's farthest corner from a point."""
    x0, y0, x1, y1 = metal.bounds
    corners = ((x0, y0), (x1, y0), (x0, y1), (x1, y1))
    return 2 * max(math.dist(point, c) for c in corners) + BEYOND


def _kerf(profile: Profile, width: float) -> BaseGeometry:
    if profile.path is not None:
        line = to_shapely(profile.path, SAG)
        if profile.side == "on":
            return line.buffer(width / 2)
        return line.buffer(width if profile.side == "left" else -width, single_sided=True)
    assert profile.outline is not None
    area = to_shapely(profile.outline, SAG)
    match profile.side:
        case "outside":
            return area.buffer(width).difference(area)
        case "inside":
            return area.difference(area.buffer(-width))
        case _:
            return area.boundary.buffer(width / 2)
