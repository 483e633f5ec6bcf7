"""A program's moves as straight segments, arcs by chords of stated sag."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gcodekit.rs274.program_read import PLANE_AXES, Move, Point3
from gcodekit.trade.cutter import Cutter

# Chords stay this near their arc, mm. With the sag of a section's discs, 0.0003 mm, an edge of a
# section is never more than 0.0005 mm inside the true one, and never outside it but for chords on
# the inner side of an arc. That is the proof's share of the error budget.
PATH_SAG = 0.0002
# What touches metal or a holding by less than this, mm, is within what proof and text's last
# decimal can tell.
LEAST_TOUCH = 0.002
# Heights nearer than this are one, mm.
ONE_HEIGHT = 1e-7

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FeatureLines:
    """Lines `first` to `last` of the program belong to a feature. `set_to`: the diameter that the
    boring head is set to for them, mm."""

    feature: str
    first: int
    last: int
    set_to: float | None = None


@dataclass(frozen=True, slots=True)
class Segments:
    """Straight tip paths of one cutter for one feature ("" for none), in program order.

    `start`, `end` : (n, 3) mm; `move` : (n,) index of the move each belongs to
    """

    cutter: Cutter
    owner: str
    start: Array
    end: Array
    move: NDArray[np.int64]

    @property
    def low(self) -> Array:
        """(n,) z of each one's lower end."""
        return np.minimum(self.start[:, 2], self.end[:, 2])

    @property
    def high(self) -> Array:
        """(n,) z of each one's upper end."""
        return np.maximum(self.start[:, 2], self.end[:, 2])

    def cuts_at(self, z: float) -> NDArray[np.bool_]:
        """(n,) whether the cutter is at height z somewhere on each: a blade only while it is not
        above it with its underside, nor below it with its top."""
        found: NDArray[np.bool_] = self.low <= z + ONE_HEIGHT
        if self.cutter.is_blade:
            found &= self.high > z - self.cutter.flute_length + ONE_HEIGHT
        return found

    @property
    def upright(self) -> NDArray[np.bool_]:
        """(n,) whether each goes straight up or down."""
        found: NDArray[np.bool_] = (self.start[:, :2] == self.end[:, :2]).all(axis=1)
        return found

    def rows(self, which: NDArray[Any]) -> Segments:
        """Some of the segments: indices or a mask."""
        return Segments(
            self.cutter, self.owner, self.start[which], self.end[which], self.move[which]
        )


def points_of(move: Move) -> list[Point3]:
    """The move's path: start, end, and points on the arc between, no chord off by more than
    PATH_SAG."""
    curve = move.curve
    if curve is None:
        return [move.start, move.end]
    n = max(1, math.ceil(abs(curve.sweep) / _chord_angle(curve.radius)))
    inner = _points_on(move, np.arange(1, n) / n)
    return [move.start, *map(tuple, inner.tolist()), move.end]


def point_on(move: Move, share: float) -> Point3:
    """The point at a share of an arc or helix."""
    x, y, z = _points_on(move, np.array([share]))[0].tolist()
    return (x, y, z)


def _points_on(move: Move, shares: Array) -> Array:
    """(n, 3) points of an arc or helix."""
    curve = move.curve
    assert curve is not None
    first, second, axial = PLANE_AXES[curve.plane]
    ca, cb = curve.centre[first], curve.centre[second]
    a0, b0 = move.start[first] - ca, move.start[second] - cb
    r0 = math.hypot(a0, b0)
    r1 = math.hypot(move.end[first] - ca, move.end[second] - cb)
    r, angle = r0 + (r1 - r0) * shares, math.atan2(b0, a0) + curve.sweep * shares
    points = np.empty((len(shares), 3))
    points[:, first] = ca + r * np.cos(angle)
    points[:, second] = cb + r * np.sin(angle)
    points[:, axial] = move.start[axial] + (move.end[axial] - move.start[axial]) * shares
    return points


def _chord_angle(radius: float) -> float:
    return 2 * math.acos(max(0.7, 1 - PATH_SAG / max(radius, PATH_SAG)))


def chord_count(moves: Iterable[Move]) -> int:
    """The number of segments these moves make."""
    return sum(
        math.ceil(abs(m.curve.sweep) / _chord_angle(m.curve.radius)) if m.curve else 1
        for m in moves
    )


def turning_points(move: Move) -> list[Point3]:
    """The ends of a move, and where an arc is farthest out along an axis of its plane."""
    curve = move.curve
    if curve is None:
        return [move.start, move.end]
    first, second, _ = PLANE_AXES[curve.plane]
    angle = math.atan2(
        move.start[second] - curve.centre[second], move.start[first] - curve.centre[first]
    )
    quarter = math.pi / 2
    found = [move.start, move.end]
    for k in range(4):
        turned = (k * quarter - angle) % math.tau
        if curve.sweep < 0:
            turned = (angle - k * quarter) % math.tau
        if 0 < turned < abs(curve.sweep):
            found.append(point_on(move, turned / abs(curve.sweep)))
    return found


def tip_path(move: Move) -> list[Point3]:
    """The path the proof sweeps: all of it where the start is known, else as from above: the
    end alone; nothing where the end is not known."""
    if move.known_before == "XYZ" and move.known == "XYZ":
        return points_of(move)
    return [move.end, move.end] if move.known == "XYZ" else []


def lowest(move: Move) -> float:
    """The lowest z of the tip on this move."""
    if move.curve is not None and move.curve.plane != 17:
        return min(p[2] for p in turning_points(move))
    return min(move.start[2], move.end[2])


def lowest_reached(move: Move) -> float:
    """The same of a move to a known place: from one not known it comes from above."""
    return lowest(move) if move.known_before == "XYZ" else move.end[2]


class Owners:
    """Which feature a line of the program belongs to."""

    def __init__(self, ranges: Iterable[FeatureLines]) -> None:
        self._ranges = sorted(ranges, key=lambda r: r.first)
        self._firsts = [r.first for r in self._ranges]

    def of(self, line: int) -> str:
        """Name of the feature, "" for none."""
        found = self.range_of(line)
        return found.feature if found else ""

    def range_of(self, line: int) -> FeatureLines | None:
        """The range it lies in."""
        at = bisect_right(self._firsts, line) - 1
        return self._ranges[at] if at >= 0 and line <= self._ranges[at].last else None


def in_feature(owner: str) -> str:
    """The feature, in a problem's text; nothing for none."""
    return f" in {owner}" if owner else ""


def segments_of(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    ranges: Iterable[FeatureLines],
    *,
    top: float,
    settings: Mapping[int, float] = MappingProxyType({}),
) -> tuple[Segments, ...]:
    """Every move that comes below `top`, by cutter and feature. `settings`: the diameter a boring
    head is set to, by the move's index."""
    owners = Owners(ranges)
    found: dict[tuple[int, str, float | None], tuple[list[Point3], list[Point3], list[int]]] = {}
    for index, move in enumerate(moves):
        if move.cutter not in cutters or lowest_reached(move) >= top:
            continue
        path = tip_path(move)
        if not path:
            continue
        key = (move.cutter, owners.of(move.line), settings.get(index))
        starts, ends, numbers = found.setdefault(key, ([], [], []))
        starts += path[:-1]
        ends += path[1:]
        numbers += [index] * (len(path) - 1)
    return tuple(
        Segments(
            cutters[n] if set_to is None else replace(cutters[n], diameter=set_to),
            owner,
            np.array(s),
            np.array(e),
            np.array(i, dtype=np.int64),
        )
        for (n, owner, set_to), (s, e, i) in found.items()
    )


def segments_of_path(path: Sequence[Point3], cutter: Cutter) -> Segments:
    """One path on its own."""
    points = np.array(path)
    return Segments(cutter, "", points[:-1], points[1:], np.zeros(len(points) - 1, dtype=np.int64))


def each_cutter(segments: Iterable[Segments]) -> Iterator[tuple[Cutter, list[Segments]]]:
    """The segments of each cutter, over all features."""
    groups: dict[int, list[Segments]] = {}
    for s in segments:
        groups.setdefault(s.cutter.number, []).append(s)
    for group in groups.values():
        yield group[0].cutter, group
