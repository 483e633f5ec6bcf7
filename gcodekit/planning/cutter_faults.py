"""What keeps end mills of the rack from cutting a feature, and how it is said."""

from __future__ import annotations

from collections.abc import Callable

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import PlanError
from gcodekit.geometry.chain import Arc, Chain
from gcodekit.geometry.flat import eroded, polygons_of, to_shapely
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.operations.draft import PLAN_SAG, Work, refuse
from gcodekit.operations.passing import widest_passing
from gcodekit.operations.slot import SAME_WIDTH
from gcodekit.operations.wall_regions import drawn_region, run_out
from gcodekit.planning import wanted
from gcodekit.planning.choose_mouths import BORE_TO_CUTTER
from gcodekit.trade.cutter import Cutter

# A drawn inside round may be this much smaller than the cutter and still come out true.
ROUND_SLACK = 0.002


def mills_for(work: Work, depth: float, *, roughing: bool = False) -> list[Cutter]:
    """End mills of the rack whose flutes reach, largest first; `roughing` ones among them."""
    kinds = ("end mill", "roughing end mill") if roughing else ("end mill",)
    mills = [
        c for c in work.job.workshop.cutters if c.kind in kinds and c.flute_length >= depth - 1e-6
    ]
    return sorted(mills, key=lambda c: -c.diameter)


def lacking(work: Work, feature: Feature, depth: float) -> PlanError:
    """The error that the rack has no end mill, with what it would have to measure."""
    most, limit = _widest_of(feature), ""
    if most is not None:
        limit = f": it may be {work.say(most)} wide at most"
        limit += " to go round on a helix" if isinstance(feature, Bore) else ""
    narrow = [c for c in mills_for(work, 0.0) if most is None or c.diameter < most + SAME_WIDTH]
    longest = max((c.flute_length for c in narrow), default=0.0)
    has = "none is that narrow" if most is not None else "it has none"
    if narrow:
        has = f"longest flutes: {work.say(longest)}, {work.say(depth - longest)} too short"
    other = ', or drill and ream it: kind = "hole"' if isinstance(feature, Bore) else ""
    return refuse(
        feature,
        f"no end mill of the rack can cut this {feature.kind}, {work.say(depth)} deep{limit}",
        f"{wanted.end_mill(work, depth, most=most)} ({has}){other}",
    )


def _widest_of(feature: Feature) -> float | None:
    """The widest end mill that goes into a slot or bore."""
    if isinstance(feature, Slot):
        return feature.width
    return feature.diameter / BORE_TO_CUTTER if isinstance(feature, Bore) else None


def too_big(work: Work, feature: Feature, smallest: Cutter, depth: float) -> PlanError:
    """The error that the smallest mill that reaches the depth still is too big."""
    fault = fault_of(work, feature, smallest)
    area = area_of(work, feature, smallest)
    most = _widest_that_does(feature, area, smallest)
    leave = ""
    if fault is not None:
        why = f"does not do: {fault[0]}"
    elif area is None:
        why = "does not get in from anywhere"
    else:
        why = "does not pass everywhere"
        missed = widest_missed(area, smallest.radius)
        if most is not None:
            why += f": {work.say_about(most)} is the most that does"
        elif missed is not None:
            width, place = missed
            why += f": it leaves a neck of up to {work.say_about(width)} at {work.say_at(place)}"
        leave = ", or name one with `cutter` to leave what it does not reach"
    would_do = "a smaller one would" if most is None else wanted.end_mill(work, depth, most=most)
    return refuse(
        feature,
        f"the smallest end mill of the rack that reaches its depth, {work.say(smallest.diameter)}, "
        f"{why}",
        f"{would_do}{leave}",
    )


def _widest_that_does(feature: Feature, area: Region | None, smallest: Cutter) -> float | None:
    """The widest end mill, below one that does not do, that reaches all of a feature, mm; None:
    not known."""
    tightest = _tightest_round(feature)
    limits = [] if tightest is None else [2 * tightest]
    if isinstance(feature, Pocket) and feature.corner is not None:
        limits.append(2 * feature.corner)
    if isinstance(feature, Sector) and feature.from_radius is not None:
        limits.append(abs(feature.radius - feature.from_radius) - 2 * ROUND_SLACK)
    if isinstance(feature, Profile) and feature.side == "inside":
        area = feature.outline
    if area is not None:
        limits.append(2 * widest_passing(area, smallest.radius))
    least = min(limits, default=0.0)
    return least if 0 < least < smallest.diameter else None


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


def area_of(work: Work, feature: Feature, cutter: Cutter) -> Region | None:
    """The area that a cutter has to pass in; None for what it only has to get into."""
    if isinstance(feature, Pocket):
        return feature.area
    if isinstance(feature, Face) and feature.outline is not None:
        return run_out(feature.outline, work, cutter.radius, feature.depth.cut_to)
    return drawn_region(work, feature) if isinstance(feature, Boss) else None


def fault_of(work: Work, feature: Feature, cutter: Cutter) -> tuple[str, Callable[[], str]] | None:
    """Why a cutter cannot make the shape that is drawn, with what would do: that takes long to
    find, and is asked for of one cutter in many."""
    called = work.called(cutter)
    tightest = _tightest_round(feature)
    if tightest is not None and cutter.radius > tightest + ROUND_SLACK:
        return (
            f"{called} cannot reach the inside round of radius {work.say(tightest)}",
            lambda: f"a cutter of {work.say(2 * tightest)} or less would",
        )
    if isinstance(feature, Pocket):
        area, corner = feature.area, feature.corner
        if corner is not None and cutter.radius > corner + ROUND_SLACK:
            return (
                f"{called} leaves corners of radius {work.say(cutter.radius)}, "
                f"{work.say(corner)} is the most allowed",
                lambda: f"a cutter of {work.say(2 * corner)} or less would do",
            )
        if grow(area, -cutter.radius).empty:
            return f"{called} does not fit into the pocket", lambda: _passing(work, area, cutter)
    if isinstance(feature, Sector) and feature.from_radius is not None:
        width = abs(feature.radius - feature.from_radius)
        if cutter.diameter > width - ROUND_SLACK:
            return (
                f"{called} is not narrower than the {work.say(width)} between the radii",
                lambda: (
                    f"a cutter of less than {work.say(width)} would do, or leave from_radius out "
                    "where there is only air"
                ),
            )
    if isinstance(feature, Profile) and feature.outline is not None and feature.side == "inside":
        outline = feature.outline
        inside = grow(outline, -cutter.radius)
        if len(inside.parts) != len(outline.parts):
            text = f"{called} does not pass everywhere inside the outline"
            return text, lambda: _passing(work, outline, cutter)
    return None


def _passing(work: Work, area: Region, cutter: Cutter) -> str:
    """The widest cutter that would pass everywhere, as a hint."""
    widest = 2 * widest_passing(area, cutter.radius)
    return f"a cutter of {work.say_about(widest)} or less would" if widest else "draw it wider"


def _tightest_round(feature: Feature) -> float | None:
    """Radius of the smallest drawn round that the cutter must roll into."""
    rings: list[tuple[Chain, bool]] = []
    if isinstance(feature, Pocket):
        rings = [(ring, True) for ring in feature.area.rings]
    elif isinstance(feature, Boss):
        rings = [(ring, False) for ring in feature.kept.rings]
        rings += [(ring, True) for ring in (feature.within.rings if feature.within else ())]
    elif isinstance(feature, Sector):
        return feature.radius if feature.side == "inside" else None
    elif isinstance(feature, Face):
        rings = [(ring, True) for ring in feature.outline.rings] if feature.outline else []
    elif isinstance(feature, Profile) and feature.outline is not None:
        if feature.side == "on":
            return None
        rings = [(ring, feature.side == "inside") for ring in feature.outline.rings]
    elif isinstance(feature, Profile) and feature.path is not None and feature.side != "on":
        rings = [(feature.path, feature.side == "left")]
    radii = [s.radius for ring, left in rings for s in ring if isinstance(s, Arc) and s.ccw == left]
    return min(radii, default=None)
