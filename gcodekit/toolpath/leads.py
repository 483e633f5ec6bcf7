"""Arcs by which a cutter comes onto a finished wall, and leaves it, along the tangent."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain, Line, Point
from gcodekit.geometry.curve import on_circle

# The finishing pass runs on past its start by this much, so that no witness mark stands there.
# Common practice, no source.
OVERLAP = 1.0
# Room for flattened arcs when a lead is tested against the free region, mm.
LEAD_SLACK = 1e-3
MOST_STARTS = 40


@dataclass(frozen=True, slots=True)
class Leads:
    """Arc on, the whole way along the wall (a little of it twice when closed), arc off."""

    on: Arc
    along: Chain
    again: Chain | None
    off: Arc


def arc_on(point: Point, tangent: Point, radius: float, angle: float, *, left: bool) -> Arc:
    """The arc that arrives at `point` along `tangent`, from its left or right side."""
    centre, toward, side = _centre(point, tangent, radius, left=left)
    return Arc(on_circle(centre, radius, toward - side * angle), point, centre, left)


def arc_off(point: Point, tangent: Point, radius: float, angle: float, *, left: bool) -> Arc:
    """The arc that leaves `point` along `tangent`, to its left or right side."""
    centre, toward, side = _centre(point, tangent, radius, left=left)
    return Arc(point, on_circle(centre, radius, toward + side * angle), centre, left)


def find_leads(
    ring: Chain,
    *,
    left: bool,
    shapes: Sequence[tuple[float, float]],
    free: BaseGeometry,
    down: BaseGeometry,
    starts: Sequence[float] | None = None,
) -> Leads | None:
    """The first lead shape (radius, angle) and start on a closed ring whose arcs keep to the
    `free` centre region and whose beginning lies where the cutter may be lowered (`down`)."""
    room, lower = free.buffer(LEAD_SLACK), down.buffer(LEAD_SLACK)
    shapely.prepare(room)
    shapely.prepare(lower)
    for radius, angle in shapes:
        for s in starts if starts is not None else start_places(ring):
            leads = _leads_at(ring, s, radius, angle, left=left)
            both = shapely.MultiLineString([_line(leads.on), _line(leads.off)])
            if lower.covers(shapely.Point(leads.on.start)) and room.covers(both):
                return leads
    return None


def start_places(ring: Chain) -> list[float]:
    """Middles of the segments, straights before arcs, long before short, then their quarters: mm
    along the ring."""
    rows = []
    at = 0.0
    for segment in ring:
        straight, length = isinstance(segment, Line), segment.length
        rows.append((True, straight, length, at + length / 2))
        rows += [(False, straight, length, at + length * share) for share in (0.25, 0.75)]
        at += length
    rows.sort(reverse=True)
    return [place for *_, place in rows[:MOST_STARTS]]


def _leads_at(ring: Chain, s: float, radius: float, angle: float, *, left: bool) -> Leads:
    along = ring.from_start_at(s)
    run = min(OVERLAP, ring.length * 0.05)
    again = along.between(0, run) if run > 1e-3 else None
    end = run if again else 0.0
    return Leads(
        arc_on(along.start, along.tangent_at(0.0), radius, angle, left=left),
        along,
        again,
        arc_off(along.point_at(end), along.tangent_at(end), radius, angle, left=left),
    )


def _centre(
    point: Point, tangent: Point, radius: float, *, left: bool
) -> tuple[Point, float, float]:
    side = 1.0 if left else -1.0
    centre = (point[0] - side * tangent[1] * radius, point[1] + side * tangent[0] * radius)
    return centre, math.atan2(point[1] - centre[1], point[0] - centre[0]), side


def _line(arc: Arc) -> shapely.LineString:
    return shapely.LineString(Chain((arc,)).flattened(LEAD_SLACK / 2))
