"""Chains of lines and true arcs: the one representation of every drawn or cut shape.

A chain is a run of segments, each starting where the one before it ends. A closed chain ends
where it starts. An arc knows its exact centre; start == end on an arc means a full turn.
Everything is mm, counter-clockwise positive.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING, TypeAlias

from gcodekit.geometry.tolerances import SAME_POINT as SAME_POINT  # noqa: PLC0414  # passed on
from gcodekit.geometry.tolerances import SHORTEST_PIECE, WIDEST_CHORD

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Point = tuple[float, float]
# Commands that only read a workshop file have no use for numpy, and it is most of their time.
Points: TypeAlias = "NDArray[np.float64]"


def distance(a: Point, b: Point) -> float:
    """Distance between two points, mm."""
    return math.hypot(b[0] - a[0], b[1] - a[1])


def same(a: Point, b: Point, tolerance: float = SAME_POINT) -> bool:
    """Tell whether two points are one."""
    return distance(a, b) <= tolerance


@dataclass(frozen=True, slots=True)
class Line:
    """A straight segment."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
        """mm."""
        return distance(self.start, self.end)

    def reversed(self) -> Line:
        """The same segment walked the other way."""
        return Line(self.end, self.start)

    def point_at(self, s: float) -> Point:
        """The point `s` mm from the start."""
        t = s / self.length if self.length else 0.0
        return (
            self.start[0] + t * (self.end[0] - self.start[0]),
            self.start[1] + t * (self.end[1] - self.start[1]),
        )

    def tangent_at(self, s: float) -> Point:
        """Unit direction of travel `s` mm from the start."""
        length = self.length or 1.0
        return ((self.end[0] - self.start[0]) / length, (self.end[1] - self.start[1]) / length)

    def between(self, s0: float, s1: float) -> Line:
        """The part from `s0` to `s1` mm."""
        return Line(self.point_at(s0), self.point_at(s1))


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc; `ccw` is its turn. start == end is a full circle."""

    start: Point
    end: Point
    centre: Point
    ccw: bool

    @property
    def radius(self) -> float:
        """mm, at the start."""
        return distance(self.centre, self.start)

    @property
    def start_angle(self) -> float:
        """Radians from +X."""
        return math.atan2(self.start[1] - self.centre[1], self.start[0] - self.centre[0])

    @property
    def sweep(self) -> float:
        """Signed angle swept, radians in (0, 2 pi] or [-2 pi, 0)."""
        if same(self.start, self.end):
            return math.tau if self.ccw else -math.tau
        end = math.atan2(self.end[1] - self.centre[1], self.end[0] - self.centre[0])
        turn = (end - self.start_angle) % math.tau
        return turn if self.ccw else turn - math.tau

    @property
    def length(self) -> float:
        """mm."""
        return abs(self.sweep) * self.radius

    def reversed(self) -> Arc:
        """The same arc walked the other way."""
        return Arc(self.end, self.start, self.centre, not self.ccw)

    def _on(self, angle: float) -> Point:
        r = self.radius
        return (self.centre[0] + r * math.cos(angle), self.centre[1] + r * math.sin(angle))

    def point_at(self, s: float) -> Point:
        """The point `s` mm from the start."""
        if s <= 0:
            return self.start
        if s >= self.length:
            return self.end
        return self._on(self.start_angle + math.copysign(s / self.radius, self.sweep))

    def tangent_at(self, s: float) -> Point:
        """Unit direction of travel `s` mm from the start."""
        a = self.start_angle + math.copysign(s / self.radius, self.sweep)
        sign = 1.0 if self.ccw else -1.0
        return (-sign * math.sin(a), sign * math.cos(a))

    def between(self, s0: float, s1: float) -> Arc:
        """The part from `s0` to `s1` mm."""
        return Arc(self.point_at(s0), self.point_at(s1), self.centre, self.ccw)


Segment = Line | Arc


@dataclass(frozen=True)  # no slots: lengths are asked for over and over and are kept
class Chain:
    """Segments end to end.

    Examples
    --------
    >>> square = Chain.of_points([(0, 0), (2, 0), (2, 1), (0, 1)], closed=True)
    >>> square.length, square.area, square.closed
    (6.0, 2.0, True)
    """

    segments: tuple[Segment, ...]

    @staticmethod
    def of_points(points: list[Point], *, closed: bool) -> Chain:
        """Straight segments through `points`."""
        ends = [*points, points[0]] if closed else points
        return Chain(tuple(Line(a, b) for a, b in pairwise(ends)))

    @staticmethod
    def circle(centre: Point, radius: float, *, ccw: bool = True) -> Chain:
        """A full circle starting at its +X point."""
        start = (centre[0] + radius, centre[1])
        return Chain((Arc(start, start, centre, ccw),))

    def __iter__(self) -> Iterator[Segment]:
        return iter(self.segments)

    def __len__(self) -> int:
        return len(self.segments)

    @property
    def start(self) -> Point:
        """First point."""
        return self.segments[0].start

    @property
    def end(self) -> Point:
        """Last point."""
        return self.segments[-1].end

    @property
    def closed(self) -> bool:
        """Tell whether it ends where it starts."""
        return same(self.start, self.end)

    @cached_property
    def _ends(self) -> list[float]:
        """How far along each segment ends, mm."""
        return list(accumulate(s.length for s in self.segments))

    @cached_property
    def length(self) -> float:
        """mm."""
        return math.fsum(s.length for s in self.segments)

    @property
    def area(self) -> float:
        """Signed enclosed area of a closed chain, mm2, exact for arcs; positive if ccw."""
        total = []
        for s in self.segments:
            total.append((s.start[0] * s.end[1] - s.end[0] * s.start[1]) / 2)
            if isinstance(s, Arc):
                total.append(s.radius**2 * (s.sweep - math.sin(s.sweep)) / 2)
        return math.fsum(total)

    def reversed(self) -> Chain:
        """The same chain walked the other way."""
        return Chain(tuple(s.reversed() for s in reversed(self.segments)))

    def _locate(self, s: float) -> tuple[Segment, float]:
        if self.closed and not 0 <= s <= self.length:
            s %= self.length
        i = min(bisect_left(self._ends, s), len(self.segments) - 1)
        segment = self.segments[i]
        return segment, min(max(s - (self._ends[i - 1] if i else 0.0), 0.0), segment.length)

    def point_at(self, s: float) -> Point:
        """The point `s` mm along; a closed chain wraps."""
        segment, rest = self._locate(s)
        return segment.point_at(rest)

    def tangent_at(self, s: float) -> Point:
        """Unit direction of travel `s` mm along; a closed chain wraps."""
        segment, rest = self._locate(s)
        return segment.tangent_at(rest)

    def between(self, s0: float, s1: float) -> Chain:
        """The part from `s0` to `s1` mm (s0 < s1 <= length); a piece with both ends in one point
        is dropped."""
        kept: list[Segment] = []
        at = 0.0
        for segment, end in zip(self.segments, self._ends, strict=True):
            lo, hi = max(s0, at), min(s1, end)
            if hi - lo > SHORTEST_PIECE:
                whole = lo == at and hi == end
                kept.append(segment if whole else segment.between(lo - at, hi - at))
            at = end
        return Chain(tuple(kept))

    def from_start_at(self, s: float) -> Chain:
        """A closed chain turned round so that it starts `s` mm along."""
        s %= self.length
        if s < SAME_POINT or self.length - s < SAME_POINT:
            return self
        return Chain(self.between(s, self.length).segments + self.between(0, s).segments)

    def moved(self, dx: float, dy: float) -> Chain:
        """Shifted."""
        return self._mapped(lambda p: (p[0] + dx, p[1] + dy), flip=False)

    def turned(self, angle: float, about: Point = (0.0, 0.0)) -> Chain:
        """Turned counter-clockwise, radians."""
        c, s = math.cos(angle), math.sin(angle)
        ox, oy = about

        def turn(p: Point) -> Point:
            x, y = p[0] - ox, p[1] - oy
            return (ox + c * x - s * y, oy + s * x + c * y)

        return self._mapped(turn, flip=False)

    def mirrored(self, axis: str, about: Point = (0.0, 0.0)) -> Chain:
        """Reflected in the x axis ("x": y changes sign) or the y axis ("y") through `about`.

        The walk keeps its order, so a counter-clockwise ring becomes clockwise.
        """
        ox, oy = about
        if axis == "x":
            return self._mapped(lambda p: (p[0], 2 * oy - p[1]), flip=True)
        return self._mapped(lambda p: (2 * ox - p[0], p[1]), flip=True)

    def _mapped(self, f, *, flip: bool) -> Chain:  # type: ignore[no-untyped-def]  # one private mapping for three moves
        out: list[Segment] = []
        for s in self.segments:
            if isinstance(s, Line):
                out.append(Line(f(s.start), f(s.end)))
            else:
                out.append(Arc(f(s.start), f(s.end), f(s.centre), s.ccw != flip))
        return Chain(tuple(out))

    def flattened(self, sag: float, *, max_step: float = WIDEST_CHORD) -> Points:
        """Vertices on the chain, chords inside arcs by at most `sag`; (n, 2) mm.

        A closed chain repeats its first point at the end. `max_step` caps the angle of a chord.
        """
        import numpy as np

        points: list[Point] = [self.start]
        for s in self.segments:
            if isinstance(s, Arc):
                points += arc_points(s, sag, max_step)
            points.append(s.end)
        return np.array(points, dtype=np.float64)


def arc_points(arc: Arc, sag: float, max_step: float) -> list[Point]:
    """Points strictly inside an arc so that its chords sag at most `sag` mm."""
    r = arc.radius
    step = max_step if sag >= r else min(max_step, 2 * math.acos(max(-1.0, 1 - sag / r)))
    n = max(1, math.ceil(abs(arc.sweep) / step - 1e-9))
    a0, da = arc.start_angle, arc.sweep / n
    cx, cy = arc.centre
    return [(cx + r * math.cos(a0 + i * da), cy + r * math.sin(a0 + i * da)) for i in range(1, n)]
