"""Bodies larger than the drawing shows: cut off at the view's edge with a break line (ISO 128-2,
line 01.1 with zigzags), so that nobody takes the edge of the picture for the end of a jaw."""

from __future__ import annotations

import math
from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import common
from gcodekit.plot.line_types import NARROW, ZIGZAG
from gcodekit.plot.paper import BODY, SOFT, PaperBox, number, tag

# On an edge of the view, mm on the paper.
_ON_EDGE = 0.02


def broken(shape: BaseGeometry, view: PaperBox) -> str:
    """A shape on the paper, filled, as far as the view shows it: its own edges as they are, those
    it is cut off at as break lines."""
    fill, edges, breaks = _parts(shape, view)
    if not fill:
        return ""
    ink: dict[str, str | float] = {"stroke": SOFT, "stroke_width": NARROW}
    return (
        tag("path", d=fill, fill=BODY)
        + (tag("path", d=edges, **ink) if edges else "")
        + (tag("path", d=breaks, **ink) if breaks else "")
    )


def edges_of(shape: BaseGeometry, view: PaperBox, dash: str) -> str:
    """Its own edges once more, dashed where something is before them."""
    _, edges, _ = _parts(shape, view)
    if not edges:
        return ""
    return tag("path", d=edges, stroke=SOFT, stroke_width=NARROW, stroke_dasharray=dash)


def _parts(shape: BaseGeometry, view: PaperBox) -> tuple[str, str, str]:
    """Path data of all of it, of its own edges, and of its break lines."""
    window = shapely.box(view.left, view.top, view.right, view.bottom)
    fill: list[str] = []
    edges: list[str] = []
    breaks: list[str] = []
    for part in shapely.get_parts(common(shape, window)):
        if part.geom_type != "Polygon" or part.is_empty:
            continue
        for ring in (part.exterior, *part.interiors):
            points = [(float(x), float(y)) for x, y in ring.coords]
            fill.append("M" + "L".join(_at(p) for p in points[:-1]) + "Z")
            for a, b in pairwise(points):
                if _cut_off(a, b, view):
                    breaks.append("M" + "L".join(map(_at, zigzag(a, b))))
                else:
                    edges.append(f"M{_at(a)}L{_at(b)}")
    return "".join(fill), "".join(edges), "".join(breaks)


def _at(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"


def _cut_off(a: Point, b: Point, view: PaperBox) -> bool:
    """Tell whether an edge is the view's."""
    across = any(all(abs(p[0] - x) < _ON_EDGE for p in (a, b)) for x in (view.left, view.right))
    return across or any(
        all(abs(p[1] - y) < _ON_EDGE for p in (a, b)) for y in (view.top, view.bottom)
    )


def zigzag(a: Point, b: Point) -> list[Point]:
    """A line with a zigzag in its middle, or two in a long one."""
    length = math.dist(a, b)
    wide, high = ZIGZAG
    if length < 2 * wide:
        return [a, b]
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    places = (0.5,) if length < 30 * wide else (0.25, 0.75)
    points = [a]
    for share in places:
        for along, off in ((-0.5, 0.0), (-0.2, high / 2), (0.2, -high / 2), (0.5, 0.0)):
            s = share * length + along * wide
            points.append((a[0] + ux * s - uy * off, a[1] + uy * s + ux * off))
    return [*points, b]
