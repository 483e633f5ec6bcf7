"""Which moves of a program go into what must be kept, and how deep.

The comparison finds where a cut leaves what may go; this finds the moves that did it: the plane
distance from each path to what is kept, against the cutter's radius in that plane. Paths are
chords that sag at most 0.0002 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.proof.chords import ONE_HEIGHT, Array, Segments
from gcodekit.proof.rapids import distances
from gcodekit.proof.reach import LEAST_CHORDS
from gcodekit.proof.sections import profile_breaks, section, span_at
from gcodekit.rs274.program_read import Point3

# A section is smaller than the truth by up to this, mm: so near, a place is taken as within it.
HELD = 0.0006


def depths(segments: Segments, kept: BaseGeometry, z: float, *, allowed: float = 0.0) -> Array:
    """(n,) mm: how far what each segment cuts at height z goes into `kept`, 0 where that is no
    more than `allowed`.

    Right where a wall is straight or hollow; no less than the truth where it sticks out, for a
    pointed cutter on a slope, and for a path inside.
    """
    found = np.zeros(len(segments.move))
    there = np.flatnonzero(segments.cuts_at(z))
    core = kept.buffer(-allowed, quad_segs=LEAST_CHORDS) if allowed else kept
    if core.is_empty or not len(there):
        return found
    s = segments.rows(there)
    a, b = span_at(s, z)
    ways = shapely.linestrings(np.stack((a, b), axis=1))
    gap: Array = np.asarray(shapely.distance(ways, core))
    deep = _radii(s, z) - gap
    # a distance has no sign: nothing is told by it of a path inside
    inside = gap <= 0.0
    if inside.any():
        deep[inside] += _farthest_in(a[inside], b[inside], core)
    found[there] = np.where(deep > 0.0, deep + allowed, 0.0)
    return found


def _radii(s: Segments, z: float) -> Array:
    """The cutter's radius at z where each segment is lowest; none where that is above z."""
    heights = z - s.low
    levels, which = np.unique(heights, return_inverse=True)
    radii = [
        s.cutter.radius_at(max(float(h), 0.0)) if h >= -ONE_HEIGHT else -np.inf for h in levels
    ]
    found: Array = np.where(s.cuts_at(z), np.array(radii)[which], -np.inf)
    return found


def _farthest_in(a: Array, b: Array, region: BaseGeometry) -> Array:
    """At most how far inside a region the points of segments are: on the way along a segment that
    changes no faster than the way itself."""
    rim = region.boundary
    shapely.prepare(region)
    deep = [
        np.where(shapely.covers(region, ends), shapely.distance(ends, rim), 0.0)
        for ends in (shapely.points(a), shapely.points(b))
    ]
    found: Array = (deep[0] + deep[1] + np.hypot(*(b - a).T)) / 2
    return found


@dataclass(frozen=True, slots=True)
class GougeStretch:
    """Moves one after another that go into what is kept. `worst` is the move, by its index, that
    goes in farthest, by about `depth` mm in the plane at `z`."""

    segments: Segments
    worst: int
    depth: float
    z: float


class GougeDepths:
    """How deep each of some segments goes into what is kept, over the planes looked at."""

    def __init__(self, segments: Segments) -> None:
        self._segments = segments
        self._depth = np.zeros(len(segments.move))
        self._z = np.zeros(len(segments.move))

    def look(self, kept: BaseGeometry, z: float, *, allowed: float) -> None:
        """One plane more."""
        found = depths(self._segments, kept, z, allowed=allowed)
        deeper = found > self._depth
        self._depth[deeper], self._z[deeper] = found[deeper], z

    def stretches(self) -> Iterator[GougeStretch]:
        """All that go in."""
        s = self._segments
        rows = np.flatnonzero(self._depth)
        for run in np.split(rows, np.flatnonzero(np.diff(s.move[rows]) > 1) + 1):
            if len(run):
                worst = run[np.argmax(self._depth[run])]
                depth, z = float(self._depth[worst]), float(self._z[worst])
                yield GougeStretch(s.rows(run), int(s.move[worst]), depth, z)


def first_through(where: Point3, groups: Iterable[Segments]) -> int:
    """Index of the first move whose section at a place holds it, or of that which comes nearest."""
    holding: list[int] = []
    nearest = (np.inf, 0)
    for s in groups:
        off = distances(s, where[0], where[1]) - _radii(s, where[2])
        best = int(np.argmin(off))
        nearest = min(nearest, (float(off[best]), int(s.move[best])))
        holding += _first_holding(s, np.flatnonzero(off <= HELD), where)
    return min(holding, default=nearest[1])


def _first_holding(s: Segments, rows: NDArray[np.int64], where: Point3) -> list[int]:
    """The first move of those rows whose section holds a place: one or none."""
    place = shapely.Point(where[:2])
    for row in rows:
        pieces = section(s.rows(np.array([row])), where[2])
        if any(piece.distance(place) <= HELD for piece in pieces):
            return [int(s.move[row])]
    return []


def lowest_over(where: Point3, s: Segments) -> tuple[float, int]:
    """The lowest z at which segments cut a place, and the index of the first move that comes down
    as far as the one that does. A segment that slopes counts as its lowest end."""
    off = distances(s, where[0], where[1])
    heights = profile_breaks(s.cutter)
    radii = np.array([s.cutter.radius_at(float(h)) for h in heights])
    over = np.where(off <= s.cutter.radius + HELD, np.interp(off, radii, heights), np.inf)
    low = s.low
    best = int(np.argmin(low + over))
    return float(low[best] + over[best]), int(s.move[np.argmax(low <= low[best] + ONE_HEIGHT)])
