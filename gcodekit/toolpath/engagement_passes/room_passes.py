"""Clearing a room at constant engagement: which rim is cut next, until no metal is left."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point, Segment, distance
from gcodekit.toolpath.engagement_passes.cleared_links import ClearedLinks
from gcodekit.toolpath.engagement_passes.pass_arcs import in_arcs
from gcodekit.toolpath.engagement_passes.pass_room import CentreRoom, Rim
from gcodekit.toolpath.engagement_passes.pass_tracer import PassTracer
from gcodekit.toolpath.engagement_passes.remaining_stock import (
    FINE_CHORDS,
    RADIUS_SPARE,
    RIM_STEP,
    RemainingStock,
    sweep,
)
from gcodekit.toolpath.engagement_passes.rooms import middle, nested_rooms
from gcodekit.toolpath.engagement_passes.rounded_corners import rounded
from gcodekit.toolpath.engagement_passes.tractrix import Bar

# A helix wider than this share of the radius would leave a pillar at 1.0.
ENGAGEMENT_HELIX_WIDEST = 0.8
# What is left in inner rooms is cut with the next one: strips up to this share of the width.
LEFT_FOR_NEXT = 0.5
# What is left thinner than twice this is left, mm.
THINNEST_LEFT = 0.0015
# Chords of the arcs, where it is found what they clear, mm.
SWEEP_SAG = 0.0003
# Passes stay in the room, but for chords and fitted arcs, mm.
STRAY = 0.003
# A pass must take away this much, mm^2.
LEAST_CUT = 0.006
# So much stays in corners, mm, where nothing says that more may.
LEFT_IN_CORNERS = 0.0055
# So far a way goes back first where a pass has ended too near to metal, mm.
BACK = (0.3, 1.0, 3.0, 8.0)
# So many points farther along an open rim a pass may begin where there is no room beside its end.
FARTHER_ON = (2, 5, 10, 20)
# Where this many passes one after the other take, in the mean, less than this share of width times
# radius, the rest is left to be cleared along the outline.
PATIENCE, WORTH_A_PASS = 24, 0.01
# Most passes of a room.
MOST_ROOM_PASSES = 5000


@dataclass(frozen=True, slots=True)
class Step:
    """One way at depth: a pass that cuts, or a link through what is cleared before it."""

    chain: Chain
    cuts: bool


@dataclass(frozen=True, slots=True)
class RoomEntry:
    """The entry to the first pass: down a helix about `centre`, or straight down at `start` where
    nothing stands."""

    start: Point
    centre: Point | None
    radius: float


@dataclass(frozen=True, slots=True)
class RoomPasses:
    """A room's passes in order, and all that they and the entry open."""

    entry: RoomEntry
    steps: tuple[Step, ...]
    swept: BaseGeometry


@dataclass(frozen=True, slots=True)
class _Found:
    way: list[Point]
    chain: Chain
    swept: BaseGeometry


class _Search:
    """The clearing in the making."""

    def __init__(self, room: shapely.Polygon, radius: float, width: float) -> None:
        self._room, self._radius, self._width = room, radius, width
        # a pass that strays would cut what is to stay; what it leaves is cut another way
        self._fence = room.buffer(STRAY)
        shapely.prepare(self._fence)
        self._bar = Bar.of(radius + RADIUS_SPARE, math.acos(1 - width / radius))
        self._dead: list[Point] = []
        self.steps: list[Step] = []
        self.at: Point = (0.0, 0.0)

    def clear(self, metal: BaseGeometry, rooms: list[shapely.Polygon]) -> None:
        """Every room in its turn."""
        for shape in rooms:
            last = shape is rooms[-1]
            thin = THINNEST_LEFT if last else LEFT_FOR_NEXT * self._width
            standing = RemainingStock(CentreRoom.of(shape), metal, self._radius, thin=thin)
            self._dead = []
            taken: list[float] = []
            while not standing.gone and len(self.steps) < 2 * MOST_ROOM_PASSES:
                found = self._next(standing, standing.shape if last else metal)
                if found is None:
                    break
                self._take(found)
                # what was tried in vain is tried again where the metal has changed
                self._dead = [p for p in self._dead if not self._near(found.swept, p)]
                before = float(standing.shape.area)
                standing.cut(found.swept)
                taken.append(before - float(standing.shape.area))
                if self._fruitless(taken[-PATIENCE:]):
                    break
                metal = metal if last else metal.difference(found.swept)

    def _fruitless(self, taken: list[float]) -> bool:
        """Tell whether passes have come to creeping along a wall; `taken` by the last of them,
        mm^2."""
        least = PATIENCE * WORTH_A_PASS * self._width * self._radius
        return len(taken) == PATIENCE and sum(taken) < least

    def _take(self, found: _Found) -> None:
        if len(found.way) > 1 and distance(found.way[0], found.way[-1]) > 1e-6:
            self.steps.append(Step(Chain.of_points(found.way, closed=False), cuts=False))
        self.steps.append(Step(found.chain, cuts=True))
        self.at = found.chain.end

    def _near(self, swept: BaseGeometry, place: Point) -> bool:
        return bool(shapely.dwithin(swept, shapely.Point(place), 2 * self._radius))

    def _next(self, standing: RemainingStock, metal: BaseGeometry) -> _Found | None:
        """The pass with the shortest way to it."""
        rims = standing.rims()
        ways = ClearedLinks(standing.room.shape, metal, standing.radius)
        best: tuple[float, _Found] | None = None
        for gap, later, which, k in self._starts(rims):
            if best is not None and (later or gap - standing.radius > best[0]):
                break
            found = self._begun(standing, ways, rims, which, k)
            if found is None:
                x, y = rims[which].points[k].tolist()
                self._dead.append((x, y))
                continue
            length = sum(distance(a, b) for a, b in zip(found.way, found.way[1:], strict=False))
            if best is None or length < best[0]:
                best = (length, found)
        return best[1] if best else None

    def _starts(self, rims: tuple[Rim, ...]) -> list[tuple[float, bool, int, int]]:
        """Points of rims to begin at, the nearest first; those in the middle of open ones last."""
        found: list[tuple[bool, float, int, int]] = []
        for which, rim in enumerate(rims):
            away = np.hypot(*(rim.points - self.at).T)
            n = len(rim.points)
            first = int(np.argmin(away)) if rim.closed else 0
            for k in dict.fromkeys((first, n // 4, n // 2, 3 * n // 4)):
                x, y = rim.points[k].tolist()
                if not any(abs(x - u) < 0.03 and abs(y - v) < 0.03 for u, v in self._dead):
                    found.append((k != first, float(away[k]), which, k))
        return [(gap, later, which, k) for later, gap, which, k in sorted(found)]

    def _way(self, ways: ClearedLinks, start: Point) -> list[Point] | None:
        """To a start; where a pass has ended too near to metal, first back the way it came."""
        way = ways.between(self.at, start)
        if way is not None:
            return way
        trail = self._trail()
        for back in BACK:
            if back < trail.length:
                own = trail.between(0.0, back)
                way = ways.between(own.end, start)
                if way is not None:
                    return [*((x, y) for x, y in own.flattened(SWEEP_SAG)[:-1].tolist()), *way]
        return None

    def _trail(self) -> Chain:
        """Back over what it went last."""
        segments: list[Segment] = []
        for step in reversed(self.steps):
            segments += step.chain.reversed()
            if sum(s.length for s in segments) > BACK[-1]:
                break
        return Chain(tuple(segments))

    def _begun(
        self,
        standing: RemainingStock,
        ways: ClearedLinks,
        rims: tuple[Rim, ...],
        which: int,
        first: int,
    ) -> _Found | None:
        """The pass from a point of a rim; where a rim begins next to a corner that the cutter goes
        round there is none right from its end, but from a little farther along it."""
        rim = rims[which]
        for k in (first, *(FARTHER_ON if first == 0 and not rim.closed else ())):
            if k >= len(rim.points):
                break
            found = self._pass(standing, ways, rims, which, k)
            if found is not None:
                return found
        return None

    def _pass(
        self,
        standing: RemainingStock,
        ways: ClearedLinks,
        rims: tuple[Rim, ...],
        which: int,
        k: int,
    ) -> _Found | None:
        x, y = rims[which].points[k].tolist()
        start = standing.beside((x, y))
        way = None if start is None else self._way(ways, start)
        if start is None or way is None:
            return None
        pursuit = PassTracer(standing.room, rims, self._bar, RIM_STEP, which=which, first=k)
        chain = in_arcs(pursuit.run(start), standing.near)
        if len(chain) == 0:
            return None
        points = chain.flattened(SWEEP_SAG)
        if not self._fence.covers(shapely.LineString(points)):
            return None
        swept = sweep(points, standing.radius)
        if standing.shape.intersection(swept).area < LEAST_CUT:
            return None
        return _Found(way, chain, swept)


def plan_even(
    room: shapely.Polygon,
    *,
    radius: float,
    width: float,
    clear: BaseGeometry | None = None,
    lowered: BaseGeometry | None = None,
    side: float = 1.0,
    left: float = LEFT_IN_CORNERS,
) -> RoomPasses:
    """The passes that clear what a cutter reaches from a room.

    Parameters
    ----------
    room : where the cutter's centre may be; metal stands on the right of passes (climb)
    radius : of the cutter, mm
    width : of the cut at a straight rim, mm
    clear : where nothing has to go
    lowered : where the cutter's centre may come down beside the metal
    side : 1 to begin on the +X side of a helix, -1 on the other
    left : so much may stay in corners, mm
    """
    room = rounded(room, left)
    metal: BaseGeometry = room.buffer(radius + RADIUS_SPARE, quad_segs=FINE_CHORDS)
    if clear is not None:
        metal = metal.difference(clear)
    search = _Search(room, radius, width)
    beside = None if lowered is None else _beside(room.intersection(lowered), metal)
    if beside is not None:
        entry, rooms = RoomEntry(beside, None, 0.0), [room]
    else:
        rooms = nested_rooms(room, radius, width)
        centre, deep = middle(rooms[0])
        helix = min(ENGAGEMENT_HELIX_WIDEST * radius, deep)
        entry = RoomEntry((centre[0] + side * helix, centre[1]), centre, helix)
        opened = helix + radius + RADIUS_SPARE
        metal = metal.difference(shapely.Point(centre).buffer(opened, quad_segs=FINE_CHORDS))
    search.at = entry.start
    search.clear(metal, rooms)
    return RoomPasses(entry, tuple(search.steps), _swept(entry, search.steps, radius))


def _swept(entry: RoomEntry, steps: list[Step], radius: float) -> BaseGeometry:
    bodies = [sweep(s.chain.flattened(SWEEP_SAG), radius) for s in steps if s.cuts]
    if entry.centre is not None:
        disc = shapely.Point(entry.centre).buffer(entry.radius + radius, quad_segs=FINE_CHORDS)
        bodies.append(disc)
    return shapely.union_all(bodies)


def _beside(lowered: BaseGeometry, metal: BaseGeometry) -> Point | None:
    """The place nearest to the metal where the cutter can come down, in the largest such."""
    if lowered.is_empty or metal.is_empty:
        return None
    part = max(shapely.get_parts(lowered), key=lambda p: float(p.area))
    x, y = shapely.shortest_line(part, metal).coords[0]
    return (float(x), float(y))
