"""Offsets of regions and chains, every arc of the result a true arc with its exact centre.

The offset itself is made on polygons with chords within `ENGINE_SAG` of the arcs; lines and arcs
are then recovered exactly (see `recover`). Error bound: every point of a result is within
0.001 mm of the true offset (measured: under 0.0003 mm, and rounding alone where nothing is
trimmed at a grazing angle). A result is exact enough to be a source again, but never offset an
offset on the way to a cutter's path: by 2 and then by 3 is not by 5. Corners are rounded in
between, necks are lost, and small arcs multiply.

A neck or gap exactly as wide as twice the distance is open: the two sides of the result then
coincide along it. The engine's distance is short by `PASSABLE` (or `PASSABLE_ARCS`), the
recovered curves are at the whole distance. What leaves only a point (a disc as big as the
cutter) is nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

import numpy as np
import pyclipper
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Points
from gcodekit.geometry.edge_sources import CORNER, LABEL_KINDS, LEFT, RIGHT, FlatSource, chord_angle
from gcodekit.geometry.flattening import eroded
from gcodekit.geometry.recover import LabelledResult, Recovered
from gcodekit.geometry.region import GeometryError, Region
from gcodekit.geometry.tolerances import (
    CLIPPER_SCALE,
    ENGINE_SAG,
    FARTHEST_OUT,
    PASSABLE,
    PASSABLE_ARCS,
)


# A plan asks again and again how much room the same cutter has in the same outline.
@lru_cache(maxsize=64)
def grow(region: Region, distance: float) -> Region:
    """Offset outward (positive) or inward (negative), mm, round at corners.

    Examples
    --------
    >>> square = Region.of(Chain.of_points([(0, 0), (4, 0), (4, 4), (0, 4)], closed=True))
    >>> [type(s).__name__ for s in grow(square, 1.0).rings[0]].count("Arc")
    4
    >>> grow(square, -2.5).empty
    True
    """
    if region.empty or distance == 0:
        return region
    source = FlatSource.of(region.rings, distance)
    _within_range(source)
    spare = PASSABLE_ARCS if source.has_arcs else PASSABLE
    by = math.copysign(max(abs(distance) - spare, 0.0), distance)
    flat = _polygons(region, source)
    chords = _quad_segs(abs(by))
    if by < 0:
        reading = LabelledResult.of(eroded(flat, -by, quad_segs=chords), source)
    else:
        reading = LabelledResult.of(flat.buffer(by, quad_segs=chords), source)
    if not reading.certain:
        # GEOS smooths shallow hollows away before it offsets, and joins points on the way that
        # are near each other: it cannot draw a neck of no width. The other engine can.
        reading = LabelledResult.of(_by_clipper(source, by), source)
    return reading.region()


def grow_chain(chain: Chain, distance: float) -> Region:
    """Everything within `distance` of a chain: a slot with round ends along an open one, a band
    along a closed one."""
    source = FlatSource.of((chain,), distance)
    return _swept(chain, source).region()


def offset_chain(chain: Chain, distance: float, *, left: bool) -> tuple[Chain, ...]:
    """The chain `distance` to one side of an open chain, in the same direction.

    Round at outer corners, and never nearer than `distance` to any of the chain: where the chain
    comes back to itself the offset is cut off, and may be in pieces. They come in the order in
    which the chain passes them.
    """
    source = FlatSource.of((chain,), distance)
    wanted = LEFT if left else RIGHT
    found: list[tuple[float, Chain]] = []
    for outer, holes in _swept(chain, source).parts():
        for ring in (outer, *holes):
            found += _stretches(ring, source, wanted)
    return tuple(c for _, c in sorted(found, key=lambda x: x[0]))


def _swept(chain: Chain, source: FlatSource) -> LabelledResult:
    _within_range(source)
    spare = PASSABLE_ARCS if source.has_arcs else PASSABLE
    by = max(source.distance - spare, 0.0)
    if chain.closed:
        line: BaseGeometry = shapely.LinearRing(source.rings[0])
    else:
        line = shapely.LineString(source.rings[0])
    reading = LabelledResult.of(line.buffer(by, quad_segs=_quad_segs(by)), source)
    if not reading.certain:
        ends = pyclipper.ET_CLOSEDLINE if chain.closed else pyclipper.ET_OPENROUND
        reading = LabelledResult.of(_by_clipper(source, by, ends), source)
    return reading


def _stretches(ring: Recovered, source: FlatSource, wanted: int) -> Iterator[tuple[float, Chain]]:
    """The longest stretches of a sweep's ring on one side of its chain, and their place."""
    sides = [_side(label, source) == wanted for label in ring.labels]
    for i, label in enumerate(ring.labels):  # a bridge is on the side of what it joins
        sides[i] = sides[i] or (label < 0 and sides[i - 1] and sides[(i + 1) % len(sides)])
    way = ring.chain.segments
    n = len(way)
    if all(sides):
        yield _turned(ring.chain, ring.labels, wanted)
        return
    begins = [i for i in range(n) if sides[i] and not sides[i - 1]]
    for begin in begins:
        stop = begin
        while sides[stop % n]:
            stop += 1
        picked = [k % n for k in range(begin, stop)]
        yield _turned(
            Chain(tuple(way[k] for k in picked)), tuple(ring.labels[k] for k in picked), wanted
        )


def _turned(chain: Chain, labels: tuple[int, ...], wanted: int) -> tuple[float, Chain]:
    """A stretch walked as its chain is, and where along the chain it lies (in segments).

    A sweep's rings have the sweep on their left: the chain's right side is walked forward.
    """
    place = min(
        (float(v // LABEL_KINDS) for v in labels if v >= 0 and v % LABEL_KINDS != CORNER),
        default=0.0,
    )
    return place, chain.reversed() if wanted == LEFT else chain


def _side(label: int, source: FlatSource) -> int | None:
    """LEFT or RIGHT of the chain; None for its round ends and what could not be labelled."""
    if label < 0:
        return None
    index, kind = divmod(label, LABEL_KINDS)
    return source.bulge[index] if kind == CORNER else kind


def _polygons(region: Region, source: FlatSource) -> BaseGeometry:
    rings = iter(source.rings)
    polygons = [
        shapely.Polygon(next(rings), [next(rings) for _ in part.holes]) for part in region.parts
    ]
    return polygons[0] if len(polygons) == 1 else shapely.MultiPolygon(polygons)


def _quad_segs(radius: float) -> int:
    """Chords a quarter turn that sag no more than ENGINE_SAG on a circle of `radius`."""
    return max(8, math.ceil(math.pi / 2 / chord_angle(0.0, radius)))


def _within_range(source: FlatSource) -> None:
    most = max(float(np.abs(r).max()) for r in source.rings) + source.distance
    if not most <= FARTHEST_OUT:
        raise GeometryError(
            "an outline reaches {0} from zero", "use at most {1}", lengths=(most, FARTHEST_OUT)
        )


def _by_clipper(
    source: FlatSource, by: float, ends: int = pyclipper.ET_CLOSEDPOLYGON
) -> BaseGeometry:
    """The same offset by the slower engine, which keeps every vertex."""
    engine = pyclipper.PyclipperOffset(2.0, ENGINE_SAG * CLIPPER_SCALE)
    for ring in source.rings:
        points = np.rint(ring * CLIPPER_SCALE).astype(np.int64)
        points = points if ends == pyclipper.ET_OPENROUND else points[:-1]
        engine.AddPath(points.tolist(), pyclipper.JT_ROUND, ends)
    tree = engine.Execute2(by * CLIPPER_SCALE)
    polygons = [
        shapely.Polygon(_mm(outer.Contour), [_mm(hole.Contour) for hole in outer.Childs])
        for outer in _outers(tree)
    ]
    return shapely.MultiPolygon(polygons)


def _mm(contour: list[list[int]]) -> Points:
    return np.array(contour, dtype=np.float64) / CLIPPER_SCALE


def _outers(node: pyclipper.PyPolyNode) -> Iterator[pyclipper.PyPolyNode]:
    for child in node.Childs:
        if not child.IsHole:
            yield child
        yield from _outers(child)
