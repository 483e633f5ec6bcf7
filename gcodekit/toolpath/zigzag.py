"""Clearing an area in a zigzag of straight strokes, then once round its walls.

Where islands or bends part the strokes the area falls into cells: each is cleared in one go, stroke
beside stroke, with the way from one to the next along the wall.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Line, Point, distance
from gcodekit.geometry.flattening import nearest, polygons_of
from gcodekit.geometry.region import Region
from gcodekit.toolpath.entry import SHORTEST_RAMP, ramp_along, ramp_round
from gcodekit.toolpath.level_clearing import NoWayInError
from gcodekit.toolpath.path import APPROACH, Path
from gcodekit.toolpath.ring_tour import line_between
from gcodekit.toolpath.rings import FLAT_SAG

# A stroke shorter than this, mm, is none.
SHORTEST_STROKE = 0.01
# Strokes more than this many mean a width that is absurd for the area.
MOST_AREA_STROKES = 4000
# Ways that stay this near what is cleared are in it, mm.
IN_CLEARED = 0.02

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Stroke:
    """One way to cut; `link`: how the cutter comes to it at depth, None: from above."""

    way: Chain
    link: Chain | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Zigzag:
    """An area's strokes. `room` is where the centre may go, `flat` the same as polygons, `air`
    where the whole cutter stands clear beside the metal."""

    room: Region
    flat: BaseGeometry
    radius: float
    stepover: float
    climb: bool
    centre_cutting: bool
    air: BaseGeometry

    @property
    def first_share(self) -> float:
        """The share of the strokes that has nothing cleared beside it."""
        return 1 / max(1.0, _height(_turned(self.flat)[0]) / self.stepover)

    def cut(self, path: Path, levels: list[float], top: float) -> None:
        """Clear down through `levels`, each connected piece to its floor before the next. Raises
        `NoWayInError`."""
        for piece in polygons_of(self.flat):
            above, strokes = top, list(self._strokes(piece))
            for z in levels:
                for stroke in strokes:
                    self._take(path, stroke, above, z)
                above = z

    def _take(self, path: Path, stroke: Stroke, above: float, z: float) -> None:
        way = stroke.way
        if stroke.link is not None and path.z == z and path.at is not None:
            path.follow(stroke.link)
            path.follow(way)
            return
        path.over(way.start)
        path.drop(above + APPROACH)
        if self.air.intersects(shapely.Point(way.start)):
            path.sink(z, feed=path.feed)
        else:
            path.sink(above)
            if way.closed:
                way = ramp_round(path, way, z)
            elif way.length > SHORTEST_RAMP or self.centre_cutting:
                ramp_along(path, way, z)
            else:
                raise NoWayInError
        path.follow(way)

    def _strokes(self, piece: BaseGeometry) -> Iterator[Stroke]:
        """In order: cell by cell, then round the walls."""
        done: BaseGeometry = shapely.MultiLineString()
        at: Point | None = None
        for cell in in_order(cells(piece, self.stepover)):
            for number, way in enumerate(cell):
                link = None
                if at is not None:
                    link = self._step(at, way.start) if number else self._over(at, way.start, done)
                yield Stroke(way, link)
                at = way.end
            done = shapely.union_all([done, *(_line(way) for way in cell)])
        walls = [r for r in self.room.rings if _line(r).dwithin(piece, IN_CLEARED)]
        while walls:
            here = at or walls[0].start
            ring = min(walls, key=lambda r: nearest(r, here)[1])
            walls.remove(ring)
            turned = ring.from_start_at(nearest(ring, here)[0])
            turned = turned if self.climb else turned.reversed()
            yield Stroke(turned, self._over(here, turned.start, done) if at else None)
            at = turned.end

    def _step(self, a: Point, b: Point) -> Chain | None:
        """To the stroke beside: straight where that stays inside, else along the wall."""
        if self._inside(a, b):
            return line_between(a, b)
        ring = min(self.room.rings, key=lambda r: nearest(r, a)[1])
        (s, off), (t, away) = nearest(ring, a), nearest(ring, b)
        if max(off, away) > IN_CLEARED:
            return None
        there = ring.from_start_at(s)
        t = nearest(there, b)[0]
        way = there.between(0, t)
        if 2 * t > ring.length:
            way = there.reversed().between(0, ring.length - t)
        if not len(way):
            return None
        return Chain((*line_between(a, way.start), *way, *line_between(way.end, b)))

    def _over(self, a: Point, b: Point, done: BaseGeometry) -> Chain | None:
        """Straight through what is cleared, but for the last step."""
        if distance(a, b) > 4 * self.stepover + 4 * self.radius or not self._inside(a, b):
            return None
        bare = shapely.LineString([a, b]) if a != b else shapely.Point(a)
        in_metal = bare.difference(done.buffer(self.stepover / 2 + IN_CLEARED)).length
        return line_between(a, b) if in_metal <= self.stepover else None

    def _inside(self, a: Point, b: Point) -> bool:
        return bool(self.flat.buffer(2 * FLAT_SAG).covers(shapely.LineString([a, b])))


def _line(way: Chain) -> BaseGeometry:
    return shapely.LineString(way.flattened(FLAT_SAG))


def _turned(piece: BaseGeometry) -> tuple[BaseGeometry, float]:
    """The piece turned so that its long side lies along x, and the angle it had."""
    box = shapely.oriented_envelope(piece)
    corners = shapely.get_coordinates(box)
    sides = np.diff(corners[:3], axis=0) if len(corners) > 2 else np.array([[1.0, 0.0]])
    dx, dy = max(sides, key=lambda side: float(np.hypot(*side)))
    angle = math.atan2(dy, dx)
    return affinity.rotate(piece, -angle, origin=(0, 0), use_radians=True), angle


def _height(piece: BaseGeometry) -> float:
    _, y0, _, y1 = piece.bounds
    return float(y1 - y0)


def cells(piece: BaseGeometry, stepover: float) -> list[list[tuple[Point, Point]]]:
    """Strokes from left to right, no more than a step apart, grouped where each has just one
    beside it."""
    level, angle = _turned(piece)
    level = level.buffer(-FLAT_SAG)
    if level.is_empty:
        return []
    x0, y0, x1, y1 = level.bounds
    count = max(1, math.ceil((y1 - y0) / stepover))
    if count > MOST_AREA_STROKES:
        raise RuntimeError(f"more than {MOST_AREA_STROKES} strokes at {stepover} mm")
    heights = [y0 + (k + 0.5) * (y1 - y0) / count for k in range(count)]
    lines = [shapely.LineString([(x0 - 1, y), (x1 + 1, y)]) for y in heights]
    open_cells: list[tuple[Span, list[tuple[Point, Point]]]] = []
    cells: list[list[tuple[Point, Point]]] = []
    for y, cut in zip(heights, shapely.intersection(lines, level), strict=True):
        spans = sorted(_span(p) for p in shapely.get_parts(cut) if p.length > SHORTEST_STROKE)
        still: list[tuple[Span, list[tuple[Point, Point]]]] = []
        for span in spans:
            beside = [c for c in open_cells if _overlap(c[0], span)]
            alone = len(beside) == 1 and sum(_overlap(beside[0][0], s) for s in spans) == 1
            strokes = beside[0][1] if alone else []
            if not alone:
                cells.append(strokes)
            strokes.append((_back((span[0], y), angle), _back((span[1], y), angle)))
            still.append((span, strokes))
        open_cells = still
    return cells


def _span(piece: BaseGeometry) -> Span:
    xs = shapely.get_coordinates(piece)[:, 0]
    return float(xs.min()), float(xs.max())


def _overlap(a: Span, b: Span) -> bool:
    return a[0] < b[1] and b[0] < a[1]


def _back(point: Point, angle: float) -> Point:
    c, s = math.cos(angle), math.sin(angle)
    return (c * point[0] - s * point[1], s * point[0] + c * point[1])


def in_order(cells: list[list[tuple[Point, Point]]]) -> Iterator[list[Chain]]:
    """Each cell to and fro, the next the one whose corner is nearest."""
    left = list(cells)
    at: Point | None = None
    while left:
        ways = [(i, w) for i, cell in enumerate(left) for w in _ways(cell)]
        here = at
        index, strokes = ways[0]
        if here is not None:
            index, strokes = min(ways, key=lambda way: distance(here, way[1][0][0]))
        left.pop(index)
        yield [Chain((Line(a, b),)) for a, b in strokes]
        at = strokes[-1][1]


def _ways(cell: list[tuple[Point, Point]]) -> Iterator[list[tuple[Point, Point]]]:
    """The four ways through a cell: from either side, from either end."""
    for strokes in (cell, cell[::-1]):
        for odd in (0, 1):
            yield [(b, a) if k % 2 != odd else (a, b) for k, (a, b) in enumerate(strokes)]
