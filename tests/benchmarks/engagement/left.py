"""What a level's moves sweep, held against the area: metal left and metal gouged."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from engagement.ways import Array, Level

# Chords stay this near their arc, mm.
SAG = 1e-5
# Discs and rounds by this many chords a quarter turn: within 0.0003 mm at a radius of 3 mm.
CHORDS = 64
# Runs of so many moves are swept together: faster than one by one, and a run does not cross itself
# so often that it is slow.
RUN = 25
# What is left within this of the edge of what was swept, mm, is of the chords.
SLIVER = 0.005
# How far it stands away is found to this, mm.
FOUND = 0.001


def reachable(area: BaseGeometry, radius: float) -> BaseGeometry:
    """All that a cutter's body can cover without leaving an area."""
    return area.buffer(-radius, quad_segs=CHORDS).buffer(radius, quad_segs=CHORDS)


def left_standing(
    level: Level, reach: BaseGeometry, radius: float
) -> tuple[float, float, tuple[float, float] | None]:
    """Of what can be reached the share that is not swept, how far it stands away from what is, mm,
    and where it does so."""
    cleared = swept(level, radius)
    left = reach.difference(cleared)
    lumps = left.buffer(-SLIVER).buffer(SLIVER)
    share = float(lumps.area / reach.area)
    if lumps.is_empty:
        return share, 0.0, None
    away, at = _farthest(lumps, cleared)
    return share, away, at


def _farthest(lumps: BaseGeometry, cleared: BaseGeometry) -> tuple[float, tuple[float, float]]:
    """How far a place of the lumps is from what is cleared at the most, mm, and such a place."""
    near, far, rest = 0.0, SLIVER, lumps
    while not (left := lumps.difference(cleared.buffer(far, quad_segs=CHORDS))).is_empty:
        near, far, rest = far, 2 * far, left
    while far - near > FOUND:
        middle = (near + far) / 2
        left = rest.difference(cleared.buffer(middle, quad_segs=CHORDS))
        near, far, rest = (near, middle, rest) if left.is_empty else (middle, far, left)
    at = rest.representative_point()
    return far, (float(at.x), float(at.y))


def swept(level: Level, radius: float) -> BaseGeometry:
    """All that the cutter's body covers at the level."""
    bodies = []
    run: list[Array] = []
    for i, (opens, lands) in enumerate(zip(level.opens, level.lands, strict=True)):
        points = path(level, i)
        if opens:
            run.append(points)
        if lands:
            bodies.append(shapely.Point(points[-1]))
        if run and (not opens or len(run) == RUN):
            bodies.append(_line(run))
            run = []
    if run:
        bodies.append(_line(run))
    grown = shapely.buffer(np.array(bodies), radius, quad_segs=CHORDS)
    return shapely.union_all(grown)


def _line(run: list[Array]) -> BaseGeometry:
    return shapely.LineString(np.concatenate(run))


def gouge(level: Level, room: BaseGeometry, radius: float) -> float:
    """How far the cutter's body leaves the room at the level, mm; 0 where it does not."""
    ways = [shapely.LineString(path(level, i)) for i in np.nonzero(level.opens)[0]]
    walls = room.boundary
    shapely.prepare(walls)
    near = shapely.distance(np.array(ways), walls)
    out = [_beyond(way.difference(room), walls) for way in ways if not room.covers(way)]
    return max(0.0, float(radius - near.min()), *(radius + o for o in out))


def _beyond(way: BaseGeometry, walls: BaseGeometry) -> float:
    points = shapely.points(shapely.get_coordinates(way))
    return float(shapely.distance(points, walls).max()) if len(points) else 0.0


def path(level: Level, i: int) -> Array:
    """(n, 2) a move in plan, arcs by chords."""
    ways = level.ways
    sweep = float(ways.sweep[i])
    if not sweep:
        return np.stack([ways.start[i], ways.end[i]])
    angle = 2 * math.acos(max(0.5, 1 - SAG / float(ways.radius[i])))
    count = max(2, math.ceil(abs(sweep) / angle))
    row = np.full(count + 1, i)
    place, _ = ways.rows(row).at(np.arange(count + 1) / count)
    return place
