"""Whether a drawn chain is sound, and which of several rings lie in which."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.region import Part, Region
from gcodekit.geometry.tolerances import CHECK_SAG, SAME_POINT


def self_crossing(chain: Chain) -> Point | None:
    """Where a chain first crosses or touches itself, or None. A closed one may meet its start.

    Arcs are looked at as chords within `CHECK_SAG`; touching means nearer than rounding.
    """
    line = shapely.LineString(chain.flattened(CHECK_SAG))
    if line.is_simple:
        return None
    pieces = shapely.get_parts(shapely.node(line))
    ends: dict[Point, int] = {}
    for piece in pieces:
        for x, y in (piece.coords[0], piece.coords[-1]):
            ends[(x, y)] = ends.get((x, y), 0) + 1
    crossings = [p for p, n in ends.items() if n > 2]
    if not crossings:
        crossings = _touchings(chain, list(ends))
    return min(crossings, key=lambda p: line.project(shapely.Point(p)), default=chain.start)


def _touchings(chain: Chain, places: list[Point]) -> list[Point]:
    """Ends of pieces that are not the chain's own: where it runs back along itself."""
    own = (chain.start, chain.end)
    return [p for p in places if all(abs(p[0] - x) + abs(p[1] - y) > SAME_POINT for x, y in own)]


def region_of(rings: Sequence[Chain]) -> Region:
    """The region of closed rings that do not cross: those inside an odd number of others are
    holes, in the smallest ring round them.
    """
    flat = [shapely.Polygon(r.flattened(CHECK_SAG)) for r in rings]
    tree = shapely.STRtree([p.representative_point() for p in flat])
    holders: list[list[int]] = [[] for _ in rings]
    for holder, held in zip(*tree.query(flat, "contains"), strict=True):
        if holder != held and flat[holder].area > flat[held].area:
            holders[int(held)].append(int(holder))
    outers: dict[int, list[Chain]] = {i: [] for i, h in enumerate(holders) if len(h) % 2 == 0}
    for i, ring in enumerate(rings):
        if len(holders[i]) % 2:
            around = min(holders[i], key=lambda k: flat[k].area)
            outers[around].append(ring if ring.area < 0 else ring.reversed())
    return Region(
        tuple(
            Part(rings[i] if rings[i].area > 0 else rings[i].reversed(), tuple(holes))
            for i, holes in outers.items()
        )
    )
