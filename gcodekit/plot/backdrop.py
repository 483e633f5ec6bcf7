"""The drawing from above: edges of features, the stock, what holds it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.overlay import union
from gcodekit.job.feature import Feature
from gcodekit.job.features.engraved import Engraved
from gcodekit.job.model import Removal, Setup
from gcodekit.part.keep_out import keep_out
from gcodekit.part.setup_stock import metal, metal_levels, plan
from gcodekit.plot.break_lines import broken, edges_of
from gcodekit.plot.label_places import along
from gcodekit.plot.line_types import BLANK, HIDDEN, NARROW, WIDE
from gcodekit.plot.paper import INK, METAL, number, tag
from gcodekit.plot.scale import Scale

# Sag of a slot's rim on the paper, mm.
_RIM_SAG = 0.02
# An engraved line no wider on the paper, mm, is drawn by its middle: its two edges would be one
# blot, and marks beside each other a black band.
_ONE_LINE = 1.5


def feature_lines(setup: Setup, scale: Scale, *, metal: bool) -> str:
    """Every feature's outline, wide as edges are (ISO 128-2, 01.2), hidden where stock is left over
    it (02.1); slots by their rim, fine lines by their middle. What is cleared round a boss, and
    what runs out of the stock, ends at the stock where there is any."""
    covered = [f for f in setup.features if f.undercut is not None]
    spread = [
        f
        for f in setup.features
        if metal and f not in covered and (f.spares or _runs_out(f, setup, scale))
    ]
    fine = [f for f in setup.features if _is_fine(f, scale)]
    rest = [f for f in setup.features if f not in (*spread, *covered, *fine)]
    middles = "".join(scale.chain(line) for f in fine for line in f.lines(plan(setup)))
    parts = [tag("path", d=middles, stroke=INK, stroke_width=NARROW)] if middles else []
    if data := "".join(_feature(f, setup, scale) for f in covered):
        ink: dict[str, str | float] = {"stroke": INK, "stroke_width": NARROW}
        parts.append(tag("path", d=data, stroke_dasharray=HIDDEN, **ink))
    for features, clip in ((rest, ""), (spread, "metal")):
        if data := "".join(_feature(f, setup, scale) for f in features):
            clipped = {"clip_path": f"url(#{clip})"} if clip else {}
            path = tag("path", d=data, stroke=INK, stroke_width=WIDE)
            parts.append(tag("g", path, **clipped) if clip else path)
    threads = (thread for f in setup.features for thread in f.threads)
    if roots := "".join(_root(*thread, scale) for thread in threads):
        parts.append(tag("path", d=roots, stroke=INK, stroke_width=NARROW))
    return "".join(parts)


def _root(axis: Point, crest: float, root: float, scale: Scale) -> str:
    """A thread's root seen along its axis: about three quarters of a circle, narrow, and no nearer
    to the crests than two wide lines (ISO 6410-1, from memory)."""
    apart = math.copysign(max(abs(root - crest), 2 * WIDE / scale.factor), root - crest)
    ring = Chain.circle(axis, crest + apart)
    quarter = ring.length / 4
    return scale.chain(ring.from_start_at(quarter).between(0.0, 3 * quarter))


def _is_fine(feature: Feature, scale: Scale) -> bool:
    """Tell whether it is engraved in lines too fine to show both their edges."""
    return isinstance(feature, Engraved) and 2 * feature.half_width * scale.factor < _ONE_LINE


def _feature(feature: Feature, setup: Setup, scale: Scale) -> str:
    lines = feature.lines(plan(setup))
    if feature.half_width:
        return "".join(_rim(line, feature, scale) for line in lines)
    return "".join(scale.chain(line) for line in lines)


def _runs_out(feature: Feature, setup: Setup, scale: Scale) -> bool:
    """Tell whether part of its outline is off the stock: no edge of the part. What lies off it
    altogether is to be seen."""
    on = on_stock(outline_points(feature, setup, scale), setup, scale)
    return any(on) and not all(on)


def on_stock(points: Sequence[Point], setup: Setup, scale: Scale) -> list[bool]:
    """Tell of places on the paper which are on the stock, seen from above."""
    stock_ = on_paper(plan(setup), scale).buffer(_RIM_SAG)
    return [bool(on) for on in shapely.intersects_xy(stock_, np.array(points).reshape(-1, 2))]


def _rim(line: Chain, feature: Feature, scale: Scale) -> str:
    """What reaches to both sides of its line, by its rim."""
    return polygons(_rim_shape(line, feature, scale), scale)


def _rim_shape(line: Chain, feature: Feature, scale: Scale) -> BaseGeometry:
    """What lies within half a width of a line."""
    return shapely.LineString(line.flattened(_RIM_SAG / scale.factor)).buffer(
        feature.half_width, quad_segs=12, cap_style="flat" if feature.open_ended else "round"
    )


def polygons(shape: BaseGeometry, scale: Scale) -> str:
    """Path data of polygons of the plan, their edges straight."""
    return outlines(on_paper(shape, scale))


def outlines(shape: BaseGeometry) -> str:
    """Path data of polygons that lie on the paper already."""
    return "".join(
        "M" + "L".join(f"{number(x)} {number(y)}" for x, y in ring[:-1]) + "Z"
        for ring in rings_of(shape)
    )


def stock(setup: Setup, scale: Scale) -> str:
    """The stock seen from above, with what earlier set-ups have cut right through it."""
    return tag("path", d=stock_outline(setup, scale), fill=METAL)


def stock_outline(setup: Setup, scale: Scale) -> str:
    """Path data of it."""
    raw = setup.left
    if setup.gone:
        return polygons(shadow(setup), scale)
    if raw.shape == "round" and raw.axis == "z":
        centre = ((raw.low[0] + raw.high[0]) / 2, (raw.low[1] + raw.high[1]) / 2)
        return scale.chain(Chain.circle(centre, (raw.high[0] - raw.low[0]) / 2))
    return polygons(plan(setup), scale)


def shadow(setup: Setup) -> BaseGeometry:
    """All the metal there is, in plan."""
    return _shadow(setup, setup.gone)


@lru_cache(maxsize=4)  # every view of a set-up asks
def _shadow(setup: Setup, gone: tuple[Removal, ...]) -> BaseGeometry:
    """The same; set-ups that differ in what is gone alone count as equal."""
    del gone
    bottom, top = setup.left.low[2], setup.left.high[2]
    levels = [bottom, *metal_levels(setup), top]
    return union(metal(setup, (a + b) / 2) for a, b in pairwise(levels))


def is_blank(setup: Setup) -> bool:
    """Tell whether the part is cut out of the stock all round, so that no edge of the stock is one
    of the part."""
    return any(f.freed is not None and not f.freed.slug for f in setup.features)


def rim_ink(setup: Setup) -> dict[str, str | float]:
    """The stock's outline: wide where its edges stay the part's, else that of a blank (ISO 128-2,
    05.1)."""
    if is_blank(setup):
        return {"stroke": INK, "stroke_width": NARROW, "stroke_dasharray": BLANK}
    return {"stroke": INK, "stroke_width": WIDE}


def stock_rim(setup: Setup, scale: Scale) -> str:
    """Its outline, to lie over what is cut."""
    return tag("path", d=stock_outline(setup, scale), **rim_ink(setup))


def standing_bodies(setup: Setup) -> list[BaseGeometry]:
    """In plan, what of the holding stands higher than the metal's bottom."""
    return [b.outline for b in keep_out(setup) if b.top > setup.left.low[2]]


def bodies(setup: Setup, scale: Scale) -> str:
    """Jaws and clamps: what stands beside or over the stock, broken off at the view's edge."""
    return "".join(broken(on_paper(s, scale), scale.box) for s in standing_bodies(setup))


def body_edges(setup: Setup, scale: Scale) -> str:
    """Those edges once more, to be seen under the stock."""
    shapes = (on_paper(s, scale) for s in standing_bodies(setup))
    return "".join(edges_of(s, scale.box, HIDDEN) for s in shapes)


def on_paper(shape: BaseGeometry, scale: Scale) -> BaseGeometry:
    """A shape of the plan on the paper."""
    f = scale.factor
    if scale.broken:
        # no edge but along the work goes over what is left out: its ends say where it lies
        return shapely.transform(shape, lambda at: np.array([scale.point(*p) for p in at]))
    return affinity.affine_transform(shape, (f, 0.0, 0.0, -f, scale.left, scale.bottom))


def outline_points(feature: Feature, setup: Setup, scale: Scale) -> list[tuple[float, float]]:
    """Places on the paper along a feature's outline, a mm apart at most."""
    found: list[tuple[float, float]] = []
    lines = feature.lines(plan(setup))
    if feature.half_width:
        for line in lines:
            for ring in rings_of(_rim_shape(line, feature, scale)):
                found += along([scale.point(x, y) for x, y in ring])
        return found
    for line in lines:
        found += along([scale.point(*p) for p in line.flattened(0.05 / scale.factor)])
    return found


def rings_of(shape: BaseGeometry) -> list[list[tuple[float, float]]]:
    """Every ring of its polygons, closed."""
    rings = (
        r
        for part in shapely.get_parts(shape)
        if part.geom_type == "Polygon" and not part.is_empty
        for r in (part.exterior, *part.interiors)
    )
    return [[(float(x), float(y)) for x, y in r.coords] for r in rings]
