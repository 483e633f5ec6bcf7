"""Shapes in groups that lie apart, so that each group can be put together by itself."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

Rows = NDArray[np.intp]


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
