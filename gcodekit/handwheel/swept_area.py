"""What the strokes of a table cut in plan."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import joined
from gcodekit.handwheel.centre_rooms import grown
from gcodekit.handwheel.strokes import TableStop, TurnStroke


def ways_of(stops: Sequence[TableStop]) -> list[list[Point]]:
    """The ways of the cutter's axis at depth, from one coming down to the next."""
    ways: list[list[Point]] = []
    for stop in stops:
        if stop.handle == "down":
            ways.append([stop.at])
            continue
        x, y = ways[-1][-1]
        if stop.handle == "xy":
            ways[-1].append((stop.at[0], y))
        elif stop.handle == "yx":
            ways[-1].append((x, stop.at[1]))
        ways[-1].append(stop.at)
    return ways


def merged(stops: Sequence[TableStop]) -> list[TableStop]:
    """The same stops, strokes that go on in one direction as one."""
    found: list[TableStop] = []
    for stop in stops:
        if len(found) > 1 and stop.handle == found[-1].handle and stop.handle in ("x", "y"):
            i = 0 if stop.handle == "x" else 1
            before, here, there = found[-2].at, found[-1].at, stop.at
            if (here[i] - before[i]) * (there[i] - here[i]) > 0:
                found.pop()
        found.append(stop)
    return found


def swept_by(stops: Sequence[TableStop], radius: float) -> BaseGeometry:
    """The area that a cutter of this radius passes over."""
    return joined(
        grown(shapely.LineString(way) if len(way) > 1 else shapely.Point(way[0]), radius)
        for way in ways_of(stops)
    )


def swept_in_turns(turns: Sequence[TurnStroke], centre: Point, radius: float) -> BaseGeometry:
    """The same of cuts on a rotary table."""
    ways = []
    for turn in turns:
        count = max(2, math.ceil(abs(turn.end - turn.start) / math.radians(1)))
        angles = np.linspace(turn.start, turn.end, count + 1)
        places = np.column_stack((np.cos(angles), np.sin(angles))) * turn.radius + np.array(centre)
        ways.append(grown(shapely.LineString(places), radius))
    return joined(ways)
