"""The virtual stock's cells: where they lie, how fine they are, and how high metal stands in each
before the first cut.

A cell is metal up to one height, measured at its centre. It serves collisions, volumes and what
cuts air; sizes are judged in planes (`compare.py`), which no cell's width can blur.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.proof.chords import Array
from gcodekit.proof.findings import Blank

# Cells of this many tolerances hold a part that has one; the default is 0.1 mm for 0.01 mm.
CELL_OF_TOLERANCE = 10.0
# Four million heights are 16 MB; a part that would take more gets wider cells.
MOST_CELLS = 4_000_000

Mask = NDArray[np.bool_]
# As fine as 0.00001 mm in a part 100 mm high, in half the memory.
Heights = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Window:
    """Cells `top` to `bottom` (rows, y) and `left` to `right` (columns, x), ends not with them."""

    top: int
    bottom: int
    left: int
    right: int

    @property
    def cells(self) -> tuple[slice, slice]:
        """To index a field with."""
        return slice(self.top, self.bottom), slice(self.left, self.right)


@dataclass(frozen=True, slots=True)
class CellGrid:
    """Cells `dx` by `dy` over a box with its corner at `x`, `y`, mm; rows go with y."""

    x: float
    y: float
    dx: float
    dy: float
    rows: int
    columns: int

    @property
    def cell(self) -> float:
        """The wider side of a cell."""
        return max(self.dx, self.dy)

    def window(self, low: tuple[float, float], high: tuple[float, float]) -> Window | None:
        """The cells whose centres may lie in a box; None where it misses the grid."""
        left = max(0, math.floor((low[0] - self.x) / self.dx))
        right = min(self.columns, math.ceil((high[0] - self.x) / self.dx))
        top = max(0, math.floor((low[1] - self.y) / self.dy))
        bottom = min(self.rows, math.ceil((high[1] - self.y) / self.dy))
        return Window(top, bottom, left, right) if left < right and top < bottom else None

    def xs(self, window: Window) -> Array:
        """The X of the centres of its columns, mm."""
        return np.float64(self.x) + (np.arange(window.left, window.right) + 0.5) * self.dx

    def ys(self, window: Window) -> Array:
        """The Y of the centres of its rows, mm."""
        return np.float64(self.y) + (np.arange(window.top, window.bottom) + 0.5) * self.dy

    def between(self, low: Array, high: Array, window: Window) -> Mask:
        """The cells of a window whose centres lie in any of its rows' spans of x: (n, rows) each,
        mm, empty where high is below low."""
        width = window.right - window.left
        first = np.ceil((low - self.x) / self.dx - 0.5) - window.left
        last = np.floor((high - self.x) / self.dx - 0.5) - window.left
        if len(first) == 1:
            column = np.arange(width)
            found: Mask = (column >= first[0][:, None]) & (column <= last[0][:, None])
            return found
        first, last = np.maximum(first, 0.0), np.minimum(last, width - 1.0)
        some = first <= last
        row = np.nonzero(some)[1] * (width + 1)
        begins = row + first[some].astype(np.int64)
        ends = row + last[some].astype(np.int64) + 1
        # a step up where a span begins and down behind its end: above zero is within one
        size = (window.bottom - window.top) * (width + 1)
        steps = np.bincount(begins, minlength=size) - np.bincount(ends, minlength=size)
        within = np.cumsum(steps.astype(np.int16).reshape(-1, width + 1), axis=1, dtype=np.int16)
        return within[:, :width] > 0


def grid_over(blank: Blank, cell: float) -> CellGrid | None:
    """Cells over all the metal there is, none wider than asked for but where that would be too
    many."""
    layers = [here for here, _ in _layers(blank) if not here.is_empty]
    if not layers:
        return None
    x0, y0, x1, y1 = (float(c) for c in shapely.total_bounds(layers))
    cell = max(cell, math.sqrt((x1 - x0) * (y1 - y0) / MOST_CELLS))
    columns, rows = (max(1, math.ceil(d / cell - 1e-9)) for d in (x1 - x0, y1 - y0))
    return CellGrid(x0, y0, (x1 - x0) / columns, (y1 - y0) / rows, rows, columns)


def heights_of(blank: Blank, grid: CellGrid) -> Heights:
    """The top of the blank in each cell, mm; its bottom where there is no stock."""
    field = np.full((grid.rows, grid.columns), blank.bottom, dtype=np.float32)
    whole = Window(0, grid.rows, 0, grid.columns)
    xs, ys = grid.xs(whole), grid.ys(whole)
    for here, above in _layers(blank):
        if here.is_empty:
            continue
        x0, y0, x1, y1 = here.bounds
        if here.equals(shapely.box(x0, y0, x1, y1)):
            inside = ((y0 <= ys) & (ys <= y1))[:, None] & ((x0 <= xs) & (xs <= x1))
        else:
            shapely.prepare(here)
            inside = shapely.contains_xy(here, *np.meshgrid(xs, ys))
        field[inside] = above
    return field


def _layers(blank: Blank) -> list[tuple[BaseGeometry, float]]:
    """The section between each two levels and the height of the upper, upwards."""
    levels = sorted({blank.bottom, blank.top, *blank.levels})
    return [(blank.at((a + b) / 2), b) for a, b in pairwise(levels)]
