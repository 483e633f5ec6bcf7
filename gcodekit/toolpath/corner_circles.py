"""Circles that open inside corners bit by bit before a finishing pass goes into them.

Where the pass turns into a corner it meets the metal ahead as well as that beside it: a right angle
more than along the wall, however little stands there. Circles tangent to both walls, each a little
smaller and deeper in the corner than the one before, take that metal without ever meeting so much.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain, Point, Segment, same
from gcodekit.geometry.curve import turn_between

# The pass may meet so much more in a corner than along its wall, radians. Common practice, no
# source.
ABOVE_STRAIGHT = math.radians(60)
# Turns of less are none, and what turns by more is no corner, radians.
SLIGHT, MOST_TURN = math.radians(20), math.radians(160)
# What is thinner, mm, is no metal to speak of.
SHAVING = 0.01
# Circles have at least this radius, mm, and at most this share of the cutter's.
SMALLEST, WIDEST = 0.02, 0.5
# Places of the leading half of the rim, and of a circle, looked at; and how far before and behind a
# corner the pass is looked at, in cutter radii, at so many places.
RIM, ROUND = 91, 48
BEFORE, ALONG = 1.0, 12
# Metal so far about a corner is looked at, in cutter radii.
METAL_ABOUT = 2.5
# Radii tried go by this ratio; no corner takes more circles than this.
FINER, MOST = 1.15, 16
CIRCLE_CHORDS = 64
# Chords and rounding: a circle may leave the room by this, mm.
ROOM_SLACK = 1e-3

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class InsideCorner:
    """A corner where a ring turns off the stock: the point its walls' offsets would meet in, the
    headings into it and out of it, the radius it is rounded by (0: sharp), and how long both ways
    are straight, mm."""

    apex: Point
    into: Point
    out: Point
    rounded: float
    straight: float

    @property
    def turn(self) -> float:
        """Between the headings, radians."""
        return abs(turn_between(self.into, self.out))

    @property
    def inward(self) -> Point:
        """The unit direction from the apex to the middle of the room."""
        x, y = self.out[0] - self.into[0], self.out[1] - self.into[1]
        size = math.hypot(x, y)
        return (x / size, y / size)

    def centre(self, radius: float) -> Point:
        """The centre of the circle that touches both ways."""
        away = radius / math.cos(self.turn / 2)
        return (self.apex[0] + away * self.inward[0], self.apex[1] + away * self.inward[1])


@dataclass(frozen=True, slots=True)
class Circle:
    """Once round, from the place farthest from the corner and back to it."""

    centre: Point
    radius: float
    start: Point
    ccw: bool

    @property
    def chain(self) -> Chain:
        """Two half circles."""
        (cx, cy), (sx, sy) = self.centre, self.start
        far = (2 * cx - sx, 2 * cy - sy)
        halves = ((self.start, far), (far, self.start))
        return Chain(tuple(Arc(a, b, self.centre, self.ccw) for a, b in halves))

    def swept(self, cutter: float) -> BaseGeometry:
        """The area that a cutter of that radius, wider than this, clears."""
        return shapely.Point(self.centre).buffer(self.radius + cutter, quad_segs=CIRCLE_CHORDS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Corners:
    """The inside corners of a ring of the cutter's centre.

    `room`: where the centre may be; `opened`: what is cut already, in plan; `allowance`: what
    stands along the wall; `left`: the free side is on the ring's left
    """

    ring: Chain
    radius: float
    left: bool
    room: BaseGeometry
    opened: BaseGeometry
    allowance: float

    def circles(self) -> list[list[Circle]]:
        """The circles of every corner that needs some, in the ring's order."""
        found = (self._of(corner) for corner in corners_of(self.ring, self.radius, left=self.left))
        return [circles for circles in found if circles]

    def _of(self, corner: InsideCorner) -> list[Circle]:
        straight = math.acos(1 - min(self.allowance, self.radius) / self.radius)
        limit = straight + ABOVE_STRAIGHT
        about = shapely.Point(corner.apex).buffer(METAL_ABOUT * self.radius, quad_segs=4)
        room = self.room.intersection(about.envelope.buffer(self.radius).envelope)
        metal = self._metal(room, about)
        fence = room.buffer(ROOM_SLACK)
        shapely.prepare(fence)
        places, headings = self._ring_at(corner)
        found: list[Circle] = []
        radius = min(WIDEST * self.radius, corner.straight / math.tan(corner.turn / 2))
        while len(found) < MOST and self._meets(places, headings, metal) > limit:
            tried = self._tried(corner, radius)
            circle = next((c for c in tried if self._fits(c, fence, metal, limit)), None)
            if circle is None:
                break
            found.append(circle)
            radius = circle.radius
            metal = metal.difference(circle.swept(self.radius))
            shapely.prepare(metal)
        return found

    def _metal(self, room: BaseGeometry, about: BaseGeometry) -> BaseGeometry:
        """The stock about a corner that is to go."""
        final = room.buffer(self.radius, quad_segs=CIRCLE_CHORDS).intersection(about)
        metal = final.difference(self.opened)
        shapely.prepare(metal)
        return metal

    def _tried(self, corner: InsideCorner, below: float) -> Iterator[Circle]:
        """Circles for a corner, the smallest first."""
        least = max(corner.rounded, SMALLEST)
        steps = math.floor(math.log(max(below / least, 1.0)) / math.log(FINER))
        return (self._circle(corner, least * FINER**i) for i in range(steps))

    def _circle(self, corner: InsideCorner, radius: float) -> Circle:
        (cx, cy), (ux, uy) = corner.centre(radius), corner.inward
        start = (cx + radius * ux, cy + radius * uy)
        return Circle((cx, cy), radius, start, self.left)

    def _fits(self, circle: Circle, fence: BaseGeometry, metal: BaseGeometry, limit: float) -> bool:
        """Tell whether a circle starts where nothing stands, stays in the room and never meets
        more."""
        (cx, cy), r = circle.centre, circle.radius
        if metal.distance(shapely.Point(circle.start)) < self.radius - SHAVING:
            return False
        if not fence.covers(shapely.Point(cx, cy).buffer(r, quad_segs=16)):
            return False
        angles = np.linspace(0.0, math.tau, ROUND, endpoint=False)
        places = np.stack([cx + r * np.cos(angles), cy + r * np.sin(angles)], axis=1)
        quarter = math.pi / 2 if circle.ccw else -math.pi / 2
        return self._meets(places, angles + quarter, metal) <= limit

    def _ring_at(self, corner: InsideCorner) -> tuple[Array, Array]:
        """Places of the pass about a corner, and its headings there."""
        inner = corner.rounded * math.tan(corner.turn / 2)
        away = np.linspace(0.0, BEFORE * self.radius, ALONG)[:, None] + inner
        into, out = np.array(corner.into), np.array(corner.out)
        places = np.concatenate([corner.apex - away * into, corner.apex + away * out])
        angles = [math.atan2(y, x) for x, y in (corner.into, corner.out)]
        return places, np.repeat(angles, ALONG)

    def _meets(self, places: Array, headings: Array, metal: BaseGeometry) -> float:
        """The most of the leading half of the rim that is in metal at any of some places."""
        if metal.is_empty:
            return 0.0
        aside = (np.arange(RIM) + 0.5) / RIM * math.pi - math.pi / 2
        angles = headings[:, None] + aside[None, :]
        reach = self.radius - SHAVING
        x, y = (places[:, i, None] + reach * f(angles) for i, f in ((0, np.cos), (1, np.sin)))
        inside = shapely.contains_xy(metal, x.ravel(), y.ravel()).reshape(angles.shape)
        return float(inside.sum(axis=1).max()) * math.pi / RIM


def corners_of(ring: Chain, radius: float, *, left: bool) -> Iterator[InsideCorner]:
    """The places where a closed ring turns to its free side: sharply, or round an arc that is small
    beside the cutter's radius."""
    segments = tuple(ring)
    count = len(segments)
    for i, segment in enumerate(segments):
        after = segments[(i + 1) % count]
        turned = _turn(segment.tangent_at(segment.length), after.tangent_at(0.0), left=left)
        if SLIGHT < turned < MOST_TURN:
            yield _sharp(segment, after)
        elif isinstance(after, Arc) and after.ccw == left and after.radius < WIDEST * radius:
            last = segments[(i + 2) % count]
            smooth = abs(turned) < SLIGHT and same(after.start, segment.end)
            if smooth and SLIGHT < abs(after.sweep) < MOST_TURN:
                yield _rounded(segment, after, last)


def _turn(into: Point, out: Point, *, left: bool) -> float:
    angle = turn_between(into, out)
    return angle if left else -angle


def _sharp(into: Segment, out: Segment) -> InsideCorner:
    straight = min(into.length, out.length)
    return InsideCorner(into.end, into.tangent_at(into.length), out.tangent_at(0.0), 0.0, straight)


def _rounded(into: Segment, arc: Arc, out: Segment) -> InsideCorner:
    heading, leaving = arc.tangent_at(0.0), arc.tangent_at(arc.length)
    beyond = arc.radius * math.tan(abs(arc.sweep) / 2)
    apex = (arc.start[0] + beyond * heading[0], arc.start[1] + beyond * heading[1])
    straight = beyond + min(into.length, out.length)
    return InsideCorner(apex, heading, leaving, arc.radius, straight)
