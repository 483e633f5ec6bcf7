"""Whether a drawn chain is sound."""

from __future__ import annotations

import shapely

from gcodekit.geometry.chain import Chain, Point


def self_crossing(chain: Chain) -> Point | None:
    """Where a chain crosses or touches itself, or None. The ends of a closed one may meet."""
    line = shapely.LineString(chain.flattened(0.001))
    if line.is_simple:
        return None
    # Noded apart, the points where more than two pieces meet are the crossings.
    pieces = shapely.get_parts(shapely.unary_union(line))
    count: dict[tuple[float, float], int] = {}
    for piece in pieces:
        for p in (piece.coords[0], piece.coords[-1]):
            key = (round(p[0], 6), round(p[1], 6))
            count[key] = count.get(key, 0) + 1
    crossing = [key for key, n in count.items() if n > 2]
    return crossing[0] if crossing else chain.start
