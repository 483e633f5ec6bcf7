"""The places of a profile's tabs by the drawing: the published rule, worked out by the proof
itself.

`count` tabs on every outline, evenly spread, off its corners, off holes and clamps where there is
room, on straights where there are any near; or the places nearest to those asked for.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from gcodekit.geometry.chain import Chain, Line, Point
from gcodekit.job.features.tabs import HAND_TOOL, Tabs
from gcodekit.job.holdings import Clamp
from gcodekit.job.kinds.profile import Profile
from gcodekit.target.volumes import Middle

Array = NDArray[np.float64]
# How much farther than it must points (n, 2) are from an obstacle, mm.
Over = Callable[[Array], Array]

# A joint that turns by more is a corner, radians.
TAB_CORNER = math.radians(2.0)
# A straight is near within this share of the tabs' pitch.
STRAIGHT_NEAR = 1 / 3
# A cutter at a corner's other wall passes a tab by this much, mm.
OFF = 0.01
# Evenly spread tabs may begin at so many places of a pitch.
BEGINNINGS = 48
# One spread is better than another by at least this, mm; nearer than that the first one holds.
BETTER_SPREAD = 1e-4
# Two places as far away as each other are so to this, mm.
AS_FAR = 1e-9
# A line is looked at in steps of this, mm, for holes and clamps beside it.
LOOK_STEP = 0.1
# Less of it than this between two of them, mm, is none.
LEAST_FREE = 1e-3
# A line's place nearest to a point is first found in chords of this sag, mm, then so near to that,
# mm, on the line itself, ever so many times finer.
FOOT_SAG = 2e-5
NEARBY = 0.2
FINER_FOOT = 10
# A tab in a corner sharper than this cosine of half its turn reaches no farther.
SHARPEST_CORNER = 0.25


def middles(profile: Profile, tabs: Tabs, widest: float) -> list[Middle]:
    """Every tab of a profile; `widest`: radius of the widest cutter beside them, mm."""
    named = (profile.cutting.cutter, profile.cutting.rough_with)
    radius = max([widest, *(c.radius for c in named if c is not None)])
    chains = profile.outline.rings if profile.outline is not None else (profile.path,)
    whole = [c for c in chains if c is not None]
    if tabs.at:
        return [_nearest(whole, point, tabs.width / 2) for point in tabs.at]
    return [
        Middle(chain.point_at(s), chain.tangent_at(s))
        for chain in whole
        for s in _Spread(chain, tabs, radius).places()
    ]


def _nearest(chains: list[Chain], point: Point, half: float) -> Middle:
    """The line's place nearest to a point; the tab stands across the chord of its own width."""
    lines = [shapely.LineString(chain.flattened(FOOT_SAG)) for chain in chains]
    which = int(np.argmin([line.distance(shapely.Point(point)) for line in lines]))
    chain, line = chains[which], lines[which]
    s = _foot(chain, float(line.project(shapely.Point(point), normalized=True)), point)
    low, high = (_on(chain, s + off) for off in (-half, half))
    chord = np.subtract(chain.point_at(high), chain.point_at(low))
    if np.hypot(*chord) < half / 4:
        return Middle(chain.point_at(s), chain.tangent_at(s))
    along = chord / np.hypot(*chord)
    straight = min(abs(float(np.dot(chain.tangent_at(end), along))) for end in (low, high))
    return Middle(
        chain.point_at(s), (float(along[0]), float(along[1])), 1 / max(straight, SHARPEST_CORNER)
    )


def _foot(chain: Chain, share: float, point: Point) -> float:
    """The place nearest to a point, mm along, near the one in chords at a share of the length."""
    s, near = share * chain.length, NEARBY
    while near > AS_FAR:
        tries = [_on(chain, s + off) for off in np.linspace(-near, near, 2 * FINER_FOOT + 1)]
        s = min(tries, key=lambda t: math.dist(chain.point_at(t), point))
        near /= FINER_FOOT / 2
    return s


def _on(chain: Chain, s: float) -> float:
    """A place along a line: round again on a closed one, not past the ends of an open one."""
    return s % chain.length if chain.closed else min(max(s, 0.0), chain.length)


class _Spread:
    """The tabs of one line."""

    def __init__(self, chain: Chain, tabs: Tabs, radius: float) -> None:
        self._chain, self._count = chain, tabs.count
        self._long, self._closed = chain.length, chain.closed
        self._pitch, self._room = self._long / tabs.count, tabs.width + 2 * radius
        ends = np.cumsum([0.0, *(s.length for s in chain)])
        half = tabs.width / 2
        self._free = self._between(self._corners(ends), half + 2 * radius + OFF)
        lines = [i for i, s in enumerate(chain) if isinstance(s, Line)]
        rows = [(ends[i] + half + radius, ends[i + 1] - half - radius) for i in lines]
        self._straight = self._within_free(np.array(rows).reshape(-1, 2))
        beside = half + 2 * radius + OFF
        self._holes = [_over_hole(p, r + beside) for p, r in tabs.clear_of]
        self._clamps = [_over_clamp(c, HAND_TOOL + beside) for c, _ in tabs.clamps]

    def places(self) -> list[float]:
        """Along the line, ascending, mm; off holes and clamps, or else the holes, where there is
        room."""
        for obstacles in dict.fromkeys(((*self._holes, *self._clamps), (*self._holes,), ())):
            found = self._most_even_off(obstacles)
            if found is not None:
                return found
        evenly: list[float] = ((np.arange(self._count) + 0.5) * self._pitch).tolist()
        return evenly

    def _most_even_off(self, obstacles: Sequence[Over]) -> list[float] | None:
        """The most even spread that is clear of corners and obstacles, None where there is none."""
        free, straight = self._free, self._straight
        if obstacles:
            near = self._near(obstacles)
            self._free, self._straight = (self._off(rows, near) for rows in (free, straight))
        found = self._most_even() if len(self._free) else None
        self._free, self._straight = free, straight
        return found

    def _near(self, obstacles: Sequence[Over]) -> Array:
        """Rows of from where to where the line is too near to an obstacle."""
        chain, rows = self._chain, []
        steps = np.linspace(0.0, self._long, max(2, math.ceil(self._long / LOOK_STEP)) + 1)
        points = np.array([chain.point_at(float(s)) for s in steps])
        for apart in obstacles:

            def over(s: float, apart: Over = apart) -> float:
                return float(apart(np.array([chain.point_at(s)]))[0])

            near = apart(points) < 0.0
            edges = np.flatnonzero(np.diff(np.concatenate(([False], near, [False])).astype(int)))
            for first, last in zip(edges[::2], edges[1::2], strict=True):
                low = _crossing(over, steps[max(first - 1, 0)], steps[first])
                high = _crossing(over, steps[min(last, len(steps) - 1)], steps[last - 1])
                rows.append((low, high))
        return np.array(rows).reshape(-1, 2)

    def _off(self, rows: Array, near: Array) -> Array:
        """The parts of rows that no row of `near` covers; round again on a closed line."""
        around = (0.0, self._long, -self._long) if self._closed else (0.0,)
        cuts = [(a + shift, b + shift) for a, b in near for shift in around]
        found = []
        for low, high in rows:
            mine = sorted(c for c in cuts if c[1] > low and c[0] < high)
            at = low
            for a, b in mine:
                if a - at > LEAST_FREE:
                    found.append((at, a))
                at = max(at, b)
            if high - at > LEAST_FREE or not mine:
                found.append((at, high))
        return np.array(sorted(found)).reshape(-1, 2)

    def _most_even(self) -> list[float] | None:
        """The most even spread, None where tabs would stand too close."""
        evenly = np.arange(self._count) * self._pitch
        best: tuple[int, float, Array] | None = None
        for k in range(BEGINNINGS if self._closed else 1):
            wanted = evenly + self._pitch * (k / BEGINNINGS if self._closed else 0.5)
            found = [self._moved(float(s)) for s in wanted]
            at = np.array([place for place, _ in found])
            bent = sum(not straight for _, straight in found)
            moved = float(np.abs(self._short(at - wanted)).max())
            if self._apart(at) and (
                best is None or (bent, moved) < (best[0], best[1] - BETTER_SPREAD)
            ):
                best = (bent, moved, at)
        return None if best is None else sorted(best[2].tolist())

    def _corners(self, ends: Array) -> list[float]:
        """The joints that turn, along the line."""
        way, found = list(self._chain), []
        for i in range(0 if self._closed else 1, len(way)):
            before, after = way[i - 1], way[i]
            (ax, ay), (bx, by) = before.tangent_at(before.length), after.tangent_at(0.0)
            turn = math.atan2(by, bx) - math.atan2(ay, ax)
            if abs((turn + math.pi) % math.tau - math.pi) > TAB_CORNER:
                found.append(float(ends[i]))
        return found

    def _between(self, corners: list[float], clear: float) -> Array:
        """Rows of from where to where a place is clear of the corners."""
        if self._closed and not corners:
            return np.array([[0.0, self._long]])
        if self._closed:
            around = [corners[-1] - self._long, *corners, corners[0] + self._long]
        else:
            around = [0.0, *corners, self._long]
        return _not_empty(np.column_stack((around[:-1], around[1:])) + np.array([clear, -clear]))

    def _within_free(self, rows: Array) -> Array:
        """The parts of rows that are clear of corners too; round again on a closed line."""
        found = []
        for low, high in _not_empty(rows):
            for a, b in self._free:
                for shift in (0.0, self._long, -self._long):
                    both = (max(low, a + shift), min(high, b + shift))
                    if both[1] >= both[0] - AS_FAR:
                        found.append(both)
                        break
        return np.array(found).reshape(-1, 2)

    def _moved(self, s: float) -> tuple[float, bool]:
        """The place a tab wanted at `s` goes to, and whether that is on a straight."""
        place = self._closest(s, self._straight)
        near = STRAIGHT_NEAR * self._pitch + AS_FAR
        if place is not None and abs(float(self._short(place - s))) <= near:
            return place, True
        place = self._closest(s, self._free)
        return (s if place is None else place), False

    def _closest(self, s: float, rows: Array) -> float | None:
        """The place nearest to `s` within the rows; of two as near the earlier row's."""
        if not len(rows):
            return None
        around = (0.0, self._long, -self._long) if self._closed else (0.0,)
        tries = np.clip(s, rows[:, :1] + around, rows[:, 1:] + around).ravel()
        away = np.abs(tries - s)
        best = float(tries[int(np.argmax(away <= away.min() + AS_FAR))])
        return best % self._long if self._closed else best

    def _short(self, off: Array | float) -> Array | float:
        """Differences along the line, the short way round where it is closed."""
        half = self._long / 2
        return (off + half) % self._long - half if self._closed else off

    def _apart(self, at: Array) -> bool:
        """Tell whether every tab has its own width and the cutter's to the next."""
        order = np.sort(at)
        if self._closed and len(order) > 1:
            order = np.append(order, order[0] + self._long)
        return bool((np.diff(order) >= self._room - AS_FAR).all())


def _over_hole(centre: Point, clear: float) -> Over:
    """How much farther than `clear` points are from a hole's axis."""
    return lambda points: np.asarray(np.hypot(*(points - centre).T) - clear)


def _over_clamp(clamp: Clamp, clear: float) -> Over:
    """How much farther than `clear` points are from a clamp's outline."""
    turn = np.array(
        [[math.cos(clamp.angle), -math.sin(clamp.angle)],
         [math.sin(clamp.angle), math.cos(clamp.angle)]]
    )  # fmt: skip

    def over(points: Array) -> Array:
        own = np.abs((points - clamp.at) @ turn) - np.array(clamp.size) / 2
        return np.asarray(np.linalg.norm(np.maximum(own, 0.0), axis=1) - clear)

    return over


def _crossing(over: Callable[[float], float], outside: float, inside: float) -> float:
    """Where a place comes too near, between one that is not and one that is."""
    if over(outside) < 0.0:
        return outside  # the line begins or ends there
    while abs(inside - outside) > AS_FAR / 10:
        middle = (inside + outside) / 2
        outside, inside = (middle, inside) if over(middle) >= 0.0 else (outside, middle)
    return inside


def _not_empty(rows: Array) -> Array:
    return rows[rows[:, 1] >= rows[:, 0] - AS_FAR]
