"""Threads cut by a tap: on the machine, or by hand afterwards."""

from __future__ import annotations

from gcodekit.geometry.chain import Point
from gcodekit.job.kinds.hole import Hole
from gcodekit.operations.cycles import cycle_over
from gcodekit.operations.planned_operation import Phase, PlanContext, PlannedOperation
from gcodekit.toolpath.moves import HoleCycle
from gcodekit.toolpath.path import APPROACH
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.hole_cutting import tapping
from gcodekit.trade.threads import Thread
from gcodekit.units import MM_PER_INCH

# Pitches over which a second tap comes to its full size; what is taken for a hole that is tapped
# by hand. Common practice, no source.
HAND_LEAD = 4.0
# The tap starts this many pitches above the metal, so that feed and speed are steady when it
# bites. Common practice, no source.
STARTS_ABOVE = 3.0


def room_for_tap(thread: Thread, tap: Cutter | None) -> float:
    """How much deeper than its full threads a blind hole is drilled, mm: by the lead and a
    pitch."""
    return lead_of_tap(thread, tap) + thread.pitch


def lead_of_tap(thread: Thread, tap: Cutter | None) -> float:
    """How far below its full threads a tap goes, mm; None: by hand."""
    return HAND_LEAD * thread.pitch if tap is None else tap.point_length


def hand_tapping(work: PlanContext) -> tuple[str, ...]:
    """The threads left to be tapped by hand, a line for each feature."""
    return tuple(
        _by_hand(work, f)
        for f in work.setup.features
        if isinstance(f, Hole) and f.thread is not None and f.tapping == "by hand"
    )


def _by_hand(work: PlanContext, hole: Hole) -> str:
    thread, depth = hole.thread, hole.depth
    assert thread is not None
    count = f"{len(hole.places)} holes" if len(hole.places) > 1 else "1 hole"
    deep = "through" if depth.through else f"full threads {work.say(depth.top - depth.floor)} deep"
    drilled = work.say(_as_drills_are_sold(hole.diameter, inch=work.job.units == "inch"))
    return f"{hole.name}: tap {thread.name} by hand, {count}, {deep}, drilled {drilled}"


def _as_drills_are_sold(mm: float, *, inch: bool) -> float:
    """The table's size in mm, to the ten-thousandth of an inch that drills are named by: 0.136,
    not 0.13598."""
    return round(mm / MM_PER_INCH, 4) * MM_PER_INCH if inch else mm


def tap_draft(
    work: PlanContext, hole: Hole, tap: Cutter, places: tuple[Point, ...], top: float
) -> PlannedOperation:
    """Feed in at a pitch per turn, and out again with the spindle turning back."""
    job = work.job
    rates = tapping(
        job.material,
        tap,
        work.limits,
        inch=job.units == "inch",
        speed=hole.cutting.speed,
    )
    retract = top + max(APPROACH, STARTS_ABOVE * (tap.pitch or 0.0))
    bottom = hole.depth.cut_to - tap.point_length
    path = work.path(rates)
    cycle_over(path, places, HoleCycle("tap", 0, 0, retract, bottom, rates.feed))
    return work.draft(hole, "tap", tap, rates.speed, path, Phase.SIZE)
