"""Union, difference and intersection of regions, on a fixed grid.

In floating point the difference of two regions with nearly coincident edges now and then holds
a piece that is in neither (seen with sections of one cut 0.2 mm apart in height). On a grid the
result is right to the grid's size, always, but it takes far longer than in proportion to the
number of pieces: so what lies apart from all else is left out of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import polygons_of

# A hundredth of what a program's last decimal can say, mm.
OVERLAY_GRID = 1e-6
# From so many pieces on it pays to look which lie apart.
MANY_PIECES = 20

EMPTY: BaseGeometry = shapely.Polygon()
Rows = NDArray[np.intp]


def union(pieces: Iterable[BaseGeometry]) -> BaseGeometry:
    """All pieces as one."""
    return _united(pieces, OVERLAY_GRID)


def joined(pieces: Iterable[BaseGeometry]) -> BaseGeometry:
    """All pieces as one, off the grid and five times as fast: between two that only touch a
    hair may stay open, which is nothing to who asks within a distance."""
    return _united(pieces, None)


def _united(pieces: Iterable[BaseGeometry], grid: float | None) -> BaseGeometry:
    whole = [p for p in pieces if not p.is_empty]
    found = [p for piece in whole for p in shapely.get_parts(piece)]
    if len(found) < MANY_PIECES:
        return shapely.union_all(whole, grid_size=grid) if whole else EMPTY
    groups = clusters(found, 2 * OVERLAY_GRID)
    return _together(shapely.union_all([found[i] for i in g], grid_size=grid) for g in groups)


def less(region: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """`region` without `other`; lines and points are no metal and are left out."""
    if region.is_empty or other.is_empty:
        return region
    own, parts = polygons_of(region), polygons_of(other)
    if len(own) + len(parts) < MANY_PIECES:
        return _areas(shapely.difference(region, other, grid_size=OVERLAY_GRID))
    if len(own) == 1:
        return _pierced(own[0], parts)
    if len(parts) == 1:
        _, cut = _inside(parts[0], own)
        kept = shapely.disjoint(parts[0], np.asarray(own, dtype=object))
        return _together([*(p for p, k in zip(own, kept, strict=True) if k), _less(cut, parts)])
    return _in_groups(_less, own, parts)


def common(region: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """The area in both; lines and points are left out."""
    if region.is_empty or other.is_empty:
        return EMPTY
    own, parts = polygons_of(region), polygons_of(other)
    if len(own) + len(parts) < MANY_PIECES:
        return _areas(shapely.intersection(region, other, grid_size=OVERLAY_GRID))
    if len(own) == 1 or len(parts) == 1:
        one, many = (own[0], parts) if len(own) == 1 else (parts[0], own)
        inside, rest = _inside(one, many)
        return _together([*inside, _common([one], rest)])
    return _in_groups(_common, own, parts)


def _less(own: Sequence[BaseGeometry], parts: Sequence[BaseGeometry]) -> BaseGeometry:
    if not own or not parts:
        return _together(own)
    return _areas(shapely.difference(_together(own), _together(parts), grid_size=OVERLAY_GRID))


def _common(own: Sequence[BaseGeometry], parts: Sequence[BaseGeometry]) -> BaseGeometry:
    if not own or not parts:
        return EMPTY
    return _areas(shapely.intersection(_together(own), _together(parts), grid_size=OVERLAY_GRID))


def _in_groups(
    operation: Callable[[Sequence[BaseGeometry], Sequence[BaseGeometry]], BaseGeometry],
    own: Sequence[BaseGeometry],
    parts: Sequence[BaseGeometry],
) -> BaseGeometry:
    """Each group of pieces that lies apart from the others by itself."""
    every, n = [*own, *parts], len(own)
    return _together(
        operation([every[i] for i in g if i < n], [every[i] for i in g if i >= n])
        for g in clusters(every, 2 * OVERLAY_GRID)
    )


def _inside(
    one: shapely.Polygon, many: Sequence[shapely.Polygon]
) -> tuple[list[shapely.Polygon], list[shapely.Polygon]]:
    """The parts that lie well inside one, and the others that meet it."""
    shapely.prepare(one)
    those = np.asarray(many, dtype=object)
    within = shapely.contains_properly(one, those)
    near = shapely.intersects(one, those) & ~within
    return list(those[within]), list(those[near])


def _pierced(one: shapely.Polygon, parts: Sequence[shapely.Polygon]) -> BaseGeometry:
    """A piece without parts that nowhere overlap: those well inside it become holes as they are."""
    inside, rest = _inside(one, parts)
    left: list[BaseGeometry] = []
    for piece in polygons_of(_less([one], rest)):
        holes, touching = _inside(piece, inside) if rest else (inside, [])
        left.append(_less([_holed(piece, holes)], touching))
    return _together(left)


def _holed(piece: shapely.Polygon, holes: Sequence[shapely.Polygon]) -> BaseGeometry:
    """A piece without what lies well inside it."""
    rims = [p.exterior for p in holes]
    whole = shapely.Polygon(piece.exterior, [*piece.interiors, *rims])
    if not whole.is_valid:
        # holes that touch one another
        return _less([piece], holes)
    return _together([whole, *(shapely.Polygon(ring) for p in holes for ring in p.interiors)])


def _together(pieces: Iterable[BaseGeometry]) -> BaseGeometry:
    """Pieces that nowhere overlap, as they are."""
    found = [p for piece in pieces for p in polygons_of(piece)]
    if not found:
        return EMPTY
    return found[0] if len(found) == 1 else shapely.multipolygons(found)


def _areas(region: BaseGeometry) -> BaseGeometry:
    if region.geom_type in ("Polygon", "MultiPolygon"):
        return region
    pieces = [p for p in getattr(region, "geoms", ()) if p.area]
    return shapely.union_all(pieces, grid_size=OVERLAY_GRID) if pieces else EMPTY


def clusters(shapes: Sequence[BaseGeometry], gap: float) -> list[Rows]:
    """The indices of shapes in groups whose boxes lie more than `gap` apart, mm.

    Groups are parted by straight cuts along x and y, again and again: shapes of two groups never
    touch, those of one group need not.

    Examples
    --------
    >>> row = [shapely.box(x, 0, x + 1, 1) for x in (0.0, 4.0, 0.5)]
    >>> sorted(sorted(map(int, rows)) for rows in clusters(row, 0.0))
    [[0, 2], [1]]
    """
    boxes = shapely.bounds(np.asarray(shapes, dtype=object))
    found: list[Rows] = []
    left: list[Rows] = [np.arange(len(shapes))] if len(shapes) else []
    while left:
        rows = left.pop()
        parts = _cut(boxes, rows, 0, gap)
        if len(parts) == 1:
            parts = _cut(boxes, rows, 1, gap)
        if len(parts) == 1:
            found.append(rows)
        else:
            left += parts
    return found


def _cut(boxes: NDArray[np.float64], rows: Rows, axis: int, gap: float) -> list[Rows]:
    """Rows of boxes, cut wherever no box reaches along an axis."""
    if len(rows) == 1:
        return [rows]
    order = rows[np.argsort(boxes[rows, axis], kind="stable")]
    reach = np.maximum.accumulate(boxes[order, axis + 2])
    return np.split(order, np.flatnonzero(boxes[order[1:], axis] > reach[:-1] + gap) + 1)
