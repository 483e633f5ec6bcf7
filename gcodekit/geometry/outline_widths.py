"""The sizes across an outline: what calipers measure between its opposite walls."""

from __future__ import annotations

from gcodekit.geometry.chain import Arc, Chain, Line, Point, distance
from gcodekit.geometry.curve import cross
from gcodekit.geometry.region import Region
from gcodekit.geometry.tolerances import SAME_DIRECTION, SAME_POINT

# Directions nearer than this (radians) are one: what a drawing turned by any angle leaves.
PARALLEL = 1e-7
# Sizes nearer than this, mm, are one.
SAME_ACROSS = 1e-5
# An outline of more sides and arcs is a sampled curve, not something with opposite flats.
MOST_SIDES = 500


def sizes_across(ring: Chain) -> tuple[float, ...]:
    """The different sizes across a ring, mm, the smallest first; none where a wall has no other
    right opposite to be measured from.

    A circle has its diameter, a rectangle and a regular polygon with an even number of sides what
    is between opposite flats, an obround its width. Rounds at corners are not measured.

    Examples
    --------
    >>> sizes_across(Chain.circle((0, 0), 4))
    (8.0,)
    >>> sizes_across(Chain.of_points([(0, 0), (3, 0), (3, 2), (0, 2)], closed=True))
    (2.0, 3.0)
    >>> sizes_across(Chain.of_points([(0, 0), (3, 0), (0, 2)], closed=True))
    ()
    """
    if ring.area < 0:
        ring = ring.reversed()
    if len(ring) > MOST_SIDES or not _convex(ring):
        return ()
    lines = [s for s in ring if isinstance(s, Line)]
    found = [_between_flats(line, lines) for line in lines]
    found += _diameters([s for s in ring if isinstance(s, Arc)], round_=not lines)
    if None in found:
        return ()
    return _different([size for size in found if size is not None])


def region_sizes(region: Region) -> tuple[float, ...]:
    """The same across all parts of a region from outside; none where one of them has none."""
    found = [sizes_across(part.outer) for part in region.parts]
    return tuple(sorted({s for sizes in found for s in sizes})) if all(found) else ()


def _convex(ring: Chain) -> bool:
    """Tell whether it turns left all the way."""
    if any(isinstance(s, Arc) and not s.ccw for s in ring):
        return False
    ways = [(s.tangent_at(0.0), s.tangent_at(s.length)) for s in ring]
    return all(cross(ways[i - 1][1], ways[i][0]) >= -SAME_DIRECTION for i in range(len(ways)))


def _between_flats(line: Line, lines: list[Line]) -> float | None:
    """The width from a side to the one right opposite."""
    along = line.tangent_at(0.0)
    for other in lines:
        back = other.tangent_at(0.0)
        if abs(cross(along, back)) < PARALLEL and along[0] * back[0] + along[1] * back[1] < 0:
            off = (other.start[0] - line.start[0], other.start[1] - line.start[1])
            return abs(cross(along, off))
    return None


def _diameters(arcs: list[Arc], *, round_: bool) -> list[float | None]:
    """The diameters of arcs that lie opposite one another about one centre; `round_`: there is
    nothing else, so each must."""
    found: list[float | None] = []
    for arc in arcs:
        x, y = arc.point_at(arc.length / 2)
        facing = (2 * arc.centre[0] - x, 2 * arc.centre[1] - y)
        if any(_holds(other, arc, facing) for other in arcs):
            found.append(2 * arc.radius)
        elif round_:
            found.append(None)
    return found


def _holds(arc: Arc, other: Arc, place: Point) -> bool:
    """Tell whether an arc about another's centre has a place of the other's circle on it."""
    same_circle = (
        distance(arc.centre, other.centre) < SAME_ACROSS
        and abs(arc.radius - other.radius) < SAME_ACROSS
    )
    if not same_circle:
        return False
    to = Arc(arc.start, place, arc.centre, arc.ccw)
    return distance(arc.start, place) < SAME_ACROSS or to.sweep <= arc.sweep + SAME_POINT


def _different(sizes: list[float]) -> tuple[float, ...]:
    kept: list[float] = []
    for size in sorted(sizes):
        if not kept or size - kept[-1] > SAME_ACROSS:
            kept.append(size)
    return tuple(kept)
