"""Little plans of a handwheel sheet: strokes with their stops, holes with their numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point, distance
from gcodekit.handwheel.strokes import HoleTable, StrokeTable, TableStop, TurnTable
from gcodekit.handwheel.swept_area import swept_by, swept_in_turns, ways_of
from gcodekit.job.feature import Feature
from gcodekit.job.model import Setup
from gcodekit.part.setup_stock import plan
from gcodekit.plot.backdrop import polygons, stock, stock_rim
from gcodekit.plot.line_types import NARROW, WIDE
from gcodekit.plot.marks import zero_mark
from gcodekit.plot.paper import FINE, INK, SOFT, SWEPT, PaperBox, document, haloed, number, tag
from gcodekit.plot.scale import Extent, Scale
from gcodekit.sheet.blocks import Picture

# On the paper, mm.
WIDTH, HEIGHT = 84.0, 56.0
ROOM = PaperBox(4.0, 4.0, WIDTH - 4.0, HEIGHT - 4.0)
# A plan is drawn no larger than this.
LARGEST = 4.0
# Numbers stand this far apart at the least, mm on the paper.
APART = 5.0
# A hole's cross reaches so far beyond its rim, mm on the paper.
CROSS = 1.2


def stroke_picture(
    setup: Setup, feature: Feature, tables: Sequence[StrokeTable | TurnTable], radius: float
) -> Picture:
    """The strokes of tables over what they cut, with the numbers of their stops."""
    areas: list[BaseGeometry] = []
    for table in tables:
        if isinstance(table, StrokeTable):
            areas.append(swept_by(table.stops, radius))
        else:
            areas.append(swept_in_turns(table.turns, table.centre, radius))
    area = shapely.union_all(areas)
    lines = feature.lines(plan(setup))
    scale = _scale(area.bounds)
    drawn = "".join(scale.chain(line) for line in lines if not feature.half_width)
    parts = [
        tag("path", d=polygons(area, scale), fill=SWEPT),
        tag("path", d=drawn, stroke=INK, stroke_width=WIDE) if drawn else "",
        _zero(scale),
    ]
    first = 1
    for table in tables:
        if isinstance(table, StrokeTable):
            parts.append(_strokes(table.stops, scale, first))
            first += len(table.stops)
    shows = f"strokes of {feature.name} seen from above, stops numbered as in the table"
    return Picture(_sheet(shows, *parts), WIDTH, HEIGHT, shows)


def _strokes(stops: Sequence[TableStop], scale: Scale, first: int) -> str:
    """Ways of the cutter's axis, and numbers where it comes down and at corners."""
    data = "".join("M" + "L".join(scale.to(*p) for p in way) for way in ways_of(stops))
    parts = [tag("path", d=data, stroke=INK, stroke_width=NARROW)]
    numbered: list[Point] = []
    order = sorted(range(len(stops)), key=lambda i: (stops[i].handle != "down", i))
    for i in order:
        at = scale.point(*stops[i].at)
        if any(distance(at, other) < APART for other in numbered):
            continue
        numbered.append(at)
        if stops[i].handle == "down":
            parts.append(tag("circle", cx=at[0], cy=at[1], r=0.8, fill=INK))
        parts.append(haloed(at[0] + 1.0, at[1] - 1.0, str(first + i), size=FINE))
    return "".join(parts)


def hole_picture(setup: Setup, table: HoleTable, diameter: float, name: str) -> Picture:
    """Every hole of a table with its number, on the stock."""
    scale = _scale(plan(setup).bounds)
    radius = max(diameter / 2 * scale.factor, 0.6)
    parts = [stock(setup, scale), stock_rim(setup, scale), _zero(scale)]
    for n, hole in enumerate(table.holes, 1):
        x, y = scale.point(*hole.at)
        far = radius + CROSS
        cross = f"M{number(x - far)} {number(y)}H{number(x + far)}"
        cross += f"M{number(x)} {number(y - far)}V{number(y + far)}"
        parts.append(tag("circle", cx=x, cy=y, r=radius, stroke=INK, stroke_width=WIDE))
        parts.append(tag("path", d=cross, stroke=SOFT, stroke_width=NARROW))
        parts.append(haloed(x + radius + 0.6, y - radius - 0.4, str(n), size=FINE))
    shows = f"places of {name} on the stock, numbered as in the table"
    return Picture(_sheet(shows, *parts), WIDTH, HEIGHT, shows)


def _scale(extent: Extent) -> Scale:
    """As large as it goes in the picture's room."""
    x0, y0, x1, y1 = extent
    factor = min(ROOM.width / max(x1 - x0, 1.0), ROOM.height / max(y1 - y0, 1.0), LARGEST)
    return Scale.centred(extent, ROOM, factor)


def _zero(scale: Scale) -> str:
    """Program zero, where it lies in the picture."""
    x, y = scale.point(0.0, 0.0)
    inside = 2 < x < WIDTH - 2 and 2 < y < HEIGHT - 2
    return zero_mark(x, y, 1.4) if inside and math.isfinite(x + y) else ""


def _sheet(title: str, *parts: str) -> str:
    return document(title, *parts, size=(WIDTH, HEIGHT))
