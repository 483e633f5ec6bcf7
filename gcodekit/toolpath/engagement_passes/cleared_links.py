"""Ways between passes through the cleared area, without touching metal."""

from __future__ import annotations

from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point, distance
from gcodekit.toolpath.engagement_passes.remaining_stock import OUT
from gcodekit.toolpath.engagement_passes.triangles import Triangles

# Ways round corners keep this far from metal and walls where there is room, mm, and this far where
# there is not.
MARGINS = (0.3, 0.06, 0.012)
# Outlines are simplified by this share of the margin first.
COARSER = 0.2
# A way may come this much nearer to metal than the radius, mm: what rims are rounded by; and this
# far from its ends, mm, it keeps at least the radius.
LINK_TOUCH = 0.0035
NEAR_END = 0.4


class ClearedLinks:
    """Ways at one state of the metal. `metal`: what stands, `room`: where the centre may be."""

    def __init__(self, room: BaseGeometry, metal: BaseGeometry, radius: float) -> None:
        self._room, self._metal, self._radius = room, metal, radius
        self._near = room.buffer(2 * OUT, quad_segs=4)
        shapely.prepare(self._near)
        shapely.prepare(metal)
        self._nets: dict[float, Triangles | None] = {}

    def between(self, a: Point, b: Point) -> list[Point] | None:
        """The way from one cleared place to another, both ends included; None: there is none."""
        if self._free(a, b):
            return [a, b]
        for margin in MARGINS:
            net = self._net(margin)
            way = None if net is None else net.way(a, b)
            if way is None:
                continue
            way = self._shortened([a, *way, b])
            if all(self._free(p, q) for p, q in pairwise(way)):
                return way
        return None

    def _shortened(self, way: list[Point]) -> list[Point]:
        """Without the steps away from the metal at both ends, where they are not needed."""
        if len(way) > 2 and self._free(way[0], way[2]):
            way = [way[0], *way[2:]]
        if len(way) > 2 and self._free(way[-3], way[-1]):
            way = [*way[:-2], way[-1]]
        return way

    def _free(self, a: Point, b: Point) -> bool:
        if distance(a, b) < 1e-6:
            return True
        line = shapely.LineString([a, b])
        if not shapely.covers(self._near, line):
            return False
        if shapely.distance(self._metal, line) < self._radius - LINK_TOUCH:
            return False
        length = line.length
        if length <= 2 * NEAR_END:
            return True
        ends = shapely.line_interpolate_point(line, [NEAR_END, length - NEAR_END])
        inner = shapely.LineString(ends)
        return float(shapely.distance(self._metal, inner)) >= self._radius

    def _net(self, margin: float) -> Triangles | None:
        if margin not in self._nets:
            metal = self._metal.simplify(COARSER * margin)
            close = metal.buffer(self._radius + margin, quad_segs=16)
            room = self._room.simplify(COARSER * margin).buffer(-margin / 2, quad_segs=4)
            free = room.difference(close).simplify(COARSER * margin)
            self._nets[margin] = None if free.is_empty else Triangles(free)
        return self._nets[margin]
