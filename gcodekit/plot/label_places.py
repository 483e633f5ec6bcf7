"""Where lettering goes on the drawing: never over other lettering, and off what is drawn thickly.

The drawing's room is a raster of small cells. Cells that lettering or marks have are taken; others
weigh as much as is drawn in them. A label goes where its cells weigh least and its leader is short.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from gcodekit.geometry.chain import Point
from gcodekit.plot.leader_crossings import which_cross
from gcodekit.plot.paper import PaperBox

Grid = NDArray[np.float64]

# Width of a cell, mm on the paper.
CELL = 1.0
# What a mm of leader weighs, beside a cell with one thin line through it.
_OF_LEADER = 0.45
# A leader over another one, over a taken cell, and over one with lines, of their weight: as bad as
# so much.
_CROSSING, _OVER_TEXT, _OVER_LINES = 40.0, 25.0, 0.5
# A leader is so long at least, mm, that its arrowhead shows.
_SHORTEST_LEADER = 3.0
# The best places by weight, whose leaders are then looked at.
_LOOKED_AT = 60
# As many where a leader crossed another one, and how often all of those are laid anew.
_LOOKED_AT_AGAIN, _ROUNDS = 600, 3
# Labels are tried at every so manyth cell; a leader is looked at in so many places.
_STEP = 2
_SAMPLES = 32
# A taken cell, in sums of weights: more than all others of a label can come to.
_TAKEN = 1e6
# A cell weighs no more than that, however much is drawn in it.
_MOST_WEIGHT = 6.0


@dataclass(slots=True)
class Label:
    """A label as it is to be placed: its size, where its leader may point at, and how long that may
    be; then its `box`, and the `tip` that its leader points at."""

    width: float
    height: float
    near: Sequence[Point]
    farthest: float
    box: PaperBox
    tip: Point
    drawn: Callable[[PaperBox, Point], tuple[str, str]] = lambda _box, _tip: ("", "")

    @property
    def leader(self) -> tuple[float, float, float, float]:
        """From the tip to the line under the label."""
        return (*self.tip, *foot(self.box, self.tip))


class LabelPlaces:
    """The room of the drawing, and what is taken of it; `labels` are those that have a place."""

    def __init__(self, room: PaperBox) -> None:
        self.room = room
        self._wide, self._high = int(room.width / CELL), int(room.height / CELL)
        self._weight: Grid = np.zeros((self._high, self._wide))
        self._taken: Grid = np.zeros((self._high, self._wide))
        self._leaders: Grid = np.zeros((self._high, self._wide))
        self._spread: Grid | None = None
        self.labels: list[Label] = []

    def weigh(self, points: Iterable[Point], weight: float) -> None:
        """Something is drawn at these places."""
        self._add(self._weight, points, weight)
        self._spread = None

    def _add(self, grid: Grid, points: Iterable[Point], weight: float) -> None:
        at = np.array(list(points), dtype=np.float64).reshape(-1, 2)
        columns = ((at[:, 0] - self.room.left) / CELL).astype(int)
        rows = ((at[:, 1] - self.room.top) / CELL).astype(int)
        inside = (columns >= 0) & (columns < self._wide) & (rows >= 0) & (rows < self._high)
        cells = np.unique(rows[inside] * self._wide + columns[inside])
        flat = grid.reshape(-1)
        flat[cells] = np.minimum(flat[cells] + weight, _MOST_WEIGHT)

    @property
    def _lines(self) -> Grid:
        """What is in a cell or, half of it, in one beside it: lettering keeps off lines a
        little. Leaders count in."""
        if self._spread is None:
            padded = np.pad(self._weight, 1)
            beside = (padded[:-2, 1:-1], padded[2:, 1:-1], padded[1:-1, :-2], padded[1:-1, 2:])
            self._spread = np.maximum(self._weight, 0.5 * np.maximum.reduce(beside))
        found: Grid = np.minimum(self._spread + self._leaders, _MOST_WEIGHT)
        return found

    def take(self, box: PaperBox) -> None:
        """Lettering or a mark stands there."""
        top, left, bottom, right = self._cells(box)
        self._taken[top:bottom, left:right] += 1.0

    def _release(self, box: PaperBox) -> None:
        """Nothing stands there any more."""
        top, left, bottom, right = self._cells(box)
        self._taken[top:bottom, left:right] -= 1.0

    def free(self, box: PaperBox) -> bool:
        """Tell whether nothing has been put there, and whether it lies in the room."""
        top, left, bottom, right = self._cells(box)
        return self.room.holds(box) and not self._taken[top:bottom, left:right].any()

    def _cells(self, box: PaperBox) -> tuple[int, int, int, int]:
        """All cells that a box touches."""
        room = self.room
        top, left = (max(0, math.floor(v / CELL)) for v in (box.top - room.top,
                                                            box.left - room.left))  # fmt: skip
        bottom, right = (max(0, math.ceil(v / CELL)) for v in (box.bottom - room.top,
                                                               box.right - room.left))  # fmt: skip
        return top, left, bottom, right

    def place(
        self, width: float, height: float, near: Sequence[Point], farthest: float = 400.0
    ) -> Label | None:
        """A label of this size at its best place, taken from now on; its leader points at one of
        `near`. None where there is no room."""
        nowhere = PaperBox(0.0, 0.0, 0.0, 0.0)
        label = Label(width, height, near, farthest, nowhere, (0.0, 0.0))
        best = self._best_place(label, _LOOKED_AT)
        if best is None:
            return None
        self._put(label, *best)
        return label

    def _put(self, label: Label, box: PaperBox, tip: Point) -> None:
        label.box, label.tip = box, tip
        self.take(box)
        self.labels.append(label)
        self._weigh_leader(label)

    def _weigh_leader(self, label: Label) -> None:
        x, y, u, v = label.leader
        self._add(self._leaders, along([(x, y), (u, v)]), _MOST_WEIGHT / 2)

    def _lift(self, label: Label) -> None:
        self._release(label.box)
        # by what it is, not by what it is like
        self.labels = [other for other in self.labels if other is not label]
        self._leaders[:] = 0.0
        for other in self.labels:
            self._weigh_leader(other)

    def _best_place(self, label: Label, looked_at: int) -> tuple[PaperBox, Point] | None:
        """Box and tip of a label that lies nowhere yet."""
        width, height = label.width, label.height
        tall, wide = math.ceil(height / CELL), math.ceil(width / CELL)
        if tall > self._high or wide > self._wide or not label.near:
            return None
        tips = np.array(label.near, dtype=np.float64)
        occupied = self._taken > 0
        weight = _windows(self._lines + _TAKEN * occupied, tall, wide)
        taken = weight > 0.9 * _TAKEN
        away, which = self._distances(weight.shape, width, height, tips)
        weight = weight + _OF_LEADER * away + np.where(away < _SHORTEST_LEADER, 4.0, 0.0)
        weight[taken | (away > label.farthest)] = np.inf
        return self._best(weight, which, width, height, tips, looked_at)

    def untangle(self) -> None:
        """Lay labels whose leaders cross anew, two at a time, where fewer cross then."""
        for _ in range(_ROUNDS):
            pairs = self._crossed()
            if not pairs:
                return
            better = [self._laid_anew(one, other) for one, other in pairs]
            if not any(better):
                return

    def _crossed(self) -> list[tuple[Label, Label]]:
        """Pairs of labels whose leaders cross."""
        if len(self.labels) < 2:
            return []
        ends = np.array([label.leader for label in self.labels])
        crossing = which_cross(ends[:, :2], ends[:, 2:], ends[:, :2], ends[:, 2:])
        return [(self.labels[i], self.labels[j]) for i, j in np.argwhere(np.triu(crossing))]

    def _laid_anew(self, one: Label, other: Label) -> bool:
        """Lay two labels anew, in either sequence and either of them alone; tell whether fewer
        leaders cross. Else they stay where they are."""
        now = len(self._crossed())
        for labels in ((one,), (other,), (one, other), (other, one)):
            before = [(label, label.box, label.tip) for label in labels]
            for label in labels:
                self._lift(label)
            # the first always has a place: where it lay
            laid = all(self._lay(label) for label in labels)
            if laid and len(self._crossed()) < now:
                return True
            for label in labels[: None if laid else -1]:
                self._lift(label)
            for label, box, tip in before:
                self._put(label, box, tip)
        return False

    def _lay(self, label: Label) -> bool:
        best = self._best_place(label, _LOOKED_AT_AGAIN)
        if best is not None:
            self._put(label, *best)
        return best is not None

    def _distances(
        self, shape: tuple[int, ...], width: float, height: float, tips: Grid
    ) -> tuple[Grid, NDArray[np.int64]]:
        """Of a box at each place: how far off the nearest tip is, and which one that is."""
        tops = self.room.top + CELL * _STEP * np.arange(shape[0])
        lefts = self.room.left + CELL * _STEP * np.arange(shape[1])
        away, which = np.full(shape, np.inf), np.zeros(shape, dtype=np.int64)
        for n, (x, y) in enumerate(tips):
            across = np.maximum(np.maximum(lefts - x, x - lefts - width), 0.0) ** 2
            up = np.maximum(np.maximum(tops - y, y - tops - height), 0.0) ** 2
            own = up[:, None] + across[None, :]
            np.copyto(which, n, where=own < away)
            np.minimum(away, own, out=away)
        return np.sqrt(away), which

    def _best(
        self,
        weight: Grid,
        which: NDArray[np.int64],
        width: float,
        height: float,
        tips: Grid,
        looked_at: int,
    ) -> tuple[PaperBox, Point] | None:
        """Of the lightest places the one with the best leader."""
        flat = weight.reshape(-1)
        count = min(looked_at, flat.size)
        cells = np.sort(np.argpartition(flat, count - 1)[:count])
        cells = cells[np.isfinite(flat[cells])]
        if not cells.size:
            return None
        rows, columns = np.divmod(cells, weight.shape[1])
        left = self.room.left + CELL * _STEP * columns
        top = self.room.top + CELL * _STEP * rows
        tip = tips[which.reshape(-1)[cells]]
        end = np.column_stack(
            (np.where(tip[:, 0] > left + width / 2, left + width, left), top + height)
        )
        # its own leader would go through a label that lies right under what it is of
        under = (tip[:, 1] < top) & (tip[:, 0] > left) & (tip[:, 0] < left + width)
        worse = self._in_the_way(tip, end) + _CROSSING * under
        n = int(np.argmin(np.round(flat[cells] + worse, 6)))
        x, y = float(left[n]), float(top[n])
        return PaperBox(x, y, x + width, y + height), (float(tip[n, 0]), float(tip[n, 1]))

    def _in_the_way(self, tips: Grid, ends: Grid) -> Grid:
        """What leaders cross, as weights: other leaders, and taken cells."""
        shares = np.linspace(0.0, 1.0, _SAMPLES)[2:-1]
        places = tips[:, None, :] + shares[None, :, None] * (ends - tips)[:, None, :]
        columns = np.clip((places[..., 0] - self.room.left) / CELL, 0, self._wide - 1).astype(int)
        rows = np.clip((places[..., 1] - self.room.top) / CELL, 0, self._high - 1).astype(int)
        # a sample stands for so many cells of a long leader
        long = np.hypot(*(ends - tips).T) / _SAMPLES
        over = (
            _OVER_TEXT * (self._taken[rows, columns] > 0) + _OVER_LINES * self._lines[rows, columns]
        )
        found: Grid = over.sum(1) * long
        if self.labels:
            others = np.array([label.leader for label in self.labels])
            crossed = which_cross(tips, ends, others[:, :2], others[:, 2:])
            found = found + _CROSSING * crossed.sum(1)
        return found


def foot(box: PaperBox, tip: Point) -> Point:
    """Where a leader to `tip` leaves the line under a label: at its nearer end."""
    return (box.right if tip[0] > (box.left + box.right) / 2 else box.left, box.bottom)


def _windows(grid: Grid, tall: int, wide: int) -> Grid:
    """The sum of every window of this many cells, by its upper left one, at every step."""
    sums = np.zeros((grid.shape[0] + 1, grid.shape[1] + 1))
    np.cumsum(grid, 0, out=sums[1:, 1:])
    np.cumsum(sums[1:, 1:], 1, out=sums[1:, 1:])
    rows = sums[tall::_STEP] - sums[: len(sums) - tall : _STEP]
    found: Grid = rows[:, wide::_STEP] - rows[:, : rows.shape[1] - wide : _STEP]
    return found


def along(points: Sequence[Point], step: float = CELL) -> list[Point]:
    """Places on a line of straight pieces, no farther apart than `step`."""
    found: list[Point] = list(points[:1])
    for a, b in pairwise(points):
        count = max(1, math.ceil(math.dist(a, b) / step))
        dx, dy = (b[0] - a[0]) / count, (b[1] - a[1]) / count
        found += [(a[0] + i * dx, a[1] + i * dy) for i in range(1, count + 1)]
    return found
