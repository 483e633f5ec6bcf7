"""One pass at constant engagement: drawn along a rim, along walls where it meets them, past other
metal that comes ahead."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from gcodekit.geometry.chain import Point, distance
from gcodekit.toolpath.engagement_passes.pass_room import Array, CentreRoom, Rim, RimPoints
from gcodekit.toolpath.engagement_passes.tractrix import Bar, DrawnStretch, crossing, drawn

# So many places at a time are looked at for walls and for metal ahead.
LOOKED_AT_ONCE = 48
# Steps along a wall, mm; where the wall is left is found to this share of one.
WALL_STEP = 0.15
LEAVING_HALVINGS = 6
# So far it goes along a wall without meeting metal, radii: round a corner of the walls.
IN_AIR = 2.0
# A heading that leads this little off the wall, radians, is along it.
OFF_WALL = 1e-3
# A pass has at most this many places.
MOST_PASS_PLACES = 100_000
# And looks ahead, at walls and at metal, no more often than this.
MOST_TURNS = 5000


class PassTracer:
    """A pass in the making, along one of `rims` from a point of it; `step` is how far the points
    of rims are apart, mm."""

    def __init__(
        self,
        room: CentreRoom,
        rims: tuple[Rim, ...],
        bar: Bar,
        step: float,
        *,
        which: int,
        first: int,
    ) -> None:
        if rims[which].closed:
            points = np.roll(rims[which].points, -first, axis=0)
            turned = replace(rims[which], points=points)
            rims, first = (*rims[:which], turned, *rims[which + 1 :]), 0
        self._room, self._rims, self._bar, self._step = room, rims, bar, step
        self._metal = RimPoints(rims)
        self._take(which, first)
        self._path: list[Point] = []
        self._pieces: list[list[Point]] = []
        self._heading = (1.0, 0.0)
        # where it has left walls: the same again, and it would go round for ever
        self._left: set[tuple[int, int, Point]] = set()

    def run(self, at: Point) -> list[list[Point]]:
        """The centre's places from `at` to where the pass meets nothing more, in turn those drawn
        freely and those along a wall; each piece starts where the one before it ended."""
        self._at, self._path, self._pieces = at, [at], []
        for _ in range(MOST_TURNS):
            if len(self._path) >= MOST_PASS_PLACES or not self._on():
                break
        self._part()
        return self._pieces

    def _part(self) -> None:
        """A piece ends here, and the next one begins."""
        self._pieces.append(self._path)
        self._path = self._path[-1:]

    def _take(self, which: int, j: int) -> None:
        """Go on along a rim from one of its points."""
        self._which, self._j = which, j
        self._closed = self._rims[which].closed
        self._rim: list[Point] = [(x, y) for x, y in self._rims[which].points.tolist()]
        self._own = len(self._rim)
        self._metal.gone_by(which, 0, j + 1)

    def _on(self) -> bool:
        """Some places further; whether the pass goes on."""
        stretch = drawn(self._bar, self._rim, self._at, self._j, LOOKED_AT_ONCE)
        if not stretch.places:
            self._go_to(stretch.last)
            self._run_out()
            return False
        places, headings = np.array(stretch.places), np.array(stretch.headings)
        marks = np.array(stretch.marks)
        outside = self._room.outside(places)
        count = int(np.argmax(outside)) if outside.any() else len(places)
        ahead = self._metal.ahead(self._bar, places, headings, self._which, marks)
        if ahead is not None and ahead[0] < count:
            self._keep(stretch, ahead[0])
            return self._past(ahead[1])
        self._keep(stretch, count)
        if count < len(places):
            return self._meet_wall(stretch.places[count])
        if self._j < len(self._rim) - 1:
            return True
        self._run_out()
        return False

    def _keep(self, stretch: DrawnStretch, count: int) -> None:
        """The first `count` places become the pass's."""
        whole = count == len(stretch.places)
        if count:
            self._path += stretch.places[:count]
            self._at, self._heading = stretch.places[count - 1], stretch.headings[count - 1]
        if whole:
            self._go_to(stretch.last)
        elif count:
            self._go_to(stretch.marks[count - 1])
        if self._closed:
            self._trail(stretch, count)

    def _go_to(self, j: int) -> None:
        """The far end is at a point of the rim, what is before it is behind the cutter."""
        self._metal.gone_by(self._which, self._j, j + 1)
        self._j = j

    def _trail(self, stretch: DrawnStretch, count: int) -> None:
        """The rim that the pass itself leaves, for its next time round."""
        r, step = self._bar.radius, self._step
        for (px, py), (tx, ty) in zip(
            stretch.places[:count], stretch.headings[:count], strict=True
        ):
            x, y = px + r * ty, py - r * tx
            lx, ly = self._rim[-1]
            gap = math.hypot(x - lx, y - ly)
            if gap < 0.6 * step:
                continue
            if len(self._rim) > self._own and gap > 1.4 * step:
                n = math.ceil(gap / step)
                self._rim += [(lx + (x - lx) * i / n, ly + (y - ly) * i / n) for i in range(1, n)]
            self._rim.append((x, y))

    def _past(self, met: int) -> bool:
        """Go on along the rim of the metal that stands ahead."""
        which, j = self._metal.place(met)
        if which == self._which:
            self._go_to(j)
            return True
        if self._rims[which].closed or self._closed:
            return False
        self._take(which, j)
        return True

    def _meet_wall(self, beyond: Point) -> bool:
        found = self._room.crossed(self._at, beyond)
        if found is None:
            return False
        wall, i, at = found
        self._path.append(at)
        self._part()
        # round and round, the walls that it now touches part the rim: that is for the next pass
        return not self._closed and self._along(wall, i, at)

    def _along(self, wall: Array, i: int, at: Point) -> bool:
        """Along a wall from a place on its edge `i`, for as long as the bar asks for a heading
        through it; whether the pass goes on from there."""
        j, last, count, before = self._j, len(self._rim) - 1, len(wall) - 1, at
        cutting, air = len(self._path), 0.0
        while len(self._path) < MOST_PASS_PLACES:
            corner = (float(wall[i + 1][0]), float(wall[i + 1][1]))
            gap = distance(at, corner)
            if gap < 1e-9:
                i = (i + 1) % count
                continue
            t = ((corner[0] - at[0]) / gap, (corner[1] - at[1]) / gap)
            j, bar = crossing(self._bar, self._rim, at, j)
            if self._turns_off(t, bar):
                if j < last:
                    return self._leave(i, at, before, j)
                break
            if bar[0] * t[0] + bar[1] * t[1] > 0:
                # a step further nothing is met any more
                cutting, air = len(self._path) + 1, 0.0
            elif j == last or air > IN_AIR * self._bar.radius:
                break
            met = self._met(at, t, j)
            if met is not None:
                which, k = self._metal.place(met)
                if which != self._which or k <= j:
                    break
                j = k
                continue
            step = min(gap, WALL_STEP)
            before, at = at, (at[0] + t[0] * step, at[1] + t[1] * step)
            air += step
            self._path.append(at)
        del self._path[max(cutting, 1) :]
        self._go_to(j)
        return False

    def _turns_off(self, wall: Point, bar: Point) -> bool:
        """Tell whether the heading that the bar asks for leads off the wall into the room."""
        hx, hy = self._bar.heading(*bar)
        off = wall[0] * hy - wall[1] * hx
        return off > OFF_WALL * self._bar.radius and wall[0] * hx + wall[1] * hy > 0

    def _leave(self, i: int, at: Point, before: Point, j: int) -> bool:
        """Off the wall, where on the last step it first may."""
        step = distance(before, at)
        if step > 0:
            (x, y), low, lo, hi = before, j, 0.0, step
            wall = ((at[0] - x) / step, (at[1] - y) / step)
            while low > 0 and distance(self._rim[low - 1], (x, y)) > self._bar.radius:
                low -= 1
            for _ in range(LEAVING_HALVINGS):
                middle = (lo + hi) / 2
                place = (x + wall[0] * middle, y + wall[1] * middle)
                off = self._turns_off(wall, crossing(self._bar, self._rim, place, low)[1])
                lo, hi = (lo, middle) if off else (middle, hi)
            at = (x + wall[0] * hi, y + wall[1] * hi)
            j, _ = crossing(self._bar, self._rim, at, low)
            self._path[-1] = at
        self._part()
        self._go_to(j)
        self._at = at
        again = (i, j, at) in self._left
        self._left.add((i, j, at))
        return not again

    def _met(self, at: Point, heading: Point, j: int) -> int | None:
        """Other metal that stands ahead: a point of it."""
        place, t = np.array([at]), np.array([heading])
        found = self._metal.ahead(self._bar, place, t, self._which, np.array([j]))
        return None if found is None else found[1]

    def _run_out(self) -> None:
        """Straight on until the rim's end is behind."""
        (px, py), (tx, ty) = self._at, self._heading
        ex, ey = self._rim[-1]
        far = (ex - px) * tx + (ey - py) * ty
        count = max(0, math.ceil(far / WALL_STEP))
        for i in range(1, count + 1):
            at = (px + tx * far * i / count, py + ty * far * i / count)
            if self._room.outside(np.array([at]))[0]:
                return
            if self._met(at, (tx, ty), len(self._rim)) is not None:
                return
            self._path.append(at)
            self._at = at
