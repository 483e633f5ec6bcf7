"""Slots: the path swept by their width, run on at open ends to the metal's edge."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.job.model import Slot
from gcodekit.part.allowed import RUN_OFF
from gcodekit.part.asked import BELOW, Around, Asked, FinishingCut
from gcodekit.part.overlay import less, union
from gcodekit.part.plane import disc, grown, line_of, strip
from gcodekit.part.solids import Prism

# The strip looked at ahead of an open end is this much narrower than the slot on each side, mm:
# metal that only touches the slot's wall is not in its way.
STRIP_LESS = 1e-4
# Pieces of a sweep overlap by this, mm, so that they join.
JOIN = 1e-3


def ask_slot(slot: Slot, cut: FinishingCut, around: Around) -> Asked:
    """The sweep must go, full width to the metal's edge at open ends, and may go 1 mm past it."""
    line, floor, half = line_of(slot.path), slot.depth.cut_to, slot.width / 2
    past: list[BaseGeometry] = []
    if slot.path.closed:
        must = grown(line, half)
    else:
        pieces = [grown(line, half, flat_ends=True)]
        for end, away, kind in _ends(slot):
            if kind == "round":
                pieces.append(disc(end, half))
                continue
            beyond = run_on(slot, end, away, around)
            pieces.append(strip(end, away, (-JOIN, beyond), half))
            past.append(strip(end, away, (-JOIN, beyond + RUN_OFF), half))
        must = union(pieces)
    may = less(union(past), must)
    asked = grown(must, -cut.left) if cut.left else must
    beside = [Prism(must, floor)] if cut.left or cut.left_on_floor else []
    return Asked(
        name=slot.name,
        reach=min(cut.cutter.radius, half),
        must=(Prism(asked, floor + cut.left_on_floor),),
        may=(*beside, *([] if may.is_empty else [Prism(may, floor)])),
    )


def _ends(slot: Slot) -> tuple[tuple[Point, Point, str], ...]:
    """Each end: its point, the unit direction away from the slot, round or open."""
    path = slot.path
    (sx, sy), along = path.tangent_at(0.0), path.tangent_at(path.length)
    return ((path.start, (-sx, -sy), slot.ends[0]), (path.end, along, slot.ends[1]))


def run_on(slot: Slot, end: Point, away: Point, around: Around) -> float:
    """How far metal stands ahead of an open end, mm, to the first gap in it of RUN_OFF; 0 where
    the end is clear."""
    raw, floor = around.setup.raw, slot.depth.cut_to
    far = math.dist(raw.low, raw.high) + math.hypot(*end)
    ahead = strip(end, away, (0.0, far), slot.width / 2 - STRIP_LESS)
    # upright metal is widest at the slot's floor, a lying bar at its axis
    bottom = max(floor, raw.low[2]) + BELOW
    axis = (raw.low[2] + raw.high[2]) / 2
    return max(_first_gap(ahead, end, away, around, z) for z in {bottom, max(bottom, axis)})


def _first_gap(ahead: BaseGeometry, end: Point, away: Point, around: Around, z: float) -> float:
    spans = []
    for piece in shapely.get_parts(around.standing(ahead, z)):
        if piece.is_empty:
            continue
        distances = (shapely.get_coordinates(piece) - np.array(end)) @ np.array(away)
        spans.append((float(distances.min()), float(distances.max())))
    reached = 0.0
    for near, far in sorted(spans):
        if near > reached + RUN_OFF:
            break
        reached = max(reached, far)
    return reached
