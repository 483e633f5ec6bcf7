"""The metal that stands in reach while a room is cleared, and its rims."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.flattening import polygons_of
from gcodekit.toolpath.engagement_passes.pass_room import Array, CentreRoom, Rim

# Points of a rim are no farther apart, mm.
RIM_STEP = 0.25
# A point as near as this to the edge of what is in reach is on it, mm.
ON_EDGE = 1e-4
# A cutter of this much more radius clears what is left between a pass and a wall that it has run
# along: chords and fitted arcs, mm.
RADIUS_SPARE = 0.002
# The way of a pass may lie so far outside the room, mm.
OUT = 0.001
# Chords to a quarter circle of what passes sweep, and of what is in reach.
SWEEP_CHORDS = 40
FINE_CHORDS = 64
# Pieces with less area are none, mm^2.
SMALLEST_PIECE = 1e-3
# A pass starts this far inside what is cleared where there is room, mm, and there at the least.
STARTS = (0.015, -0.003)


class RemainingStock:
    """The metal in reach of a room. Pieces nowhere thicker than twice `thin`, mm, are left out."""

    def __init__(
        self, room: CentreRoom, metal: BaseGeometry, radius: float, *, thin: float
    ) -> None:
        self.room, self.radius, self._thin = room, radius + RADIUS_SPARE, thin
        reach = room.shape.buffer(radius, quad_segs=FINE_CHORDS)
        # passes may end this far outside: arcs fitted to them
        self.near = room.shape.buffer(OUT, quad_segs=4)
        shapely.prepare(self.near)
        self._off_edge = reach.buffer(-ON_EDGE, quad_segs=FINE_CHORDS)
        shapely.prepare(self._off_edge)
        self.shape = self._kept(metal.intersection(reach))

    @property
    def gone(self) -> bool:
        """Tell whether nothing is left."""
        return bool(self.shape.is_empty)

    def cut(self, swept: BaseGeometry) -> None:
        """A pass has taken away what it swept."""
        self.shape = self._kept(self.shape.difference(swept))

    def rims(self) -> tuple[Rim, ...]:
        """The rims between the metal and what is cleared, the metal on their right."""
        return tuple(
            rim
            for p in polygons_of(self.shape)
            for ring in _rings(p)
            for rim in self._rims_of(ring)
        )

    def beside(self, place: Point) -> Point | None:
        """The place of the centre next to a point of a rim: cleared, in the room."""
        x, y = place
        far = 2 * self.radius
        near = shapely.box(x - far, y - far, x + far, y + far)
        metal = self.shape.intersection(near.buffer(self.radius))
        room = self.room.shape.intersection(near)
        for spare in STARTS:
            free = room.difference(metal.buffer(self.radius + spare, quad_segs=SWEEP_CHORDS))
            line = shapely.shortest_line(shapely.Point(place), free)
            if line is not None and line.length < self.radius + 0.1:
                x, y = line.coords[1]
                return (float(x), float(y))
        return None

    def _kept(self, metal: BaseGeometry) -> BaseGeometry:
        kept = [
            p
            for p in polygons_of(metal)
            if p.area > SMALLEST_PIECE and not p.buffer(-self._thin, quad_segs=2).is_empty
        ]
        return shapely.MultiPolygon(kept)

    def _rims_of(self, ring: BaseGeometry) -> Iterator[Rim]:
        points = shapely.get_coordinates(shapely.segmentize(ring, RIM_STEP))[:-1]
        on = ~shapely.contains_xy(self._off_edge, points[:, 0], points[:, 1])
        if not on.any():
            yield Rim(points, closed=True)
            return
        first = int(np.argmax(on))
        points, on = np.roll(points, -first, axis=0), np.roll(on, -first)
        off = np.flatnonzero(np.diff(np.concatenate(([1], on, [1])).astype(np.int8)))
        for start, stop in off.reshape(-1, 2).tolist():
            yield Rim(points[np.arange(start - 1, stop + 1) % len(points)], closed=False)


def _rings(polygon: shapely.Polygon) -> tuple[BaseGeometry, ...]:
    turned = shapely.geometry.polygon.orient(polygon, -1.0)
    return (turned.exterior, *turned.interiors)


def sweep(points: Array, radius: float) -> BaseGeometry:
    """The area that a cutter sweeps along a way, (n, 2) mm."""
    line = shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])
    return line.buffer(radius, quad_segs=SWEEP_CHORDS)
