"""A blade on its arbor: what turns above and below it, and ways up or down in the stock.

A blade has stock above it and below, where another cutter has the open air over its flutes. So its
arbor, its nut and its holder are held against the stock of the moment at every height they come
to, in planes; and a move that changes height may not do so in the stock.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import union
from gcodekit.proof.chords import LEAST_TOUCH, lowest_reached, segments_of_path, tip_path
from gcodekit.proof.collision_remedies import KeepOutBody
from gcodekit.proof.fault_groups import FaultGroups
from gcodekit.proof.rapids import StandingMetal
from gcodekit.proof.reach import reach
from gcodekit.proof.sections import capsules, section
from gcodekit.rs274.program_read import Move, Point3, ProblemList
from gcodekit.trade.cutter import Cutter
from gcodekit.units import format_size


@dataclass(frozen=True, slots=True)
class ArborPart:
    """A part of what a blade turns on: its radius, and from where to where above the tip, mm."""

    name: str
    radius: float
    base: float
    end: float


def arbor_parts(cutter: Cutter) -> Iterator[ArborPart]:
    """Nut, arbor and holder of a blade, upwards."""
    if cutter.nut is not None and cutter.nut.length > 0:
        yield ArborPart("nut", cutter.nut.diameter / 2, cutter.lowest, 0.0)
    holder = cutter.holder
    end = cutter.stickout if holder is not None else math.inf
    yield ArborPart("arbor", cutter.shank / 2, cutter.flute_length, end)
    if holder is not None:
        yield ArborPart("holder", holder.diameter / 2, cutter.stickout, math.inf)


def check_blades(
    moves: Sequence[Move],
    cutters: Mapping[int, Cutter],
    standing: StandingMetal,
    bodies: Iterable[KeepOutBody],
    problems: ProblemList,
) -> None:
    """Every move with a blade: its arbor clear of the stock, and no way up or down in it.
    `bodies` hold the work: a nut may not turn in a spoil board, which mills may cut into."""
    blades = {number: c for number, c in cutters.items() if c.is_blade}
    if not blades:
        return
    once = FaultGroups(problems.units)
    on_board = any(b.remedy == "board" for b in bodies)
    seen: set[tuple[object, ...]] = set()
    for index, move in enumerate(moves):
        cutter = blades.get(move.cutter)
        if cutter is None or move.known != "XYZ":
            continue
        # the same way again meets no more than the first time
        way = (move.start, move.end, move.curve, move.known_before, move.kind, cutter.number)
        low = lowest_reached(move)
        if way in seen or low + cutter.lowest >= standing.blank.top:
            continue
        seen.add(way)
        if move.kind != "rapid":
            _check_level(index, move, cutter, standing, once)
        for part in arbor_parts(cutter):
            _check_part(index, move, cutter, part, standing, once)
        if on_board and low + cutter.lowest < standing.blank.bottom - LEAST_TOUCH:
            deep = standing.blank.bottom - low - cutter.lowest
            _note(once, "nut", cutter, deep, move.line, move.end, into="spoil board")
    once.report(problems)


def _check_level(
    index: int, move: Move, cutter: Cutter, standing: StandingMetal, once: FaultGroups
) -> None:
    """A blade has teeth at its rim alone: it goes up or down beside the stock."""
    path = tip_path(move)
    zs = [p[2] for p in path]
    if max(zs) == min(zs):
        return
    segments = segments_of_path(path, cutter)
    for z in _heights(min(zs), max(zs) + cutter.flute_length, standing):
        left = standing.within(union(section(segments, z)), z, index)
        if not left.buffer(-LEAST_TOUCH).is_empty:
            text = f"blade (cutter {cutter.number}) goes up or down in the stock"
            hint = "it cuts only at its rim: change Z beside the stock"
            once.note(text, move.line, move.end, hint=hint)
            return


def _check_part(
    index: int,
    move: Move,
    cutter: Cutter,
    part: ArborPart,
    standing: StandingMetal,
    once: FaultGroups,
) -> None:
    """One part of the arbor against the stock at every height that it comes to."""
    path = tip_path(move)
    zs = [p[2] for p in path]
    points = np.array(path)[:, :2]
    swept = union(capsules(points[:-1], points[1:], part.radius))
    worst, at = 0.0, None
    for z in _heights(min(zs) + part.base, max(zs) + part.end, standing):
        left = standing.within(swept, z, index)
        if left.buffer(-LEAST_TOUCH).is_empty:
            continue
        found = _depth_in(left, swept)
        if found > worst:
            inner = left.representative_point()
            worst, at = found, (inner.x, inner.y, z)
    if at is not None:
        _note(once, part.name, cutter, worst, move.line, at)


def _depth_in(left: BaseGeometry, swept: BaseGeometry) -> float:
    """How far stock reaches into the way of a part, mm."""
    free = swept.difference(left)
    return reach(left, free).distance


def _heights(low: float, high: float, standing: StandingMetal) -> list[float]:
    """Heights from one to another where there may be more stock than just below."""
    blank = standing.blank
    levels = {max(low, blank.bottom), *(z for z in standing.levels if low < z)}
    return sorted(z + LEAST_TOUCH for z in levels if z < min(high, blank.top) - LEAST_TOUCH)


def _note(
    once: FaultGroups,
    part: str,
    cutter: Cutter,
    deep: float,
    line: int,
    where: Point3,
    *,
    into: str = "stock",
) -> None:
    size = format_size(deep, once.units)
    text = f"collision: {part} of cutter {cutter.number} into {into}, {size} deep"
    hint = "use a larger saw or a slimmer arbor, or saw less deep"
    if part == "nut":
        hint = "saw higher up or less deep, or use a smaller nut"
    once.note(
        text, line, where, kind=f"{part} {cutter.number} {into}", size=deep, said=size, hint=hint
    )
