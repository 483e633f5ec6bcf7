"""An area cut into triangles, and ways through it.

The row of triangles from one place to the other is found first, and in it the shortest way, which
turns at corners only.
"""

from __future__ import annotations

import heapq
import math

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point, distance

Edge = tuple[Point, Point]


class Triangles:
    """An area's triangles and which lie side by side."""

    def __init__(self, free: BaseGeometry) -> None:
        self._free = free
        made = shapely.get_parts(shapely.constrained_delaunay_triangles(free))
        corners = shapely.get_coordinates(made).reshape(-1, 4, 2)[:, :3]
        self._tree = shapely.STRtree(made)
        self._middles: list[list[float]] = corners.mean(axis=1).tolist()
        self._beside: list[list[tuple[int, Edge]]] = [[] for _ in made]
        owners: dict[Edge, int] = {}
        for i, triangle in enumerate(corners.tolist()):
            points = [(float(x), float(y)) for x, y in triangle]
            for p, q in zip(points, points[1:] + points[:1], strict=True):
                edge = (p, q) if p < q else (q, p)
                other = owners.pop(edge, None)
                if other is None:
                    owners[edge] = i
                else:
                    self._beside[i].append((other, edge))
                    self._beside[other].append((i, edge))

    def way(self, a: Point, b: Point) -> list[Point] | None:
        """The way from the place in the area next to `a` to that next to `b`; None where they are
        apart."""
        a, b = self._inside(a), self._inside(b)
        row = self._row(a, b)
        return None if row is None else pulled(a, b, row)

    def _inside(self, at: Point) -> Point:
        x, y = shapely.shortest_line(self._free, shapely.Point(at)).coords[0]
        return (float(x), float(y))

    def _row(self, a: Point, b: Point) -> list[Edge] | None:
        """The edges to be crossed, each with its left end first."""
        first = int(self._tree.nearest(shapely.Point(a)))
        goal = int(self._tree.nearest(shapely.Point(b)))
        heap = [(distance(a, b), first, 0.0, a)]
        came: dict[int, tuple[int, Edge]] = {}
        best, done = {first: 0.0}, set()
        while heap and goal not in done:
            _, i, far, at = heapq.heappop(heap)
            if i in done:
                continue
            done.add(i)
            for k, edge in self._beside[i]:
                place = _nearest_on(edge, at)
                cost = far + distance(at, place)
                if k not in done and cost < best.get(k, math.inf):
                    best[k], came[k] = cost, (i, edge)
                    heapq.heappush(heap, (cost + distance(place, b), k, cost, place))
        if goal not in done:
            return None
        edges: list[Edge] = []
        i = goal
        while i != first:
            i, (p, q) = came[i]
            mx, my = self._middles[i]
            edges.append((q, p) if _side(p, q, (mx, my)) > 0 else (p, q))
        return edges[::-1]


def _nearest_on(edge: Edge, at: Point) -> Point:
    (px, py), (qx, qy) = edge
    dx, dy = qx - px, qy - py
    size = dx * dx + dy * dy
    t = ((at[0] - px) * dx + (at[1] - py) * dy) / size if size else 0.0
    t = min(max(t, 0.0), 1.0)
    return (px + t * dx, py + t * dy)


def _side(a: Point, b: Point, c: Point) -> float:
    """Positive where `c` lies left of the way from `a` to `b`."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def pulled(a: Point, b: Point, edges: list[Edge]) -> list[Point]:
    """The shortest way that crosses a row of edges (left end, right end), as a string pulled taut.

    Examples
    --------
    >>> pulled((0, 0), (2, 0), [((1, 2), (1, 1))])
    [(0, 0), (1, 1), (2, 0)]
    """
    gates = [*edges, (b, b)]
    way, apex = [a], a
    left = right = a
    at_left = at_right = 0
    i = 0
    while i < len(gates):
        new_left, new_right = gates[i]
        if _side(apex, right, new_right) >= 0:
            if right == apex or _side(apex, left, new_right) < 0:
                right, at_right = new_right, i
            else:
                apex, i = left, at_left + 1
                way.append(apex)
                left = right = apex
                at_right = at_left
                continue
        if _side(apex, left, new_left) <= 0:
            if left == apex or _side(apex, right, new_left) > 0:
                left, at_left = new_left, i
            else:
                apex, i = right, at_right + 1
                way.append(apex)
                left = right = apex
                at_left = at_right
                continue
        i += 1
    if way[-1] != b:
        way.append(b)
    return way
