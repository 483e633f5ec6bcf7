"""All that is lettered on the drawing of a sheet, and in which order it takes its places."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.job.model import Setup
from gcodekit.plot.backdrop import on_paper, outline_points, rings_of, shadow, standing_bodies
from gcodekit.plot.callouts import callouts
from gcodekit.plot.depth_labels import depth_labels
from gcodekit.plot.dimensions import sizes
from gcodekit.plot.label_places import LabelPlaces, along
from gcodekit.plot.marks import (
    MOST_MARKS,
    axes,
    axes_fit,
    called,
    caption,
    in_view,
    jaw_names,
    name_problems,
    problem_rings,
)
from gcodekit.plot.scale import Scale
from gcodekit.plot.tab_marks import TouchOff, label_touches, touch_signs, touches_seen
from gcodekit.plot.traces import Traces
from gcodekit.plot.views import Views
from gcodekit.rs274.program_read import Problem
from gcodekit.trade.cutter import Cutter
from gcodekit.units import Units

# Cells of the drawing weigh so much for what is in them, against lettering over it: an edge of the
# part, a cut, the edge of a body or of the stock.
_EDGE, _CUT, _BODY = 3.0, 1.2, 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """What all parts of the picture are drawn from."""

    setup: Setup
    views: Views
    traces: Traces
    cutters: Mapping[int, Cutter]
    problems: Sequence[Problem]
    units: Units
    metal: bool
    places: LabelPlaces


def weigh(sheet: Sheet, bridges: Sequence[BaseGeometry]) -> None:
    """What is drawn where, for lettering to keep off."""
    setup, plan, room = sheet.setup, sheet.views.plan, sheet.places
    shapes = [(on_paper(b, plan), _BODY) for b in standing_bodies(setup)]
    shapes += [(b, _EDGE) for b in bridges]
    if sheet.metal:
        shapes.append((on_paper(shadow(setup), plan), _EDGE))
    for shape, weight in shapes:
        for ring in rings_of(shape):
            room.weigh(along(ring), weight)
    for feature in setup.features:
        room.weigh(outline_points(feature, setup, plan), _EDGE)
    room.weigh(((float(x), float(y)) for x, y in sheet.traces.cells), _CUT)
    box = sheet.views.front.box
    inside = ((x + 0.5, y + 0.5) for x in range(int(box.left), int(box.right) + 1)
              for y in range(int(box.top), int(box.bottom) + 1))  # fmt: skip
    room.weigh(inside, _CUT)


def lettering_of(
    sheet: Sheet, touches: Mapping[TouchOff, Sequence[int]]
) -> tuple[str, tuple[tuple[int, str], ...]]:
    """Axes, captions, sizes, marks and callouts, what has the least choice of places first; and
    the features that are left for the key."""
    views, room, units = sheet.views, sheet.places, sheet.units
    seen = touches_seen(touches, views.plan)
    signs = touch_signs(seen, room)
    named = ((views.plan, "XY"), (views.front, "XYZ"[views.axis] + "Z"))
    parts = [axes(scale, names, room) for scale, names in named if axes_fit(scale)]
    marked = [(scale, _marked(sheet, scale, axes_)) for scale, axes_ in
              ((views.plan, (0, 1)), (views.front, (views.axis, 2)))]  # fmt: skip
    rings = [problem_rings([(p, at) for p, _, at in found], room) for _, found in marked]
    if sheet.metal:
        parts.append(sizes(sheet.setup, views, units, room))
    parts.append(caption(views.plan, "PLAN", "", room))
    parts.append(caption(views.front, views.name, views.note, room))
    parts.append(depth_labels(sheet.traces.bands, views.front, units, room))
    parts.append(jaw_names(sheet.setup, views.plan, room))
    for _, found in marked:
        name_problems([(name, at) for _, name, at in found], room)
    label_touches(seen, room, units)
    numbered = callouts(sheet.setup, views.plan, room, units)
    room.untangle()
    drawn = [label.drawn(label.box, label.tip) for label in room.labels]
    leaders, letters = ([pair[k] for pair in drawn] for k in (0, 1))
    return "".join((*leaders, *rings, *parts, signs, *letters)), numbered


def _marked(sheet: Sheet, scale: Scale, shown: tuple[int, int]) -> list[tuple[Problem, str, Point]]:
    """Problems that have a place, as a view shows it."""
    found = [
        (p, name, in_view(scale.point(p.where[shown[0]], p.where[shown[1]]), scale.box))
        for p, name in zip(sheet.problems, called(sheet.problems), strict=True)
        if p.where is not None
    ]
    return found[:MOST_MARKS]
