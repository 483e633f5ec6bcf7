"""Gouges, each reported on the line that makes it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain

import shapely

from gcodekit.geometry.overlay import less, union
from gcodekit.proof.chords import Segments, in_feature
from gcodekit.proof.cutter_room import CutterRoom, room_at
from gcodekit.proof.findings import Blank, TargetSlices
from gcodekit.proof.reach import SPACE_NEAR
from gcodekit.proof.sections import section
from gcodekit.proof.walls import GougeDepths, GougeStretch, first_through, lowest_over
from gcodekit.rs274.program_read import Move, Point3, ProblemList
from gcodekit.units import format_coordinate, format_size

# Stretches of lines of one feature that are told one by one, the worst of them.
MOST_TOLD = 8


@dataclass(frozen=True, slots=True)
class _GougeTold:
    """The gouge of a stretch of lines; `move` is the index of the move that names it."""

    move: int
    segments: Segments
    distance: float
    where: Point3


class Gouges:
    """The lines of each feature that go into the finished part."""

    def __init__(
        self,
        segments: Iterable[Segments],
        moves: tuple[Move, ...],
        target: TargetSlices,
        blank: Blank,
        *,
        tolerance: float,
    ) -> None:
        self._moves, self._target, self._blank = moves, target, blank
        self._tolerance = tolerance
        self._groups: dict[str, list[Segments]] = {}
        for s in segments:
            self._groups.setdefault(s.owner, []).append(s)
        self._into: dict[str, list[GougeDepths]] = {}

    def look(self, owner: str, room: CutterRoom, z: float, *, allowed: float) -> None:
        """Find the lines of a feature that go in farther than `allowed`, mm, in one plane."""
        kept = less(room.metal, room.allowed)
        into = self._into.setdefault(owner, [GougeDepths(s) for s in self._groups[owner]])
        for each in into:
            each.look(kept, z, allowed=allowed)

    def report(
        self, owner: str, distance: float, where: Point3, problems: ProblemList, *, allowed: float
    ) -> None:
        """Report the worst place of a feature, and every other stretch of lines that goes in."""
        stretches = list(chain.from_iterable(i.stretches() for i in self._into.get(owner, ())))
        stretches.sort(key=lambda s: -s.depth)
        move = first_through(where, self._groups[owner])
        own = next((s for s in stretches if move in s.segments.move), None)
        others = [s for s in stretches if s is not own]
        told = [
            _GougeTold(move, own.segments if own else self._of_move(owner, move), distance, where)
        ]
        for stretch in others[: MOST_TOLD - 1]:
            told += self._measured(stretch, allowed)
        lines = set[int]()
        for each in told:
            # a cycle's hole is one line, whatever its cutter's stretches
            if self._moves[each.move].line not in lines:
                lines.add(self._moves[each.move].line)
                self._say(owner, each, problems)
        if left := sorted(self._moves[s.worst].line for s in others[MOST_TOLD - 1 :]):
            places = "places" if len(left) > 1 else "place"
            text = f"{len(left)} more {places}, the last on line {left[-1]}"
            problems.error(f"gouge{in_feature(owner)}: {text}", line=left[0])

    def _of_move(self, owner: str, move: int) -> Segments:
        return next(s.rows(s.move == move) for s in self._groups[owner] if move in s.move)

    def _measured(self, stretch: GougeStretch, allowed: float) -> list[_GougeTold]:
        """A stretch by its own cut; nothing if that is within what is allowed."""
        z = stretch.z
        taken = union(section(stretch.segments, z))
        found = room_at(self._target.slice(z), self._blank).gouge(taken)
        if found.distance <= allowed or found.at is None:
            return []
        where = (*found.at, z)
        move = first_through(where, [stretch.segments])
        return [_GougeTold(move, stretch.segments, found.distance, where)]

    def _say(self, owner: str, told: _GougeTold, problems: ProblemList) -> None:
        units = problems.units
        text, move = f"{format_size(told.distance, units)} into the finished part", told.move
        floor = self._floor(told.where)
        if floor is not None:
            z, deepest = lowest_over(told.where, told.segments)
            if floor - z < told.distance + SPACE_NEAR:
                deep, at = format_size(floor - z, units), format_coordinate(floor, units)
                text, move = f"{deep} too deep, the floor is at Z{at}", deepest
        first, last = (self._moves[int(told.segments.move[k])].line for k in (0, -1))
        if first != last:
            text += f" (lines {first} to {last})"
        line = self._moves[move].line
        problems.error(f"gouge{in_feature(owner)}: {text}", line=line, where=told.where)

    def _floor(self, where: Point3) -> float | None:
        """The lowest floor drawn over a place; None where there is none."""
        place = shapely.Point(where[:2])
        for level in sorted(level for level in self._target.levels if level > where[2]):
            asked = self._target.slice(level + self._tolerance)
            if asked.required.covers(place) or asked.allowed.covers(place):
                return None if asked.kept.covers(place) else level
        return None
