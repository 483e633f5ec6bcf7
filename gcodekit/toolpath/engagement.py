"""How much of the cutter is in metal along a path: the planner's own reckoning, from what the path
before has swept. Feeds are set by it; the proof does not know it.

Glossary
--------
engagement : angle of the leading half of the cutter's rim that is in metal, radians: 0 in air,
    pi in a slot
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from gcodekit.toolpath.cuts_in_plan import SAME_TIP_HEIGHT, Array, Cuts

# Looked at this often to the cutter's radius, and at so many places of the leading half rim.
LOOKS_A_RADIUS = 4
RIM_PLACES = 45
# The first place of a cut lies so far along it, in cutter radii.
BEGIN = 0.1
# Metal thinner than this, mm, is none: rounding, and shavings.
THINNEST_METAL = 0.01
# The latest so many cuts at most are looked at one by one; what those before them have cleared, as
# areas, with so many chords to an arc and to a quarter of the rim.
CHAPTER = 64
SWEPT_CHORDS = 8
# So many cuts that follow one another are swept as one line.
SWEPT_TOGETHER = 8
RIM_CHORDS = 16
# So many pairs of a place and an earlier cut are held against each other at once.
PAIRS_AT_ONCE = 20_000


@dataclass(frozen=True, slots=True)
class Reuse:
    """The results found for one program so far: angles, and areas that cuts clear."""

    angles: dict[bytes, Array] = field(default_factory=dict)
    areas: dict[bytes, BaseGeometry] = field(default_factory=dict)

    def swept(self, cuts: Cuts) -> BaseGeometry:
        """The area that cuts clear in plan."""
        if cuts.way not in self.areas:
            self.areas[cuts.way] = _swept(cuts)
        return self.areas[cuts.way]


@dataclass(frozen=True, slots=True)
class Looks:
    """Places along the level cuts of one height, in order.

    `move`: (n,) index of the move; `at`: (n,) mm along it; `angle`: (n,) engagement there, rad
    """

    move: NDArray[np.int64]
    at: Array
    angle: Array


def engagements(
    cuts: Cuts,
    z: float,
    metal: BaseGeometry,
    others: Sequence[Cuts],
    *,
    above: float = 0.0,
    wedge: float = 0.0,
    reuse: Reuse,
) -> Looks:
    """The engagement along an operation's level cuts at `z`.

    Parameters
    ----------
    metal : what stood before the program, in plan
    others : the cuts of operations before this one, and what they cut `above` that height
    wedge : what a ramp or helix leaves no higher than this does not count, mm
    reuse : what was found before; a level cut just as the one above takes its angles
    """
    here = cuts.level & (np.abs(cuts.tip - z) <= SAME_TIP_HEIGHT)
    # nothing after the last of them, or each height would differ by those still to come
    upto = np.arange(len(here)) <= np.flatnonzero(here)[-1]
    counts = upto & cuts.reach(z, wedge)
    own, here = cuts.rows(counts), here[counts]
    # what went deeper on a way that was cut before clears nothing more
    keep = here | own.first_in_plan()
    own, here = own.rows(keep), here[keep]
    row, along = _places(own, here)
    lows = (c.below(z + above).near(own) for c in others)
    deeper = [low.once_in_plan() for low in lows if len(low.tip)]
    key = _key(own, metal, deeper)
    if key not in reuse.angles:
        stands = metal
        for c in deeper:
            stands = stands.difference(reuse.swept(c))
        reuse.angles[key] = _angles(own, row, along, stands)
    return Looks(own.move[row], own.at[row] + along, reuse.angles[key])


def _key(own: Cuts, metal: BaseGeometry, deeper: Sequence[Cuts]) -> bytes:
    return b"|".join((metal.wkb, *(c.way for c in (own, *deeper))))


def _places(cuts: Cuts, here: NDArray[np.bool_]) -> tuple[NDArray[np.int64], Array]:
    """Places evenly along the cuts that count, their ends among them: in a sharp corner only the
    last tenths of a millimetre meet its metal. (n,) the cut of each, and mm along it."""
    length = cuts.length
    count = np.where(here, np.ceil(length * LOOKS_A_RADIUS / cuts.radius) + 1, 0).astype(int)
    count = np.where(here & (length * LOOKS_A_RADIUS <= cuts.radius), 1, count)
    # where one begins the one before has cut round the same middle
    begin = np.minimum(BEGIN * cuts.radius, length / 2)
    row = np.repeat(np.arange(len(count)), count)
    first = np.repeat(np.cumsum(count) - count, count)
    share = (np.arange(len(row)) - first) / np.maximum(count[row] - 1, 1)
    share = np.where(count[row] > 1, share, 1.0)
    return row, begin[row] + share * (length - begin)[row]


def _angles(own: Cuts, row: NDArray[np.int64], along: Array, metal: BaseGeometry) -> Array:
    """The engagement at each place, rad."""
    if not len(row):
        return np.zeros(0)
    places, heading = own.points(row, along)
    # at the middle of RIM_PLACES equal parts of the leading half
    ahead = (np.arange(RIM_PLACES) + 0.5) / RIM_PLACES * math.pi - math.pi / 2
    turn = heading[:, None] + ahead
    rim = places[:, None, :] + own.radius * np.stack((np.cos(turn), np.sin(turn)), axis=2)
    inside = _in_metal(places, rim, metal, own.radius)
    gone: BaseGeometry = shapely.Polygon()
    for first in range(0, len(own.tip), CHAPTER):
        now = np.arange(first, min(first + CHAPTER, len(own.tip)))
        here = np.flatnonzero((row >= now[0]) & (row <= now[-1]))
        _less(inside, rim, here, gone)
        _uncover(inside, rim, places, here, own.rows(now), row[here] - first)
        if now[-1] + 1 < len(own.tip):
            gone = gone.union(_swept(own.rows(now)))
    angles: Array = inside.sum(axis=1) * (math.pi / RIM_PLACES)
    return angles


def _swept(cuts: Cuts) -> BaseGeometry:
    """The area that cuts clear in plan."""
    runs = cuts.runs(SWEPT_CHORDS, most=SWEPT_TOGETHER)
    swept = shapely.buffer(runs, cuts.radius + THINNEST_METAL, quad_segs=RIM_CHORDS)
    return shapely.union_all(swept).simplify(THINNEST_METAL / 4)


def _less(
    inside: NDArray[np.bool_], rim: Array, here: NDArray[np.int64], gone: BaseGeometry
) -> None:
    """Take away what is gone, at these places."""
    if gone.is_empty:
        return
    shapely.prepare(gone)
    at, part = np.nonzero(inside[here])
    places = here[at]
    points = rim[places, part]
    clear = shapely.contains_xy(gone, points[:, 0], points[:, 1])
    inside[places[clear], part[clear]] = False


def _in_metal(places: Array, rim: Array, metal: BaseGeometry, radius: float) -> NDArray[np.bool_]:
    inside = np.zeros(rim.shape[:2], dtype=bool)
    if metal.is_empty:
        return inside
    shapely.prepare(metal)
    middle = shapely.contains_xy(metal, places[:, 0], places[:, 1])
    near = shapely.distance(shapely.points(places), metal.boundary) <= radius + THINNEST_METAL
    inside[middle & ~near] = True
    if near.any():
        there = rim[near]
        inside[near] = shapely.contains_xy(metal, there[..., 0], there[..., 1])
    return inside


def _uncover(
    inside: NDArray[np.bool_],
    rim: Array,
    places: Array,
    here: NDArray[np.int64],
    cuts: Cuts,
    row: NDArray[np.int64],
) -> None:
    """Take away what cuts have swept before these places, each on its own `row` of the cuts."""
    # chords lie a little inside their arcs
    near = shapely.points(places[here])
    reach = 2.2 * cuts.radius
    who, which = STRtree(cuts.lines()).query(near, predicate="dwithin", distance=reach)
    earlier = which < row[who]
    _settle(inside, rim, here[who[earlier]], which[earlier], cuts)


def _settle(
    inside: NDArray[np.bool_],
    rim: Array,
    who: NDArray[np.int64],
    which: NDArray[np.int64],
    cuts: Cuts,
) -> None:
    """Take away what each of these places has cleared by that cut."""
    limit = (cuts.radius + THINNEST_METAL) ** 2
    for bent in (False, True):
        kind = (cuts.sweep[which] != 0) == bent
        for k in range(0, int(kind.sum()), PAIRS_AT_ONCE):
            i, j = who[kind][k : k + PAIRS_AT_ONCE], which[kind][k : k + PAIRS_AT_ONCE]
            pair, part = np.nonzero(inside[i])
            place, cut = i[pair], j[pair]
            points, start, end = rim[place, part], cuts.start[cut], cuts.end[cut]
            if bent:
                off = _off_arcs(points, start, end, cuts.centre[cut], cuts.sweep[cut])
            else:
                off = _off_lines(points, start, end)
            covered = off <= limit
            inside[place[covered], part[covered]] = False


def _off_lines(points: Array, start: Array, end: Array) -> Array:
    """(n,) squared distances of (n, 2) points from a line each."""
    way, off = end - start, points - start
    run = np.maximum((way**2).sum(axis=1), 1e-18)
    t = np.clip((off * way).sum(axis=1) / run, 0.0, 1.0)
    found: Array = ((off - t[:, None] * way) ** 2).sum(axis=1)
    return found


def _off_arcs(points: Array, start: Array, end: Array, centre: Array, sweep: Array) -> Array:
    """The same from an arc each, of less than half a turn."""
    off, first, last = points - centre, start - centre, end - centre
    middle = first + last
    rho, across = np.hypot(*off.T), np.hypot(*middle.T)
    beside = (off * middle).sum(axis=1) >= rho * across * np.cos(sweep / 2)
    to_ends = np.minimum(((off - first) ** 2).sum(axis=1), ((off - last) ** 2).sum(axis=1))
    found: Array = np.where(beside, (rho - np.hypot(*first.T)) ** 2, to_ends)
    return found
