"""Unions, differences and intersections of regions, the sources' arcs kept as exact arcs.

Where two outlines cross, the new corner is the exact meeting of the two lines or arcs. Outlines
meant to coincide do: the engine works on a grid of `ENGINE_GRID`, and parts or holes of less mean
width than `SLIVER` are dropped.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.edge_sources import FlatSource
from gcodekit.geometry.flattening import polygons_of, sound, thin
from gcodekit.geometry.recover import LabelledResult
from gcodekit.geometry.region import Region
from gcodekit.geometry.tolerances import ENGINE_GRID

Overlay = Callable[[list[BaseGeometry]], BaseGeometry]


def union(regions: Sequence[Region]) -> Region:
    """Everything in any of them."""
    solid = [r for r in regions if not r.empty]
    return _overlaid(solid, lambda flat: shapely.union_all(flat, grid_size=ENGINE_GRID))


def minus(a: Region, b: Region) -> Region:
    """The area in the first and not in the second."""
    if a.empty or b.empty:
        return a
    return _overlaid(
        [a, b], lambda flat: shapely.difference(flat[0], flat[1], grid_size=ENGINE_GRID)
    )


def common(regions: Sequence[Region]) -> Region:
    """The area in all of them; nothing when there are none."""
    if any(r.empty for r in regions):
        return Region()
    return _overlaid(list(regions), _intersection)


def _intersection(flat: list[BaseGeometry]) -> BaseGeometry:
    shape = flat[0]
    for other in flat[1:]:
        shape = shapely.intersection(shape, other, grid_size=ENGINE_GRID)
    return shape


def _overlaid(regions: list[Region], overlay: Overlay) -> Region:
    if not regions:
        return Region()
    if len(regions) == 1:
        return regions[0]
    chains: list[Chain] = [ring for r in regions for ring in r.rings]
    source = FlatSource.of(chains, 0.0)
    rings = iter(source.rings)
    flat: list[BaseGeometry] = []
    for region in regions:
        parts = [shapely.Polygon(next(rings), [next(rings) for _ in p.holes]) for p in region.parts]
        flat.append(sound(shapely.MultiPolygon(parts)))
    return LabelledResult.of(_without_slivers(overlay(flat)), source).region()


def _without_slivers(shape: BaseGeometry) -> BaseGeometry:
    return shapely.MultiPolygon(
        [
            shapely.Polygon(
                polygon.exterior, [h for h in polygon.interiors if not thin(shapely.Polygon(h))]
            )
            for polygon in polygons_of(shape)
            if not thin(shapely.Polygon(polygon.exterior))
        ]
    )
