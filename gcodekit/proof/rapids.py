"""Rapids, in program order, against the stock that is left when they are made."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, common, less, union
from gcodekit.proof.chords import (
    LEAST_TOUCH,
    ONE_HEIGHT,
    Array,
    Segments,
    lowest,
    lowest_reached,
    segments_of_path,
    tip_path,
)
from gcodekit.proof.findings import Blank
from gcodekit.proof.reach import reach
from gcodekit.proof.sections import section
from gcodekit.rs274.program_read import CircularPart, Move, Point3, ProblemList
from gcodekit.trade.cutter import Cutter
from gcodekit.units import format_coordinate, format_size

# Heights looked at along a rapid that goes down at a slope, or up a tapered point.
SLOPE_HEIGHTS = 8
# Segments taken away at once from what may still stand.
BATCH = 400
# Rapids through metal that are each said, and that are looked for at all.
MOST_RAPIDS_SAID, MOST_FOUND = 8, 500


class StandingMetal:
    """The metal standing before any move of the program, near a path."""

    def __init__(self, segments: Sequence[Segments], blank: Blank) -> None:
        self.blank = blank
        self.segments = tuple(segments)
        self._metal: dict[float, BaseGeometry] = {}
        self._group = np.concatenate(
            [np.full(len(s.move), g) for g, s in enumerate(segments)] or [np.zeros(0, dtype=int)]
        )
        self._index = np.concatenate(
            [np.arange(len(s.move)) for s in segments] or [np.zeros(0, dtype=int)]
        )
        self._move = np.concatenate([s.move for s in segments] or [np.zeros(0, dtype=int)])
        self._tree = STRtree([box for s in segments for box in _boxes(s)])
        blades = (s for s in segments if s.cutter.is_blade)
        tops = {round(float(z) + s.cutter.flute_length, 6) for s in blades for z in s.high}
        # heights over which there may be more metal than below
        self.levels = tuple(sorted({*blank.levels, *(z for z in tops if z < blank.top)}))

    def metal(self, z: float) -> BaseGeometry:
        """The blank at z."""
        if z not in self._metal:
            found = self.blank.at(z)
            shapely.prepare(found)
            self._metal[z] = found
        return self._metal[z]

    def within(self, swept: BaseGeometry, z: float, before: int) -> BaseGeometry:
        """The stock left at z within `swept` when the move of index `before` begins; where hardly
        a hair does, perhaps a hair too much."""
        metal = self.metal(z)
        if swept.is_empty or not metal.intersects(swept):
            return EMPTY
        there = common(swept, metal)
        hit = self._tree.query(there)
        hit = np.sort(hit[self._move[hit] < before])
        # the latest first, and no more of them than it takes: mostly what was cut just before
        # has cut it all
        hit = hit[np.argsort(self._move[hit], kind="stable")]
        while len(hit) and not there.buffer(-LEAST_TOUCH / 2).is_empty:
            hit, latest = hit[:-BATCH], hit[-BATCH:]
            there = self._less_cut(there, z, np.sort(latest))
        return there

    def _less_cut(self, there: BaseGeometry, z: float, rows: NDArray[np.int64]) -> BaseGeometry:
        """The part of it that some of the segments leave."""
        pieces: list[BaseGeometry] = []
        for g in np.unique(self._group[rows]):
            if self.segments[g].cutter.leaves_ridges:  # what is between its grooves stays
                continue
            of_group = self._index[rows[self._group[rows] == g]]
            pieces += section(once_in_plan(self.segments[g].rows(of_group), z), z)
        return less(there, union(pieces)) if pieces else there

    def clear_of(self, x: float, y: float, cutter: Cutter, low: float, before: int) -> bool:
        """Tell whether one earlier segment alone has cut all that a cutter straight above x, y
        meets with its tip at `low` or higher: a disc as wide, or the same cutter there as deep. A
        quick yes; no is not known."""
        hit = self._tree.query(shapely.Point(x, y))
        hit = hit[self._move[hit] < before]
        for g in np.unique(self._group[hit]):
            if self.segments[g].cutter.undercuts:
                continue
            s = self.segments[g].rows(self._index[hit[self._group[hit] == g]])
            away = distances(s, x, y)
            whole = s.high + s.cutter.point_length <= low + LEAST_TOUCH
            if (away[whole] + cutter.radius <= s.cutter.radius + LEAST_TOUCH / 2).any():
                return True
            deep = s.upright & (s.low <= low) & (away == 0.0)
            if s.cutter == cutter and deep.any():
                return True
        return False


def distances(s: Segments, x: float, y: float) -> Array:
    """The distance from a point to each segment, in plan."""
    a = s.start[:, :2]
    way = s.end[:, :2] - a
    off = np.array((x, y)) - a
    t = np.clip((off * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-18), 0.0, 1.0)
    found: Array = np.hypot(*(off - t[:, None] * way).T)
    return found


def once_in_plan(s: Segments, z: float) -> Segments:
    """Without the segments that cut at z just what another does: a helix goes round one way many
    times."""
    if s.cutter.is_blade:
        return s
    whole = s.high + s.cutter.point_length <= z
    ways = np.concatenate((s.start[:, :2], s.end[:, :2]), axis=1)
    _, first = np.unique(ways[whole], axis=0, return_index=True)
    keep = ~whole
    keep[np.flatnonzero(whole)[first]] = True
    return s.rows(keep)


def _boxes(s: Segments) -> list[BaseGeometry]:
    """Lines from corner to corner: a tree asks for nothing but their boxes."""
    r = s.cutter.radius
    low = np.minimum(s.start, s.end)[:, :2] - r
    high = np.maximum(s.start, s.end)[:, :2] + r
    lines = np.asarray(shapely.linestrings(np.stack((low, high), axis=1)))
    return list(lines)


def check_rapids(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    standing: StandingMetal,
    problems: ProblemList,
) -> None:
    """Every rapid, and every move from a place not known."""
    top = standing.blank.top
    unknown_z = 0
    found: list[_Through] = []
    ways: set[tuple[Point3, Point3, int, CircularPart | None]] = set()
    for index, move in enumerate(moves):
        if len(found) == MOST_FOUND:
            text = f"{MOST_FOUND} rapids into stock: those after this one are not checked"
            problems.error(text, line=move.line)
            break
        if move.known_before == "XYZ" and move.known == "XYZ":
            way = (move.start, move.end, move.cutter, move.curve)
            low = lowest(move) < top - LEAST_TOUCH and move.cutter in cutters
            # the same way again with the same cutter meets nothing; a boring head may be set wider
            if move.kind == "rapid" and low and way not in ways:
                found += _through(index, moves, cutters[move.cutter], standing)
            if low and cutters[move.cutter].kind != "boring head":
                ways.add(way)
        else:
            unknown_z = _check_unknown(move, top, unknown_z, problems)
            rapid_down = (
                move.kind == "rapid" and move.known == "XYZ" and move.end[2] < top - LEAST_TOUCH
            )
            if rapid_down and move.cutter in cutters:
                found += _through(index, moves, cutters[move.cutter], standing)
    _report(found, top, problems)


def _report(found: Sequence[_Through], clear: float, problems: ProblemList) -> None:
    """The first of them; a clearance that is too low meets metal in every rapid, and is one
    mistake."""
    rest = found[MOST_RAPIDS_SAID:]
    top = format_coordinate(clear, problems.units)
    for number, each in enumerate(found[:MOST_RAPIDS_SAID], 1):
        more = ""
        if rest and number == MOST_RAPIDS_SAID:
            worst = max(rest, key=lambda t: t.worst)
            deepest = format_size(worst.worst, problems.units)
            more = f" (and {len(rest)} more rapids, {deepest} deep on line {worst.line})"
        text = f"rapid into stock, {format_size(each.worst, problems.units)} deep"
        hint = "feed down instead (G1)" if each.plunges else f"retract above Z{top} first"
        problems.error(text + more, line=each.line, where=each.where, hint=hint)


def _check_unknown(move: Move, top: float, before: int, problems: ProblemList) -> int:
    """A move from or to a place not known; the number of x, y moves so far without any z."""
    sideways = move.start[:2] != move.end[:2] or len(move.known) > len(move.known_before)
    upright = "XY" in move.known_before and move.start[:2] == move.end[:2]
    if move.kind != "rapid" and move.known == "XYZ" and upright:
        # straight down to its first z: counts as from above
        return 0
    if move.kind != "rapid":
        axes = ", ".join(a for a in "XYZ" if a not in move.known_before)
        text = f"feed move from an unknown position: {axes} not commanded before"
        problems.error(text, line=move.line, hint="go to the start with G0 first")
    elif "Z" not in move.known:
        sideways = sideways or move.start != move.end
        if sideways and before == 0:
            text = "X and Y move before Z is known; assumed clear of the work"
            problems.warn(text, line=move.line, hint="raise Z first")
        elif sideways and before == 1:
            text = "X and Y move again before Z is known: the cutter may be in the stock"
            problems.error(text, line=move.line, hint="raise Z first")
        return before + int(sideways)
    elif move.end[2] < top - LEAST_TOUCH and not {"X", "Y"} <= set(move.known):
        z = format_coordinate(move.end[2], problems.units)
        text = f"down to Z{z}, below the top of the stock, at an unknown X or Y"
        problems.error(text, line=move.line, hint="move X and Y first")
    elif min(move.start[2], move.end[2]) < top - LEAST_TOUCH and "Z" in move.known_before:
        z = format_coordinate(min(move.start[2], move.end[2]), problems.units)
        text = f"X and Y move from an unknown position at Z{z}, below the top of the stock"
        problems.error(text, line=move.line, hint="raise Z first")
    return 0 if "Z" in move.known else before


@dataclass(frozen=True, slots=True)
class _Through:
    """A rapid into stock; `worst` is how far the stock reaches into its way, mm, to the side or
    upwards, whichever is nearer. `plunges`: it only goes down."""

    line: int
    where: Point3
    worst: float
    plunges: bool


def _through(
    index: int, moves: Sequence[Move], cutter: Cutter, standing: StandingMetal
) -> list[_Through]:
    """The stock one rapid meets: nothing, or one place."""
    move = moves[index]
    if not cutter.is_blade and _straight_up(move, moves[index - 1] if index else None):
        return []
    upright = move.known_before != "XYZ" or move.start[:2] == move.end[:2]
    if upright and standing.clear_of(move.end[0], move.end[1], cutter, lowest_reached(move), index):
        return []
    segments = segments_of_path(tip_path(move), cutter)
    worst, where = 0.0, None
    for z in _heights(move, cutter, standing):
        swept = union(section(segments, z))
        left = standing.within(swept, z, index)
        if left.is_empty or left.buffer(-LEAST_TOUCH / 2).is_empty:
            if _covers_above(move, cutter, z, standing):
                break
            continue
        found = reach(left, less(swept, left))
        # out of the metal it is never farther than to its top
        size = min(found.distance, standing.blank.top - z + LEAST_TOUCH)
        if where is None or size > worst:
            worst = size
            where = (found.at[0], found.at[1], z) if found.at else move.end
    if where is None or worst <= LEAST_TOUCH:
        return []
    plunges = upright and (move.known_before != "XYZ" or move.end[2] < move.start[2])
    return [_Through(move.line, where, worst, plunges)]


def _straight_up(move: Move, before: Move | None) -> bool:
    """Straight up from where the move before ended, with the same cutter: every section of the
    cutter only shrinks on the way, and the place it starts from is cut or already reported."""
    return (
        move.start[:2] == move.end[:2]
        and move.end[2] >= move.start[2]
        and before is not None
        and before.cutter == move.cutter
        and before.known == "XYZ"
        and before.end == move.start
    )


def _heights(move: Move, cutter: Cutter, standing: StandingMetal) -> Iterator[float]:
    """Heights, upwards, where a rapid can meet metal.

    Standing metal only shrinks with height except where the blank changes or over a kerf, so with
    an upright cutter just above the tip and just above each such level are all there is; a tapered
    point and a slope are sampled besides.
    """
    low, blank = lowest_reached(move), standing.blank
    found = {low + LEAST_TOUCH}
    found.update(level + LEAST_TOUCH for level in (*standing.levels, blank.bottom) if level > low)
    if cutter.point_length > ONE_HEIGHT:
        found.update(
            low + LEAST_TOUCH + cutter.point_length * k / SLOPE_HEIGHTS
            for k in range(1, SLOPE_HEIGHTS + 1)
        )
    rise = abs(move.end[2] - move.start[2])
    if rise > ONE_HEIGHT and move.start[:2] != move.end[:2] and move.known_before == "XYZ":
        found.update(
            low + LEAST_TOUCH + rise * k / SLOPE_HEIGHTS for k in range(1, SLOPE_HEIGHTS + 1)
        )
    yield from sorted(z for z in found if z < blank.top)


def _covers_above(move: Move, cutter: Cutter, z: float, standing: StandingMetal) -> bool:
    """Tell whether a clear section at z means that all above it are clear too."""
    tip = max(move.start[2], move.end[2]) if move.start[:2] != move.end[:2] else move.end[2]
    # below its bottom there is no metal, and above that there is
    grows = any(level > z for level in (*standing.levels, standing.blank.bottom))
    return not grows and z >= tip + cutter.point_length
