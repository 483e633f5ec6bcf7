"""Checks of a drawn chain, and of which rings lie in which."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from gcodekit.geometry.chain import Chain, Point, Points
from gcodekit.geometry.region import Part, Region
from gcodekit.geometry.tolerances import CHECK_SAG, SAME_POINT

# More points than this and not every crossing of a chain is looked for.
MOST_CHECKED = 2_000
# Edges looked at in one go, so that a tangle of them does not fill the memory.
_CROSSED_AT_ONCE = 256


def self_crossing(chain: Chain) -> Point | None:
    """The first point where a chain crosses or touches itself, or None. A closed one may meet its
    start.

    Arcs are looked at as chords within `CHECK_SAG`; touching means nearer than rounding.
    """
    points = chain.flattened(CHECK_SAG)
    line = shapely.LineString(points)
    if line.is_simple:
        return None
    if len(points) > MOST_CHECKED:
        # of a long scribble the first stretch will do: all its crossings would be millions
        line = shapely.LineString(points[: _first_fault(points)])
    pieces = shapely.get_parts(shapely.node(line))
    ends: dict[Point, int] = {}
    for piece in pieces:
        for x, y in (piece.coords[0], piece.coords[-1]):
            ends[(x, y)] = ends.get((x, y), 0) + 1
    crossings = [p for p, n in ends.items() if n > 2]
    if not crossings:
        crossings = _touchings(chain, list(ends))
    return min(crossings, key=lambda p: line.project(shapely.Point(p)), default=chain.start)


def _first_fault(points: Points) -> int:
    """The number of points from the first that a line may have before it meets itself."""
    sound, faulty = 2, len(points)
    while faulty - sound > 1:
        middle = (sound + faulty) // 2
        if shapely.LineString(points[:middle]).is_simple:
            sound = middle
        else:
            faulty = middle
    return faulty


def _touchings(chain: Chain, places: list[Point]) -> list[Point]:
    """Ends of pieces that are not the chain's own: where it runs back along itself."""
    own = (chain.start, chain.end)
    return [p for p in places if all(abs(p[0] - x) + abs(p[1] - y) > SAME_POINT for x, y in own)]


def meetings(chains: Sequence[Chain], *, nearer: float, most: int) -> list[tuple[int, int, Point]]:
    """The places where different chains cross, or come nearer to one another than `nearer` mm:
    which two, and where; each two once, at most `most`.

    Arcs are looked at as chords within `CHECK_SAG`.
    """
    ways = [c.flattened(CHECK_SAG) for c in chains]
    if len(ways) < 2:
        return []
    owner = np.repeat(np.arange(len(ways)), [len(w) - 1 for w in ways])
    edges = np.concatenate([np.stack([w[:-1], w[1:]], axis=1) for w in ways])
    lines: np.ndarray[tuple[int], np.dtype[np.object_]] = shapely.linestrings(edges)  # type: ignore[assignment]  # an array
    tree = shapely.STRtree(lines.tolist())
    found: dict[tuple[int, int], Point] = {}
    for first in range(0, len(lines), _CROSSED_AT_ONCE):
        a, b = tree.query(lines[first : first + _CROSSED_AT_ONCE], "dwithin", nearer)
        a = a + first
        for i, k in zip(*(x[owner[a] < owner[b]].tolist() for x in (a, b)), strict=True):
            two = (int(owner[i]), int(owner[k]))
            if two not in found:
                near = shapely.shortest_line(lines[i], lines[k])
                found[two] = (near.coords[0][0], near.coords[0][1])
            if len(found) >= most:
                break
        if len(found) >= most:
            break
    return [(i, k, at) for (i, k), at in found.items()]


def region_of(rings: Sequence[Chain]) -> Region:
    """The region of closed rings that do not cross: those inside an odd number of others are
    holes, in the smallest ring round them.
    """
    if not rings:
        return Region()
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
