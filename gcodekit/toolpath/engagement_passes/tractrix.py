"""A centre drawn along by a bar whose far end walks the rim of what is cleared.

The metal that a cutter meets on its leading half ends, on the cleared side, where the cutter's
circle crosses the rim of the cleared region. At an engagement phi that crossing stands `pi/2 - phi`
to the right of the heading. So the centre is drawn by a bar as long as the radius, whose far end
walks the rim, always at that angle to the heading: a tractrix. It takes the engagement from
anything less to the target and keeps it there, round bends too, and along a circular rim it gives
the spiral of constant engagement. Metal stands to the right of the rim.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from gcodekit.geometry.chain import Point

# A far end as near as this to the circle is on it, mm.
ON_CIRCLE = 1e-6
# Steps shorter than this are none, mm.
STILL = 1e-9


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar as long as the radius, mm; the heading is its direction turned left by `pi/2 - phi`."""

    radius: float
    cos: float
    sin: float

    @staticmethod
    def of(radius: float, phi: float) -> Bar:
        """The bar of an engagement, radians."""
        return Bar(radius, math.sin(phi), math.cos(phi))

    def heading(self, x: float, y: float) -> Point:
        """The direction of travel for a bar's vector, as long as it."""
        return (x * self.cos - y * self.sin, x * self.sin + y * self.cos)


@dataclass(frozen=True, slots=True)
class DrawnStretch:
    """Places of the centre, with the heading and the rim's point at each; where the rim ends."""

    places: list[Point]
    headings: list[Point]
    marks: list[int]
    last: int


def leaving(a: Point, b: Point, radius: float) -> Point:
    """The point where the way from inside a circle about the origin to outside it crosses it."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    dd, ad = dx * dx + dy * dy, a[0] * dx + a[1] * dy
    root = ad * ad - dd * (a[0] * a[0] + a[1] * a[1] - radius * radius)
    k = (-ad + math.sqrt(max(root, 0.0))) / dd
    return (a[0] + k * dx, a[1] + k * dy)


def crossing(bar: Bar, rim: list[Point], at: Point, j: int) -> tuple[int, Point]:
    """The first point of the rim from `j` on that the cutter does not cover, and the vector from
    `at` to where its circle crosses the rim before it."""
    last, (px, py), rr = len(rim) - 1, at, bar.radius**2
    wx, wy = rim[j][0] - px, rim[j][1] - py
    while j < last and wx * wx + wy * wy < rr:
        j += 1
        wx, wy = rim[j][0] - px, rim[j][1] - py
    if j > 0:
        bx, by = rim[j - 1][0] - px, rim[j - 1][1] - py
        if bx * bx + by * by < rr < wx * wx + wy * wy:
            return j, leaving((bx, by), (wx, wy), bar.radius)
    return j, (wx, wy)


def drawn(bar: Bar, rim: list[Point], at: Point, j: int, most: int) -> DrawnStretch:
    """Up to `most` places from `at` on, the far end starting at point `j` of the rim; walls and
    other metal are not looked at."""
    (px, py), r, rr = at, bar.radius, bar.radius**2
    ca, sa = bar.cos, bar.sin
    found = DrawnStretch([], [], [], 0)
    places, headings, marks = found.places, found.headings, found.marks
    if j > 0 and math.hypot(rim[j][0] - px, rim[j][1] - py) > r + ON_CIRCLE:
        j -= 1
    qx, qy = rim[j]
    last = len(rim) - 1
    while j < last and len(places) < most:
        j += 1
        nx, ny = rim[j]
        wx, wy = nx - px, ny - py
        ww = wx * wx + wy * wy
        if ww <= rr:
            qx, qy = nx, ny
            continue
        bx, by = qx - px, qy - py
        qx, qy = nx, ny
        size = math.hypot(bx, by)
        if size < r - ON_CIRCLE:
            bx, by = leaving((bx, by), (wx, wy), r)
            size = r
        # a step along the heading at its start, then along the mean of those at both ends
        tx, ty = (bx * ca - by * sa) / size, (bx * sa + by * ca) / size
        v = _reach(wx * tx + wy * ty, ww - rr)
        ex, ey = (wx - v * tx) / r, (wy - v * ty) / r
        tx, ty = ex * ca - ey * sa + tx, ex * sa + ey * ca + ty
        size = math.hypot(tx, ty)
        if size < ON_CIRCLE:
            continue
        tx, ty = tx / size, ty / size
        v = _reach(wx * tx + wy * ty, ww - rr)
        if v <= STILL:
            continue
        px, py = px + v * tx, py + v * ty
        ex, ey = (nx - px) / r, (ny - py) / r
        places.append((px, py))
        headings.append((ex * ca - ey * sa, ex * sa + ey * ca))
        marks.append(j)
    return DrawnStretch(places, headings, marks, j)


def _reach(along: float, beyond: float) -> float:
    """How far to go so that the bar reaches again: `along` the heading, `beyond` in squares."""
    root = along * along - beyond
    return along - math.sqrt(root) if root > 0 else along
