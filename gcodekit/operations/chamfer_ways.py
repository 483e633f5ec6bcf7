"""The ways of a chamfer's cutter: its centre along the edge, where it comes down, and how it leaves
the ends of a path."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Line, Point
from gcodekit.geometry.offset import grow, offset_chain
from gcodekit.geometry.region import Region
from gcodekit.job.kinds.chamfer import Chamfer
from gcodekit.operations.planned_operation import PlanContext
from gcodekit.part.plane_regions import area_of, grown, line_of
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.edge_cutting import TIP_BELOW

# It comes down and goes up this far from the edge, mm, beyond what it cuts.
OFF_EDGE = 0.5
# A round past the start is cut twice, mm: no mark is left there.
OVERLAP = 1.0
# Metal thinner than twice this is none to run into, mm.
GRAZED = 0.005
# Whether the cutter meets nothing on its way from one point to another.
Clear = Callable[[Point, Point], bool]
# It comes down this many times nearer to the edge where there is no room; else on its way.
NEARER = (1.0, 0.5, 0.25)


def off_wall(cutter: Cutter) -> float:
    """The distance of a cutter's centre from the wall, mm: its tip, flat or not, is clear of it."""
    return TIP_BELOW * cutter.diameter + cutter.tip_diameter / 2


def tip_of(chamfer: Chamfer, cutter: Cutter) -> float:
    """z of the tip, as far below the chamfer's foot as its flank is wide there."""
    return chamfer.depth.floor - TIP_BELOW * cutter.diameter / math.tan(chamfer.slope)


def ways_of(
    chamfer: Chamfer, cutter: Cutter, rounded: float, work: PlanContext | None = None
) -> list[Chain]:
    """The ways of the cutter's centre, turned the way they are cut.

    Parameters
    ----------
    rounded : radius that inside corners of the wall keep, mm
    work : free-form edges become arcs by its tolerance; None: they stay as drawn
    """
    off = off_wall(cutter)
    if chamfer.path is not None:
        line = chamfer.path if work is None else work.line_in_arcs(chamfer, chamfer.path)
        # with the metal on the right of the way the cut is climb: so it is on the left of the line
        keeps_turn = (chamfer.side == "left") == (chamfer.cutting.direction == "climb")
        chains = _beside(line, off, rounded, left=chamfer.side == "left")
        return [c if keeps_turn else c.reversed() for c in chains]
    outside = chamfer.side == "outside"
    if chamfer.outline is None:
        radius = chamfer.diameter / 2 - off
        rings = [Chain.circle(p, radius) for p in chamfer.places] if radius > GRAZED else []
    else:
        edge = chamfer.outline
        edge = edge if work is None else work.in_arcs(chamfer, edge, inward=not outside)
        rings = list(_centres(edge, off, rounded, outside=outside).rings)
    keeps_turn = (chamfer.cutting.direction == "climb") != outside
    return [ring if keeps_turn else ring.reversed() for ring in rings]


def _centres(edge: Region, off: float, rounded: float, *, outside: bool) -> Region:
    """The rim of where the centre may be: in inside corners no nearer than their round lets it."""
    turn = 1.0 if outside else -1.0
    if rounded <= off or not _cornered(edge, rounded, outside=outside):
        return grow(edge, turn * off)
    return grow(grow(edge, turn * rounded), turn * (off - rounded))


def _cornered(edge: Region, radius: float, *, outside: bool) -> bool:
    """Tell whether a disc does not get into all of its inside corners."""
    turn, rim = (1.0 if outside else -1.0), area_of(edge)
    back = grown(grown(rim, turn * radius), -turn * radius)
    return not grown(back.symmetric_difference(rim), -GRAZED).is_empty


def _beside(line: Chain, off: float, rounded: float, *, left: bool) -> list[Chain]:
    """Beside a path, likewise."""
    plain = list(offset_chain(line, off, left=left))
    if rounded <= off:
        return plain
    outer = offset_chain(line, rounded, left=left)
    if len(outer) != 1:
        return []
    back = list(offset_chain(outer[0], rounded - off, left=not left))
    return back if len(back) == 1 else []


def lines_of(ways: list[Chain]) -> BaseGeometry:
    """Ways as lines."""
    return shapely.union_all([line_of(way) for way in ways])


@dataclass(frozen=True, slots=True)
class Stroke:
    """One way with where the cutter comes down and goes up beside it."""

    down: Point
    way: Chain
    up: Point


def round_stroke(chamfer: Chamfer, ring: Chain, clear: Clear) -> Stroke:
    """The ring with a little more from its start, in the middle of its longest piece; and a place
    beside that where the cutter is clear of the edge."""
    longest = max(range(len(ring.segments)), key=lambda i: ring.segments[i].length)
    start = sum(s.length for s in ring.segments[:longest]) + ring.segments[longest].length / 2
    turned = ring.from_start_at(start)
    # a ring lies to the left of its own way round where it is walked counter-clockwise
    left = (ring.area > 0) == (chamfer.side != "outside")
    overlap = turned.between(0.0, min(OVERLAP, turned.length / 4))
    whole = Chain((*turned.segments, *overlap.segments))
    at = _away(chamfer, turned.start, turned.tangent_at(0.0), clear, left=left)
    return Stroke(at, whole, at)


def open_stroke(chamfer: Chamfer, way: Chain, clear: Clear, past: tuple[float, float]) -> Stroke:
    """Along a path, run straight on `past` its ends where that is more than 0; at other ends it
    comes and goes beside the edge."""
    left = (chamfer.side == "left") == _forward(chamfer, way)
    segments = list(way.segments)
    places = []
    for end, at, by in ((0, 0.0, -past[0]), (1, way.length, past[1])):
        (x, y), (dx, dy) = way.point_at(at), way.tangent_at(at)
        if not by:
            places.append(_away(chamfer, (x, y), (dx, dy), clear, left=left))
            continue
        out = (x + by * dx, y + by * dy)
        places.append(out)
        if end:
            segments.append(Line((x, y), out))
        else:
            segments.insert(0, Line(out, (x, y)))
    return Stroke(places[0], Chain(tuple(segments)), places[1])


def _forward(chamfer: Chamfer, way: Chain) -> bool:
    """Tell whether a way is walked as its path is drawn."""
    assert chamfer.path is not None
    return math.dist(way.start, chamfer.path.start) <= math.dist(way.end, chamfer.path.start)


def _away(chamfer: Chamfer, at: Point, along: Point, clear: Clear, *, left: bool) -> Point:
    """A place beside the way where the cutter is clear of the edge, or as clear as there is room;
    else the place itself."""
    (x, y), (dx, dy) = at, along
    whole = chamfer.width + OFF_EDGE
    for share in NEARER:
        side = share * (whole if left else -whole)
        there = (x - dy * side, y + dx * side)
        if clear(there, at):
            return there
    return at
