"""The drawing, faint under the cuts: outlines of features, the metal, what holds it."""

from __future__ import annotations

from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.overlay import union
from gcodekit.job.feature import Feature
from gcodekit.job.model import Setup
from gcodekit.part.keep_out import keep_out
from gcodekit.part.setup_stock import metal, metal_levels, plan
from gcodekit.plot.paper import BODY, FAINT, INK, METAL, SOFT, tag
from gcodekit.plot.scale import Scale

# Sag of a slot's rim on the paper, mm.
_RIM_SAG = 0.02


def feature_lines(setup: Setup, scale: Scale) -> str:
    """Every feature's outline; slots by their rim."""
    data = "".join(_feature(f, setup, scale) for f in setup.features)
    return tag("path", d=data, stroke=FAINT, stroke_width=0.18) if data else ""


def _feature(feature: Feature, setup: Setup, scale: Scale) -> str:
    lines = feature.lines(plan(setup))
    if feature.half_width:
        return "".join(_rim(line, feature, scale) for line in lines)
    return "".join(scale.chain(line) for line in lines)


def _rim(line: Chain, feature: Feature, scale: Scale) -> str:
    """Find what reaches to both sides of its line, by its rim."""
    rim = shapely.LineString(line.flattened(_RIM_SAG / scale.factor)).buffer(
        feature.half_width, quad_segs=12, cap_style="flat" if feature.open_ended else "round"
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
