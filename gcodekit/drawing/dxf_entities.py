"""One DXF entity to shapes in the plane, in the coordinates of the block or space it stands in.

Entities with an extrusion direction have coordinates of their own (the DXF reference's "arbitrary
axis algorithm"). Seen from above only two of them are flat: the usual one, and that of an entity
mirrored by turning it over, (0, 0, -1), in which x runs to the left.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from gcodekit.drawing.affine import Affine
from gcodekit.drawing.primitives import Ellipse, Primitive, Straight, along_bulge
from gcodekit.drawing.spline import MOST_CONTROLS, Spline
from gcodekit.geometry.chain import Point
from gcodekit.geometry.region import GeometryError

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity

# How far out of level a line or an axis may be: a thousandth of a unit, or of its own length.
OUT_OF_LEVEL = 1e-3

# What entities that are no shapes are called in a message.
PASSED_OVER = {
    "MTEXT": "TEXT",
    "ATTDEF": "TEXT",
    "ATTRIB": "TEXT",
    "ARC_DIMENSION": "DIMENSION",
    "LARGE_RADIAL_DIMENSION": "DIMENSION",
    "MPOLYGON": "HATCH",
}


class NotFlatError(Exception):
    """An entity that does not lie level."""


def flat_frame(entity: DXFEntity) -> Affine:
    """The map from an entity's own coordinates to those it stands in."""
    x, y, z = entity.dxf.get("extrusion", (0.0, 0.0, 1.0))
    if math.hypot(x, y) > OUT_OF_LEVEL * abs(z):
        raise NotFlatError("is not flat")
    return Affine() if z > 0 else Affine.scaled(-1, 1)


def _line(entity: Any) -> Iterator[Primitive]:
    start, end = entity.dxf.start, entity.dxf.end
    _level((start, end))
    yield Straight((start[0], start[1]), (end[0], end[1]))


def _level(points: Any) -> None:
    heights = [p[2] for p in points]
    if heights and max(heights) - min(heights) > OUT_OF_LEVEL:
        raise NotFlatError(f"rises by {max(heights) - min(heights):g}")


def _circle(entity: Any) -> Iterator[Primitive]:
    c, frame = entity.dxf.center, flat_frame(entity)
    yield Ellipse.circle((c[0], c[1]), entity.dxf.radius).mapped(frame)


def _arc(entity: Any) -> Iterator[Primitive]:
    dxf, frame = entity.dxf, flat_frame(entity)
    start, end = math.radians(dxf.start_angle), math.radians(dxf.end_angle)
    centre = (dxf.center[0], dxf.center[1])
    yield Ellipse.circle(centre, dxf.radius, start, _turn(start, end)).mapped(frame)


def _turn(start: float, end: float) -> float:
    """The angle from one direction counter-clockwise to another; a full turn to itself."""
    sweep = (end - start) % math.tau
    return sweep if sweep > 1e-9 else math.tau


def _ellipse(entity: Any) -> Iterator[Primitive]:
    """Centre and axis are in the coordinates of the space already."""
    dxf = entity.dxf
    turned_over = flat_frame(entity).a < 0
    x, y, z = dxf.major_axis
    if abs(z) > OUT_OF_LEVEL * math.hypot(x, y):
        raise NotFlatError("is not flat")
    side = -dxf.ratio if turned_over else dxf.ratio
    minor = (-y * side, x * side)
    start, end = dxf.start_param, dxf.end_param
    yield Ellipse((dxf.center[0], dxf.center[1]), (x, y), minor, start, _turn(start, end))


def _light_polyline(entity: Any) -> Iterator[Primitive]:
    vertices = [((x, y), bulge) for x, y, bulge in entity.get_points("xyb")]
    yield from _polyline(vertices, bool(entity.closed), flat_frame(entity))


def _old_polyline(entity: Any) -> Iterator[Primitive]:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        raise GeometryError("a mesh is not an outline", "draw its edge")
    # the vertices of the frame that a curve was fitted to are not on it
    kept = [v for v in entity.vertices if not v.dxf.get("flags", 0) & 16]
    if entity.is_3d_polyline:
        _level([v.dxf.location for v in kept])
    frame = Affine() if entity.is_3d_polyline else flat_frame(entity)
    vertices = [((v.dxf.location[0], v.dxf.location[1]), v.dxf.get("bulge", 0.0)) for v in kept]
    yield from _polyline(vertices, bool(entity.is_closed), frame)


def _polyline(
    vertices: list[tuple[Point, float]], closed: bool, frame: Affine
) -> Iterator[Primitive]:
    onward = [*vertices[1:], *vertices[:1]] if closed else vertices[1:]
    for (start, bulge), (end, _) in zip(vertices, onward, strict=False):
        if not math.isfinite(bulge):
            raise GeometryError("a bulge is not a number")
        yield along_bulge(start, end, bulge).mapped(frame)


def _spline(entity: Any) -> Iterator[Primitive]:
    if max(len(entity.control_points), len(entity.fit_points)) > MOST_CONTROLS:
        n = max(len(entity.control_points), len(entity.fit_points))
        raise GeometryError(f"a spline has {n} points", f"use at most {MOST_CONTROLS}")
    if len(entity.control_points):
        controls = [tuple(p) for p in entity.control_points]
        degree, knots, weights = entity.dxf.degree, list(entity.knots), list(entity.weights)
    else:
        curve = entity.construction_tool()  # through its fit points
        controls = [tuple(p) for p in curve.control_points]
        degree, knots, weights = curve.degree, list(curve.knots()), list(curve.weights())
    _level(controls)
    yield from Spline.of(degree, knots, [(p[0], p[1]) for p in controls], weights)


DXF_SHAPES: Mapping[str, Callable[[Any], Iterator[Primitive]]] = {
    "LINE": _line,
    "CIRCLE": _circle,
    "ARC": _arc,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _light_polyline,
    "POLYLINE": _old_polyline,
    "SPLINE": _spline,
}
