"""Arcs: cut to a radius about a centre, in concentric passes from the raw edge inward."""

from __future__ import annotations

import math

from gcodekit.geometry.boolean import common, union
from gcodekit.geometry.chain import Chain, Point, distance
from gcodekit.geometry.flat import to_shapely
from gcodekit.geometry.region import Region
from gcodekit.geometry.shapes import sector
from gcodekit.job.model import Boss, Edge, Sector
from gcodekit.operations.boss import boss_region
from gcodekit.operations.draft import PLAN_SAG, Chosen, Draft, Work
from gcodekit.operations.edge import edge_region
from gcodekit.operations.walled import Back, gone_beside, reach_over, walled_drafts, with_air

# An open end has room for the cutter to leave the sector wholly, and this much more, mm: the
# pass ends by itself where the cutter has left what is to be cut.
OPEN_MORE = 0.5


def arc_drafts(work: Work, arc: Sector, chosen: Chosen, top: float) -> list[Draft]:
    """Concentric passes, the last one at the radius. Where no metal is to be kept beyond an end
    the cutter leaves along the tangent, elsewhere it stops short of it, or runs on where asked."""
    drawn = sector_region(work, arc)
    mine = {
        f.name: _drawn(work, f) for f in work.setup.features if isinstance(f, Edge | Boss | Sector)
    }
    free = union([drawn, *gone_beside(work, arc, mine)])
    if arc.open_ends and not arc.whole:
        widest = max(chosen.rough.diameter, chosen.finish.diameter)
        free = union([free, *run_on_regions(work, arc, widest + OPEN_MORE)])
    return walled_drafts(
        work,
        Back(
            feature=arc,
            region=with_air(work, free),
            drawn=to_shapely(drawn, PLAN_SAG),
            chosen=chosen,
            top=top,
        ),
    )


def _drawn(work: Work, feature: Edge | Boss | Sector) -> Region:
    match feature:
        case Edge():
            return edge_region(work, feature)
        case Boss():
            return boss_region(work, feature)
        case Sector():
            return sector_region(work, feature)


def radii(work: Work, arc: Sector) -> tuple[float, float]:
    """From which radius to which metal goes."""
    if arc.side == "inside":
        return arc.from_radius or 0.0, arc.radius
    x0, y0, x1, y1 = work.metal.bounds
    far = distance(arc.centre, ((x0 + x1) / 2, (y0 + y1) / 2)) + reach_over(work)
    return arc.radius, arc.from_radius or far


def sector_region(work: Work, arc: Sector) -> Region:
    """What goes, as drawn."""
    inner, outer = radii(work, arc)
    return sector(inner, outer, start=arc.start, end=arc.end, centre=arc.centre)


def run_on_regions(work: Work, arc: Sector, by: float) -> list[Region]:
    """Beside each end, `by` wide, between the same radii."""
    inner, outer = radii(work, arc)
    found: list[Region] = []
    ring = sector(inner, outer, start=0.0, end=math.tau, centre=arc.centre)
    for angle, side in ((arc.start, -1.0), (arc.end, 1.0)):
        strip = Region.of(_beside(arc.centre, angle, side * by, outer))
        found.append(common([strip, ring]))
    return found


def _beside(centre: Point, angle: float, by: float, length: float) -> Chain:
    """A strip along the ray at an angle, on its left where `by` is more than 0."""
    c, s = math.cos(angle), math.sin(angle)

    def at(along: float, across: float) -> Point:
        return (centre[0] + c * along - s * across, centre[1] + s * along + c * across)

    corners = [at(0.0, 0.0), at(length, 0.0), at(length, by), at(0.0, by)]
    return Chain.of_points(corners, closed=True)
