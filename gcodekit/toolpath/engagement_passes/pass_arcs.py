"""A pass as few arcs and lines: its places lie close together on smooth ways between corners."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Arc, Chain, Line, Point, Segment, distance
from gcodekit.geometry.tolerances import SHORTEST_PIECE, WIDEST_FITTED
from gcodekit.toolpath.engagement_passes.pass_room import Array

# Arcs are within this of what is drawn freely, mm, within less where they would leave the room, and
# within this share of their length, so that the heading is as true as the place.
FREE = (0.012, 0.006, 0.002, 0.0005)
FREE_SHARE = 0.003
# They are within this of what runs along walls and of short passes, in corners.
CLOSE = 0.0005
SHORT = 4.0
# Places along a wall that are as near as this to the way between others go first, mm, and of all
# those as near to the one before as the second.
WALL_FIRST = 5e-5
CLOSEST = 1e-3
# Chords, where it is found whether it stays in the room, mm.
PASS_SAG = 0.0005
# An arc with less sagitta, mm, or a greater radius is a line.
LEAST_SAGITTA = 1e-4
GREATEST = 5000.0


def in_arcs(pieces: list[list[Point]], room: BaseGeometry) -> Chain:
    """A pass given as places drawn freely and along walls in turn, nowhere outside a room."""
    for band in FREE:
        found = _fitted(pieces, band)
        places = found.flattened(PASS_SAG) if len(found) else np.empty((0, 2))
        if shapely.contains_xy(room, places[:, 0], places[:, 1]).all():
            break
    return found


def _fitted(pieces: list[list[Point]], widest: float) -> Chain:
    long = sum(distance(p[0], p[-1]) for p in pieces) > SHORT
    segments: list[Segment] = []
    for i, piece in enumerate(pieces):
        if len(piece) < 2:
            continue
        free = i % 2 == 0
        band = widest if free and long else CLOSE
        # a piece too short for a segment goes with the next
        start = segments[-1].end if segments else pieces[0][0]
        points = _apart(np.array([start, *piece[1:]]))
        if not free and len(points) > 1:
            # places drawn freely lie on a smooth way, along walls only what is between them does
            points = shapely.get_coordinates(shapely.LineString(points).simplify(WALL_FIRST))
        if len(points) > 1:
            segments += _through(points, band, smooth=free)
    return Chain(tuple(segments))


def _apart(points: Array) -> Array:
    """Without places that are one with those before them; both ends stay."""
    far = np.hypot(*np.diff(points, axis=0).T) > CLOSEST
    kept: Array = points[np.concatenate(([True], far))]
    if len(kept) > 1:
        kept[-1] = points[-1]
    return kept


def _halved(points: Array) -> Array:
    """With the middles between them: an arc must be near those as well."""
    both = np.empty((2 * len(points) - 1, 2))
    both[::2], both[1::2] = points, (points[:-1] + points[1:]) / 2
    return both


def _through(points: Array, band: float, *, smooth: bool) -> list[Segment]:
    """The longest arc from each end of the one before it; not `smooth`: near to the lines between
    the places as well."""
    out: list[Segment] = []
    first, last, guess = 0, len(points) - 1, 4
    while first < last:
        stop, found = _longest(points, first, last, guess, band, smooth=smooth)
        out.append(found)
        first, guess = stop, stop - first
    return out


def _longest(
    points: Array, first: int, last: int, guess: int, band: float, *, smooth: bool
) -> tuple[int, Segment]:
    """The length of the longest arc, by doubling and halving about a guess."""
    good, bad = first + 1, last + 1
    found: Segment = Line(_point(points, first), _point(points, first + 1))
    step = max(guess, 2)
    while bad - good > 1:
        stop = min(first + step, last) if bad > last else (good + bad) // 2
        if stop <= good:
            stop = good + 1
        some = points[first : stop + 1]
        arc = _one(some if smooth else _halved(some), band)
        if arc is None:
            bad = stop
        else:
            good, found = stop, arc
            step *= 2
    return good, found


def _one(points: Array, band: float) -> Segment | None:
    """The arc or line from the first to the last of some places that all are near to; None:
    there is none."""
    a, b = points[0], points[-1]
    dx, dy = b - a
    chord = math.hypot(dx, dy)
    if chord < SHORTEST_PIECE:
        return None
    band = max(min(band, FREE_SHARE * chord), CLOSE)
    off = ((points[:, 1] - a[1]) * dx - (points[:, 0] - a[0]) * dy) / chord
    along = ((points[:, 0] - a[0]) * dx + (points[:, 1] - a[1]) * dy) / chord
    if along.min() < -band or along.max() > chord + band:
        return None
    if np.abs(off).max() <= band:
        line = Line(_point(points, 0), _point(points, -1))
        if np.abs(off).max() <= LEAST_SAGITTA:
            return line
    height = _height(along, off, chord)
    if abs(height) < LEAST_SAGITTA:
        return line if np.abs(off).max() <= band else None
    radius = (chord * chord / 4 + height * height) / (2 * height)
    if abs(radius) > GREATEST:
        return line if np.abs(off).max() <= band else None
    if 4 * math.atan(2 * abs(height) / chord) > WIDEST_FITTED:
        return None
    # from the chord's middle the centre lies on the side that the arc does not bulge to
    far = np.hypot(along - chord / 2, off - (height - radius)) - abs(radius)
    if np.abs(far).max() > band:
        return None
    cx, cy = a[0] + dx / 2, a[1] + dy / 2
    back = height - radius
    centre = (float(cx - dy / chord * back), float(cy + dx / chord * back))
    return Arc(_point(points, 0), _point(points, -1), centre, ccw=height < 0)


def _height(along: Array, off: Array, chord: float) -> float:
    """How far an arc through both ends bulges to the left, by the place nearest its middle."""
    k = int(np.argmin(np.abs(along - chord / 2)))
    u, w = float(along[k]) - chord / 2, float(off[k])
    if w == 0.0:
        return 0.0
    # the circle through (-c, 0), (c, 0) and (u, w)
    c2 = chord * chord / 4
    middle = (u * u + w * w - c2) / (2 * w)
    return middle + math.copysign(math.hypot(middle, chord / 2), w)


def _point(points: Array, i: int) -> Point:
    return (float(points[i, 0]), float(points[i, 1]))
