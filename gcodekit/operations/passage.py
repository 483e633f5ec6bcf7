"""Tests whether a cutter reaches everywhere in an area."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import eroded, polygons_of, to_shapely
from gcodekit.geometry.region import Region
from gcodekit.operations.planned_operation import PLAN_SAG

# What is missed by less than this is flattening, mm.
FLATTENED = 0.005
# Wall within this of a missed piece is the piece's own, mm.
OWN_WALL = 4 * FLATTENED
# Chords to a quarter turn: on 25 mm they sag by PLAN_SAG.
PASSING_CHORDS = 64
# How nearly the widest disc that passes is found, mm.
FINE = 0.02
# A corner turns by less than half a turn; a channel's square end turns by just that.
TURN_SLACK = math.radians(1.0)


def passes(area: Region, radius: float) -> bool:
    """Tell whether a disc of this radius passes every neck of the area and misses only inside
    corners.

    Its centre's room hangs together as the area does, and what it misses lies beside one stretch
    of wall that turns by less than half a turn. A neck as wide as the disc is passed.
    """
    flat = to_shapely(area, PLAN_SAG)
    room = eroded(flat, max(radius - 2 * PLAN_SAG, 0.0), quad_segs=PASSING_CHORDS)
    if _pieces_and_holes(room) != _pieces_and_holes(flat):
        return False
    reached = room.buffer(radius + PLAN_SAG, quad_segs=PASSING_CHORDS)
    walls = [shapely.LineString(ring.flattened(PLAN_SAG)) for ring in area.rings]
    missed = shapely.get_parts(flat.difference(reached).buffer(-FLATTENED))
    return all(p.is_empty or _in_corner(walls, p.buffer(FLATTENED + OWN_WALL)) for p in missed)


def widest_passing(area: Region, most: float) -> float:
    """The radius of about the largest disc below `most` that passes, mm; 0 for none to speak of."""
    low, high = 0.0, most
    while high - low > FINE:
        middle = (low + high) / 2
        low, high = (middle, high) if passes(area, middle) else (low, middle)
    return low


def _pieces_and_holes(shape: BaseGeometry) -> tuple[int, int]:
    polygons = polygons_of(shape)
    return len(polygons), sum(len(p.interiors) for p in polygons)


def _in_corner(walls: list[shapely.LineString], piece: BaseGeometry) -> bool:
    beside = [
        stretch
        for wall in walls
        if wall.intersects(piece)
        for stretch in shapely.get_parts(shapely.line_merge(wall.intersection(piece)))
    ]
    return len(beside) == 1 and _inside_turn(beside[0]) < math.pi - TURN_SLACK


def _inside_turn(stretch: BaseGeometry) -> float:
    """By how much a stretch of wall, the area on its left, turns to the left, radians."""
    steps = np.diff(shapely.get_coordinates(stretch), axis=0)
    steps = steps[np.hypot(steps[:, 0], steps[:, 1]) > 1e-9]
    a, b = steps[:-1], steps[1:]
    turns = np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], a[:, 0] * b[:, 0] + a[:, 1] * b[:, 1])
    return float(np.maximum(turns, 0.0).sum())
