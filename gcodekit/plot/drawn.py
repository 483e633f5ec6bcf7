"""The drawing, faint under the cuts: outlines of features, the metal, what holds it."""

from __future__ import annotations

import math
from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain
from gcodekit.geometry.overlay import union
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
from gcodekit.part.keep_out import keep_out
from gcodekit.part.metal import metal, metal_levels, plan
from gcodekit.plot.paper import BODY, FAINT, INK, METAL, SOFT, tag
from gcodekit.plot.scale import Scale

# Sag of a slot's rim on the paper, mm.
_SAG = 0.02


def feature_lines(setup: Setup, scale: Scale) -> str:
    """Every feature's outline; slots by their rim."""
    data = "".join(_feature(f, setup, scale) for f in setup.features)
    return tag("path", d=data, stroke=FAINT, stroke_width=0.18) if data else ""


def _feature(feature: Feature, setup: Setup, scale: Scale) -> str:
    if isinstance(feature, Slot):
        return _slot(feature, scale)
    return "".join(scale.chain(c) for c in feature_chains(feature, setup))


def feature_chains(feature: Feature, setup: Setup) -> tuple[Chain, ...]:
    """A feature's lines as drawn; a slot's centre line."""
    match feature:
        case Face():
            return feature.outline.rings if feature.outline else ()
        case Pocket():
            return feature.area.rings
        case Profile():
            chains = feature.outline.rings if feature.outline else ()
            return (*chains, feature.path) if feature.path else chains
        case Slot():
            return (feature.path,)
        case Bore():
            return tuple(Chain.circle(p, feature.diameter / 2) for p in feature.places)
        case Hole():
            mouths = (feature.counterbore, feature.countersink)
            widths = (feature.diameter, *(m.diameter for m in mouths if m is not None))
            return tuple(Chain.circle(p, w / 2) for p in feature.places for w in widths)
        case Edge():
            return _edge(feature, setup)
        case Boss():
            return (*feature.kept.rings, *(feature.within.rings if feature.within else ()))
        case Sector():
            return (_arc(feature),)


def _edge(edge: Edge, setup: Setup) -> tuple[Chain, ...]:
    """The plane where it crosses the metal."""
    (x, y), (dx, dy) = edge.point, edge.away
    x0, y0, x1, y1 = plan(setup).bounds
    far = abs(x) + abs(y) + abs(x0) + abs(y0) + abs(x1) + abs(y1)
    line = shapely.LineString([(x - dy * far, y + dx * far), (x + dy * far, y - dx * far)])
    across = line.intersection(plan(setup))
    if across.geom_type != "LineString" or across.is_empty:
        return ()
    (ax, ay), (bx, by) = across.coords[0], across.coords[-1]
    return (Chain.of_points([(ax, ay), (bx, by)], closed=False),)


def _arc(arc: Sector) -> Chain:
    """The finished radius."""
    if arc.whole:
        return Chain.circle(arc.centre, arc.radius)
    ends = [
        (arc.centre[0] + arc.radius * math.cos(a), arc.centre[1] + arc.radius * math.sin(a))
        for a in (arc.start, arc.end)
    ]
    return Chain((Arc(ends[0], ends[1], arc.centre, True),))


def _slot(slot: Slot, scale: Scale) -> str:
    sag = _SAG / scale.factor
    line = shapely.LineString(slot.path.flattened(sag))
    rim = line.buffer(
        slot.width / 2, quad_segs=12, cap_style="flat" if "open" in slot.ends else "round"
    )
    return polygons(rim, scale)


def polygons(shape: BaseGeometry, scale: Scale) -> str:
    """Path data of polygons, their edges straight."""
    data = []
    for part in shapely.get_parts(shape):
        if part.geom_type != "Polygon":
            continue
        for ring in (part.exterior, *part.interiors):
            points = [scale.to(x, y) for x, y in ring.coords[:-1]]
            data.append("M" + "L".join(points) + "Z")
    return "".join(data)


def stock(setup: Setup, scale: Scale) -> str:
    """The metal seen from above, with what earlier set-ups have cut right through it."""
    raw = setup.left
    if setup.gone:
        data = polygons(shadow(setup), scale)
    elif raw.shape == "round" and raw.axis == "z":
        centre = ((raw.low[0] + raw.high[0]) / 2, (raw.low[1] + raw.high[1]) / 2)
        data = scale.chain(Chain.circle(centre, (raw.high[0] - raw.low[0]) / 2))
    else:
        data = polygons(plan(setup), scale)
    return tag("path", d=data, fill=METAL)


def shadow(setup: Setup) -> BaseGeometry:
    """All the metal there is, in plan."""
    bottom, top = setup.left.low[2], setup.left.high[2]
    levels = [bottom, *metal_levels(setup), top]
    return union(metal(setup, (a + b) / 2) for a, b in pairwise(levels))


def stock_rim(setup: Setup, scale: Scale) -> str:
    """Its outline, to lie over what is cut."""
    return stock(setup, scale).replace(f'fill="{METAL}"', f'stroke="{INK}" stroke-width="0.5"')


def standing_bodies(setup: Setup) -> list[BaseGeometry]:
    """In plan, what of the holding stands higher than the metal's bottom."""
    return [b.outline for b in keep_out(setup) if b.top > setup.left.low[2]]


def bodies(setup: Setup, scale: Scale) -> str:
    """Jaws and clamps: what stands beside or over the metal."""
    data = "".join(polygons(s, scale) for s in standing_bodies(setup))
    if not data:
        return ""
    return tag("path", d=data, fill=BODY, stroke=SOFT, stroke_width=0.25)
