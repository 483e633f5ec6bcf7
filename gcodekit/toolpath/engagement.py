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
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle, Move, Rapid

Array = NDArray[np.float64]

# Looked at this often to the cutter's radius, and at so many places of the leading half rim.
LOOKS = 4
RIM = 45
# The first place of a cut lies so far along it, in cutter radii.
BEGIN = 0.1
# Chords of arcs, and heights that are one, mm.
SAG = 0.005
SAME_HEIGHT = 1e-6
# Metal thinner than this, mm, is none: chords and rounding.
HAIR = 0.004
# So many pairs of a place and an earlier cut are held against each other at once.
AT_ONCE = 20_000


@dataclass(frozen=True, slots=True)
class Cuts:
    """The cuts of one operation as straight pieces in plan, in order, of a cutter with this radius.

    `start`, `end`: (n, 2) mm; `tip`: (n,) the highest the tip is along each; `level`: (n,) whether
    it stays there; `move`: (n,) index of the move it belongs to; `at`: (n,) mm along that move
    """

    radius: float
    start: Array
    end: Array
    tip: Array
    level: NDArray[np.bool_]
    move: NDArray[np.int64]
    at: Array

    def below(self, z: float) -> Cuts:
        """Those that cut all they pass at `z`."""
        return self.rows(self.tip <= z + SAME_HEIGHT)

    def once_in_plan(self) -> Cuts:
        """Without those that go the way another goes, higher or lower."""
        ways = np.concatenate((self.start, self.end), axis=1)
        _, first = np.unique(ways, axis=0, return_index=True)
        return self.rows(np.sort(first))

    def rows(self, which: NDArray[Any]) -> Cuts:
        """Some of them: indices or a mask."""
        return Cuts(
            self.radius,
            self.start[which],
            self.end[which],
            self.tip[which],
            self.level[which],
            self.move[which],
            self.at[which],
        )


def cuts_of(moves: Sequence[Move], radius: float) -> Cuts:
    """The feed moves of an operation, arcs by chords."""
    rows: list[tuple[Point, Point, float, bool, int, float]] = []
    at: Point | None = None
    z = math.inf
    for index, move in enumerate(moves):
        if isinstance(move, Feed | ArcFeed) and at is not None:
            tip, level = max(z, move.z), abs(z - move.z) <= SAME_HEIGHT
            points, along = _points(at, move), 0.0
            for a, b in pairwise(points):
                rows.append((a, b, tip, level, index, along))
                along += math.dist(a, b)
        at, z = _after(move, at, z)
    return Cuts(
        radius,
        np.array([r[0] for r in rows], dtype=float).reshape(-1, 2),
        np.array([r[1] for r in rows], dtype=float).reshape(-1, 2),
        np.array([r[2] for r in rows], dtype=float),
        np.array([r[3] for r in rows], dtype=bool),
        np.array([r[4] for r in rows], dtype=np.int64),
        np.array([r[5] for r in rows], dtype=float),
    )


def _after(move: Move, at: Point | None, z: float) -> tuple[Point | None, float]:
    """Where the tip is after a move."""
    match move:
        case Feed() | ArcFeed():
            return (move.x, move.y), move.z
        case HoleCycle():
            return (move.x, move.y), move.retract
        case Rapid():
            over = at if move.x is None or move.y is None else (move.x, move.y)
            return over, z if move.z is None else move.z
    return at, z


def _points(at: Point, move: Feed | ArcFeed) -> list[Point]:
    """From where it starts to where it ends, in plan."""
    if isinstance(move, Feed):
        return [at, (move.x, move.y)]
    radius = math.dist(at, (move.cx, move.cy))
    start = math.atan2(at[1] - move.cy, at[0] - move.cx)
    sweep = swept_angle(at, move)
    chord = 2 * math.acos(max(0.7, 1 - SAG / max(radius, SAG)))
    count = max(1, math.ceil(abs(sweep) / chord))
    inner = (start + sweep * k / count for k in range(1, count))
    on = [(move.cx + radius * math.cos(a), move.cy + radius * math.sin(a)) for a in inner]
    return [at, *on, (move.x, move.y)]


def swept_angle(at: Point, move: ArcFeed) -> float:
    """The signed angle of an arc that starts at a point, radians."""
    if math.dist(at, (move.x, move.y)) < 1e-9:
        return math.tau if move.ccw else -math.tau
    start = math.atan2(at[1] - move.cy, at[0] - move.cx)
    turn = (math.atan2(move.y - move.cy, move.x - move.cx) - start) % math.tau
    return turn if move.ccw else turn - math.tau


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
    reuse: dict[bytes, Array],
) -> Looks:
    """The engagement along an operation's level cuts at `z`.

    Parameters
    ----------
    metal : what stood before the program, in plan
    others : the cuts of operations before this one, and what they cut `above` that height
    reuse : angles already found, by what decides them; a level cut just as the one above takes them
    """
    here = cuts.level & (np.abs(cuts.tip - z) <= SAME_HEIGHT)
    # nothing after the last of them, or each height would differ by those still to come
    upto = np.arange(len(here)) <= np.flatnonzero(here)[-1]
    own, here = cuts.rows(upto).below(z), here[upto & (cuts.tip <= z + SAME_HEIGHT)]
    places, along, row = _places(own, here)
    deeper = [low.once_in_plan() for c in others if len((low := c.below(z + above)).tip)]
    key = _key(own, metal, deeper)
    if key not in reuse:
        reuse[key] = _angles(own, places, row, metal, deeper)
    return Looks(own.move[row], own.at[row] + along, reuse[key])


def _key(own: Cuts, metal: BaseGeometry, deeper: Sequence[Cuts]) -> bytes:
    every = [own.start.tobytes(), own.end.tobytes(), metal.wkb]
    for c in deeper:
        every += [c.start.tobytes(), c.end.tobytes()]
    return b"|".join(every)


def _places(cuts: Cuts, here: NDArray[np.bool_]) -> tuple[Array, Array, NDArray[np.int64]]:
    """(n, 2) places evenly along the cuts that count, their ends among them: in a sharp corner only
    the last tenths of a millimetre meet its metal; mm along each, and the cut of each."""
    length = np.hypot(*(cuts.end - cuts.start).T)
    count = np.where(here, np.ceil(length * LOOKS / cuts.radius) + 1, 0).astype(int)
    count = np.where(here, np.maximum(count, 2), 0)
    # where one begins the one before has cut round the same middle
    begin = np.minimum(BEGIN * cuts.radius, length / 2)
    row = np.repeat(np.arange(len(count)), count)
    first = np.repeat(np.cumsum(count) - count, count)
    share = (np.arange(len(row)) - first) / (count[row] - 1)
    along = begin[row] + share * (length - begin)[row]
    way = (cuts.end - cuts.start)[row] / np.maximum(length[row], SAME_HEIGHT)[:, None]
    return cuts.start[row] + along[:, None] * way, along, row


def _angles(
    own: Cuts, places: Array, row: NDArray[np.int64], metal: BaseGeometry, deeper: Sequence[Cuts]
) -> Array:
    """The engagement at each place, rad."""
    if not len(places):
        return np.zeros(0)
    way = (own.end - own.start)[row]
    heading = np.arctan2(way[:, 1], way[:, 0])
    # at the middle of RIM equal parts of the leading half
    ahead = (np.arange(RIM) + 0.5) / RIM * math.pi - math.pi / 2
    turn = heading[:, None] + ahead
    rim = places[:, None, :] + own.radius * np.stack((np.cos(turn), np.sin(turn)), axis=2)
    inside = _in_metal(places, rim, metal, own.radius)
    _uncover(inside, rim, own.start, own.end, own.radius, places, before=row)
    for c in deeper:
        _uncover(inside, rim, c.start, c.end, c.radius, places, before=None)
    angles: Array = inside.sum(axis=1) * (math.pi / RIM)
    return angles


def _in_metal(places: Array, rim: Array, metal: BaseGeometry, radius: float) -> NDArray[np.bool_]:
    inside = np.zeros(rim.shape[:2], dtype=bool)
    if metal.is_empty:
        return inside
    shapely.prepare(metal)
    middle = shapely.contains_xy(metal, places[:, 0], places[:, 1])
    near = shapely.distance(shapely.points(places), metal.boundary) <= radius + HAIR
    inside[middle & ~near] = True
    if near.any():
        there = rim[near]
        inside[near] = shapely.contains_xy(metal, there[..., 0], there[..., 1])
    return inside


def _uncover(
    inside: NDArray[np.bool_],
    rim: Array,
    start: Array,
    end: Array,
    radius: float,
    places: Array,
    *,
    before: NDArray[np.int64] | None,
) -> None:
    """Take away what cuts have swept: those before each place's own row, or all of them."""
    some = np.flatnonzero(inside.any(axis=1))
    lines = np.atleast_1d(np.asarray(shapely.linestrings(np.stack((start, end), axis=1))))
    reach = float(np.abs(rim[0] - places[0]).max()) + radius
    near = shapely.points(places[some])
    who, which = STRtree(lines).query(near, predicate="dwithin", distance=reach)
    who = some[who]
    if before is not None:
        earlier = which < before[who]
        who, which = who[earlier], which[earlier]
    limit = (radius + HAIR) ** 2
    for k in range(0, len(who), AT_ONCE):
        i, j = who[k : k + AT_ONCE], which[k : k + AT_ONCE]
        covered = _squared(rim[i], start[j], end[j]) <= limit
        np.logical_and.at(inside, i, ~covered)


def _squared(points: Array, start: Array, end: Array) -> Array:
    """(n, m) squared distances of (n, m, 2) points from (n,) segments."""
    way = end - start
    off = points - start[:, None, :]
    run = np.maximum((way**2).sum(axis=1), 1e-18)
    t = np.clip(np.einsum("nmk,nk->nm", off, way) / run[:, None], 0.0, 1.0)
    gap = off - t[..., None] * way[:, None, :]
    found: Array = (gap**2).sum(axis=2)
    return found
