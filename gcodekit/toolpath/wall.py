"""Finishing a wall: once round at depth, on and off along the tangent."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point, distance
from gcodekit.toolpath.corner_circles import Circle, Corners
from gcodekit.toolpath.entry import ramp_round
from gcodekit.toolpath.leads import LEAD_SLACK, Leads, find_leads, start_places
from gcodekit.toolpath.path import APPROACH, Path
from gcodekit.toolpath.ring_tour import line_between

# Lead radii tried, as shares of the cutter's radius, and their angles. Common practice, no source.
LEAD_SHARES = (0.8, 0.5, 0.35, 0.2)
LEAD_ANGLES = (math.pi / 2, math.pi / 3, math.pi / 4)
# A cutter lowered inside an earlier cut stays this far from what that left standing.
LOWERING = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """One closed ring of the finishing cutter's centre, already turned the way it is cut.

    `free`: where the centre may go beside the ring; `opened`: plan region that earlier cuts have
    opened at every height (None: nothing); `climb`: the free side is then on the left; `room`:
    where the drawing lets the centre be (None: `free`).
    """

    ring: Chain
    radius: float
    climb: bool
    free: BaseGeometry
    opened: BaseGeometry | None
    allowance: float
    room: BaseGeometry | None = None

    def cut(self, path: Path, levels: list[float], top: float, *, rounds: int = 1) -> None:
        """Finish down through `levels`, `rounds` times at the last (1 + spring passes)."""
        corners = self._nearest_first(self.corners(), path)
        here = path.at if path.z == levels[0] else None
        leads = self.leads(near=corners[-1][0].start if corners else here)
        if leads is None:
            self._ramped(path, levels, top, rounds)
            return
        for z in levels:
            for circles in corners:
                self._open(path, circles, top, z)
            self._led(path, leads, top, z, rounds if z == levels[-1] else 1)

    def _nearest_first(self, corners: list[list[Circle]], path: Path) -> list[list[Circle]]:
        """From the one nearest to where the cutter is, on round the ring."""
        here = path.at
        if here is None or not corners:
            return corners
        away = [distance(circles[0].start, here) for circles in corners]
        first = away.index(min(away))
        return corners[first:] + corners[:first]

    def corners(self) -> list[list[Circle]]:
        """The moves that open each inside corner before the pass comes there."""
        if self.opened is None or self.allowance <= 0:
            return []
        return Corners(
            ring=self.ring,
            radius=self.radius,
            left=self.climb,
            room=self.free if self.room is None else self.room,
            opened=self.opened,
            allowance=self.allowance,
        ).circles()

    @property
    def corners_swept(self) -> list[BaseGeometry]:
        """The area that this clears of each corner, in plan."""
        return [
            shapely.union_all([circle.swept(self.radius) for circle in circles])
            for circles in self.corners()
        ]

    def _open(self, path: Path, circles: list[Circle], top: float, z: float) -> None:
        self._come_down(path, circles[0].start, top, z)
        for circle in circles:
            path.line_to(circle.start)
            path.follow(circle.chain)
        # back to where it is open round about
        path.line_to(circles[0].start)

    def leads(self, *, near: Point | None = None) -> Leads | None:
        """The ways on and off, where something is open beside the wall; a cutter already at depth
        comes on `near` where it is."""
        if self.opened is None:
            return None
        down = shapely.intersection(self.free, self.opened.buffer(-self.radius - LOWERING))
        wide = [(share * self.radius, angle) for share in LEAD_SHARES for angle in LEAD_ANGLES]
        starts = start_places(self.ring)
        if near is not None:
            starts.sort(key=lambda s: distance(self.ring.point_at(s), near))
        leads = find_leads(
            self.ring, left=self.climb, shapes=wide, free=self.free, down=down, starts=starts
        )
        if leads is not None or self.allowance <= 0:
            return leads
        # From the middle of a groove one allowance off the wall, as gently as that allows.
        gentle = [(self.radius, math.acos(1 - self.allowance / self.radius))]
        groove = shapely.intersection(self.free, self.opened.buffer(-self.radius + LEAD_SLACK))
        return find_leads(self.ring, left=self.climb, shapes=gentle, free=self.free, down=groove)

    def _led(self, path: Path, leads: Leads, top: float, z: float, times: int) -> None:
        self._come_down(path, leads.on.start, top, z)
        path.follow(Chain((leads.on,)))
        for _ in range(times):
            path.follow(leads.along)
        if leads.again is not None:
            path.follow(leads.again)
        path.follow(Chain((leads.off,)))

    def _come_down(self, path: Path, start: Point, top: float, z: float) -> None:
        if not self._comes_over(path, start, top, z):
            path.over(start)
            path.drop(top + APPROACH)
            path.sink(z, feed=path.feed)

    def _comes_over(self, path: Path, start: Point, top: float, z: float) -> bool:
        """Straight over at depth, if nothing is in the way and lifting takes longer."""
        if path.at is None or path.z > top or not self._open_between(path.at, start):
            return False
        way = line_between(path.at, start)
        return path.stays_down(way, above=top, z=z)

    def _open_between(self, a: Point, b: Point) -> bool:
        """Tell whether the straight way at depth goes through nothing but earlier cuts."""
        if self.opened is None:
            return False
        way = shapely.LineString([a, b])
        ground = self.opened.buffer(-self.radius + LEAD_SLACK)
        return bool(self.free.buffer(LEAD_SLACK).covers(way) and ground.covers(way))

    def _ramped(self, path: Path, levels: list[float], top: float, rounds: int) -> None:
        ring = self.ring
        path.over(ring.start)
        path.drop(top + APPROACH)
        path.sink(top)
        for z in levels:
            ring = ramp_round(path, ring, z)
            for _ in range(rounds if z == levels[-1] else 1):
                path.follow(ring)
