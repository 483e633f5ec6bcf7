"""Cuts on a rotary table: walls that run round its axis."""

from __future__ import annotations

import math

import numpy as np

from gcodekit.geometry.chain import Point
from gcodekit.handwheel.axis_scales import TableScales
from gcodekit.handwheel.centre_rooms import CentreRoom
from gcodekit.handwheel.dialling import NoWayByHandError
from gcodekit.handwheel.strokes import TurnStroke
from gcodekit.handwheel.wall_lines import Places, WallLine, at_one_place

# A line runs round the table's axis while its corners stay this near one radius, mm.
ONE_RADIUS = 2e-3
# A shorter turn than this is stepped, radians.
LEAST_TURN = math.radians(3)
# Angles of a turn at which its radius is tried, radians apart.
TRIED_AT = math.radians(2)


def split_turns(
    room: CentreRoom, scales: TableScales, line: WallLine, centre: Point
) -> tuple[list[TurnStroke], list[WallLine]]:
    """The turns in a line that runs round a centre in places, and the rest of it. Raises
    `NoWayByHandError` where no reading of the radius stays in the room."""
    turns: list[TurnStroke] = []
    rest: list[WallLine] = []
    done = 0
    for first, last in _round_pieces(line.points, centre):
        turns.append(_turn(room, scales, line.points[first : last + 1], centre))
        if first > done:
            rest.append(WallLine(line.points[done : first + 1], False))
        done = last
    if not turns:
        return [], [line]
    if done < len(line.points) - 1:
        rest.append(WallLine(line.points[done:], False))
    return turns, [piece for piece in rest if not at_one_place(room, piece.points)]


def _round_pieces(points: Places, centre: Point) -> list[tuple[int, int]]:
    """The stretches that run round a centre, by their first and last corners."""
    off = points - np.array(centre)
    away, angles = np.hypot(off[:, 0], off[:, 1]), np.unwrap(np.arctan2(off[:, 1], off[:, 0]))
    found, start = [], 0
    for i in range(1, len(away) + 1):
        if i < len(away) and abs(away[i] - away[start]) <= ONE_RADIUS:
            continue
        # two corners are a straight line
        if i - 1 > start + 1 and abs(angles[i - 1] - angles[start]) >= LEAST_TURN:
            found.append((start, i - 1))
        start = i
    return found


def _turn(room: CentreRoom, scales: TableScales, points: Places, centre: Point) -> TurnStroke:
    """The turn along a stretch, its radius on the scale of X and in the room."""
    off = points - np.array(centre)
    angles = np.unwrap(np.arctan2(off[:, 1], off[:, 0]))
    start, end = float(angles[0]), float(angles[-1])
    count = max(3, math.ceil(abs(end - start) / TRIED_AT))
    tried = [(math.cos(a), math.sin(a)) for a in np.linspace(start, end, count)[1:-1]]
    for x in scales.x.near(centre[0] + float(np.hypot(*off.T).mean()), 2):
        radius = x - centre[0]
        places = ((centre[0] + radius * c, centre[1] + radius * s) for c, s in tried)
        if all(room.holds(p) for p in places):
            return TurnStroke(radius=radius, start=start, end=end)
    raise NoWayByHandError
