"""Plane regions as shapely polygons: flattening, discs, sweeps and drawn rounds; and how far
cutters may go beside what has to go."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain, Point
from gcodekit.geometry.flattening import quarter_chords
from gcodekit.geometry.overlay import EMPTY, union
from gcodekit.geometry.region import Region
from gcodekit.geometry.tolerances import METAL_SAG
from gcodekit.part.sweep import offset_area, swept
from gcodekit.trade.cutter import Cutter

# Faces and open slots run past the metal by the cutter's radius and this much, mm: the last cut
# is then behind the cutter's edge whatever the stock's edge is like. The job file's contract.
RUN_OFF = 1.0
# Largest tangential lead-in beside a kerf, mm: more eats stock and gains nothing.
# Common practice, no source.
LARGEST_LEAD = 5.0


def lead_radius(cutter: Cutter) -> float:
    """The largest radius of a tangential lead-in outside the kerf, mm.

    The cutter's own radius: a smaller arc turns harder than the cutter itself. Small cutters cut
    at the same load on it as in the kerf.
    """
    return min(cutter.radius, LARGEST_LEAD)


# The first and last bit of an open line lies along its tangent for this length, mm: off an arc of
# radius 1 by 0.00005.
TANGENT = 0.01
LINES = ("LineString", "LinearRing", "MultiLineString")


def discs(centres: Sequence[Point], radius: float) -> BaseGeometry:
    """Equal discs."""
    if radius <= 0 or not centres:
        return EMPTY
    chords = quarter_chords(radius)
    return union(list(shapely.buffer(shapely.points(centres), radius, quad_segs=chords)))


def area_of(region: Region) -> BaseGeometry:
    """The region; vertices lie on its arcs."""
    return union(
        shapely.Polygon(p.outer.flattened(METAL_SAG), [h.flattened(METAL_SAG) for h in p.holes])
        for p in region.parts
    )


def line_of(chain: Chain) -> shapely.LineString:
    """The chain; vertices lie on its arcs. An open one leaves its ends along their true tangents,
    so that what is cut off square there is square to the arc, not to its first chord."""
    points = chain.flattened(METAL_SAG)
    if not chain.closed and chain.length > 4 * TANGENT:
        start = points[0] + TANGENT * np.array(chain.tangent_at(0.0))
        end = points[-1] - TANGENT * np.array(chain.tangent_at(chain.length))
        points = np.concatenate(([points[0], start], points[1:-1], [end, points[-1]]))
    return shapely.LineString(points)


def grown(shape: BaseGeometry, by: float, *, flat_ends: bool = False) -> BaseGeometry:
    """Every point within `by` of the shape; less than 0: shrunk.

    `flat_ends`: a line's ends are cut off square.
    """
    chords = quarter_chords(abs(by))
    if by > 0 and shape.geom_type in LINES and not shape.is_empty:
        return swept(shape, by, chords=chords, flat_ends=flat_ends)
    if "Polygon" in shape.geom_type:
        return offset_area(shape, by, chords=chords)
    return shape.buffer(by, quad_segs=chords)


def strip(point: Point, along: Point, span: tuple[float, float], half: float) -> BaseGeometry:
    """A rectangle from `span[0]` to `span[1]` along a direction from a point, `half` to each
    side."""
    (x, y), (dx, dy) = point, along
    s0, s1 = span
    corners = ((s0, -half), (s1, -half), (s1, half), (s0, half))
    return shapely.Polygon([(x + s * dx - t * dy, y + s * dy + t * dx) for s, t in corners])


def tightest_round(chains: Iterable[Chain], *, left: bool, within: BaseGeometry | None) -> float:
    """Radius of the smallest arc that a cutter on the left (or right) of the chains lies in, mm;
    infinite where there is none. Only those count whose middle is `within` the metal."""
    radii = [
        s.radius
        for chain in chains
        for s in chain
        if isinstance(s, Arc) and s.ccw == left and _in(s, within)
    ]
    return min(radii, default=math.inf)


def _in(arc: Arc, within: BaseGeometry | None) -> bool:
    return within is None or bool(within.covers(shapely.Point(arc.point_at(arc.length / 2))))
