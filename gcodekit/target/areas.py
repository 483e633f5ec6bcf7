"""Areas to a floor: faces, pockets, and what is cut back to a wall."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import EMPTY, common, less, union
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.model import Setup
from gcodekit.target.bodies import Upright
from gcodekit.target.demand import Bench, Demand, Used
from gcodekit.target.metal import plan
from gcodekit.target.neighbours import spared
from gcodekit.target.plane import SAG, area_of, discs, framed, grown, rectangle, tightest

# What goes is asked so far beyond the metal, mm, where there is only air.
BEYOND = 10.0
# A gap as wide as the roughing cutter and what it leaves is one it gets through, though in chords
# it seems narrower by this, mm.
FITS = 0.0005


def face_demand(face: Face, used: Used, bench: Bench) -> Demand:
    """All metal over the floor under the outline, or over all of it, above `top` as well."""
    whole, reach = plan(bench.setup), used.cutter.radius
    if face.outline is None:
        return _to_floor(face, framed(whole, BEYOND), used, bench.setup, reach)
    reach = min(reach, tightest(face.outline.rings, left=True, within=whole))
    return _to_floor(face, area_of(face.outline), used, bench.setup, reach)


def pocket_demand(pocket: Pocket, used: Used, bench: Bench) -> Demand:
    """The outline less the islands; drawn rounds must be reached, corners as far as `corner`."""
    area = less(area_of(pocket.outline), union(area_of(i) for i in pocket.islands))
    reach = min(
        used.cutter.radius,
        tightest(pocket.area.rings, left=True, within=plan(bench.setup)),
        math.inf if pocket.corner is None else pocket.corner,
    )
    return _to_floor(pocket, area, used, bench.setup, reach)


def edge_demand(edge: Edge, used: Used, bench: Bench) -> Demand:
    """Everything on the far side of the plane."""
    x0, y0, x1, y1 = plan(bench.setup).bounds
    far = math.dist((x0, y0), (x1, y1)) + math.dist(edge.point, ((x0 + x1) / 2, (y0 + y1) / 2))
    far += BEYOND
    area = rectangle(edge.point, edge.away, (0.0, far), far)
    return _to_floor(edge, area, used, bench.setup, used.cutter.radius)


def boss_demand(boss: Boss, used: Used, bench: Bench) -> Demand:
    """What lies round the boss, as far as `within` or beyond the metal; not what other features
    keep, unless the boss stands on it."""
    setup, kept = bench.setup, area_of(boss.kept)
    whole = plan(setup)
    round_ = framed(whole, BEYOND) if boss.within is None else area_of(boss.within)
    area = less(round_, union((kept, *spared(boss, kept, setup))))
    reach = min(
        used.cutter.radius,
        tightest(boss.kept.rings, left=False, within=whole),
        tightest(boss.within.rings if boss.within else (), left=True, within=whole),
    )
    return _to_floor(boss, area, used, setup, reach)


def arc_demand(arc: Sector, used: Used, bench: Bench) -> Demand:
    """The sector beyond the radius or within it. At an open end a cutter's diameter more may go,
    never past the radius."""
    setup = bench.setup
    x0, y0, x1, y1 = plan(setup).bounds
    corners = ((x0, y0), (x0, y1), (x1, y0), (x1, y1))
    limit = max(math.dist(arc.centre, c) for c in corners) + BEYOND
    if arc.side == "outside":
        inner, outer, reach = arc.radius, arc.from_radius or limit, math.inf
    else:
        inner, outer, reach = arc.from_radius or 0.0, arc.radius, arc.radius
    area = sector(arc, inner, outer)
    may: BaseGeometry = EMPTY
    if arc.open_ends and not arc.whole:
        ends = _past_ends(arc, inner, outer, 2 * used.widest)
        may = less(ends, union(spared(arc, area, setup)))
    return _to_floor(arc, area, used, setup, min(used.cutter.radius, reach), may)


def sector(arc: Sector, inner: float, outer: float) -> BaseGeometry:
    """Between two radii, from the arc's start to its end."""
    if arc.whole:
        return _ring(arc.centre, inner, outer)
    steps = max(2, math.ceil((arc.end - arc.start) / (2 * math.acos(1 - SAG / outer))))
    angles = np.linspace(arc.start, arc.end, steps + 1)
    ways = np.column_stack((np.cos(angles), np.sin(angles)))
    rim = np.array(arc.centre) + outer * ways
    back = np.array(arc.centre) + inner * ways[::-1] if inner else np.array([arc.centre])
    return shapely.Polygon(np.concatenate((rim, back)))


def _ring(centre: Point, inner: float, outer: float) -> BaseGeometry:
    return less(discs([centre], outer), discs([centre], inner))


def _past_ends(arc: Sector, inner: float, outer: float, by: float) -> BaseGeometry:
    """Beside both ends, `by` wide, between the radii."""
    strips = []
    for angle, turn in ((arc.start, -1.0), (arc.end, 1.0)):
        out = (math.cos(angle), math.sin(angle))
        middle = (
            arc.centre[0] - turn * out[1] * by / 2,
            arc.centre[1] + turn * out[0] * by / 2,
        )
        strips.append(rectangle(middle, out, (0.0, outer), by / 2))
    return common(union(strips), _ring(arc.centre, inner, outer))


def _to_floor(
    feature: Feature,
    area: BaseGeometry,
    used: Used,
    setup: Setup,
    reach: float,
    beside: BaseGeometry = EMPTY,
) -> Demand:
    """An area down to the feature's depth, less what is left on purpose, which may go; `beside`
    may as well."""
    floor = feature.depth.cut_to
    must = common(area, _roughed(union((area, beside)), used, setup)) if used.left else area
    may = [] if beside.is_empty else [Upright(beside, floor)]
    if used.left or used.left_on_floor:
        may.append(Upright(area, floor))
    return Demand(
        name=feature.name,
        reach=reach,
        must=(Upright(must, floor + used.left_on_floor),),
        may=tuple(may),
    )


def _roughed(area: BaseGeometry, used: Used, setup: Setup) -> BaseGeometry:
    """What a cutter reaches that keeps off all walls by what it leaves; from beside the metal it
    may come in."""
    radius = used.cutter.radius
    air = less(framed(union((area, plan(setup))), 4 * radius + used.left), plan(setup))
    room = grown(union((area, air)), -(used.left + radius - FITS))
    return grown(room, radius - FITS)
