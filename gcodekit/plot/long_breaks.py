"""The places of views where something of long work is left out (ISO 128-3, interrupted views): a
strip of bare paper between two break lines. Sizes stay the true ones."""

from __future__ import annotations

from gcodekit.geometry.chain import Point
from gcodekit.job.model import Setup
from gcodekit.part.keep_out import keep_out
from gcodekit.plot.break_lines import zigzag
from gcodekit.plot.label_places import LabelPlaces, along
from gcodekit.plot.line_types import NARROW
from gcodekit.plot.paper import INK, PAPER, number, tag
from gcodekit.plot.scale import Scale, Span
from gcodekit.plot.views import Views

# A break line goes on past the work by this, mm on the paper (ISO 128-3: just beyond it).
_BEYOND = 2.0
# Far below any view, mm.
_ENDLESS = 1e6
# What a break line weighs against lettering over it.
_WEIGHT = 3.0


def break_marks(setup: Setup, views: Views, places: LabelPlaces) -> tuple[str, str]:
    """What lies over the plan, and over the second view; lettering keeps off it."""
    low, high = setup.left.low, setup.left.high
    plan = "".join(
        _strip(views.plan, axis, span, (low[1 - axis], high[1 - axis]), places)
        for axis in (0, 1)
        for span in views.plan.breaks[axis].spans
    )
    second = "".join(
        _strip(views.front, 0, span, (_bottom(setup, views.axis, span), high[2]), places)
        for span in views.front.breaks[0].spans
    )
    return plan, second


def _bottom(setup: Setup, axis: int, span: Span) -> float:
    """Where a break line ends: what the work lies on is broken off with it."""
    bounds = (b.outline.bounds for b in keep_out(setup) if not b.outline.is_empty)
    under = any(b[axis] <= span[0] and b[axis + 2] >= span[1] for b in bounds)
    return -_ENDLESS if under else setup.left.low[2]


def _strip(scale: Scale, axis: int, span: Span, across: Span, places: LabelPlaces) -> str:
    """A stretch of one coordinate; the work goes `across` it in the other."""
    ends = [_line(scale, axis, value, across) for value in span]
    for points in ends:
        places.weigh(along(points[1:-1]), _WEIGHT)
    bare = tag("path", d=f"M{_data([*ends[0], *reversed(ends[1])])}Z", fill=PAPER)
    lines = "".join(f"M{_data(points[1:-1])}" for points in ends)
    return bare + tag("path", d=lines, stroke=INK, stroke_width=NARROW)


def _data(points: list[Point]) -> str:
    return "L".join(f"{number(x)} {number(y)}" for x, y in points)


def _line(scale: Scale, axis: int, value: float, across: Span) -> list[Point]:
    """A break line just beyond the work, with the place on the view's edge before and behind
    it."""
    a, b = (scale.point(*((value, v) if axis == 0 else (v, value))) for v in across)
    box = scale.box
    if abs(a[0] - b[0]) < abs(a[1] - b[1]):
        low, high = sorted((a[1], b[1]))
        low, high = max(low - _BEYOND, box.top), min(high + _BEYOND, box.bottom)
        middle = zigzag((a[0], low), (a[0], high))
        return [(a[0], box.top), *middle, (a[0], box.bottom)]
    low, high = sorted((a[0], b[0]))
    low, high = max(low - _BEYOND, box.left), min(high + _BEYOND, box.right)
    middle = zigzag((low, a[1]), (high, a[1]))
    return [(box.left, a[1]), *middle, (box.right, a[1])]
