"""The cut of a program, in a plane at one height.

The section of a cutter whose tip is at z_tip is a disc of radius r(z - z_tip). A path with a
constant radius sweeps capsules; where the radius changes along the path, the hull of the discs
at both ends of a piece over which the profile is straight within PROFILE_SAG. Discs are inscribed
polygons that sag at most DISC_SAG: a section is never larger than the truth by it, and smaller
by no more than 0.0005 mm together with the sag of the path's chords.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, joined
from gcodekit.proof.chords import ONE_HEIGHT, Array, Segments
from gcodekit.target.disc_sweep import by_segments, is_true
from gcodekit.trade.cutter import Cutter

DISC_SAG = 0.0003
PROFILE_SAG = 0.0004
# Joined segments swept at once: one by one takes 20 times longer, thousands together far more.
SWEPT_AT_ONCE = 25
# A blade that goes at more heights than this is looked at on a grid, of so many steps at most.
MOST_BLADE_LEVELS, MOST_BLADE_STEPS = 100, 2000
# From so many segments on it pays to look for repeated ones.
MAY_REPEAT = 5000


def quarter_chords(radius: float) -> int:
    """Chords to a quarter circle so that they sag at most DISC_SAG."""
    if radius <= DISC_SAG:
        return 1
    return max(4, math.ceil(math.pi / (4 * math.acos(1 - DISC_SAG / radius))))


def section(segments: Segments, z: float) -> list[BaseGeometry]:
    """The pieces that together are what these segments cut at height z."""
    cutter = segments.cutter
    start, end = segments.start, segments.end
    if cutter.is_blade:
        return _bladed(segments, z)
    keep = segments.low <= z + ONE_HEIGHT
    if not keep.any():
        return []
    start, end = start[keep], end[keep]
    full = cutter.point_length
    if full <= ONE_HEIGHT:
        a, b = clipped(start, end, z)
        return capsules(a, b, cutter.radius)
    deep = np.minimum(start[:, 2], end[:, 2]) <= z - full + ONE_HEIGHT
    pieces: list[BaseGeometry] = []
    if deep.any():
        a, b = clipped(start[deep], end[deep], z - full)
        pieces += capsules(a, b, cutter.radius)
    return pieces + _pointed(start, end, cutter, z)


def _bladed(segments: Segments, z: float) -> list[BaseGeometry]:
    """The same of a blade: it cuts where it is at height z, not where it has been below."""
    here = segments.cuts_at(z)
    if not here.any():
        return []
    a, b = span_at(segments.rows(here), z)
    return capsules(a, b, segments.cutter.radius)


def span_at(s: Segments, z: float) -> tuple[Array, Array]:
    """The parts of segments, in plan, where their cutter is at height z; each has such a part."""
    if s.cutter.is_blade:
        return between(s.start, s.end, z - s.cutter.flute_length, z)
    return clipped(s.start, s.end, z)


def between(start: Array, end: Array, low: float, high: float) -> tuple[Array, Array]:
    """The parts of segments with the tip between two heights, in plan; each has such a part."""
    rise = end[:, 2] - start[:, 2]
    sloping = np.abs(rise) > ONE_HEIGHT
    over = np.where(sloping, rise, 1.0)
    one, other = ((h - start[:, 2]) / over for h in (low, high))
    first = np.where(sloping, np.clip(np.minimum(one, other), 0.0, 1.0), 0.0)
    last = np.where(sloping, np.clip(np.maximum(one, other), 0.0, 1.0), 1.0)
    way = end[:, :2] - start[:, :2]
    return start[:, :2] + first[:, None] * way, start[:, :2] + last[:, None] * way


def clipped(start: Array, end: Array, z: float) -> tuple[Array, Array]:
    """The parts of segments with the tip at or below z, in plan; each has such a part."""
    a, b = start[:, :2].copy(), end[:, :2].copy()
    rise = end[:, 2] - start[:, 2]
    for points, over in ((a, start[:, 2] > z + ONE_HEIGHT), (b, end[:, 2] > z + ONE_HEIGHT)):
        if over.any():
            t = (z - start[over, 2]) / rise[over]
            points[over] = start[over, :2] + t[:, None] * (end[over, :2] - start[over, :2])
    return a, b


def capsules(a: Array, b: Array, radius: float) -> list[BaseGeometry]:
    """Discs of `radius` swept along segments; those that join are swept together."""
    if radius <= 0 or not len(a):
        return []
    run = _runs(a, b)
    heads = np.flatnonzero(np.diff(run, prepend=-1))
    # every segment gives its end, the first of a run its start as well
    coords = np.insert(b, heads, a[heads], axis=0)
    lines = np.atleast_1d(
        np.asarray(shapely.linestrings(coords, indices=np.insert(run, heads, run[heads])))
    )
    chords = quarter_chords(radius)
    swept = np.atleast_1d(np.asarray(shapely.buffer(lines, radius, quad_segs=chords)))
    for i in _bent(a, b, run, radius):
        if not is_true(swept[i], lines[i], radius):
            swept[i] = by_segments(lines[i], radius, chords=chords)
    return list(swept)


def _bent(a: Array, b: Array, run: NDArray[np.int64], radius: float) -> list[int]:
    """The runs that bend within the radius more than once: of these a sweep may be wrong."""
    steps = b - a
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    s, t = steps[:-1], steps[1:]
    turns = np.arctan2(s[:, 0] * t[:, 1] - s[:, 1] * t[:, 0], (s * t).sum(axis=1))
    tight = np.minimum(lengths[:-1], lengths[1:]) < radius * np.abs(turns)
    within = run[1:][tight & (run[1:] == run[:-1])]
    found, times = np.unique(within, return_counts=True)
    return [int(i) for i in found[times > 1]]


def _runs(a: Array, b: Array) -> NDArray[np.int64]:
    """A number for each segment, the same for up to SWEPT_AT_ONCE that join one another."""
    n = len(a)
    broken = np.ones(n, dtype=bool)
    broken[1:] = (a[1:] != b[:-1]).any(axis=1)
    at = np.arange(n)
    since = at - np.maximum.accumulate(np.where(broken, at, 0))
    run: NDArray[np.int64] = np.cumsum(broken | (since % SWEPT_AT_ONCE == 0)) - 1
    return run


def _pointed(start: Array, end: Array, cutter: Cutter, z: float) -> list[BaseGeometry]:
    """The profile of a cutter's point: heights above the tip from 0 to its full diameter."""
    full = cutter.point_length
    high, low = z - start[:, 2], z - end[:, 2]
    in_point = np.minimum(high, low) < full - ONE_HEIGHT
    pieces: list[BaseGeometry] = []
    level = in_point & (np.abs(high - low) <= ONE_HEIGHT)
    for height in np.unique(high[level]):
        same = level & (high == height)
        radius = cutter.radius_at(max(float(height), 0.0))
        pieces += capsules(start[same, :2], end[same, :2], radius)
    breaks = profile_breaks(cutter)
    for i in np.flatnonzero(in_point & ~level):
        pieces += _sloping(start[i], end[i], float(high[i]), float(low[i]), cutter, breaks)
    return pieces


def _sloping(
    start: Array, end: Array, h0: float, h1: float, cutter: Cutter, breaks: Array
) -> list[BaseGeometry]:
    """One segment along which the height of the plane above the tip goes from h0 to h1."""
    lo, hi = max(0.0, min(h0, h1)), min(cutter.point_length, max(h0, h1))
    if hi < lo:
        return []
    if (start[:2] == end[:2]).all():
        return [disc(float(start[0]), float(start[1]), cutter.radius_at(hi))]
    inner = breaks[(breaks > lo) & (breaks < hi)]
    heights = np.concatenate(([lo], inner, [hi]))
    t = (heights - h0) / (h1 - h0)
    places = start[:2] + t[:, None] * (end[:2] - start[:2])
    radii = np.array([cutter.radius_at(float(h)) for h in heights])
    rims = places[:, None, :] + radii[:, None, None] * _circle(cutter.radius)
    pairs = np.concatenate((rims[:-1], rims[1:]), axis=1)
    hulls = shapely.convex_hull(shapely.multipoints(np.asarray(shapely.points(pairs))))
    return [h for h in np.atleast_1d(np.asarray(hulls)) if h.geom_type == "Polygon"]


def _circle(radius: float) -> Array:
    n = 4 * quarter_chords(radius)
    angles = np.arange(n) * (math.tau / n)
    return np.stack((np.cos(angles), np.sin(angles)), axis=1)


def disc(x: float, y: float, radius: float) -> BaseGeometry:
    """A disc about a point."""
    return (
        shapely.Point(x, y).buffer(radius, quad_segs=quarter_chords(radius))
        if radius > 0
        else EMPTY
    )


def profile_breaks(cutter: Cutter) -> Array:
    """Heights between which the cutter's profile is straight within PROFILE_SAG."""
    heights = [0.0]
    _split(cutter, 0.0, cutter.point_length, heights, 14)
    return np.array(heights)


def _split(cutter: Cutter, lo: float, hi: float, out: list[float], deep: int) -> None:
    r0, r1 = cutter.radius_at(lo), cutter.radius_at(hi)
    worst = max(
        abs(cutter.radius_at(lo + t * (hi - lo)) - (r0 + t * (r1 - r0))) for t in (0.25, 0.5, 0.75)
    )
    if worst > PROFILE_SAG and deep:
        middle = (lo + hi) / 2
        _split(cutter, lo, middle, out, deep - 1)
        _split(cutter, middle, hi, out, deep - 1)
    else:
        out.append(hi)


class ProgramCut:
    """The cut of a program's segments at any height, by feature and as a whole.

    But for a blade's, a cut only grows with height, and a segment that is wholly below a plane by
    the length of the cutter's point looks the same in every plane above. So planes asked for from
    the lowest up cost each segment once; a lower plane than the one before starts afresh. What is
    cut once more on the same way is left out of it: `distinct` are the segments without.
    """

    def __init__(self, segments: Iterable[Segments]) -> None:
        self.segments = tuple(segments)
        self.distinct = tuple(_distinct(s) for s in self.segments)
        self._groups = [_Blade(s) if s.cutter.is_blade else _Growing(s) for s in self.distinct]

    @property
    def undercuts(self) -> tuple[float, ...]:
        """Heights that tell of every cut which leaves the stock above it, ascending: below and
        above each blade's way, and in the middle of it."""
        found: set[float] = set()
        for s in self.distinct:
            if s.cutter.is_blade:
                found |= _blade_levels(s)
        return tuple(sorted(found))

    def by_owner(self, z: float) -> dict[str, BaseGeometry]:
        """For each feature ("" for lines of none), what it cuts at z."""
        pieces: dict[str, list[BaseGeometry]] = {}
        for group in self._groups:
            pieces.setdefault(group.segments.owner, []).append(group.at(z))
        return {
            owner: found[0] if len(found) == 1 else joined(found) for owner, found in pieces.items()
        }


def _distinct(segments: Segments) -> Segments:
    """Each way once, where there are so many that some may be repeated by mistake."""
    if len(segments.start) < MAY_REPEAT:
        return segments
    ways = np.concatenate((segments.start, segments.end), axis=1)
    _, first = np.unique(ways, axis=0, return_index=True)
    return segments if len(first) == len(ways) else segments.rows(np.sort(first))


def _blade_levels(s: Segments) -> set[float]:
    """Bottom, middle and top of every way of a blade; of very many, heights so near to one another
    that none of them lies between two."""
    thick = s.cutter.flute_length
    tips = {round(float(z), 6) for z in (*s.low, *s.high)}
    if len(tips) > MOST_BLADE_LEVELS:
        low, high = min(tips), max(tips)
        step = max(thick / 2, (high - low) / MOST_BLADE_STEPS)
        return {low + step * k for k in range(math.ceil((high + thick - low) / step) + 1)}
    return {z + share * thick for z in tips for share in (0.0, 0.5, 1.0)}


class _Blade:
    """The section of a blade's segments: nothing of what it cut lower is gone higher up."""

    def __init__(self, segments: Segments) -> None:
        self.segments = segments
        self._sections: dict[float, BaseGeometry] = {}

    def at(self, z: float) -> BaseGeometry:
        """The section at z."""
        if z not in self._sections:
            self._sections[z] = joined(section(self.segments, z))
        return self._sections[z]


class _Growing:
    """The section of one group of segments, plane by plane upwards."""

    def __init__(self, segments: Segments) -> None:
        self.segments = segments
        self._meets_at = segments.low
        highest = np.where(segments.upright, self._meets_at, segments.high)
        self._whole_at = highest + segments.cutter.point_length
        self._z = -math.inf
        self._whole: BaseGeometry = EMPTY
        self._section: BaseGeometry = EMPTY
        # a pass repeated deeper, as in a pocket cut layer by layer, adds nothing in plan
        self._ways: set[bytes] = set()

    def at(self, z: float) -> BaseGeometry:
        """The section at z."""
        if z < self._z:
            self._z, self._whole, self._section = -math.inf, EMPTY, EMPTY
            self._ways.clear()
        last, now = self._z + ONE_HEIGHT, z + ONE_HEIGHT
        added = (self._whole_at > last) & (self._whole_at <= now)
        partly = (self._whole_at > now) & (self._meets_at <= now)
        before_partly = (self._whole_at > last) & (self._meets_at <= last)
        self._z = z
        if added.any():
            pieces = section(self.segments.rows(self._new(np.flatnonzero(added))), z)
            self._whole = joined([self._whole, *pieces]) if pieces else self._whole
        if partly.any():
            pieces = section(self.segments.rows(partly), z)
            self._section = joined([self._whole, *pieces])
        elif added.any() or before_partly.any():
            self._section = self._whole
        return self._section

    def _new(self, rows: NDArray[np.int64]) -> NDArray[np.int64]:
        """Those of the rows whose way in plan was not there yet."""
        s = self.segments
        ways = np.concatenate((s.start[rows, :2], s.end[rows, :2]), axis=1)
        fresh = []
        for row, way in zip(rows, ways, strict=True):
            key = way.tobytes()
            if key not in self._ways:
                self._ways.add(key)
                fresh.append(row)
        return np.array(fresh, dtype=np.int64)
