"""Places brought onto the scales, and the straight strokes between them that stay in the room."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from typing import Literal

from gcodekit.geometry.chain import Point, distance
from gcodekit.handwheel.axis_scales import TableScales
from gcodekit.handwheel.centre_rooms import CentreRoom
from gcodekit.handwheel.strokes import TableStop

# A place is brought onto the scales no farther than this many divisions away.
FARTHEST_DIVISIONS = 3
# A way between two places is halved no more often than this.
MOST_HALVES = 10


class NoWayByHandError(Exception):
    """No straight strokes lead from one place of a cut to the next within its room."""


def dialled(room: CentreRoom, scales: TableScales, point: Point) -> Point:
    """The place on the scales nearest to a point, within the room. Raises `NoWayByHandError`."""
    for spread in (1, FARTHEST_DIVISIONS):
        near = product(scales.x.near(point[0], spread), scales.y.near(point[1], spread))
        for place in sorted(near, key=lambda p: distance(p, point)):
            if room.holds(place):
                return place
    raise NoWayByHandError


def stroke_between(
    room: CentreRoom,
    scales: TableScales,
    line: Callable[[float], Point],
    ends: tuple[tuple[float, Point], tuple[float, Point]],
    halves: int = 0,
) -> list[TableStop]:
    """The stops from one place to another along a line, both already on the scales and each with
    its mm along the line: one stroke, one after the other, or more with places of the line
    between. Raises `NoWayByHandError`."""
    (s0, here), (s1, there) = ends
    if here == there:
        return []
    if here[0] == there[0] or here[1] == there[1]:
        if room.holds(here, there):
            return [TableStop("y" if here[0] == there[0] else "x", there)]
    else:
        found = two_strokes(room, here, there)
        if found is not None:
            return [found]
    if halves == MOST_HALVES:
        raise NoWayByHandError
    middle = (s0 + s1) / 2
    between = dialled(room, scales, line(middle))
    if between in (here, there):
        raise NoWayByHandError
    first = stroke_between(room, scales, line, ((s0, here), (middle, between)), halves + 1)
    return first + stroke_between(room, scales, line, ((middle, between), (s1, there)), halves + 1)


def two_strokes(room: CentreRoom, here: Point, there: Point) -> TableStop | None:
    """First one handle, then the other: by the corner that is farther from the walls, if either
    way stays in the room."""
    ways: list[tuple[Literal["xy", "yx"], Point]] = [
        ("xy", (there[0], here[1])),
        ("yx", (here[0], there[1])),
    ]
    sound = [(handle, c) for handle, c in ways if room.holds(here, c, there)]
    if not sound:
        return None
    handle, _ = max(sound, key=lambda way: room.depth_of(way[1]))
    return TableStop(handle, there)
