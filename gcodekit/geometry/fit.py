"""Arcs in place of runs of short lines: outlines traced or sampled from a free-form curve.

A run is replaced by an arc (or one line) through its ends that stays within a band of every
vertex and of every chord's middle. Circles through two points are a family with one parameter;
each point, moved to either side of the band, allows an interval of it, and the intervals have a
common part or there is no such arc. Greedy, longest first: from each start the longest run that
one arc can follow (found by doubling and halving).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from gcodekit.geometry.chain import Arc, Chain, Line, Point, Points, Segment, distance
from gcodekit.geometry.curve import turn_between
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Part, Region
from gcodekit.geometry.tolerances import WIDEST_FITTED

# Fewer lines than this in a row are drawing, not a curve.
SHORTEST_RUN = 4
# Arcs that leave more than this share of a ring's pieces are not worth their deviation.
WORTH = 0.7
# Where neighbours turn more than this the drawing has a corner, radians.
CORNER_TURN = math.radians(35)
# Flatter than this share of the band an arc is a line.
FLATTEST_SHARE = 0.005
# An arc is looked for within this share of the band: beside the points it is chosen by, it may
# stray further from the lines between them.
INSIDE_BAND = 0.95


@lru_cache(maxsize=32)
def fitted(region: Region, band: float, *, inward: bool | None) -> Region:
    """The region with its free-form runs as arcs.

    Parameters
    ----------
    band : the furthest a point of the result may be from the drawn outline, mm
    inward : whether the result must lie inside the drawn region (True), hold all of it (False),
        or may be either side of it (None)

    A region without free-form runs is given back as it is.
    """
    if not any(_worth_it(ring, band) for ring in region.rings):
        return region
    if inward is not None:
        # Half the band to one side, then half of it to both.
        band = band / 2
        region = grow(region, -band if inward else band)
    parts = (
        Part(_ring(p.outer, band), tuple(_ring(h, band) for h in p.holes)) for p in region.parts
    )
    return Region(tuple(parts))


def _worth_it(ring: Chain, band: float) -> bool:
    """Tell whether arcs would take the place of many lines. A plain polygon is none of it."""
    if len(ring) < SHORTEST_RUN:
        return False
    return len(_ring(ring, band / 2)) <= WORTH * len(ring)


def fitted_chain(chain: Chain, band: float) -> Chain:
    """An open chain with its free-form runs as arcs, no point further than `band` from it."""
    found = Chain(_fit(chain.segments, band))
    return found if len(found) <= WORTH * len(chain) else chain


def _ring(ring: Chain, band: float) -> Chain:
    segments = ring.segments
    turns = [_turn(a, b) for a, b in zip((segments[-1], *segments), segments, strict=False)]
    first = int(np.argmax(turns))
    return Chain(_fit((*segments[first:], *segments[:first]), band))


def _fit(segments: tuple[Segment, ...], band: float) -> tuple[Segment, ...]:
    out: list[Segment] = []
    done = 0
    for first, stop in _runs(segments, band):
        if stop - first < SHORTEST_RUN:
            continue
        out += segments[done:first]
        points = np.array([s.start for s in segments[first:stop]] + [segments[stop - 1].end])
        out += _Run(points, band).segments(out[-1] if out else None)
        done = stop
    return (*out, *segments[done:])


def _runs(segments: tuple[Segment, ...], band: float) -> list[tuple[int, int]]:
    """Stretches of lines (and of arcs so small that they are nothing) without a corner."""
    runs: list[tuple[int, int]] = []
    first = 0
    for i in range(1, len(segments) + 1):
        goes_on = i < len(segments) and _turn(segments[i - 1], segments[i]) < CORNER_TURN
        straight = _straight(segments[i - 1], band)
        if not straight:
            first = i
        elif not goes_on or not _straight(segments[i], band):
            runs.append((first, i))
            first = i
    return runs


def _straight(segment: Segment, band: float) -> bool:
    """A line, or an arc so short that it is next to nothing, as at an offset's corners."""
    return isinstance(segment, Line) or segment.length < band


def _turn(before: Segment, after: Segment) -> float:
    return abs(turn_between(before.tangent_at(before.length), after.tangent_at(0.0)))


@dataclass(frozen=True, slots=True)
class _Run:
    """Vertices (n, 2) of a smooth run and the band about it."""

    points: Points
    band: float

    def segments(self, before: Segment | None) -> list[Segment]:
        """The run as few arcs and lines."""
        out: list[Segment] = []
        at, last = 0, len(self.points) - 1
        while at < last:
            stop, found = self._longest(at, last, before)
            out.append(found)
            at, before = stop, found
        return out

    def _longest(self, at: int, last: int, before: Segment | None) -> tuple[int, Segment]:
        good, found = at + 1, _piece(self._point(at), self._point(at + 1), 0.0)
        step, bad = 2, last + 1
        while good < last:
            stop = min(at + step, last)
            if stop >= bad:
                break
            arc = self._arc(at, stop, before)
            if arc is None:
                bad = stop
                break
            good, found = stop, arc
            step *= 2
        while bad - good > 1:
            middle = (good + bad) // 2
            arc = self._arc(at, middle, before)
            if arc is None:
                bad = middle
            else:
                good, found = middle, arc
        return good, found

    def _point(self, i: int) -> Point:
        return (float(self.points[i, 0]), float(self.points[i, 1]))

    def _arc(self, first: int, stop: int, before: Segment | None) -> Segment | None:
        """The arc from one vertex to another that follows all between, or None."""
        a, b = self.points[first], self.points[stop]
        chord = float(np.hypot(*(b - a)))
        if chord < 1e-6:
            return None
        # Along and across the chord, from its middle.
        x, y = (b - a) / chord
        run = (self.points[first : stop + 1] - (a + b) / 2) @ np.array([[x, -y], [y, x]])
        half = chord / 2
        bounds = _bounds(run, half, INSIDE_BAND * self.band)
        if bounds is None:
            return None
        lo, hi = bounds
        wanted = _toward(before, (float(x), float(y)), half)
        bend = (lo + hi) / 2 if wanted is None else min(max(wanted, lo), hi)
        sweep = 2 * math.atan(half * abs(bend))
        if half * math.tan(sweep / 4) < FLATTEST_SHARE * self.band:
            bend = 0.0
        if sweep > WIDEST_FITTED or not _follows(run, half, bend, self.band):
            return None
        return _piece(self._point(first), self._point(stop), bend)


def _bounds(run: Points, half: float, band: float) -> tuple[float, float] | None:
    """Least and greatest bend (one over the centre's height over the chord) that pass every
    vertex and every middle of a chord within the band."""
    u, w = np.concatenate((run[1:-1], (run[:-1] + run[1:]) / 2)).T
    if (np.abs(u) > half + band).any():
        return None
    middle = float(np.median(_bend(u, w, half)))
    # Out from the centre of the arc that passes the middle of them.
    if middle:
        out_u, out_w = u, w - 1 / middle
        size = np.hypot(out_u, out_w)
        out_u, out_w = out_u / size, out_w / size
    else:
        out_u, out_w = np.zeros_like(u), np.ones_like(w)
    limits = np.stack([_bend(u + k * band * out_u, w + k * band * out_w, half) for k in (-1, 1)])
    lo, hi = float(limits.min(axis=0).max()), float(limits.max(axis=0).min())
    return (lo, hi) if lo <= hi else None


def _bend(u: Points, w: Points, half: float) -> Points:
    """The curvature of the circles through the chord's ends and each point: 1 / (centre's
    height)."""
    inside = np.minimum(u * u + w * w - half * half, -1e-12)
    bend: Points = 2 * w / inside
    return bend


def _follows(run: Points, half: float, bend: float, band: float) -> bool:
    """Tell whether no point of the lines is further from the arc than the band: vertices, and where
    a line comes nearest to the centre."""
    if not bend:
        return bool((np.abs(run[:, 1]) <= band).all())
    centre = np.array([0.0, 1 / bend])
    along = np.diff(run, axis=0)
    t = ((centre - run[:-1]) * along).sum(axis=1) / np.maximum((along * along).sum(axis=1), 1e-30)
    feet = run[:-1] + np.clip(t, 0.0, 1.0)[:, None] * along
    off = np.hypot(*(np.concatenate((run, feet)) - centre).T) - math.hypot(half, 1 / bend)
    return bool((np.abs(off) <= band).all())


def _toward(before: Segment | None, along: Point, half: float) -> float | None:
    """The bend with which the arc would go on tangent to what is before it."""
    if before is None:
        return None
    t = before.tangent_at(before.length)
    angle = turn_between(t, along)
    return math.tan(angle) / half if abs(angle) < WIDEST_FITTED / 2 else None


def _piece(a: Point, b: Point, bend: float) -> Segment:
    if not bend:
        return Line(a, b)
    chord = distance(a, b)
    height = 1 / bend
    n = (-(b[1] - a[1]) / chord, (b[0] - a[0]) / chord)
    centre = ((a[0] + b[0]) / 2 + n[0] * height, (a[1] + b[1]) / 2 + n[1] * height)
    return Arc(a, b, centre, bend > 0)
