"""Regions of the plane put together and taken apart, on a grid where nothing may be lost.

The proof's own, apart from the planner's: it stands on shapely alone.
"""

from __future__ import annotations

from collections.abc import Iterable

import shapely
from shapely.geometry.base import BaseGeometry

# mm; without a grid GEOS's difference now and then holds a piece that is in neither region.
GRID = 1e-6

EMPTY: BaseGeometry = shapely.Polygon()


def union(pieces: Iterable[BaseGeometry]) -> BaseGeometry:
    """All pieces as one."""
    found = [p for p in pieces if not p.is_empty]
    return shapely.union_all(found, grid_size=GRID) if found else EMPTY


def joined(pieces: Iterable[BaseGeometry]) -> BaseGeometry:
    """All pieces as one, off the grid and much faster: between two that only touch a hair may
    stay open, which is nothing to who asks within a distance."""
    found = [p for p in pieces if not p.is_empty]
    return shapely.union_all(found) if found else EMPTY


def less(region: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """`region` without `other`, areas only."""
    if region.is_empty or other.is_empty:
        return region
    return _areas(shapely.difference(region, other, grid_size=GRID))


def common(region: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """What is in both, areas only."""
    if region.is_empty or other.is_empty:
        return EMPTY
    return _areas(shapely.intersection(region, other, grid_size=GRID))


def _areas(region: BaseGeometry) -> BaseGeometry:
    """Without the lines and points of a mixed result: they are no metal."""
    if region.geom_type in ("Polygon", "MultiPolygon"):
        return region
    return union(p for p in getattr(region, "geoms", ()) if p.area)
