"""Feed by engagement: each level cut of roughing at the feed that the stock in its way allows."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.operations.planned_operation import PlannedOperation
from gcodekit.toolpath.cuts_in_plan import Cuts, arc_of, cuts_of
from gcodekit.toolpath.engagement import Looks, Reuse, engagements
from gcodekit.toolpath.moves import ArcFeed, Feed, Move
from gcodekit.trade.cutter import SIDE_MILLS
from gcodekit.trade.slotting_rates import SlottingRates

Array = NDArray[np.float64]

# The feed is down this far before what asks for it, and up this far behind, in cutter radii.
AHEAD = 0.75
# A quicker stretch shorter than this is not worth two changes, in cutter radii.
SHORTEST_STRETCH = 1.5
# Feeds go in steps of this ratio: the machine would not notice less. Common practice, no source.
FEED_STEP = 1.15
# So near the next step, in steps, a feed is at it: 4 % are less than anyone knows of the metal.
NEAR_STEP = 0.3
# Once a ramp or helix has come this near a level, in depths of cut, the level is open there.
WEDGE = 0.3
# A cut's section is asked for this far above its floor, mm.
ABOVE_FLOOR = 1e-3


@dataclass(frozen=True, slots=True)
class FedOperation:
    """A draft with its feeds set, and the most of the cutter that meets metal in level cuts,
    radians; None where they are fed alike."""

    draft: PlannedOperation
    most: float | None


def feeds_by_engagement(
    drafts: Sequence[PlannedOperation], stands: Callable[[float, float], BaseGeometry]
) -> list[FedOperation]:
    """Every draft that has feeds by width with them set along its path; `stands` gives what stands
    between two heights before the program, in plan."""
    done: list[Cuts] = []
    fed: list[FedOperation] = []
    reuse = Reuse()
    for draft in drafts:
        if draft.cutter.kind not in SIDE_MILLS:
            fed.append(FedOperation(draft, None))
            continue
        cuts = cuts_of(draft.moves, draft.cutter.radius)
        if draft.following is None:
            fed.append(FedOperation(draft, None))
        else:
            looks = list(_looks(cuts, stands, done, draft.following, reuse))
            moves = _with_feeds(draft, looks)
            most = max((float(a.angle.max(initial=0.0)) for a in looks), default=0.0)
            fed.append(FedOperation(replace(draft, moves=moves), most))
        done.append(cuts)
    return fed


def _looks(
    cuts: Cuts,
    stands: Callable[[float, float], BaseGeometry],
    done: Sequence[Cuts],
    follow: SlottingRates,
    reuse: Reuse,
) -> list[Looks]:
    """At every height of a draft, with the metal that a pass as deep as the deepest meets there."""
    near = [c for c in done if _meet(c, cuts)]
    heights = sorted({float(z) for z in cuts.tip[cuts.level]}, reverse=True)
    above, step = follow.skim + ABOVE_FLOOR, follow.rates.stepdown
    return [
        engagements(
            cuts,
            z,
            stands(z + above, z + max(above, step)),
            near,
            above=above,
            wedge=WEDGE * step,
            reuse=reuse,
        )
        for z in heights
    ]


def _meet(a: Cuts, b: Cuts) -> bool:
    """Tell whether what two drafts sweep may overlap in plan."""
    if not len(a.tip) or not len(b.tip):
        return False
    boxes = []
    for c in (a, b):
        low = np.minimum(c.start.min(axis=0), c.end.min(axis=0)) - c.radius
        boxes.append((low, np.maximum(c.start.max(axis=0), c.end.max(axis=0)) + c.radius))
    (low_a, high_a), (low_b, high_b) = boxes
    return bool((low_a <= high_b).all() and (low_b <= high_a).all())


def _with_feeds(draft: PlannedOperation, looks: Sequence[Looks]) -> tuple[Move, ...]:
    """The moves, parted where the feed changes."""
    assert draft.following is not None
    feeds: dict[int, tuple[Array, Array]] = {}
    for each in looks:
        wanted = _smooth(each, draft)
        for index in np.unique(each.move):
            own, move = each.move == index, draft.moves[int(index)]
            # a way back through what is cleared may be quicker than any cut
            quick = isinstance(move, Feed | ArcFeed) and move.feed > draft.following.feeds[0]
            if each.angle[own].any() or not quick:
                feeds[int(index)] = (each.at[own], wanted[own])
    moves: list[Move] = []
    at: Point | None = None
    for index, move in enumerate(draft.moves):
        if index in feeds and isinstance(move, Feed | ArcFeed) and at is not None:
            moves += _parted(at, move, *feeds[index])
        else:
            moves.append(move)
        x, y = getattr(move, "x", None), getattr(move, "y", None)
        at = at if x is None or y is None else (x, y)
    return tuple(moves)


def _smooth(looks: Looks, draft: PlannedOperation) -> Array:
    """A feed for each place: that of the most metal within reach ahead and behind, in steps."""
    follow, radius = draft.following, draft.cutter.radius
    assert follow is not None
    width = radius * (1 - np.cos(looks.angle))
    feed = np.array([follow.feed(float(w)) for w in width])
    quickest, slowest = follow.feeds[0], follow.feeds[-1]
    step = np.floor(np.log(feed / quickest) / math.log(FEED_STEP) + NEAR_STEP).astype(int)
    along = _along(looks)
    step = _lowest_within(step, along, AHEAD * radius)
    step = _without_short(step, along, SHORTEST_STRETCH * radius)
    found: Array = np.maximum(quickest * FEED_STEP ** step.astype(float), slowest)
    return found


def _along(looks: Looks) -> Array:
    """The distances from the first place along the whole level, one move after the other, mm."""
    gaps = np.where(np.diff(looks.move) != 0, 0.0, np.diff(looks.at))
    found: Array = np.concatenate(([0.0], np.cumsum(gaps)))
    return found


def _lowest_within(step: NDArray[np.int64], along: Array, reach: float) -> NDArray[np.int64]:
    first = np.searchsorted(along, along - reach, side="left")
    last = np.searchsorted(along, along + reach, side="right")
    return np.array([step[a:b].min() for a, b in zip(first, last, strict=True)])


def _without_short(step: NDArray[np.int64], along: Array, shortest: float) -> NDArray[np.int64]:
    """Quicker stretches shorter than that go at the quicker of their neighbours' feeds."""
    found = step.copy()
    for level in np.unique(step)[::-1]:
        over = np.concatenate(([False], found >= level, [False])).astype(int)
        edges = np.flatnonzero(np.diff(over))
        for a, b in zip(edges[::2], edges[1::2], strict=True):
            if along[b - 1] - along[a] < shortest and (a > 0 or b < len(found)):
                beside = [found[a - 1]] if a > 0 else []
                beside += [found[b]] if b < len(found) else []
                found[a:b] = np.minimum(found[a:b], max(beside))
    return found


def _parted(at: Point, move: Feed | ArcFeed, places: Array, feeds: Array) -> list[Move]:
    """One move in pieces with a feed each; `places` are mm along its chords."""
    changes = np.flatnonzero(np.diff(feeds)) + 1
    # the last place is where it ends
    cuts = [float(places[k - 1] + places[k]) / 2 for k in changes]
    shares = [0.0, *(c / float(places[-1]) for c in cuts), 1.0]
    firsts = [0, *(int(k) for k in changes)]
    pieces: list[Move] = []
    for (_, b), first in zip(pairwise(shares), firsts, strict=True):
        pieces.append(_until(at, move, b, float(feeds[first])))
    return pieces


def _until(at: Point, move: Feed | ArcFeed, share: float, feed: float) -> Move:
    """The move as far as a share of it, the rest of it to follow."""
    if share >= 1.0:
        return replace(move, feed=feed)
    if isinstance(move, Feed):
        x, y = at[0] + share * (move.x - at[0]), at[1] + share * (move.y - at[1])
        return replace(move, x=x, y=y, feed=feed)
    arc = arc_of(at, move)
    x, y = arc.point_at(share * arc.length)
    return replace(move, x=x, y=y, feed=feed)
