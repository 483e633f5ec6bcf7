"""Slots: the path swept by their width, straight on at open ends as far as there is metal."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import less, union
from gcodekit.job.kinds.slot import Slot
from gcodekit.target.bodies import Upright
from gcodekit.target.demand import UNDER, Bench, Demand, Used
from gcodekit.target.metal import bottom_of, metal_levels, top_of
from gcodekit.target.plane import discs, grown, line_of, rectangle
from gcodekit.target.run_off import RUN_OFF

# Metal that only touches the slot's wall is not ahead of it: looked at so much narrower, mm.
NARROWER = 1e-4
# Pieces overlap by this, mm, to become one.
LAP = 1e-3


def slot_demand(slot: Slot, used: Used, bench: Bench) -> Demand:
    """The sweep must go, and to the metal's edge at open ends; RUN_OFF more of those may."""
    line, half, floor = line_of(slot.path), slot.width / 2, slot.depth.cut_to
    pieces = [grown(line, half, flat_ends=not slot.path.closed)]
    past: list[BaseGeometry] = []
    for end, out, kind in () if slot.path.closed else _ends(slot):
        if kind == "round":
            pieces.append(discs([end], half))
            continue
        metal_to = metal_ahead(slot, end, out, bench)
        pieces.append(rectangle(end, out, (-LAP, max(0.0, metal_to)), half))
        past.append(rectangle(end, out, (-LAP, metal_to + RUN_OFF), half))
    whole = union(pieces)
    may = [Upright(p, floor) for p in (less(union(past), whole),) if not p.is_empty]
    if used.left or used.left_on_floor:
        may.append(Upright(whole, floor))
    must = grown(whole, -used.left) if used.left else whole
    return Demand(
        name=slot.name,
        reach=min(used.cutter.radius, half),
        must=(Upright(must, floor + used.left_on_floor),),
        may=tuple(may),
    )


def _ends(slot: Slot) -> tuple[tuple[Point, Point, str], ...]:
    """Both: the point, the unit direction out of the slot, round or open."""
    path, (first, last) = slot.path, slot.ends
    back = path.tangent_at(0.0)
    on = path.tangent_at(path.length)
    return ((path.start, (-back[0], -back[1]), first), (path.end, on, last))


def metal_ahead(slot: Slot, end: Point, out: Point, bench: Bench) -> float:
    """How far from an open end metal stands in its way, mm, up to the first gap of RUN_OFF; less
    than 0 where the slot leaves the metal before its end."""
    setup = bench.setup
    low, high = setup.left.low, setup.left.high
    far = math.dist(low, high) + math.hypot(*end)
    ahead = rectangle(end, out, (-RUN_OFF, far), slot.width / 2 - NARROWER)
    return _to_first_gap(_over_floor(ahead, slot, bench), end, out)


def _over_floor(ahead: BaseGeometry, slot: Slot, bench: Bench) -> BaseGeometry:
    """All that stands ahead anywhere over the slot's floor: other sides may have hollowed it out
    below, or cut it back above."""
    setup = bench.setup
    lowest = max(slot.depth.cut_to, bottom_of(setup))
    axis = (bottom_of(setup) + top_of(setup)) / 2
    levels = [z for z in metal_levels(setup) if lowest < z < top_of(setup)]
    heights = {lowest + UNDER, max(lowest + UNDER, axis), *(z + UNDER for z in levels)}
    heights |= {z - UNDER for z in levels if z - UNDER > lowest}
    return union([bench.standing(ahead, z) for z in sorted(heights)])


def _to_first_gap(standing: BaseGeometry, end: Point, out: Point) -> float:
    spans = []
    for piece in shapely.get_parts(standing):
        if not piece.is_empty:
            away = (shapely.get_coordinates(piece) - np.array(end)) @ np.array(out)
            spans.append((float(away.min()), float(away.max())))
    reached = -RUN_OFF
    for near, far in sorted(spans):
        if near > reached + RUN_OFF:
            break
        reached = max(reached, far)
    return reached
