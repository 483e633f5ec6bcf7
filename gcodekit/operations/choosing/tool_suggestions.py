"""End mills of the rack that reach, and what to buy or to regrind where none does."""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import eroded, polygons_of, to_shapely
from gcodekit.geometry.region import Region
from gcodekit.job.band import Band
from gcodekit.operations.passage import widest_passing
from gcodekit.operations.planned_operation import PLAN_SAG, PlanContext
from gcodekit.trade.cutter import Cutter, CutterKind
from gcodekit.units import mm_per

# A cutter this near a slot's width cuts it at one go, unless limits ask for more, mm.
SAME_WIDTH = 0.005
# A drawn inside round may be this much smaller than the cutter and still come out true.
ROUND_SLACK = 0.002


def mills_for(work: PlanContext, depth: float, *, roughing: bool = False) -> list[Cutter]:
    """End mills of the rack whose flutes reach, largest first; `roughing` ones among them. With Z
    by hand those that go straight down, if there are any."""
    kinds = ("end mill", "roughing end mill") if roughing else ("end mill",)
    mills = [
        c for c in work.job.workshop.cutters if c.kind in kinds and c.flute_length >= depth - 1e-6
    ]
    if 2 in work.job.workshop.machine.by_hand:
        mills = [c for c in mills if c.centre_cutting] or mills
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


def narrower(work: PlanContext, area: Region, cutter: Cutter) -> str:
    """The advice to use the widest cutter that reaches everywhere."""
    widest = 2 * widest_passing(area, cutter.radius)
    return f"use a cutter of {work.say_about(widest)} or less" if widest else "draw it wider"


# An end mill may be ground down by this share of its diameter, a reamer stoned down by so many mm:
# common practice, no source.
GROUND_SHARE = 0.15
STONED = 0.06


def end_mill(
    work: PlanContext, deep: float, *, most: float | None = None, centre_cutting: bool = False
) -> str:
    """An end mill that would work, in words: at most `most` wide, for a cut this deep, mm."""
    mill = "a centre-cutting end mill" if centre_cutting else "an end mill"
    flutes = f"flutes of {work.say(as_sold(work, deep, up=True))}"
    if most is None:
        return f"{mill} with {flutes}"
    most = as_sold(work, most, up=False)
    return f"{mill} of {work.say(most)} or less with {flutes}{_reground(work, deep, most)}"


def of_size(work: PlanContext, kind: CutterKind, least: float, most: float, deep: float) -> str:
    """The advice to buy a drill, reamer or tap of a size, or between two, mm."""
    size = work.say(most) if most - least < 0.01 else f"{work.say(least)} to {work.say(most)}"
    return f"add a {kind} of {size} with flutes of {work.say(as_sold(work, deep, up=True))}"


def reamer(work: PlanContext, band: Band, deep: float) -> str:
    """The advice to buy a reamer between limits, or to stone one down to them."""
    fit = f" {band.fit}" if band.fit else ""
    size = f"{work.say(band.least)} to {work.say(band.most)}"
    near = _next_larger(work, ("reamer",), band.most, deep, within=STONED)
    stoned = f", or stone cutter {near.number} down to that" if near is not None else ""
    flutes = work.say(as_sold(work, deep, up=True))
    return f"add a reamer{fit} that measures {size} with flutes of {flutes}{stoned}"


def _reground(work: PlanContext, deep: float, most: float) -> str:
    near = _next_larger(work, ("end mill",), most, deep, within=GROUND_SHARE * most)
    return f", or cutter {near.number} reground to that" if near is not None else ""


def _next_larger(
    work: PlanContext, kinds: tuple[CutterKind, ...], size: float, deep: float, *, within: float
) -> Cutter | None:
    """The least cutter over a size that is long enough and no larger than it can be ground from."""
    those = [
        c
        for c in work.job.workshop.cutters
        if c.kind in kinds and size < c.diameter <= size + within and c.flute_length >= deep - 1e-6
    ]
    return min(those, key=lambda c: c.diameter, default=None)


def as_sold(work: PlanContext, mm: float, *, up: bool) -> float:
    """Round to a tenth of a millimetre or five thousandths of an inch, as cutters are sold and
    ground."""
    step = 0.1 if work.job.units == "mm" else 0.005 * mm_per("inch")
    steps = mm / step
    rounded = math.ceil(steps - 1e-6) if up else math.floor(steps + 1e-6)
    return rounded * step if rounded else mm
