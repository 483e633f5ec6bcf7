"""Clearing an area level by level along its rings, with as few lifts as may be."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point, distance
from gcodekit.geometry.flattening import nearest
from gcodekit.toolpath.entry import HELIX_NARROWEST, HELIX_WIDEST, helix, ramp_round
from gcodekit.toolpath.path import APPROACH, Path
from gcodekit.toolpath.ring_tour import RingPass, Tour, line_between
from gcodekit.toolpath.rings import FLAT_SAG, Node, Rings, entry_disc

# A cutter lowered beside the metal stays this far from it. Common practice, no source.
LOWERED_BESIDE = 0.5
# Rings shorter than this share of the cutter's diameter give no ramp worth the name.
SHORTEST_RING = 0.5


class NoWayInError(Exception):
    """The cutter cannot enter the metal: no room to ramp, no centre teeth, nothing open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearing:
    """An area's rings with what decides how they are entered and which way they are cut.

    `fence`: where the centre may go, with the slack of flattening; `open_to`: where the whole
    cutter stands clear beside the metal; `holes`: middles of holes that it goes down in, as deep as
    any level.
    """

    rings: Rings
    radius: float
    centre_cutting: bool
    climb: bool
    fence: BaseGeometry
    open_to: BaseGeometry
    holes: tuple[Point, ...] = ()

    def cut(self, path: Path, levels: list[float], top: float) -> None:
        """Clear down through `levels`, each connected piece to its floor before the next.

        Every level takes the way the first one found: the ground is the same.
        """
        for root in self.rings.roots:
            tour = Tour(
                stepover=self.rings.stepover, radius=self.radius, climb=self.climb, fence=self.fence
            )
            above = top
            for z in levels:
                for piece in tour.passes(root):
                    self._pass(path, tour, piece, above, z)
                above = z

    def _pass(self, path: Path, tour: Tour, piece: RingPass, above: float, z: float) -> None:
        if path.at is not None and path.z == z:
            found = tour.link(piece, path.at)
            if found is not None:
                s, link = found
                path.follow(link)
                self._round(path, tour, piece.ring.from_start_at(s))
                return
        self._round(path, tour, self._enter(path, tour, piece, above, z))

    def _round(self, path: Path, tour: Tour, ring: Chain) -> None:
        path.follow(ring)
        tour.cleared(ring)

    def _enter(self, path: Path, tour: Tour, piece: RingPass, above: float, z: float) -> Chain:
        """Down to the level; returns the ring turned to start where the cutter then is."""
        ring = piece.ring
        s = self._air_start(ring)
        if s is not None:
            path.over(ring.point_at(s))
            path.drop(above + APPROACH)
            path.sink(z)
            return ring.from_start_at(s)
        spot = tour.beside(ring)
        if spot is not None:
            if not self._stays_down(path, tour, spot, above, z):
                path.over(spot)
                path.drop(above + APPROACH)
                path.sink(z, feed=path.feed)
            s, _ = nearest(ring, spot)
            path.line_to(ring.point_at(s))
            return ring.from_start_at(s)
        by_hand = path.travel.by_hand
        if by_hand and not self.centre_cutting:
            return self._down_hole(path, ring, above, z)
        turned = None if by_hand else self._helix_in(path, piece.node, ring, above, z)
        if turned is not None:
            return turned
        if path.at is not None and path.z == above:
            ring = ring.from_start_at(nearest(ring, path.at)[0])
        if ring.length >= SHORTEST_RING * 2 * self.radius:
            self._down_to(path, ring.start, above)
            return ramp_round(path, ring, z)
        if self.centre_cutting:
            self._down_to(path, ring.start, above)
            path.sink(z)
            return ring
        raise NoWayInError

    def _down_hole(self, path: Path, ring: Chain, above: float, z: float) -> Chain:
        """Down in a hole and straight over to the ring. Raises `NoWayInError`."""
        for hole in sorted(self.holes, key=lambda h: nearest(ring, h)[1]):
            s, _ = nearest(ring, hole)
            if self._short_line(hole, ring.point_at(s)):
                self._down_to(path, hole, above)
                path.sink(z)
                path.line_to(ring.point_at(s))
                return ring.from_start_at(s)
        raise NoWayInError

    def _stays_down(self, path: Path, tour: Tour, spot: Point, above: float, z: float) -> bool:
        here = path.at
        if here is None or path.z != z or not tour.cleared_between(here, spot):
            return False
        return path.stays_down(line_between(here, spot), above=above, z=z)

    def _helix_in(
        self, path: Path, node: Node, ring: Chain, above: float, z: float
    ) -> Chain | None:
        centre, inner = entry_disc(node)
        room = shapely.Point(centre).distance(self.rings.room.boundary)
        radius = min(HELIX_WIDEST * self.radius, max(inner, room - FLAT_SAG))
        if radius < HELIX_NARROWEST * self.radius:
            return None
        s, gap = nearest(ring, (centre[0] + radius, centre[1]))
        if not self._short_line((centre[0] + radius, centre[1]), ring.point_at(s)):
            return None
        self._down_to(path, (centre[0] + radius, centre[1]), above)
        helix(path, centre, radius, z, ccw=self.climb)
        if not math.isclose(gap, 0.0, abs_tol=1e-6):
            path.line_to(ring.point_at(s))
        return ring.from_start_at(s)

    def _short_line(self, a: Point, b: Point) -> bool:
        """Tell whether the straight way keeps the cutter inside the area and is no long cut in
        solid."""
        if distance(a, b) > 4 * max(self.rings.stepover, self.radius):
            return False
        return self._inside(a, b)

    def _inside(self, a: Point, b: Point) -> bool:
        return bool(self.fence.covers(shapely.LineString([a, b])))

    def _down_to(self, path: Path, point: Point, above: float) -> None:
        """To the ground over a place: along the floor of the level above where that is straight."""
        here = path.at
        if (
            here is not None
            and path.z == above
            and self._inside(here, point)
            and path.stays_down(line_between(here, point), above=above, z=above)
        ):
            return
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
