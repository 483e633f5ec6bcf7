"""Shapes of the drawing as polygons, and what lies within a distance of them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain, Point
from gcodekit.geometry.overlay import EMPTY, union
from gcodekit.geometry.region import Region
from gcodekit.target.disc_sweep import resized, swept

# Chords lie so near to their arc, mm, their ends on it.
AREA_SAG = 0.0002
# So much of an open line at its ends lies along its true tangent, mm: cut off square there, it is
# square to the arc and not to its first chord.
TANGENT = 0.01


def quarter(radius: float) -> int:
    """Chords to a quarter circle that sag at most AREA_SAG."""
    if radius <= AREA_SAG:
        return 1
    return max(4, math.ceil(math.pi / 4 / math.acos(1 - AREA_SAG / radius)))


def discs(places: Sequence[Point], radius: float) -> BaseGeometry:
    """Equal discs, their vertices on the circles."""
    if radius <= 0 or not places:
        return EMPTY
    round_ = shapely.buffer(shapely.points(places), radius, quad_segs=quarter(radius))
    return union(np.atleast_1d(np.asarray(round_)).tolist())


def area_of(region: Region) -> BaseGeometry:
    """A region as polygons, vertices on its arcs."""
    return union(
        shapely.Polygon(
            part.outer.flattened(AREA_SAG), [hole.flattened(AREA_SAG) for hole in part.holes]
        )
        for part in region.parts
    )


def line_of(chain: Chain) -> shapely.LineString:
    """A chain as a line, vertices on its arcs; an open one leaves its ends along its tangents."""
    at = chain.flattened(AREA_SAG)
    if chain.closed or chain.length <= 4 * TANGENT:
        return shapely.LineString(at)
    first, last = np.array(chain.tangent_at(0.0)), np.array(chain.tangent_at(chain.length))
    ends = (at[:1], at[:1] + TANGENT * first, at[1:-1], at[-1:] - TANGENT * last, at[-1:])
    return shapely.LineString(np.concatenate(ends))


def grown(shape: BaseGeometry, by: float, *, flat_ends: bool = False) -> BaseGeometry:
    """All within `by` of a shape; of areas less than 0 what is farther than that from their rim.
    `flat_ends`: an open line's sweep is cut off square."""
    if shape.is_empty:
        return EMPTY
    if by > 0 and "Line" in shape.geom_type:
        return swept(shape, by, chords=quarter(by), flat_ends=flat_ends)
    if "Polygon" in shape.geom_type:
        return resized(shape, by, chords=quarter(abs(by)))
    return shape.buffer(by, quad_segs=quarter(abs(by)))


def rectangle(point: Point, along: Point, span: tuple[float, float], half: float) -> BaseGeometry:
    """The rectangle from `span[0]` to `span[1]` along a unit direction from a point, `half` to each
    side."""
    at, out = np.array(point), np.array(along)
    side = half * np.array([-out[1], out[0]])
    low, high = at + span[0] * out, at + span[1] * out
    return shapely.Polygon([low - side, high - side, high + side, low + side])


def framed(shape: BaseGeometry, by: float) -> BaseGeometry:
    """The upright box round a shape, `by` wider on every side."""
    x0, y0, x1, y1 = shape.bounds
    return shapely.box(x0 - by, y0 - by, x1 + by, y1 + by)


def tightest(chains: Iterable[Chain], *, left: bool, within: BaseGeometry) -> float:
    """Radius of the smallest arc that a cutter on the left (or right) of the chains has to roll
    into, mm; infinite where there is none. Only those with their middle `within` count."""
    arcs = (s for chain in chains for s in chain if isinstance(s, Arc) and s.ccw == left)
    return min(
        (a.radius for a in arcs if within.covers(shapely.Point(a.point_at(a.length / 2)))),
        default=math.inf,
    )
