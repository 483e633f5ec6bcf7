"""Offsets of regions and chains, every arc of the result a true arc with its exact centre.

The offset itself is GEOS's, on source arcs flattened to `FLAT_SAG`; lines and arcs are recovered
from it (see `recover`). The result is true to 0.001 mm. Never offset an offset: offset the source
by the whole distance. A neck exactly as wide as the cutter counts as passable (`NECK`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain, Line, Point, Segment
from gcodekit.geometry.flat import to_shapely
from gcodekit.geometry.recover import Candidates, Curve, OnCircle, OnLine, recovered
from gcodekit.geometry.region import Region
from gcodekit.geometry.tolerances import FLAT_SAG, FLAT_STEP, NECK

Piece = tuple[Curve, BaseGeometry]


def grow(region: Region, by: float) -> Region:
    """Offset outward (positive) or inward (negative), mm, round at corners."""
    if region.empty or by == 0:
        return region
    flat = to_shapely(region, FLAT_SAG, max_step=FLAT_STEP)
    by = by + NECK if by < 0 else by
    shape = flat.buffer(by, quad_segs=_quad_segs(abs(by)))
    return recovered(shape, Candidates(_pieces((s for r in region.rings for s in r), abs(by))))


def grow_chain(chain: Chain, by: float) -> Region:
    """All within `by` of a chain: a slot round an open one, a ring along a closed one."""
    line = shapely.LineString(chain.flattened(FLAT_SAG, max_step=FLAT_STEP))
    shape = line.buffer(by, quad_segs=_quad_segs(by))
    return recovered(shape, Candidates(_pieces(chain.segments, by)))


def offset_chain(chain: Chain, by: float, *, left: bool) -> tuple[Chain, ...]:
    """The line `by` to one side of an open chain, round at outer corners, walked the same way.

    It is the stretch of the sweep's rim between the two flat ends, so it never comes nearer to
    the chain than `by`.
    """
    region = grow_chain(chain, by)
    start, end = _beside(chain, 0.0, by, left=left), _beside(chain, chain.length, by, left=left)
    for ring in region.rings:
        from gcodekit.geometry.flat import nearest

        s0, gap0 = nearest(ring, start)
        s1, gap1 = nearest(ring, end)
        if gap0 > 0.01 or gap1 > 0.01:
            continue
        # The sweep's outer ring is counter-clockwise: the chain's right side is walked forward.
        if not left:
            turned = ring.from_start_at(s0)
            return (turned.between(0.0, (s1 - s0) % ring.length),)
        turned = ring.from_start_at(s1)
        return (turned.between(0.0, (s0 - s1) % ring.length).reversed(),)
    return ()


def _beside(chain: Chain, s: float, by: float, *, left: bool) -> Point:
    (x, y), (tx, ty) = chain.point_at(s), chain.tangent_at(s)
    side = by if left else -by
    return (x - side * ty, y + side * tx)


def _quad_segs(by: float) -> int:
    """Chords a quarter turn so that corner arcs sag no more than FLAT_SAG."""
    step = 2 * math.acos(max(0.0, 1 - FLAT_SAG / max(by, 2 * FLAT_SAG)))
    return max(8, math.ceil(math.pi / 2 / min(step, 0.1)))


def _pieces(segments: Iterable[Segment], by: float) -> list[Piece]:
    """Every curve the offset can lie on, with the stretch of it that is near its source."""
    pieces: list[Piece] = []
    corners: set[tuple[float, float]] = set()
    for s in segments:
        pieces += _line_pieces(s, by) if isinstance(s, Line) else _arc_pieces(s, by)
        for p in (s.start, s.end):
            key = (round(p[0], 7), round(p[1], 7))
            if key not in corners:
                corners.add(key)
                pieces.append((OnCircle(p, by), _rim(p, by)))
    return pieces


def _line_pieces(line: Line, by: float) -> list[Piece]:
    if line.length < 1e-9:
        return []
    tx, ty = line.tangent_at(0.0)
    out: list[Piece] = []
    for side in (by, -by):
        a = (line.start[0] - side * ty, line.start[1] + side * tx)
        b = (line.end[0] - side * ty, line.end[1] + side * tx)
        out.append((OnLine(a, (tx, ty)), shapely.LineString([a, b])))
    return out


def _arc_pieces(arc: Arc, by: float) -> list[Piece]:
    return [
        (OnCircle(arc.centre, r), _rim(arc.centre, r))
        for r in (arc.radius + by, arc.radius - by)
        if r > 1e-6
    ]


def _rim(centre: Point, radius: float) -> BaseGeometry:
    line = Chain.circle(centre, radius).flattened(0.001, max_step=0.2)
    return shapely.LineString(line)
