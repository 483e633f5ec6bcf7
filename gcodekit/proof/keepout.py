"""Jaws, clamps and whatever else no cutter, shank or holder may enter, for as long as each is
there: a stop may change the work-holding."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from operator import attrgetter

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.proof.chords import (
    LEAST_TOUCH,
    Array,
    Owners,
    Segments,
    in_feature,
    segments_of,
)
from gcodekit.proof.collision_remedies import Clearing, KeepOutBody, Part
from gcodekit.rs274.program_read import Move, ProblemList
from gcodekit.trade.cutter import Cutter
from gcodekit.units import format_size


@dataclass(frozen=True, slots=True)
class Holding:
    """The bodies that hold the work from the line `first` on."""

    first: int
    bodies: tuple[KeepOutBody, ...]


def stretches_held(
    moves: Sequence[Move], holdings: Sequence[Holding]
) -> Iterator[tuple[Sequence[Move], tuple[KeepOutBody, ...]]]:
    """The moves made in each holding, with its bodies."""
    lines = [h.first for h in holdings]
    cuts = [bisect_left(moves, line, key=attrgetter("line")) for line in lines]
    for holding, (begin, end) in zip(holdings, pairwise([*cuts, len(moves)]), strict=True):
        yield moves[begin:end], holding.bodies


def check_keep_out(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    bodies: Iterable[KeepOutBody],
    problems: ProblemList,
    *,
    owners: Owners,
    stock: BaseGeometry,
) -> None:
    """Every move against every body, with the cutter's, shank's and holder's own radii.

    A move that slopes is taken at its lowest z all along. One problem for a body and a cutter.
    `owners`: which feature a line is for; `stock`: in plan at its top, what clamps press on.
    """
    below = min((c.lowest for c in cutters.values()), default=0.0)
    for body in bodies:
        every = segments_of(moves, cutters, (), top=body.top - below)
        for segments in every:
            found = _meeting(segments, body)
            if found is not None:
                _report(found, body, moves, problems, owners, Clearing(body, every, stock))


@dataclass(frozen=True, slots=True)
class _Meeting:
    """A cutter's moves that come near a body, those of them that enter it (`hit`), and how `deep`
    each is in it, mm; `tips` their lowest z, `bases` where on the cutter the part that enters
    begins, and `ways` the moves in plan."""

    segments: Segments
    hit: NDArray[np.int64]
    deep: Array
    tips: Array
    bases: Array
    ways: NDArray[np.object_]


def _meeting(segments: Segments, body: KeepOutBody) -> _Meeting | None:
    """Find the moves of a cutter that enter a body; None if there are none."""
    segments = segments.rows(_beside(segments, body))
    if not len(segments.move):
        return None
    tips = segments.low
    levels, which = np.unique(tips, return_inverse=True)
    widest = [_widest(segments.cutter, body, float(tip)) for tip in levels]
    radii, bases = (np.array([w[k] for w in widest])[which] for k in (0, 1))
    ends = np.stack((segments.start[:, :2], segments.end[:, :2]), axis=1)
    ways = np.asarray(shapely.linestrings(ends))
    aside: Array = radii - np.asarray(shapely.distance(ways, body.outline))
    hit = np.flatnonzero(aside > LEAST_TOUCH)
    if not len(hit):
        return None
    # out of a body it may be nearer upwards than to the side
    deep: Array = np.minimum(aside, body.top - tips - bases)
    return _Meeting(segments, hit, deep, tips, bases, ways)


def _report(
    met: _Meeting,
    body: KeepOutBody,
    moves: Sequence[Move],
    problems: ProblemList,
    owners: Owners,
    clearing: Clearing,
) -> None:
    segments, deep, units = met.segments, met.deep, problems.units
    first, worst = int(met.hit[0]), int(np.argmax(deep))
    line, worst_line = (moves[int(segments.move[k])].line for k in (first, worst))
    part = part_at(segments.cutter, float(met.bases[first]))
    name = f"cutter {segments.cutter.number}"
    text = f"collision{in_feature(owners.of(line))}: "
    text += f"{part} of {name}" if part else name
    text += f" into {body.name}, {format_size(float(deep[first]), units)} deep"
    if deep[worst] > deep[first] + LEAST_TOUCH:
        text += f", {format_size(float(deep[worst]), units)}"
        text += f" on line {worst_line}" if worst_line != line else " further on in the move"
    x, y = shapely.shortest_line(met.ways[first], body.outline).coords[0]
    entered = segments.rows(met.hit)
    rapids = all(moves[int(k)].kind == "rapid" for k in entered.move)
    hint = clearing.hint(entered, part, rapids=rapids, units=units)
    problems.error(text, line=line, where=(x, y, float(met.tips[first])), hint=hint)


def _beside(segments: Segments, body: KeepOutBody) -> NDArray[np.bool_]:
    """Those that could at all meet a body: its box, and the widest there is about the cutter."""
    cutter = segments.cutter
    held = cutter.holder.diameter / 2 if cutter.holder is not None else 0.0
    widest = max(cutter.radius, cutter.shank / 2, held)
    widest = max(widest, cutter.nut.diameter / 2 if cutter.nut is not None else 0.0)
    x0, y0, x1, y1 = body.outline.bounds
    low, high = (end(segments.start, segments.end) for end in (np.minimum, np.maximum))
    in_plan = (low[:, :2] < (x1 + widest, y1 + widest)) & (high[:, :2] > (x0 - widest, y0 - widest))
    found: NDArray[np.bool_] = in_plan.all(axis=1) & (low[:, 2] + cutter.lowest < body.top)
    return found


def _widest(cutter: Cutter, body: KeepOutBody, tip: float) -> tuple[float, float]:
    """The widest radius between the body's bottom and top, and how high above the tip that part of
    the cutter, shank or holder begins."""
    low, high = max(cutter.lowest, body.bottom - tip), body.top - tip
    if high <= cutter.lowest:
        return -1.0, 0.0
    steps = (0.0, cutter.point_length, cutter.flute_length, cutter.reach or 0.0, cutter.stickout)
    heights = [low, high - LEAST_TOUCH, *(h for h in steps if low <= h < high - LEAST_TOUCH)]
    # of equal radii the lowest: a shank as wide as its cutter adds nothing
    radius, above = max((cutter.body_radius_at(max(h, cutter.lowest)), -h) for h in heights)
    return radius, max((b for b in (0.0, *_bases(cutter)) if b <= -above), default=cutter.lowest)


def _bases(cutter: Cutter) -> tuple[float, ...]:
    """The heights above the tip at which shank and holder begin."""
    return (cutter.flute_length, *((cutter.stickout,) if cutter.holder is not None else ()))


def part_at(cutter: Cutter, base: float) -> Part:
    """The part that begins so high above the tip, "" for the cutter itself."""
    if base < 0.0:
        return "nut"
    if base < cutter.flute_length:
        return ""
    held = cutter.holder is not None and base >= cutter.stickout
    return "holder" if held else "shank"
