"""The order in which an area's rings are cut, and the ways between them at depth.

The first ring is the innermost of the largest hollow; from there the rings are cut outward, each
widening what is open. A ring that encloses further hollows is cut through to them: they are then
cleared from their rim inward, without being entered from above again. Rings that would clear
nothing new are left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Line, Point, distance, same
from gcodekit.geometry.flattening import nearest
from gcodekit.toolpath.rings import FLAT_SAG, Node

# A way between two rings at depth may be this many cutter radii long; a longer one takes more
# time than lifting. Common practice, no source.
LONGEST_LINK = 5.0
# Of a way between rings this much may lie in metal, in stepovers: the last step to the ring.
BITE = 1.5
# What a ring would clear less wide than this counts as nothing, mm.
NOTHING_NEW = 0.002
# Centres this near a way already cut are on it, mm.
ON_CUT_WAY = 0.01
# Places tried along a ring for a way to the next.
LINK_PLACES = 32


@dataclass(frozen=True, slots=True)
class RingPass:
    """Once round a ring, turned the way it is cut; `node` is the piece it belongs to."""

    node: Node
    ring: Chain


class Tour:
    """Passes in order, and what is cleared so far. Ask for the passes of each level anew; where
    the cutter then stands as it did before, the ways found before are taken."""

    def __init__(self, *, stepover: float, radius: float, climb: bool, fence: BaseGeometry) -> None:
        self._stepover, self._radius, self._climb, self._fence = stepover, radius, climb, fence
        self._order: list[RingPass] = []
        self._links: dict[tuple[Point, Point], tuple[float, Chain] | None] = {}
        self._later: list[RingPass] = []
        self._at: Point | None = None
        self._last: Chain | None = None
        self._swept: BaseGeometry = shapely.Polygon()
        self._centres: BaseGeometry | None = None

    def passes(self, root: Node) -> Iterator[RingPass]:
        """Every ring worth cutting, in order; `cleared` must be told of each once it is cut."""
        self._swept, self._centres, self._last = shapely.Polygon(), None, None
        if self._order:
            yield from self._order
            return
        for piece in self._whole(root):
            self._order.append(piece)
            yield piece

    def cleared(self, ring: Chain) -> None:
        """Take note that the cutter has gone round a ring and stands at its start."""
        line = shapely.LineString(ring.flattened(FLAT_SAG))
        swept = line.buffer(self._radius, quad_segs=32)
        self._swept, self._centres = self._swept.union(swept), None
        self._at, self._last = ring.start, ring

    def link(self, piece: RingPass, at: Point) -> tuple[float, Chain] | None:
        """A place on the ring (mm along it) and the way there at depth, through cleared ground but
        for the last step; None where there is none."""
        if self._last is None:
            return None
        key = (at, piece.ring.start)
        if key not in self._links:
            self._links[key] = self._straight(piece.ring, at) or self._along(piece.ring, at)
        return self._links[key]

    def beside(self, ring: Chain) -> Point | None:
        """A cleared place, one step from the ring, where the cutter can be lowered."""
        if self._last is None:
            return None
        line = shapely.LineString(ring.flattened(FLAT_SAG))
        for spare in (0.05, -ON_CUT_WAY):
            centres = self._swept.buffer(-self._radius - spare)
            if centres.is_empty:
                continue
            x, y = shapely.shortest_line(centres, line).coords[0]
            s, _ = nearest(ring, (x, y))
            if self._passable((x, y), ring.point_at(s)):
                return (float(x), float(y))
        return None

    def _whole(self, root: Node) -> Iterator[RingPass]:
        """Outward to the root's own rings, and then those that were put off."""
        yield from self._outward(root)
        yield from self._put_off()

    def _outward(self, node: Node) -> Iterator[RingPass]:
        """From the largest hollow's middle to the node's own rings, then into its other hollows."""
        hollows = self._hollows(node)
        if hollows:
            first = max(hollows, key=lambda n: n.shape.area)
            hollows.remove(first)
            yield from self._outward(first)
        yield from self._rings(node, inward=False, all_of_them=bool(hollows))
        if hollows:
            # they lie within rings that are still to be cut
            yield from self._put_off()
        yield from self._all_inward(hollows)

    def _put_off(self) -> Iterator[RingPass]:
        """Return the rings left for later, nearest next, no ring before one beside it that was to
        come earlier."""
        while self._later:
            due = [
                p
                for i, p in enumerate(self._later)
                if not any(self._beside(p.ring, q.ring) for q in self._later[:i])
            ]
            piece = min(due, key=self._way_to)
            self._later.remove(piece)
            if self._clears(piece.ring):
                yield piece

    def _way_to(self, piece: RingPass) -> float:
        return nearest(piece.ring, self._at or piece.ring.start)[1]

    def _beside(self, one: Chain, other: Chain) -> bool:
        """Tell whether a ring is the next step beside another."""
        near = shapely.LineString(one.flattened(FLAT_SAG))
        line = shapely.LineString(other.flattened(FLAT_SAG))
        return bool(near.dwithin(line, BITE * self._stepover))

    def _all_inward(self, nodes: list[Node]) -> Iterator[RingPass]:
        left = list(nodes)
        while left:
            node = min(left, key=self._from_here)
            left.remove(node)
            yield from self._rings(node, inward=True)
            yield from self._all_inward(self._hollows(node))

    def _from_here(self, node: Node) -> float:
        return float(node.shape.distance(shapely.Point(self._at or (0.0, 0.0))))

    def _hollows(self, node: Node) -> list[Node]:
        """The pieces inside a node that its own rings do not clear."""
        left = node.shape.buffer(-self._radius + NOTHING_NEW)
        if left.is_empty:
            return []
        return [n for n in node.inside if n.shape.distance(left) < self._stepover]

    def _rings(self, node: Node, *, inward: bool, all_of_them: bool = True) -> Iterator[RingPass]:
        """The node's rings, nearest next. Outward the metal lies outside the way, inward inside.

        Unless `all_of_them` are asked for, those that cannot be gone to at depth are put off: where
        the cutter is it may go on to the next node's.
        """
        left = list(node.rings)
        while left:
            at = self._at if self._last is not None and self._at else left[0].start
            ring = min(left, key=lambda r: nearest(r, at)[1])
            left.remove(ring)
            piece = RingPass(node, ring if self._climb != inward else ring.reversed())
            if not all_of_them and self._is_for_later(piece):
                self._later.append(piece)
            elif self._clears(ring):
                yield piece

    def _is_for_later(self, piece: RingPass) -> bool:
        if self._last is None or self._at is None:
            return False
        waits = any(self._beside(piece.ring, p.ring) for p in self._later)
        return waits or self.link(piece, self._at) is None

    def _clears(self, ring: Chain) -> bool:
        line = shapely.LineString(ring.flattened(FLAT_SAG))
        new = line.buffer(self._radius, quad_segs=32).difference(self._swept)
        return not new.buffer(-NOTHING_NEW).is_empty

    def _straight(self, ring: Chain, at: Point) -> tuple[float, Chain] | None:
        s, gap = nearest(ring, at)
        if gap <= BITE * self._stepover and self._within(at, ring.point_at(s)):
            return s, line_between(at, ring.point_at(s))
        places = [s, *(i * ring.length / LINK_PLACES for i in range(LINK_PLACES))]
        places.sort(key=lambda p: distance(at, ring.point_at(p)))
        for s in places:
            point = ring.point_at(s)
            if distance(at, point) > LONGEST_LINK * self._radius:
                return None
            if self._passable(at, point):
                return s, line_between(at, point)
        return None

    def _along(self, ring: Chain, at: Point) -> tuple[float, Chain] | None:
        """Back along the ring just cut, either way round, then straight over."""
        last = self._last
        if last is None or not same(last.start, at):
            return None
        ways: list[tuple[float, float, float]] = []
        for i in range(1, LINK_PLACES):
            t = i * last.length / LINK_PLACES
            s, gap = nearest(ring, last.point_at(t))
            ways.append((min(t, last.length - t) + gap, t, s))
        for length, t, s in sorted(ways):
            if length > LONGEST_LINK * self._radius:
                return None
            off, point = last.point_at(t), ring.point_at(s)
            if self._passable(off, point):
                back = last.reversed()
                way = (
                    last.between(0, t) if 2 * t <= last.length else back.between(0, last.length - t)
                )
                return s, Chain((*way.segments, *line_between(off, point).segments))
        return None

    def _within(self, a: Point, b: Point) -> bool:
        return bool(self._fence.covers(shapely.LineString([a, b])))

    def _passable(self, a: Point, b: Point) -> bool:
        """Tell whether the straight way stays inside, and in metal for no more than a step."""
        return self._within(a, b) and self._in_metal(a, b) <= BITE * self._stepover

    def cleared_between(self, a: Point, b: Point) -> bool:
        """Tell whether the straight way at depth meets nothing."""
        return self._within(a, b) and self._in_metal(a, b) == 0.0

    def _in_metal(self, a: Point, b: Point) -> float:
        if self._centres is None:
            self._centres = self._swept.buffer(-self._radius + ON_CUT_WAY)
        return float(shapely.LineString([a, b]).difference(self._centres).length)


def line_between(a: Point, b: Point) -> Chain:
    """Straight, or nothing where both are one place."""
    return Chain(() if same(a, b) else (Line(a, b),))
