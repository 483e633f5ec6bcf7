"""End mills of the rack: those that reach, and how far one gets in an area."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flat import eroded, polygons_of, to_shapely
from gcodekit.geometry.region import Region
from gcodekit.operations.draft import PLAN_SAG, Work
from gcodekit.operations.passing import widest_passing
from gcodekit.trade.cutter import Cutter

# A cutter this near a slot's width cuts it at one go, unless limits ask for more, mm.
SAME_WIDTH = 0.005
# A drawn inside round may be this much smaller than the cutter and still come out true.
ROUND_SLACK = 0.002


def mills_for(work: Work, depth: float, *, roughing: bool = False) -> list[Cutter]:
    """End mills of the rack whose flutes reach, largest first; `roughing` ones among them."""
    kinds = ("end mill", "roughing end mill") if roughing else ("end mill",)
    mills = [
        c for c in work.job.workshop.cutters if c.kind in kinds and c.flute_length >= depth - 1e-6
    ]
    return sorted(mills, key=lambda c: -c.diameter)


def widest_missed(area: Region, radius: float) -> tuple[float, BaseGeometry] | None:
    """The widest place of an area that a disc does not reach, corners among them: how wide a disc
    lies in it, mm, and where; None where it reaches all."""
    flat = to_shapely(area, PLAN_SAG)
    reached = eroded(flat, radius).buffer(radius + PLAN_SAG)
    parts = polygons_of(flat.difference(reached).buffer(-PLAN_SAG))
    circles = [shapely.maximum_inscribed_circle(p, tolerance=PLAN_SAG) for p in parts]
    widest = max(circles, key=lambda c: float(c.length), default=None)
    if widest is None:
        return None
    return 2 * float(widest.length), shapely.Point(widest.coords[0])


def narrower(work: Work, area: Region, cutter: Cutter) -> str:
    """The widest cutter that would pass everywhere, as a hint."""
    widest = 2 * widest_passing(area, cutter.radius)
    return f"a cutter of {work.say_about(widest)} or less would" if widest else "draw it wider"
