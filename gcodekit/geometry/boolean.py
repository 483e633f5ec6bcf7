"""Unions, differences and intersections of regions, the sources' arcs kept as exact arcs."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Line
from gcodekit.geometry.flat import to_shapely
from gcodekit.geometry.recover import Candidates, Curve, OnCircle, OnLine, recovered
from gcodekit.geometry.region import Region
from gcodekit.geometry.tolerances import FLAT_SAG, FLAT_STEP, GRID


def union(regions: Sequence[Region]) -> Region:
    """Everything in any of them."""
    return _result(shapely.union_all(_flat(regions), grid_size=GRID), regions)


def minus(a: Region, b: Region) -> Region:
    """What is in the first and not in the second."""
    first, second = _flat((a, b))
    return _result(shapely.difference(first, second, grid_size=GRID), (a, b))


def common(regions: Sequence[Region]) -> Region:
    """What is in all of them."""
    shape, *rest = _flat(regions)
    for other in rest:
        shape = shapely.intersection(shape, other, grid_size=GRID)
    return _result(shape, regions)


def _flat(regions: Sequence[Region]) -> list[BaseGeometry]:
    return [to_shapely(r, FLAT_SAG, max_step=FLAT_STEP) for r in regions]


def _result(shape: BaseGeometry, sources: Sequence[Region]) -> Region:
    pieces: list[tuple[Curve, BaseGeometry]] = []
    for segment in (s for region in sources for ring in region.rings for s in ring):
        flat = shapely.LineString(Chain((segment,)).flattened(0.001, max_step=0.2))
        if isinstance(segment, Line):
            pieces.append((OnLine(segment.start, segment.tangent_at(0.0)), flat))
        else:
            pieces.append((OnCircle(segment.centre, segment.radius), flat))
    return recovered(shape, Candidates(pieces))
