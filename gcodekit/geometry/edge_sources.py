"""Flattened outlines whose every edge knows the line, arc or corner it came from.

An edge is one straight piece of a flattened chain. A label names the curve an edge of an engine's
result belongs to: a segment's offset to its left or right, or the circle about a corner.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain, Point, Points, Segment
from gcodekit.geometry.curve import WholeCurve, cross
from gcodekit.geometry.tolerances import ENGINE_SAG, SAME_DIRECTION, WIDEST_CHORD

Ints = NDArray[np.int64]
LEFT, RIGHT, CORNER = 0, 1, 2
LABEL_KINDS = 3


@dataclass(frozen=True, slots=True)
class FlatSource:
    """Chains flattened for an offset by `distance` (0 for a boolean).

    Parameters
    ----------
    rings : (n, 2) mm for every chain, the first point repeated at the end when closed
    starts, ends : (m, 2) mm, the edges of all of them
    bulge : for every corner the side its circle lies on, None at an open end
    segment : (m,) index into `segments`
    before, after : (m,) corner index at the edge's start and end, -1 inside a segment or where
        the way goes on smoothly
    """

    distance: float
    segments: tuple[Segment, ...]
    corners: tuple[tuple[Point, Point, Point], ...]
    bulge: tuple[int | None, ...]
    rings: tuple[Points, ...]
    starts: Points
    ends: Points
    segment: Ints
    before: Ints
    after: Ints

    @staticmethod
    def of(chains: Iterable[Chain], distance: float) -> FlatSource:
        """Flatten chains for an offset by `distance`, which may be signed."""
        return _Flattening(abs(distance)).source(tuple(chains))

    @property
    def has_arcs(self) -> bool:
        """Tell whether any segment is an arc."""
        return any(isinstance(s, Arc) for s in self.segments)

    def tree(self) -> shapely.STRtree:
        """Index of the edges, in their order."""
        lines: Sequence[BaseGeometry] = shapely.linestrings(  # type: ignore[assignment]  # an array
            np.stack([self.starts, self.ends], axis=1)
        )
        return shapely.STRtree(lines)

    def curve(self, label: int) -> WholeCurve:
        """The whole curve a label stands for, with the ends it has by itself."""
        index, kind = divmod(label, LABEL_KINDS)
        d = self.distance
        if kind == CORNER:
            at, n0, n1 = self.corners[index]
            ends = (_beside(at, n0, d), _beside(at, n1, d))
            return WholeCurve.circle(at, d, ends)
        s = self.segments[index]
        side = d if kind == LEFT else -d
        n0, n1 = _left(s.tangent_at(0.0)), _left(s.tangent_at(s.length))
        ends = (_beside(s.start, n0, side), _beside(s.end, n1, side))
        if isinstance(s, Arc):
            radius = s.radius - side if s.ccw else s.radius + side
            return WholeCurve.circle(s.centre, abs(radius), ends)
        return WholeCurve.line(*ends)


def chord_angle(radius: float, distance: float, sag: float = ENGINE_SAG) -> float:
    """Angle of a chord of an arc whose offset by `distance` shall still sag at most `sag`."""
    return min(WIDEST_CHORD, math.sqrt(8 * sag / max(radius + distance, sag)))


def gridded(arc: Arc, step: float) -> list[Point]:
    """Points inside an arc at whole multiples of about `step` from +X.

    Two arcs of one circle so share their points, and no sliver opens between them.
    """
    n = math.ceil(math.tau / step)
    step = math.tau / n
    a0 = arc.start_angle / step
    a1 = a0 + arc.sweep / step
    spare = 0.01
    if arc.ccw:
        ks = range(math.ceil(a0 + spare), math.floor(a1 - spare) + 1)
    else:
        ks = range(math.floor(a0 - spare), math.ceil(a1 + spare) - 1, -1)
    (cx, cy), r = arc.centre, arc.radius
    return [(cx + r * math.cos(k * step), cy + r * math.sin(k * step)) for k in ks]


class _Flattening:
    """Gathers the edges of a source, chain after chain."""

    def __init__(self, distance: float) -> None:
        self.distance = distance
        self.segments: list[Segment] = []
        self.corners: list[tuple[Point, Point, Point]] = []
        self.bulge: list[int | None] = []
        self.rings: list[Points] = []
        self.starts: list[Points] = []
        self.ends: list[Points] = []
        self.segment: list[Ints] = []
        self.before: list[Ints] = []
        self.after: list[Ints] = []

    def source(self, chains: tuple[Chain, ...]) -> FlatSource:
        for chain in chains:
            self._add(chain)
        return FlatSource(
            distance=self.distance,
            segments=tuple(self.segments),
            corners=tuple(self.corners),
            bulge=tuple(self.bulge),
            rings=tuple(self.rings),
            starts=np.concatenate(self.starts),
            ends=np.concatenate(self.ends),
            segment=np.concatenate(self.segment),
            before=np.concatenate(self.before),
            after=np.concatenate(self.after),
        )

    def _add(self, chain: Chain) -> None:
        first = len(self.segments)
        corners = self._corners(chain)
        points: list[Point] = [chain.start]
        segment: list[int] = []
        before: list[int] = []
        after: list[int] = []
        for i, s in enumerate(chain):
            inner = self._inner(s)
            points += inner
            points.append(s.end)
            count = len(inner) + 1
            segment += [first + i] * count
            before += [corners[i]] + [-1] * (count - 1)
            after += [-1] * (count - 1) + [corners[i + 1]]
        self.segments += chain.segments
        ring = np.array(points, dtype=np.float64)
        if chain.closed:
            ring[-1] = ring[0]
        self.rings.append(ring)
        self.starts.append(ring[:-1])
        self.ends.append(ring[1:])
        for kept, new in ((self.segment, segment), (self.before, before), (self.after, after)):
            kept.append(np.array(new, dtype=np.int64))

    def _inner(self, s: Segment) -> list[Point]:
        if not isinstance(s, Arc):
            return []
        radius = round(s.radius, 6)  # equal but for rounding: flattened alike
        return gridded(s, chord_angle(radius, self.distance))

    def _corners(self, chain: Chain) -> list[int]:
        """Corner index before each segment and after the last."""
        way = chain.segments
        closed = chain.closed
        found = [-1] * (len(way) + 1)
        if not self.distance:
            return found
        for i in range(0 if not closed else 1, len(way) + (1 if not closed else 0)):
            into = way[i - 1] if i else None
            out = way[i] if i < len(way) else None
            found[i] = self._corner(into, out)
        if closed:
            found[0] = found[-1] = self._corner(way[-1], way[0])
        return found

    def _corner(self, into: Segment | None, out: Segment | None) -> int:
        """A new corner, or -1 where the way goes on smoothly. An open end is a corner."""
        t0 = into.tangent_at(into.length) if into else None
        t1 = out.tangent_at(0.0) if out else None
        if t0 and t1 and abs(cross(t0, t1)) < SAME_DIRECTION and _dot(t0, t1) > 0:
            return -1
        if out is not None:
            at = out.start
        else:
            assert into is not None
            at = into.end
        n0 = _corner_normal(t0, t1, at_start=True)
        n1 = _corner_normal(t0, t1, at_start=False)
        self.corners.append((at, n0, n1))
        turn = cross(t0, t1) if t0 and t1 else None
        self.bulge.append(None if turn is None else RIGHT if turn > 0 else LEFT)
        return len(self.corners) - 1


def _corner_normal(t0: Point | None, t1: Point | None, *, at_start: bool) -> Point:
    """Unit vector from a corner to one end of the arc about it: on the side it bulges to."""
    if t0 is None or t1 is None:
        t = t0 or t1
        assert t is not None
        n = _left(t)
        return n if at_start else (-n[0], -n[1])
    side = -1.0 if cross(t0, t1) > 0 else 1.0
    n = _left(t0 if at_start else t1)
    return (side * n[0], side * n[1])


def _left(t: Point) -> Point:
    return (-t[1], t[0])


def _beside(p: Point, n: Point, d: float) -> Point:
    return (p[0] + d * n[0], p[1] + d * n[1])


def _dot(a: Point, b: Point) -> float:
    return a[0] * b[0] + a[1] * b[1]
