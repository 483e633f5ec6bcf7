"""Clearing an area level by level along its rings, from the inside outward."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point, distance
from gcodekit.geometry.flat import nearest
from gcodekit.toolpath.entry import HELIX_NARROWEST, HELIX_WIDEST, helix, ramp_round
from gcodekit.toolpath.path import APPROACH, Path
from gcodekit.toolpath.rings import FLAT_SAG, Node, Rings, entry_disc

# A cutter lowered beside the metal stays this far from it. Common practice, no source.
BESIDE = 0.5
# Rings shorter than this share of the cutter's diameter give no ramp worth the name.
SHORTEST_RAMP = 0.5


class NoWayInError(Exception):
    """The cutter cannot enter the metal: no room to ramp, no centre teeth, nothing open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearing:
    """An area's rings with what decides how they are entered and which way they are cut.

    `fence`: where the centre may go, with the slack of flattening; `open_to`: where the whole
    cutter stands clear beside the metal.
    """

    rings: Rings
    radius: float
    centre_cutting: bool
    climb: bool
    fence: BaseGeometry
    open_to: BaseGeometry

    def cut(self, path: Path, levels: list[float], top: float) -> None:
        """Clear down through `levels`; each level starts afresh above the one before."""
        above = top
        for z in levels:
            for root in self.rings.roots:
                self._piece(path, root, above, z)
            above = z

    def _piece(self, path: Path, node: Node, above: float, z: float) -> None:
        for inner in node.inside:
            self._piece(path, inner, above, z)
        entered = bool(node.inside)
        for ring in sorted(node.rings, key=lambda r: nearest(r, path.at or r.start)[1]):
            self._ring(path, node, ring, above, z, entered=entered)
            entered = True

    def _ring(
        self, path: Path, node: Node, ring: Chain, above: float, z: float, *, entered: bool
    ) -> None:
        ring = ring if self.climb else ring.reversed()
        if entered and path.at is not None and path.z == z:
            s, _ = nearest(ring, path.at)
            start = ring.point_at(s)
            if self._clear_line(path.at, start):
                path.line_to(start)
                path.follow(ring.from_start_at(s))
                return
        self._enter(path, node, ring, above, z)

    def _clear_line(self, a: Point, b: Point) -> bool:
        """Whether the straight way keeps the cutter inside the area and is no long cut in solid."""
        if distance(a, b) > 4 * max(self.rings.stepover, self.radius):
            return False
        return bool(self.fence.covers(shapely.LineString([a, b])))

    def _enter(self, path: Path, node: Node, ring: Chain, above: float, z: float) -> None:
        s = self._air_start(ring)
        if s is not None:
            path.over(ring.point_at(s))
            path.drop(above + APPROACH)
            path.sink(z)
            path.follow(ring.from_start_at(s))
            return
        if self._helix_in(path, node, ring, above, z):
            return
        if ring.length >= SHORTEST_RAMP * 2 * self.radius or self.centre_cutting:
            self._down_to(path, ring.start, above)
            if ring.length >= SHORTEST_RAMP * 2 * self.radius:
                ring = ramp_round(path, ring, z)
            else:
                path.sink(z)
            path.follow(ring)
            return
        raise NoWayInError

    def _helix_in(self, path: Path, node: Node, ring: Chain, above: float, z: float) -> bool:
        centre, inner = entry_disc(node)
        room = shapely.Point(centre).distance(self.rings.room.boundary)
        radius = min(HELIX_WIDEST * self.radius, max(inner, room - FLAT_SAG))
        if radius < HELIX_NARROWEST * self.radius or node.inside:
            return False
        s, gap = nearest(ring, (centre[0] + radius, centre[1]))
        if not self._clear_line((centre[0] + radius, centre[1]), ring.point_at(s)):
            return False
        self._down_to(path, (centre[0] + radius, centre[1]), above)
        helix(path, centre, radius, z, ccw=self.climb)
        if not math.isclose(gap, 0.0, abs_tol=1e-6):
            path.line_to(ring.point_at(s))
        path.follow(ring.from_start_at(s))
        return True

    def _down_to(self, path: Path, point: Point, above: float) -> None:
        path.over(point)
        path.drop(above + APPROACH)
        path.sink(above)

    def _air_start(self, ring: Chain) -> float | None:
        """A place on the ring where the whole cutter stands beside the metal."""
        if self.open_to.is_empty:
            return None
        step = max(self.radius, ring.length / 200)
        count = max(1, int(ring.length / step))
        for i in range(count):
            if self.open_to.intersects(shapely.Point(ring.point_at(i * ring.length / count))):
                return i * ring.length / count
        return None
