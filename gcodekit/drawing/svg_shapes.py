"""SVG's shapes: paths and the basic ones, in user units with y down as they are written."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from itertools import pairwise
from typing import Any

from gcodekit.drawing.primitives import Ellipse, Primitive, Straight
from gcodekit.drawing.spline import Spline
from gcodekit.drawing.svg_values import BadValueError, Viewport, length, numbers
from gcodekit.drawing.svg_xml import Element
from gcodekit.geometry.chain import Point

# Figures of one path: twice as many as there may be pieces in a drawing.
MOST_FIGURES = 120_000
_NOT_PATH = re.compile(r"[^MmZzLlHhVvCcSsQqTtAa0-9eE+\-.,\s]")
_FIGURE = re.compile(r"\d+\.?\d*|\.\d+")
_NO_GAP = 1e-12


def _path(element: Element, viewport: Viewport) -> Iterator[Primitive]:
    del viewport
    text = element.get("d") or ""
    strange = _NOT_PATH.search(text)
    if strange:
        raise BadValueError(f"its path data has {strange[0]!r} in it")
    if len(text) > 2 * MOST_FIGURES and len(_FIGURE.findall(text)) > MOST_FIGURES:
        raise BadValueError(f"its path data has more than {MOST_FIGURES} figures")
    from svg.path import parse_path

    try:
        parsed = parse_path(text)
    except (ArithmeticError, LookupError, TypeError, ValueError):
        raise BadValueError("its path data cannot be read") from None
    for piece in parsed:
        yield from _piece(piece)


def _piece(piece: Any) -> Iterator[Primitive]:
    kind = type(piece).__name__
    start, end = _point(piece.start), _point(piece.end)
    if kind == "CubicBezier":
        yield Spline.bezier(start, _point(piece.control1), _point(piece.control2), end)
    elif kind == "QuadraticBezier":
        yield Spline.bezier(start, _point(piece.control), end)
    elif kind == "Arc" and piece.radius.real and piece.radius.imag:
        if start != end:
            yield _arc(piece)
    elif kind != "Move" and start != end:
        yield Straight(start, end)


def _point(z: complex) -> Point:
    return (z.real, z.imag)


def _arc(piece: Any) -> Ellipse:
    """The library has found the centre and, where the radii were too small, their scale."""
    c, s = math.cos(math.radians(piece.rotation)), math.sin(math.radians(piece.rotation))
    rx, ry = (abs(r) * piece.radius_scale for r in _point(piece.radius))
    begin, sweep = math.radians(piece.theta), math.radians(piece.delta)
    return Ellipse(_point(piece.center), (rx * c, rx * s), (-ry * s, ry * c), begin, sweep)


def _rect(element: Element, viewport: Viewport) -> Iterator[Primitive]:
    x, y, w, h = (length(element, k, viewport) for k in ("x", "y", "width", "height"))
    if w < 0 or h < 0:
        raise BadValueError("its width or height is negative")
    if w == 0 or h == 0:
        return
    rx = length(element, "rx", viewport, default=-1.0)
    ry = length(element, "ry", viewport, default=-1.0)
    rx, ry = (ry if rx < 0 else rx), (rx if ry < 0 else ry)  # either stands for both
    rx, ry = min(max(rx, 0.0), w / 2), min(max(ry, 0.0), h / 2)
    if rx == 0 or ry == 0:
        rx = ry = 0.0
    corners = [  # centre of the round, and the angle where it begins
        ((x + w - rx, y + ry), -math.pi / 2),
        ((x + w - rx, y + h - ry), 0.0),
        ((x + rx, y + h - ry), math.pi / 2),
        ((x + rx, y + ry), math.pi),
    ]
    rounds = [Ellipse(c, (rx, 0.0), (0.0, ry), a, math.pi / 2) for c, a in corners]
    for i, round_ in enumerate(rounds):
        before = _on(rounds[i - 1], rounds[i - 1].start + math.pi / 2)
        start = _on(round_, round_.start)
        if math.dist(before, start) > _NO_GAP:
            yield Straight(before, start)
        if rx:
            yield round_


def _on(ellipse: Ellipse, angle: float) -> Point:
    c, s = math.cos(angle), math.sin(angle)
    (x, y), u, v = ellipse.centre, ellipse.u, ellipse.v
    return (x + c * u[0] + s * v[0], y + c * u[1] + s * v[1])


def _circle(element: Element, viewport: Viewport) -> Iterator[Primitive]:
    cx, cy, r = (length(element, k, viewport) for k in ("cx", "cy", "r"))
    if r < 0:
        raise BadValueError("its radius is negative")
    if r:
        yield Ellipse.circle((cx, cy), r)


def _ellipse(element: Element, viewport: Viewport) -> Iterator[Primitive]:
    cx, cy = (length(element, k, viewport) for k in ("cx", "cy"))
    rx = length(element, "rx", viewport, default=-1.0)
    ry = length(element, "ry", viewport, default=-1.0)
    rx, ry = (ry if rx < 0 else rx), (rx if ry < 0 else ry)
    if rx > 0 and ry > 0:
        yield Ellipse((cx, cy), (rx, 0.0), (0.0, ry))


def _line(element: Element, viewport: Viewport) -> Iterator[Primitive]:
    x1, y1, x2, y2 = (length(element, k, viewport) for k in ("x1", "y1", "x2", "y2"))
    yield Straight((x1, y1), (x2, y2))


def _polyline(element: Element, viewport: Viewport) -> Iterator[Primitive]:
    del viewport
    yield from _through(_points(element))


def _polygon(element: Element, viewport: Viewport) -> Iterator[Primitive]:
    del viewport
    points = _points(element)
    yield from _through([*points, *points[:1]])


def _points(element: Element) -> list[Point]:
    figures = numbers(element.get("points") or "")
    if len(figures) % 2:
        raise BadValueError("its points have an odd number of values")
    return list(zip(figures[::2], figures[1::2], strict=True))


def _through(points: list[Point]) -> Iterator[Primitive]:
    for a, b in pairwise(points):
        if a != b:
            yield Straight(a, b)


SVG_SHAPES: Mapping[str, Callable[[Element, Viewport], Iterator[Primitive]]] = {
    "path": _path,
    "rect": _rect,
    "circle": _circle,
    "ellipse": _ellipse,
    "line": _line,
    "polyline": _polyline,
    "polygon": _polygon,
}
