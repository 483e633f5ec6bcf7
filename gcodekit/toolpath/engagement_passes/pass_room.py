"""The room of a pass: its walls, and the rims that stock stands behind."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.toolpath.engagement_passes.tractrix import Bar

Array = NDArray[np.float64]

# What of other metal may come within the cutter's leading half unseen, mm.
UNSEEN = 0.006


@dataclass(frozen=True, slots=True)
class Rim:
    """A rim of the cleared region, metal on its right: points no farther apart than a step, (n, 2)
    mm; a closed one does not repeat its first."""

    points: Array
    closed: bool


@dataclass(frozen=True, slots=True)
class CentreRoom:
    """The area where the centre may be; `walls`: its rings, free side on the left."""

    shape: BaseGeometry
    walls: tuple[Array, ...]

    @staticmethod
    def of(shape: BaseGeometry) -> CentreRoom:
        """The room of a polygonal shape."""
        shapely.prepare(shape)
        turned = [shapely.geometry.polygon.orient(p) for p in shapely.get_parts(shape)]
        rings = [r for p in turned for r in (p.exterior, *p.interiors)]
        return CentreRoom(shape, tuple(shapely.get_coordinates(r) for r in rings))

    def outside(self, places: Array) -> NDArray[np.bool_]:
        """Tell which places are not in it."""
        inside: NDArray[np.bool_] = shapely.contains_xy(self.shape, places[:, 0], places[:, 1])
        return ~inside

    def crossed(self, inside: Point, outside: Point) -> tuple[Array, int, Point] | None:
        """The wall that a way out crosses first, the index of its edge, and the crossing."""
        (ax, ay), (bx, by) = inside, outside
        best: tuple[float, Array, int] | None = None
        for ring in self.walls:
            start, along = ring[:-1], np.diff(ring, axis=0)
            ox, oy = start[:, 0] - ax, start[:, 1] - ay
            across = (bx - ax) * along[:, 1] - (by - ay) * along[:, 0]
            with np.errstate(divide="ignore", invalid="ignore"):
                s = (ox * along[:, 1] - oy * along[:, 0]) / across
                u = (ox * (by - ay) - oy * (bx - ax)) / across
            met = (across != 0) & (s >= -1e-9) & (s <= 1) & (u >= -1e-9) & (u <= 1 + 1e-9)
            if met.any():
                k = int(np.argmin(np.where(met, s, np.inf)))
                if best is None or s[k] < best[0]:
                    best = (float(s[k]), ring, k)
        if best is None:
            return None
        share = max(best[0], 0.0)
        return best[1], best[2], (ax + (bx - ax) * share, ay + (by - ay) * share)


class RimPoints:
    """The points of all rims that the pass has not gone by yet."""

    def __init__(self, rims: tuple[Rim, ...]) -> None:
        points = np.concatenate([r.points for r in rims])
        self._x, self._y = points[:, 0].copy(), points[:, 1].copy()
        self._firsts = np.concatenate(([0], np.cumsum([len(r.points) for r in rims])))
        self._stands = np.ones(len(points), dtype=bool)

    def place(self, index: int) -> tuple[int, int]:
        """The rim of a point, and its index there."""
        which = int(np.searchsorted(self._firsts, index, side="right")) - 1
        return which, index - int(self._firsts[which])

    def gone_by(self, which: int, start: int, stop: int) -> None:
        """Points of a rim, from one index to before another, are behind the cutter."""
        first, end = int(self._firsts[which]), int(self._firsts[which + 1])
        self._stands[first + start : min(first + stop, end)] = False

    def _near(self, places: Array, reach: float) -> NDArray[np.int64]:
        """The points that stand in the box that reaches so far about places."""
        x, y = places[:, 0], places[:, 1]
        index = np.flatnonzero(
            self._stands & (self._x >= x.min() - reach) & (self._x <= x.max() + reach)
        )
        above = self._y[index]
        found: NDArray[np.int64] = index[(above >= y.min() - reach) & (above <= y.max() + reach)]
        return found

    def ahead(
        self, bar: Bar, places: Array, headings: Array, which: int, marks: NDArray[np.int64]
    ) -> tuple[int, int] | None:
        """The first of the places where a point stands on the leading half left of the bar, and
        the leftmost such point. `marks`: the point of rim `which` that the bar is at, at each
        place; those before it do not count."""
        r = bar.radius
        index = self._near(places, r)
        if not len(index):
            return None
        dx = self._x[index] - places[:, :1]
        dy = self._y[index] - places[:, 1:]
        tx, ty = headings[:, :1], headings[:, 1:]
        bx, by = tx * bar.cos + ty * bar.sin, ty * bar.cos - tx * bar.sin
        left = bx * dy - by * dx
        met = (dx * dx + dy * dy < (r - UNSEEN) ** 2) & (left > 0) & (tx * dx + ty * dy > 0)
        if met.any():
            place = index - int(self._firsts[which])
            own = (place >= 0) & (index < int(self._firsts[which + 1]))
            met &= ~own | (place > marks[:, None])
        rows = met.any(axis=1)
        if not rows.any():
            return None
        row = int(np.argmax(rows))
        turn = np.arctan2(left[row], bx[row] * dx[row] + by[row] * dy[row])
        return row, int(index[int(np.argmax(np.where(met[row], turn, -np.inf)))])
