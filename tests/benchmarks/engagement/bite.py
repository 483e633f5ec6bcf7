"""Engagement along a level: phi and the effective width, at samples.

The engagement phi is the measure of the leading half circle inside the stock; the effective width
a = R * integral of cos(theta) over the engaged part, theta from the heading, is the area that a
millimetre of path takes. The stock is the area less all that earlier moves, and the move itself up
to the sample, have swept.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from engagement.circle import distance, outside_parts, swept_parts
from engagement.ways import Array, ClearedLinks, Indices, Level

# Samples lie no farther apart than this, mm.
STEP = 0.5
# The samples at a move's ends lie so far within it, mm: at an end itself the circle may lie on the
# edge of what was swept before, and nothing could be said of it.
WITHIN = 1e-3
# So many pairs of a circle and a swept move are looked at together, for the memory.
TOGETHER = 200_000
QUARTER = math.pi / 2


@dataclass(frozen=True, slots=True)
class Bite:
    """Samples along the moves that may meet metal, in program order.

    `move` : (n,) which of the level's moves; `share` : (n,) how far along it; `weight` : (n,) mm of
    path that each stands for, 0 for those just at the ends of moves; `phi` : (n,) radians;
    `width` : (n,) mm
    """

    move: Indices
    share: Array
    weight: Array
    phi: Array
    width: Array

    def rows(self, which: np.ndarray) -> Bite:
        """Some of the samples."""
        return Bite(
            self.move[which],
            self.share[which],
            self.weight[which],
            self.phi[which],
            self.width[which],
        )


def bite(level: Level, stock: BaseGeometry, radius: float, *, step: float = STEP) -> Bite:
    """The engagement of a level's cuts, and of its links below the metal's top."""
    along = level.ways.length
    looked = np.nonzero((level.are("cut") | (level.are("link") & level.low)) & (along > 0))[0]
    move, share, weight = _samples(looked, along, step)
    place, heading = level.ways.rows(move).at(share)
    covers = [
        _earlier(level, move, place, radius),
        _itself(level, move, share, place, radius),
        _outside(stock, place, radius),
    ]
    rows, begin, end = (np.concatenate(parts) for parts in zip(*covers, strict=True))
    phi, width = _uncovered(rows, begin - heading[rows], end - heading[rows], len(move))
    return Bite(move, share, weight, phi, width * radius)


def _samples(moves: Indices, along: Array, step: float) -> tuple[Indices, Array, Array]:
    """The middles of equal pieces of every move, and its two ends, which weigh nothing."""
    count = np.maximum(1, np.ceil(along[moves] / step)).astype(np.int64)
    each = count + 2
    move = np.repeat(moves, each)
    k = np.arange(len(move)) - np.repeat(np.cumsum(each) - each, each)
    n = np.repeat(count, each)
    ends = np.minimum(WITHIN / along[move], 0.5 / n)
    share = np.clip((k - 0.5) / n, ends, 1 - ends)
    weight = np.where((k == 0) | (k == n + 1), 0.0, along[move] / n)
    return move, share, weight


def _earlier(
    level: Level, move: Indices, place: Array, radius: float
) -> tuple[Indices, Array, Array]:
    """What the moves before each sample's own have swept."""
    swept = level.ways
    points = level.lands
    # of a way down only the place where it ends
    swept = ClearedLinks(
        np.where(points[:, None], swept.end, swept.start),
        swept.end,
        swept.centre,
        swept.radius,
        np.where(points, 0.0, swept.sweep),
    )
    those = np.nonzero(level.opens | points)[0]
    tree = shapely.STRtree(_boxes(swept.rows(those), 2 * radius))
    row, which = tree.query(shapely.points(place))
    which = those[which]
    before = which < move[row]
    return _parts(place, swept, row[before], which[before], radius)


def _itself(
    level: Level, move: Indices, share: Array, place: Array, radius: float
) -> tuple[Indices, Array, Array]:
    """What an arc has swept before it comes to its own sample; a line leaves all behind it."""
    own = np.nonzero(level.ways.is_arc[move] & (share > 0))[0]
    swept = level.ways.rows(move[own]).cut_off(share[own])
    row, begin, end = swept_parts(place[own], swept, radius)
    return own[row], begin, end


def _parts(
    place: Array, swept: ClearedLinks, row: Indices, which: Indices, radius: float
) -> tuple[Indices, Array, Array]:
    found: list[tuple[Indices, Array, Array]] = []
    for some in _portions(len(row)):
        circle, ways = row[some], swept.rows(which[some])
        x, y = place[circle, :1], place[circle, 1:]
        near = distance(x, y, ways)[:, 0] < 2 * radius
        circle, ways = circle[near], ways.rows(near)
        part, begin, end = swept_parts(place[circle], ways, radius)
        found.append((circle[part], begin, end))
    return (
        np.concatenate([np.empty(0, dtype=np.int64), *(f[0] for f in found)]),
        np.concatenate([np.empty(0), *(f[1] for f in found)]),
        np.concatenate([np.empty(0), *(f[2] for f in found)]),
    )


def _portions(count: int) -> Iterator[slice]:
    for first in range(0, count, TOGETHER):
        yield slice(first, first + TOGETHER)


def _boxes(ways: ClearedLinks, beyond: float) -> np.ndarray:
    """What each may reach, grown by `beyond`."""
    low, high = np.minimum(ways.start, ways.end), np.maximum(ways.start, ways.end)
    arc = ways.is_arc
    low[arc] = np.minimum(low, ways.centre - ways.radius[:, None])[arc]
    high[arc] = np.maximum(high, ways.centre + ways.radius[:, None])[arc]
    return shapely.box(*(low - beyond).T, *(high + beyond).T)


def _outside(stock: BaseGeometry, place: Array, radius: float) -> tuple[Indices, Array, Array]:
    edges = edges_of(stock)
    tree = shapely.STRtree(_boxes(edges, radius))
    row, edge = tree.query(shapely.points(place))
    shapely.prepare(stock)

    def inside(x: Array, y: Array) -> np.ndarray:
        return shapely.contains_xy(stock, x, y)

    return outside_parts(place, edges, (row, edge), radius, inside)


def edges_of(area: BaseGeometry) -> ClearedLinks:
    """The boundary as lines."""
    rings = [shapely.get_coordinates(r) for p in shapely.get_parts(area) for r in _rings(p)]
    start = np.concatenate([r[:-1] for r in rings])
    end = np.concatenate([r[1:] for r in rings])
    none = np.full(len(start), math.nan)
    return ClearedLinks(start, end, np.stack([none, none], axis=1), none, np.zeros(len(start)))


def _rings(polygon: shapely.Polygon) -> list[shapely.LinearRing]:
    return [polygon.exterior, *polygon.interiors]


def _uncovered(rows: Indices, begin: Array, end: Array, count: int) -> tuple[Array, Array]:
    """(count,) measure of the leading half circle outside all parts, and the integral of cos."""
    spread = end - begin
    begin = np.mod(begin + math.pi, math.tau) - math.pi
    # a part that runs past half a turn comes round again
    rows = np.concatenate([rows, rows])
    end = np.concatenate([begin + spread, begin + spread - math.tau])
    begin = np.concatenate([begin, begin - math.tau])
    ahead = (end > -QUARTER) & (begin < QUARTER)
    every, edge = np.arange(count), np.full(count, QUARTER)
    rows = np.concatenate([rows[ahead], every, every])
    begin = np.concatenate([np.maximum(begin[ahead], -QUARTER), -edge, edge])
    end = np.concatenate([np.minimum(end[ahead], QUARTER), -edge, edge])
    # every sample's half circle has a stretch of its own on one long line
    offset = rows * 4.0
    order = np.argsort(begin + offset, kind="stable")
    rows = rows[order]
    begin, reach = begin[order] + offset[order], np.maximum.accumulate((end + offset)[order])
    gap = np.maximum(begin[1:] - reach[:-1], 0.0) * (rows[1:] == rows[:-1])
    high = np.where(gap > 0, begin[1:] - rows[1:] * 4.0, 0.0)
    phi = np.bincount(rows[1:], weights=gap, minlength=count)
    width = np.sin(high) - np.sin(high - gap)
    return phi, np.bincount(rows[1:], weights=width, minlength=count)
