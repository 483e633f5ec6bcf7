"""The segments of a drawn path: straight lines, and arcs by centre, by radius or through a point.

Each answer is a segment, or in words why there is none.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from gcodekit.geometry.chain import Arc, Line, Point, Segment, distance, same
from gcodekit.geometry.tolerances import ARC_MISMATCH
from gcodekit.job.outlines.paths import PathEntry

Say = Callable[[float], str]
# Why there is no segment: the key at fault, what is wrong, what would be right.
Wrong = tuple[str, str, str]


def segment_to(start: Point, entry: PathEntry, say: Say) -> Segment | Wrong | None:
    """The segment from `start` to an entry; None where it goes nowhere."""
    ccw = entry.turn == "ccw"
    if entry.centre is not None:
        return by_centre(start, entry.to, entry.centre, say, ccw=ccw)
    if entry.radius is not None:
        return by_radius(start, entry.to, entry.radius, say, left=ccw != entry.large, ccw=ccw)
    if entry.via is not None:
        return through(start, entry.to, entry.via)
    return None if same(start, entry.to) else Line(start, entry.to)


def by_centre(start: Point, end: Point, centre: Point, say: Say, *, ccw: bool) -> Arc | Wrong:
    """About a centre; start == end is a full circle. A centre as far off as a drawing rounds its
    figures is moved to where it is as far from both ends."""
    a, b = distance(centre, start), distance(centre, end)
    if abs(a - b) > ARC_MISMATCH:
        return (
            "centre",
            f"is {say(a)} from the arc's start and {say(b)} from its end",
            "make both the same",
        )
    if a < ARC_MISMATCH:
        return "centre", "is the start of the arc", "put it a radius away"
    if same(start, end):
        return Arc(start, end, centre, ccw)
    chord = distance(start, end)
    tx, ty = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    along = (centre[0] - start[0]) * tx + (centre[1] - start[1]) * ty - chord / 2
    return Arc(start, end, (centre[0] - along * tx, centre[1] - along * ty), ccw)


def by_radius(
    start: Point, end: Point, radius: float, say: Say, *, left: bool, ccw: bool
) -> Arc | Wrong:
    """Of a radius, its centre to the left or right of the chord."""
    chord = distance(start, end)
    if same(start, end):
        return "radius", "the arc ends where it starts", "give centre for a full circle"
    square = radius**2 - (chord / 2) ** 2
    if square < -1e-9 * radius**2:
        return (
            "radius",
            f"{say(radius)} is too small: the ends are {say(chord)} apart",
            f"use at least {say(chord / 2)}",
        )
    height = math.sqrt(max(0.0, square)) * (1 if left else -1)
    tx, ty = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    return Arc(start, end, (middle[0] - height * ty, middle[1] + height * tx), ccw)


def through(start: Point, end: Point, via: Point) -> Arc | Wrong:
    """Through a third point: the circle round a triangle, walked by way of that corner."""
    ax, ay = via[0] - start[0], via[1] - start[1]
    bx, by = end[0] - start[0], end[1] - start[1]
    cross = ax * by - ay * bx
    if same(start, end) or same(start, via) or same(via, end):
        return "via", "is an end of the arc", "give a point between the ends"
    if abs(cross) < 1e-6 * math.hypot(ax, ay) * math.hypot(bx, by):
        return "via", "is in line with the ends of the arc", "remove it for a straight line"
    a2, b2 = ax * ax + ay * ay, bx * bx + by * by
    ux, uy = (by * a2 - ay * b2) / (2 * cross), (ax * b2 - bx * a2) / (2 * cross)
    return Arc(start, end, (start[0] + ux, start[1] + uy), cross > 0)
