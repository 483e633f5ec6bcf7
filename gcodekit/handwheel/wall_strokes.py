"""Strokes along the walls: straight where one handle follows them, in steps elsewhere."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely

from gcodekit.geometry.chain import Point, distance
from gcodekit.handwheel.axis_scales import AxisScale, TableScales
from gcodekit.handwheel.centre_rooms import CentreRoom
from gcodekit.handwheel.dialling import dialled, stroke_between
from gcodekit.handwheel.strokes import TableStop
from gcodekit.handwheel.wall_lines import (
    ALONG_AXIS,
    Places,
    WallLine,
    at_one_place,
    touched_from,
)

# A line along an axis is followed by one handle from this length on, mm; a shorter one may be the
# chord of an arc.
LEAST_STRAIGHT = 0.8
# A line is stopped at where it bends by more than this, radians, over so many mm to either side.
SHARP = 0.5
BEND_OVER = 0.05
# Two such places are one if they are nearer than twice that; where no more than this may stay
# between steps, mm, if they are nearer than what may.
FINE_CUSP = 0.02
# A stretch begins where the one before it ended, mm.
SAME_MARK = 0.1
# Places looked at along a line that is stepped, mm apart: fine enough for a wall that bends about a
# line of a tenth of its radius.
LOOKED_AT = 0.03
# A cut begins and ends so far off its wall, mm, where it cannot begin beside the metal.
OFF_THE_WALL = 1.0


def strokes_along(
    room: CentreRoom, scales: TableScales, line: WallLine, cusp: float
) -> tuple[list[TableStop], bool]:
    """The stops along one wall, from coming down beside it to leaving it; whether any of them are
    steps. `cusp`: what may stay between two steps, mm. Raises `NoWayByHandError`."""
    walk = _Walk(room, scales, _begun_straight(line), cusp)
    stops = walk.stops()
    places = [s.at for s in stops]
    first, last = _beside(room, scales, places[0]), _beside(room, scales, places[-1])
    begun = [TableStop("down", first or places[0])]
    if first is not None:
        begun.append(_stroke(first, places[0]))
    ended = [_stroke(places[-1], last)] if last is not None else []
    return [*begun, *stops[1:], *ended], walk.stepped


def _stroke(here: Point, there: Point) -> TableStop:
    return TableStop("y" if here[0] == there[0] else "x", there)


def _beside(room: CentreRoom, scales: TableScales, place: Point) -> Point | None:
    """Where a cut begins or ends off its wall: one stroke away, in the air if it can be."""
    best: tuple[tuple[bool, float, float], Point] | None = None
    for far in (room.radius + OFF_THE_WALL, OFF_THE_WALL):
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            at = scales.nearest((place[0] + dx * far, place[1] + dy * far))
            off = (at[0], place[1]) if dx else (place[0], at[1])
            if not room.holds(place, off):
                continue
            rank = (room.in_air(off), min(room.depth_of(off), OFF_THE_WALL), -far)
            if best is None or rank > best[0]:
                best = rank, off
    if best is None or not (best[0][0] or best[0][1] > OFF_THE_WALL / 4):
        return None
    return best[1]


def _begun_straight(line: WallLine) -> WallLine:
    """A closed line from the start of its longest straight along an axis."""
    if not line.closed:
        return line
    steps = np.diff(line.points, axis=0)
    straight = np.where(np.abs(steps).min(axis=1) <= ALONG_AXIS, np.abs(steps).max(axis=1), 0.0)
    if straight.max() < LEAST_STRAIGHT:
        return line
    ring = np.roll(line.points[:-1], -int(straight.argmax()), axis=0)
    return WallLine(np.concatenate((ring, ring[:1])), True)


@dataclass(slots=True)
class _Walk:
    """The way along a line: `marks` are the places to touch, each with its mm along the line."""

    room: CentreRoom
    scales: TableScales
    line: WallLine
    cusp: float
    stepped: bool = False
    marks: list[tuple[float, Point]] = field(default_factory=list)

    def stops(self) -> list[TableStop]:
        """Every stop, the first without a handle of its own."""
        points = self.line.points
        along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
        begun: int | None = None
        first, last = self._without_tails(along)
        for i in range(first, last):
            straight = self._straight(points[i], points[i + 1], along[i], along[i + 1])
            if straight is None:
                begun = i if begun is None else begun
                continue
            if begun is not None:
                self._stepped_from(begun, i, along)
                begun = None
            self.marks += straight
        if begun is not None:
            self._stepped_from(begun, last, along)
        if self.line.closed and self.marks[-1][1] != self.marks[0][1]:
            self.marks.append((along[-1], self.marks[0][1]))
        return self._joined()

    def _without_tails(self, along: Places) -> tuple[int, int]:
        """The first and last corner of an open line without what is shorter than a straight at
        its ends, where it begins to go round the corner of the metal."""
        first, last = 0, len(along) - 1
        if self.line.closed:
            return first, last
        inner = np.flatnonzero(np.diff(along) >= LEAST_STRAIGHT).tolist()
        if inner and self._at_one_place(first, inner[0]):
            first = inner[0]
        if inner and self._at_one_place(inner[-1] + 1, last):
            last = inner[-1] + 1
        return first, last

    def _at_one_place(self, first: int, last: int) -> bool:
        """Whether a cutter touches the wall at one place all along a stretch."""
        return at_one_place(self.room, self.line.points[first : last + 1])

    def _joined(self) -> list[TableStop]:
        stops = [TableStop("down", self.marks[0][1])]
        for one, other in pairwise(self.marks):
            stops += stroke_between(self.room, self.scales, self.line.at, (one, other))
        return stops

    def _straight(
        self, start: Places, end: Places, s0: float, s1: float
    ) -> list[tuple[float, Point]] | None:
        """Both ends of a stroke along an axis; None where it is none, or is too short."""
        dx, dy = np.abs(end - start)
        if max(dx, dy) < LEAST_STRAIGHT or min(dx, dy) > ALONG_AXIS:
            return None
        across = 0 if dx < dy else 1
        scale = (self.scales.x, self.scales.y)[across]
        other = (self.scales.x, self.scales.y)[1 - across]
        for fixed in scale.near(float(start[across] + end[across]) / 2, 2):
            ends = [self._end(p, fixed, across, other) for p in (start, end)]
            if None not in ends:
                a, b = (e for e in ends if e is not None)
                if self.room.holds(a, b):
                    return [(s0, a), (s1, b)]
        return None

    def _end(self, point: Places, fixed: float, across: int, other: AxisScale) -> Point | None:
        """A stroke's end on the scales, as near to its corner as the room allows."""
        for free in other.near(float(point[1 - across]), 3):
            place = (fixed, free) if across == 0 else (free, fixed)
            if self.room.holds(place):
                return place
        return None

    def _stepped_from(self, first: int, last: int, along: Places) -> None:
        """From one corner of the line to another, by every sharp one between."""
        ends = [float(along[first])]
        for k in range(first + 1, last):
            s = float(along[k])
            apart = 2 * BEND_OVER if self.cusp > FINE_CUSP else self.cusp
            if s - ends[-1] > apart and self._bend(s) > SHARP:
                ends.append(s)
        for s0, s1 in pairwise((*ends, float(along[last]))):
            self._stepped(s0, s1)

    def _bend(self, s: float) -> float:
        """How much the line bends at a place, radians: its corners may lie so near one another
        that they say nothing of that by themselves."""
        (ax, ay), (x, y), (bx, by) = (self.line.at(s + d) for d in (-BEND_OVER, 0.0, BEND_OVER))
        turn = math.atan2(by - y, bx - x) - math.atan2(y - ay, x - ax)
        return abs(math.remainder(turn, math.tau))

    def _stepped(self, s0: float, s1: float) -> None:
        """Touch the wall so often that no more than the cusp stays between."""
        count = max(2, int((s1 - s0) / LOOKED_AT) + 2)
        way = np.linspace(s0, s1, count)
        line = shapely.LineString(self.line.points)
        centres = shapely.get_coordinates(shapely.line_interpolate_point(line, way))
        touch = touched_from(self.room, centres)
        off = np.hypot(*(touch - centres).T)
        begun = bool(self.marks) and distance(self.marks[-1][1], tuple(centres[0])) < SAME_MARK
        at = 0
        if not begun:
            self._mark(float(way[0]), centres[0])
        while at < count - 1:
            at = _farthest(centres, touch, off, at, self.cusp)
            self._mark(float(way[at]), centres[at])
        self.stepped = True

    def _mark(self, s: float, place: Places) -> None:
        self.marks.append((s, dialled(self.room, self.scales, (float(place[0]), float(place[1])))))


def _farthest(centres: Places, touch: Places, off: Places, at: int, cusp: float) -> int:
    """The farthest place to step to so that no wall between stays covered by more than the cusp."""

    def leaves(to: int) -> bool:
        between = slice(at, to + 1)
        gaps = np.minimum(
            np.hypot(*(touch[between] - centres[at]).T),
            np.hypot(*(touch[between] - centres[to]).T),
        )
        return bool((gaps - off[between]).max() > cusp)

    last, step = len(centres) - 1, 1
    while at + step < last and not leaves(at + step):
        step *= 2
    low, high = at + max(1, step // 2), min(at + step, last)
    if not leaves(high):
        return high
    while low < high - 1:
        middle = (low + high) // 2
        low, high = (low, middle) if leaves(middle) else (middle, high)
    return low
