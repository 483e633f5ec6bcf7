"""Slots: the path swept by their width, run on at open ends to the metal's edge."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.flattening import disc
from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.kinds.slot import Slot
from gcodekit.part.plane_regions import RUN_OFF, grown, line_of, strip
from gcodekit.part.planned_target import FeatureContext, FinishingCut, PlannedTarget
from gcodekit.part.solids import Prism

# The strip looked at ahead of an open end is this much narrower than the slot on each side, mm:
# metal that only touches the slot's wall is not in its way.
STRIP_LESS = 1e-4
# Pieces of a sweep overlap by this, mm, so that they join.
SWEEP_OVERLAP = 1e-3
# Less than this, mm^2, is no metal.
LEAST_AHEAD = 1e-4


def ask_slot(slot: Slot, cut: FinishingCut, around: FeatureContext) -> PlannedTarget:
    """The sweep must go, full width to the metal's edge at open ends, and may go as far past it
    as the ends run on."""
    line, floor, half = line_of(slot.path), slot.depth.cut_to, slot.width / 2
    past: list[BaseGeometry] = []
    if slot.path.closed:
        required = grown(line, half)
    else:
        pieces = [grown(line, half, flat_ends=True)]
        for end, away, kind in _ends(slot):
            if kind == "round":
                pieces.append(disc(end, half))
                continue
            ahead = metal_ahead(slot, end, away, around)
            pieces.append(strip(end, away, (-SWEEP_OVERLAP, max(0.0, ahead)), half))
            past.append(strip(end, away, (-SWEEP_OVERLAP, ahead + RUN_OFF), half))
        required = union(pieces)
    allowed = less(union(past), required)
    asked = grown(required, -cut.left) if cut.left else required
    beside = [Prism(required, floor)] if cut.left or cut.left_on_floor else []
    return PlannedTarget(
        name=slot.name,
        reach=min(cut.cutter.radius, half),
        required=(Prism(asked, floor + cut.left_on_floor),),
        allowed=(*beside, *([] if allowed.is_empty else [Prism(allowed, floor)])),
    )


def _ends(slot: Slot) -> tuple[tuple[Point, Point, str], ...]:
    """Each end: its point, the unit direction away from the slot, round or open."""
    path = slot.path
    (sx, sy), along = path.tangent_at(0.0), path.tangent_at(path.length)
    return ((path.start, (-sx, -sy), slot.ends[0]), (path.end, along, slot.ends[1]))


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOn:
    """How an open end runs on: `by` so much, mm, of it `past` the part; `through` names the
    feature that keeps metal in its way ("": none), `top` is the highest metal it goes through;
    `blocked`: metal stands where the cutter's round end would come out."""

    by: float
    past: float = 0.0
    through: str = ""
    top: float = -math.inf
    blocked: bool = False


def runs_on(slot: Slot, around: FeatureContext) -> tuple[RunOn, RunOn]:
    """How far both ends of a slot run out; round ends do not."""
    if slot.path.closed:
        return RunOn(by=0.0), RunOn(by=0.0)
    first, last = (
        _run_on(slot, end, away, around) if kind == "open" else RunOn(by=0.0)
        for end, away, kind in _ends(slot)
    )
    return first, last


def _run_on(slot: Slot, end: Point, away: Point, around: FeatureContext) -> RunOn:
    ahead = metal_ahead(slot, end, away, around)
    by, half = max(0.0, ahead + RUN_OFF), slot.width / 2
    tip = (end[0] + by * away[0], end[1] + by * away[1])
    room = union([strip(end, away, (0.0, by), half - STRIP_LESS), disc(tip, half - STRIP_LESS)])
    line = line_of(slot.path)
    part_ends: float | None = None
    through = ""
    for owner, area in around.kept.ahead(slot, room):
        spans = _spans(common(area, room), end, away)
        if line.intersection(area).length > SWEEP_OVERLAP:
            own, spans = (
                [s for s in spans if s[0] < SWEEP_OVERLAP],
                [s for s in spans if s[0] >= SWEEP_OVERLAP],
            )
            part_ends = max(part_ends or 0.0, *(far for _, far in own), 0.0)
        through = through or (owner if spans else "")
    # no outline drawn round it: the raw metal is the part
    past = min(by, RUN_OFF if part_ends is None else by - part_ends)
    return RunOn(
        by=by,
        past=past,
        through=through,
        top=around.top_over(room),
        blocked=_blocked(slot, end, away, by, around),
    )


def _blocked(slot: Slot, end: Point, away: Point, by: float, around: FeatureContext) -> bool:
    """Tell whether metal stands beyond a slot's end, run on, but within the cutter's round end
    there: across a gap narrower than that."""
    half = slot.width / 2 - STRIP_LESS
    tip = (end[0] + by * away[0], end[1] + by * away[1])
    cap = common(disc(tip, half), strip(tip, away, (0.0, half), half))
    # what is drawn of the slot itself goes anyway
    own = grown(line_of(slot.path), half, flat_ends=True)
    return less(around.standing_above(cap, slot.depth.cut_to), own).area > LEAST_AHEAD


def metal_ahead(slot: Slot, end: Point, away: Point, around: FeatureContext) -> float:
    """The length of stock ahead of an open end, mm, to the first gap in it of RUN_OFF: less than 0
    where the slot leaves the stock before its end, -RUN_OFF where the end is clear."""
    raw, floor = around.setup.left, slot.depth.cut_to
    far = math.dist(raw.low, raw.high) + math.hypot(*end)
    ahead = strip(end, away, (-RUN_OFF, far), slot.width / 2 - STRIP_LESS)
    # other sides may have hollowed out what stands over the slot's floor
    standing = around.standing_above(ahead, floor)
    reached = -RUN_OFF
    for near, far in _spans(standing, end, away):
        if near > reached + RUN_OFF:
            break
        reached = max(reached, far)
    return reached


def _spans(areas: BaseGeometry, end: Point, away: Point) -> list[tuple[float, float]]:
    """The spans of each piece, measured away from an end, nearest first."""
    spans = []
    for piece in shapely.get_parts(areas):
        if piece.is_empty:
            continue
        distances = (shapely.get_coordinates(piece) - np.array(end)) @ np.array(away)
        spans.append((float(distances.min()), float(distances.max())))
    return sorted(spans)
