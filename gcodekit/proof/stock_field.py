"""The virtual stock: the program's moves cut from a field of heights, one after another.

In planes nothing is lost, but a plane knows no order. Here every move meets the metal of its own
moment: what a shank or holder touches, what is cut in air, how much metal goes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gcodekit.proof.chords import LEAST_TOUCH, Array
from gcodekit.proof.findings import Blank
from gcodekit.proof.stock_grid import CellGrid, Heights, Mask, Window, grid_over, heights_of
from gcodekit.proof.stock_kerfs import Kerfs
from gcodekit.proof.stock_spans import arc_spans, line_spans
from gcodekit.proof.stock_sweeps import BodyProfile, low_on_helix, low_on_level_arc, low_on_line
from gcodekit.proof.stock_ways import StockWay
from gcodekit.rs274.program_read import Point3


@dataclass(slots=True)
class Footprint:
    """The cells that a body passes over, and how low it comes there: one height or one a cell."""

    window: Window
    mask: Mask
    low: float | Array


@dataclass(slots=True)
class VirtualStock:
    """A field of heights, mm, over a grid; program coordinates."""

    grid: CellGrid
    heights: Heights
    bottom: float
    kerfs: Kerfs

    @property
    def volume(self) -> float:
        """Metal left, mm^3."""
        left = np.maximum(self.heights - self.bottom, 0.0)
        high = float(left.sum(dtype=np.float64)) - self.kerfs.height(self.heights)
        return high * self.grid.dx * self.grid.dy

    def footprint(self, ways: Sequence[StockWay], profile: BodyProfile) -> Footprint | None:
        """Of ways that join, at one height where there are several; None beside the grid."""
        window = self.grid.window(*_box(ways, profile.radius))
        if window is None:
            return None
        if profile.is_flat and ways[0].level:
            return Footprint(window, self._level(ways, profile.radius, window), ways[0].low)
        xs, ys = self.grid.xs(window), self.grid.ys(window)
        lows = [_low(way, profile, xs, ys) for way in ways]
        low = lows[0] if len(lows) == 1 else np.minimum.reduce(lows)
        return Footprint(window, np.isfinite(low), low)

    def _level(self, ways: Sequence[StockWay], radius: float, window: Window) -> Mask:
        ys = self.grid.ys(window)
        way = ways[0]
        if way.centre is not None:
            arc = math.dist(way.centre, way.start[:2])
            start = math.atan2(way.start[1] - way.centre[1], way.start[0] - way.centre[0])
            spans = arc_spans(way.centre, arc, start, way.sweep, radius, ys)
        else:
            a = np.array([w.start[:2] for w in ways])
            b = np.array([w.end[:2] for w in ways])
            spans = line_spans(a, b, radius, ys)
        return self.grid.between(*spans, window)

    def met(self, print_: Footprint, above: float = 0.0) -> Mask:
        """The cells where metal stands in the way of a body that begins `above` the tip."""
        here = self.heights[print_.window.cells]
        found: Mask = print_.mask & (here > print_.low + (above + LEAST_TOUCH))
        return found

    def cut(self, print_: Footprint, met: Mask) -> Heights:
        """Take away what was met; how much of each of its cells, mm."""
        here = self.heights[print_.window.cells]
        low = print_.low if isinstance(print_.low, float) else print_.low[met]
        taken: Heights = here[met] - np.asarray(low, dtype=np.float32)
        here[met] = low
        return taken

    def met_by_blade(self, print_: Footprint, thick: float) -> Mask:
        """The cells with stock in the way of a blade: not where it has been at this height."""
        return self.kerfs.beside(self.met(print_), print_.window, _level(print_), thick)

    def saw(self, print_: Footprint, met: Mask, thick: float) -> Heights:
        """Take a kerf where stock was met; how much of each of its cells, mm. Only a column that
        the blade takes the top of gets lower."""
        here = self.heights[print_.window.cells]
        low = np.broadcast_to(np.asarray(print_.low, dtype=np.float32), here.shape)[met]
        over: Heights = here[met] - low
        here[met] = np.where(over <= thick + LEAST_TOUCH, low, here[met])
        self.kerfs.add(met, print_.window, _level(print_), thick)
        return np.minimum(over, np.float32(thick))

    def highest(self, print_: Footprint, met: Mask, above: float) -> tuple[float, Point3]:
        """The height of stock beside a body that begins `above` the tip, and its place."""
        here = self.heights[print_.window.cells]
        over = np.where(met, here - (print_.low + above), -np.inf)
        row, column = np.unravel_index(int(np.argmax(over)), over.shape)
        window, grid = print_.window, self.grid
        x, y = grid.xs(window)[column], grid.ys(window)[row]
        return float(over[row, column]), (float(x), float(y), float(here[row, column]))


def virtual_stock(blank: Blank, cell: float) -> VirtualStock | None:
    """The blank before the first cut; None where there is no metal at all."""
    grid = grid_over(blank, cell)
    if grid is None:
        return None
    kerfs = Kerfs(grid.rows, grid.columns)
    return VirtualStock(grid, heights_of(blank, grid), blank.bottom, kerfs)


def _level(print_: Footprint) -> float | None:
    """The height of a footprint that has one."""
    return print_.low if isinstance(print_.low, float) else None


def _box(
    ways: Sequence[StockWay], radius: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    xs = [p[0] for w in ways for p in (w.start, w.end)]
    ys = [p[1] for w in ways for p in (w.start, w.end)]
    if ways[0].centre is not None:
        x, y = ways[0].centre
        arc = math.dist(ways[0].centre, ways[0].start[:2])
        start = math.atan2(ways[0].start[1] - y, ways[0].start[0] - x)
        low, high = sorted((start, start + ways[0].sweep))
        first = math.ceil(low / (math.pi / 2))
        for k in range(first, min(first + 4, math.floor(high / (math.pi / 2)) + 1)):
            xs.append(x + arc * math.cos(k * math.pi / 2))
            ys.append(y + arc * math.sin(k * math.pi / 2))
    return (min(xs) - radius, min(ys) - radius), (max(xs) + radius, max(ys) + radius)


def _low(way: StockWay, profile: BodyProfile, xs: Array, ys: Array) -> Array:
    if way.centre is None:
        return low_on_line(way.start, way.end, profile, xs, ys)
    if way.level:
        return low_on_level_arc(way.centre, way.start, way.sweep, profile, xs, ys)
    rise = way.end[2] - way.start[2]
    return low_on_helix(way.centre, way.start, way.sweep, rise, profile.radius, xs, ys)
