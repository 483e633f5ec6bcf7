"""The shortest way over many places, beginning and ending at any two of them.

Few places: the shortest of all orders, found by the lengths of the ways over every set of places
that end at each of them (Held and Karp 1962). Many: always on to the nearest, then mended by
reversing stretches and by moving short ones elsewhere, as long as that makes the way shorter; tried
only where a place would come beside one of its nearest neighbours (Johnson and McGeoch 1997
describe both, and find such ways about 5 % too long on random places). What a kick of a few cuts
close together makes shorter is kept too.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from gcodekit.geometry.chain import Point, distance

# Up to so many places every order is looked at.
ALL_ORDERS = 9
# Neighbours of a place that are tried beside it.
NEIGHBOURS = 8
# Stretches of up to so many places are moved elsewhere.
LONGEST_MOVED = 3
# Kicks for every place.
KICKS = 3
# A kick cuts a stretch of this many places in pieces.
KICKED = 50
MOST_KICKS = 1000
# More places than this only get a way to and fro in strips: about a third too long.
MOST_MENDED = 20_000
# Of so many places the neighbours are found together, for the memory.
PLACES_AT_ONCE = 500
# A way is shorter only by more than this, mm.
SHORTER = 1e-9


def shortest_way(places: Sequence[Point]) -> tuple[Point, ...]:
    """The places in the order of a way that is short; of its two ends the one nearer to the first
    place given comes first.

    The shortest for `ALL_ORDERS` places and fewer, else seldom more than a few per cent longer.
    """
    if len(places) < 3:
        return tuple(places)
    order = _exact(places) if len(places) <= ALL_ORDERS else _mended(places)
    first = places[0]
    if distance(first, places[order[-1]]) < distance(first, places[order[0]]):
        order.reverse()
    return tuple(places[i] for i in order)


def way_length(places: Sequence[Point]) -> float:
    """The length of the straight ways from each to the next."""
    return sum(map(math.dist, places, places[1:]))


def _exact(places: Sequence[Point]) -> list[int]:
    n = len(places)
    gaps = [[distance(a, b) for b in places] for a in places]
    shortest = [[math.inf] * n for _ in range(1 << n)]
    before = [[-1] * n for _ in range(1 << n)]
    for i in range(n):
        shortest[1 << i][i] = 0.0
    for done in range(1, 1 << n):
        for last in range(n):
            so_far = shortest[done][last]
            if math.isinf(so_far):
                continue
            for i in range(n):
                more = done | 1 << i
                if more != done and so_far + gaps[last][i] < shortest[more][i] - SHORTER:
                    shortest[more][i], before[more][i] = so_far + gaps[last][i], last
    done = (1 << n) - 1
    order = [min(range(n), key=lambda i: shortest[done][i])]
    while before[done][order[-1]] >= 0:
        last = order[-1]
        order.append(before[done][last])
        done ^= 1 << last
    return order


def _mended(places: Sequence[Point]) -> list[int]:
    points = np.array(places, dtype=np.float64)
    if len(places) > MOST_MENDED:
        return _to_and_fro(points)
    mending = Mending(places, _nearest_next(points), _neighbours(points))
    mending.run(list(range(len(places))))
    mending.kick(min(KICKS * len(places), MOST_KICKS))
    return mending.way


def _nearest_next(points: NDArray[np.float64]) -> list[int]:
    """From the corner nearest to the lower left always to the nearest place left."""
    left = np.arange(len(points))
    here = int(np.argmin(points.sum(axis=1)))
    order = [here]
    while len(left) > 1:
        left = left[left != here]
        here = int(left[np.argmin(((points[left] - points[here]) ** 2).sum(axis=1))])
        order.append(here)
    return order


def _neighbours(points: NDArray[np.float64]) -> list[list[int]]:
    """The places nearest to every place, the nearest first."""
    count = min(NEIGHBOURS, len(points) - 1)
    found: list[list[int]] = []
    for first in range(0, len(points), PLACES_AT_ONCE):
        some = points[first : first + PLACES_AT_ONCE]
        squares = ((some[:, None] - points[None]) ** 2).sum(axis=2)
        squares[np.arange(len(some)), first + np.arange(len(some))] = math.inf
        near = np.argpartition(squares, count - 1, axis=1)[:, :count]
        order = np.argsort(np.take_along_axis(squares, near, axis=1), axis=1, kind="stable")
        found += np.take_along_axis(near, order, axis=1).tolist()
    return found


def _to_and_fro(points: NDArray[np.float64]) -> list[int]:
    """A zigzag in strips as wide as about three places are apart."""
    low, high = points.min(axis=0), points.max(axis=0)
    wide, tall = (high - low).tolist()
    strip = math.sqrt(max(3 * wide * tall, (wide + tall) ** 2 / len(points)) / len(points))
    row = np.floor((points[:, 1] - low[1]) / max(strip, SHORTER)).astype(np.int64)
    x = np.where(row % 2 == 0, points[:, 0], -points[:, 0])
    order: list[int] = np.lexsort((x, row)).tolist()
    return order


class Mending:
    """A way that is made shorter step by step. `way` : the places' indices in order."""

    def __init__(
        self, places: Sequence[Point], way: list[int], near: Sequence[Sequence[int]]
    ) -> None:
        self.way = way
        self._places, self._near = places, near
        self._at = [0] * len(way)
        self._renumber(0, len(way) - 1)
        self._saved = 0.0

    def run(self, queue: list[int]) -> None:
        """Mend wherever one of the queue, or what a change touches, could have a nearer
        neighbour."""
        waiting = set(queue)
        while queue:
            place = queue.pop()
            waiting.discard(place)
            touched = self._turned(place) or self._moved(place)
            for other in touched:
                if other not in waiting:
                    waiting.add(other)
                    queue.append(other)

    def kick(self, times: int) -> None:
        """Swap two stretches beside each other somewhere and mend: kept where that is shorter."""
        chance, n = random.Random(len(self.way)), len(self.way)
        for _ in range(times):
            way, at, self._saved = self.way[:], self._at[:], 0.0
            first = int(chance.random() * n)
            last = min(n - 1, first + KICKED)
            p, q, r = sorted(first + int(chance.random() * (last - first + 1)) for _ in range(3))
            if p == q or q == r:
                continue
            ends = [i for k in (p, q, r) for i in (way[k], self._after(k)) if i is not None]
            before = self._length(p, r)
            self._put(p + 1, way[q + 1 : r + 1] + way[p + 1 : q + 1])
            self._saved = before - self._length(p, r)
            self.run(ends)
            if self._saved < SHORTER:
                self.way, self._at = way, at

    def _length(self, p: int, r: int) -> float:
        """The length from the p-th to the one after the r-th."""
        return way_length([self._places[i] for i in self.way[p : r + 2]])

    def _gap(self, a: int | None, b: int | None) -> float:
        """Beyond an end there is nothing."""
        return 0.0 if a is None or b is None else math.dist(self._places[a], self._places[b])

    def _after(self, k: int) -> int | None:
        return self.way[k + 1] if k + 1 < len(self.way) else None

    def _before(self, k: int) -> int | None:
        return self.way[k - 1] if k > 0 else None

    def _renumber(self, first: int, last: int) -> None:
        for k in range(first, last + 1):
            self._at[self.way[k]] = k

    def _put(self, first: int, stretch: list[int]) -> None:
        self.way[first : first + len(stretch)] = stretch
        self._renumber(first, first + len(stretch) - 1)

    def _turned(self, a: int) -> tuple[int, ...]:
        """Reverse a stretch so that `a` comes beside one of its neighbours; those touched."""
        i = self._at[a]
        for step, beside in ((1, self._after), (-1, self._before)):
            b = beside(i)
            gap = self._gap(a, b)
            for c in self._near[a]:
                nearer = self._gap(a, c)
                if nearer >= gap:
                    break
                j = self._at[c]
                d = beside(j)
                saved = gap + self._gap(c, d) - nearer - self._gap(b, d)
                if saved > SHORTER:
                    low, high = min(i, j), max(i, j)
                    low, high = (low + 1, high) if step > 0 else (low, high - 1)
                    self._put(low, self.way[low : high + 1][::-1])
                    self._saved += saved
                    return tuple(p for p in (a, b, c, d) if p is not None)
        return ()

    def _moved(self, a: int) -> tuple[int, ...]:
        """Move a short stretch that ends at `a` beside one of its neighbours; those touched."""
        i = self._at[a]
        for count in range(1, LONGEST_MOVED + 1):
            for first in {i, i - count + 1}:
                last = first + count - 1
                if first < 0 or last >= len(self.way):
                    continue
                touched = self._moved_stretch(a, first, last)
                if touched:
                    return touched
        return ()

    def _moved_stretch(self, a: int, first: int, last: int) -> tuple[int, ...]:
        other = self.way[last] if self.way[first] == a else self.way[first]
        p, n = self._before(first), self._after(last)
        gain = self._gap(p, self.way[first]) + self._gap(self.way[last], n) - self._gap(p, n)
        for c in self._near[a]:
            nearer = self._gap(a, c)
            if nearer >= gain:
                break
            j = self._at[c]
            if first <= j <= last:
                continue
            for x, ahead in ((self._after(j), True), (self._before(j), False)):
                if x is not None and first <= self._at[x] <= last:
                    continue
                saved = gain - nearer - self._gap(other, x) + self._gap(c, x)
                if saved > SHORTER:
                    stretch = self.way[first : last + 1]
                    if (stretch[0] == a) != ahead:
                        stretch.reverse()
                    self._shift(first, last, stretch, behind=j if ahead else j - 1)
                    self._saved += saved
                    return tuple(k for k in (a, other, p, n, c, x) if k is not None)
        return ()

    def _shift(self, first: int, last: int, stretch: list[int], *, behind: int) -> None:
        """Put what stands from the first to the last behind another, turned as it is given."""
        if behind > last:
            self._put(first, self.way[last + 1 : behind + 1] + stretch)
        else:
            self._put(behind + 1, stretch + self.way[behind + 1 : first])
