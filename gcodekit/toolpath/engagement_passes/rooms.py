"""Rooms within a room, cleared one after the other so that few links are needed.

Passes round what is cleared follow one another without a link, those that end at walls need one
each. So first a narrow room along the middle is cleared, from it the next one outward, and the
last is the whole: which ones is found by what they would come to.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from gcodekit.geometry.chain import Point
from gcodekit.geometry.flattening import polygons_of

# So many depths below the walls are tried for rooms.
DEPTHS_TRIED = 14
# What a mm^2 comes to where passes go round and round, and where each ends at walls and a link of
# about its length follows: of the length that the width alone asks for. Measured.
ROUND, TO_AND_BACK = 1.02, 1.9
# The last rounds of a room take less than the width: of its rim's length so much is lost. Measured.
LAST_ROUND = 2.0
# Corners of inner rooms are rounded by this share of the cutter's radius, and no room is narrower
# than twice the second share.
ROUNDED = 0.6
NARROWEST_ROOM = 0.3
ROOM_CHORDS = 16
# The middle of a room is found to this, mm.
FOUND = 0.02
# Places so much nearer to a wall than the farthest, mm, are as good a middle.
AS_GOOD_A_MIDDLE = 0.05


@dataclass(frozen=True, slots=True)
class _Inner:
    """The part of a room deeper than `depth`; `opens`: what a cutter reaches from there, mm2."""

    depth: float
    shape: shapely.Polygon
    opens: float


def nested_rooms(room: shapely.Polygon, radius: float, width: float) -> list[shapely.Polygon]:
    """Rooms from the innermost to `room` itself."""
    centre, deepest = middle(room)
    depths = np.linspace(0.0, deepest, DEPTHS_TRIED, endpoint=False).tolist()
    shapes = [(0.0, room), *((d, _deeper(room, d, centre, radius)) for d in depths[1:])]
    inner = [_Inner(d, s, _opened(s, radius)) for d, s in shapes if s is not None]
    spot = shapely.Point(centre).buffer(1e-3)
    inner.append(_Inner(deepest, spot, _opened(spot, radius)))
    costs, firsts = [0.0] * len(inner), [len(inner)] * len(inner)
    for i in reversed(range(len(inner) - 1)):
        found = [
            (costs[j] + _cost(inner[i], inner[j], radius, width), j)
            for j in range(i + 1, len(inner))
        ]
        costs[i], firsts[i] = min(found)
    chosen, i = [], 0
    while i < len(inner) - 1:
        chosen.append(inner[i].shape)
        i = firsts[i]
    return chosen[::-1]


def middle(room: shapely.Polygon) -> tuple[Point, float]:
    """A place about as far from the walls as any, in the middle of all such, and how far."""
    line = shapely.maximum_inscribed_circle(room, tolerance=FOUND)
    deepest = float(line.length) - AS_GOOD_A_MIDDLE
    parts = polygons_of(room.buffer(-deepest, quad_segs=ROOM_CHORDS))
    if not parts:
        x, y = line.coords[0]
        return (float(x), float(y)), float(line.length)
    part = max(parts, key=lambda p: float(p.area))
    at = part.centroid if part.covers(part.centroid) else part.representative_point()
    return (float(at.x), float(at.y)), deepest


def _cost(outer: _Inner, inner: _Inner, radius: float, width: float) -> float:
    """The cost of clearing one room after the other, mm2."""
    grown = _opened(inner.shape, inner.depth - outer.depth + radius)
    reached = min(max(grown, inner.opens), outer.opens)
    lost = LAST_ROUND * width * float(inner.shape.length)
    return lost + ROUND * (reached - inner.opens) + TO_AND_BACK * (outer.opens - reached)


def _opened(shape: shapely.Polygon, radius: float) -> float:
    return float(shape.buffer(radius, quad_segs=ROOM_CHORDS).area)


def _deeper(
    room: shapely.Polygon, depth: float, centre: Point, radius: float
) -> shapely.Polygon | None:
    """The piece about the middle of what is deeper; None where it is too narrow."""
    r = ROUNDED * radius
    inner = room.buffer(-depth - r, quad_segs=ROOM_CHORDS).buffer(r, quad_segs=ROOM_CHORDS)
    for p in polygons_of(inner):
        if p.intersects(shapely.Point(centre)):
            return None if p.buffer(-NARROWEST_ROOM * radius).is_empty else p
    return None
