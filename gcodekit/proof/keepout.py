"""Jaws, clamps and whatever else no cutter, shank or holder may enter, while each of them stands:
a stop may change what holds the work."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from operator import attrgetter
from typing import Protocol

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gcodekit.proof.chords import LEAST_TOUCH, Array, Segments, segments_of
from gcodekit.rs274.program_read import Move, ProblemList
from gcodekit.trade.cutter import Cutter


class KeepOutBody(Protocol):
    """An upright body: `outline` in plan, from `bottom` to `top`, program coordinates, mm."""

    @property
    def name(self) -> str:
        """What the operator calls it."""

    @property
    def outline(self) -> BaseGeometry:
        """In plan."""

    @property
    def bottom(self) -> float:
        """z."""

    @property
    def top(self) -> float:
        """z."""


@dataclass(frozen=True, slots=True)
class Holding:
    """The bodies that stand from the line `first` on."""

    first: int
    bodies: tuple[KeepOutBody, ...]


def stretches_held(
    moves: Sequence[Move], holdings: Sequence[Holding]
) -> Iterator[tuple[Sequence[Move], tuple[KeepOutBody, ...]]]:
    """The moves that are made while each holding stands."""
    lines = [h.first for h in holdings]
    cuts = [bisect_left(moves, line, key=attrgetter("line")) for line in lines]
    for holding, (begin, end) in zip(holdings, pairwise([*cuts, len(moves)]), strict=True):
        yield moves[begin:end], holding.bodies


def check_keep_out(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    bodies: Iterable[KeepOutBody],
    problems: ProblemList,
) -> None:
    """Every move against every body, with the cutter's, shank's and holder's own radii.

    A move that slopes is taken at its lowest z all along. One problem for a body and a cutter.
    """
    for body in bodies:
        for segments in segments_of(moves, cutters, (), top=body.top):
            _check(segments, body, moves, problems)


def _check(
    segments: Segments, body: KeepOutBody, moves: Sequence[Move], problems: ProblemList
) -> None:
    segments = segments.rows(_beside(segments, body))
    if not len(segments.move):
        return
    tips = segments.low
    levels, which = np.unique(tips, return_inverse=True)
    widest = [_widest(segments.cutter, body, float(tip)) for tip in levels]
    radii, bases = (np.array([w[k] for w in widest])[which] for k in (0, 1))
    ends = np.stack((segments.start[:, :2], segments.end[:, :2]), axis=1)
    ways = np.asarray(shapely.linestrings(ends))
    aside: Array = radii - np.asarray(shapely.distance(ways, body.outline))
    hit = np.flatnonzero(aside > LEAST_TOUCH)
    if not len(hit):
        return
    # out of a body it may be nearer upwards than to the side
    deep: Array = np.minimum(aside, body.top - tips - bases)
    first, worst = int(hit[0]), int(np.argmax(deep))
    part = _part(segments.cutter, float(bases[first]))
    text = f"{part}cutter {segments.cutter.number} runs into {body.name}, {deep[first]:.3f} mm"
    line, worst_line = (moves[int(segments.move[k])].line for k in (first, worst))
    if deep[worst] > deep[first] + LEAST_TOUCH:
        text += f", and {deep[worst]:.3f} mm"
        text += f" in line {worst_line}" if worst_line != line else " farther on in it"
    x, y = shapely.shortest_line(ways[first], body.outline).coords[0]
    problems.error(text, line=line, where=(x, y, float(tips[first])))


def _beside(segments: Segments, body: KeepOutBody) -> NDArray[np.bool_]:
    """Those that could at all meet a body: its box, and the widest there is about the cutter."""
    cutter = segments.cutter
    held = cutter.holder.diameter / 2 if cutter.holder is not None else 0.0
    widest = max(cutter.radius, cutter.shank / 2, held)
    x0, y0, x1, y1 = body.outline.bounds
    low, high = (end(segments.start, segments.end) for end in (np.minimum, np.maximum))
    in_plan = (low[:, :2] < (x1 + widest, y1 + widest)) & (high[:, :2] > (x0 - widest, y0 - widest))
    found: NDArray[np.bool_] = in_plan.all(axis=1) & (low[:, 2] < body.top)
    return found


def _widest(cutter: Cutter, body: KeepOutBody, tip: float) -> tuple[float, float]:
    """The widest radius between the body's bottom and top, and how high above the tip that part of
    the cutter, shank or holder begins."""
    low, high = max(0.0, body.bottom - tip), body.top - tip
    if high <= 0:
        return -1.0, 0.0
    steps = (cutter.point_length, cutter.flute_length, cutter.reach or 0.0, cutter.stickout)
    heights = [low, high - LEAST_TOUCH, *(h for h in steps if low <= h < high - LEAST_TOUCH)]
    # of equal radii the lowest: a shank as wide as its cutter adds nothing
    radius, above = max((cutter.body_radius_at(max(h, 0.0)), -h) for h in heights)
    return radius, max((b for b in (0.0, *_bases(cutter)) if b <= -above), default=0.0)


def _bases(cutter: Cutter) -> tuple[float, ...]:
    """Find where the shank begins, and the holder."""
    return (cutter.flute_length, *((cutter.stickout,) if cutter.holder is not None else ()))


def _part(cutter: Cutter, base: float) -> str:
    """Find which part begins so high above the tip."""
    if base < cutter.flute_length:
        return ""
    held = cutter.holder is not None and base >= cutter.stickout
    return "the holder of " if held else "the shank of "
