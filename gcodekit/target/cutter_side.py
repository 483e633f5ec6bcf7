"""The plane beside a profile's line, on the side where the drawing puts the cutter."""

from __future__ import annotations

from typing import Protocol

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from gcodekit.geometry.chain import Point
from gcodekit.geometry.overlay import EMPTY, OVERLAY_GRID, common, less, union
from gcodekit.job.kinds.profile import Profile
from gcodekit.target.drawn_areas import area_of, discs, framed, grown, line_of, rectangle

Array = NDArray[np.float64]

# A band's rim nearer to the line than its width less this, mm, is no path of a cutter.
BAND_NEARER = 1e-3
# What a line does within this many widths of its end belongs to the end.
AT_END = 3.0
# Segments no farther from a point than the nearest and this, mm, meet in the point's foot.
SAME_FOOT = 1e-7


class Side(Protocol):
    """Distances in mm, from the line away to the cutter's side."""

    def band(self, far: float) -> BaseGeometry:
        """All within `far`; where the cutter runs on the line, half of that to each side."""

    def taken(self, radius: float, left: float) -> BaseGeometry:
        """The area that a cutter has to take; with `left` on the wall no more than it then can."""

    def room(self, far: float, past: float) -> BaseGeometry:
        """All within `far`, and straight on by `past` at open ends."""

    def past_ends(self, radius: float, off: float) -> BaseGeometry:
        """The area that a cutter takes past a path's ends when its side is `off` the line."""

    def axis(self, radius: float) -> BaseGeometry:
        """The line of a cutter's axis."""

    def across(self, along: Point) -> Point:
        """Unit direction to the cutter's side, by the line's own direction."""


def side_of(profile: Profile, into: float = 0.0) -> Side:
    """The cutter's side of a profile's line, as drawn, or of an outline moved `into` the metal that
    is to be kept, mm."""
    if profile.outline is not None:
        area = area_of(profile.outline)
        if profile.side == "on":
            return _Centred(area.boundary)
        if into:
            area = grown(area, into if profile.side == "inside" else -into)
        return _Round(area, inside=profile.side == "inside")
    assert profile.path is not None  # the job gives one of both
    line = line_of(profile.path)
    if profile.side == "on":
        return _Centred(line)
    return _Open(line, 1.0 if profile.side == "left" else -1.0)


class _Round:
    """All round an outline: the plane outside it, or what it encloses, as one region each."""

    def __init__(self, area: BaseGeometry, *, inside: bool) -> None:
        self._area, self._inside = area, inside

    def _sides(self, far: float) -> tuple[BaseGeometry, BaseGeometry]:
        """The kept side of the line, and the cutter's: as far as matters."""
        beyond = less(framed(self._area, 2 * far + 1.0), self._area)
        return (beyond, self._area) if self._inside else (self._area, beyond)

    def band(self, far: float) -> BaseGeometry:
        kept, free = self._sides(far)
        return common(grown(kept, far), free)

    def taken(self, radius: float, left: float) -> BaseGeometry:
        whole = self.band(2 * radius)
        if not left:
            return whole
        off = less(whole, grown(self._sides(2 * radius)[0], left))
        return common(off, grown(self.axis(radius + left), radius))

    def room(self, far: float, past: float) -> BaseGeometry:
        return self.band(far)

    def past_ends(self, radius: float, off: float) -> BaseGeometry:
        return EMPTY

    def axis(self, radius: float) -> BaseGeometry:
        kept, free = self._sides(radius)
        return less(free, grown(kept, radius)).boundary & framed(self._area, radius + 0.5)

    def across(self, along: Point) -> Point:
        # a region's rings go round with its metal on their left
        return _turned(along, 1.0 if self._inside else -1.0)


class _Centred:
    """The cutter's axis on the line."""

    def __init__(self, line: BaseGeometry) -> None:
        self._line = line

    def band(self, far: float) -> BaseGeometry:
        return grown(self._line, far / 2)

    def taken(self, radius: float, left: float) -> BaseGeometry:
        return grown(self._line, radius)

    def room(self, far: float, past: float) -> BaseGeometry:
        # no allowance and no lead: the cutter goes down and along on the line itself
        return EMPTY

    def past_ends(self, radius: float, off: float) -> BaseGeometry:
        return EMPTY  # its band has round ends

    def axis(self, radius: float) -> BaseGeometry:
        return self._line

    def across(self, along: Point) -> Point:
        return _turned(along, 1.0)


class _Open:
    """The side of an open path: `turn` 1.0 on its left, -1.0 on its right."""

    def __init__(self, line: shapely.LineString, turn: float) -> None:
        self._line, self._turn = line, turn

    def band(self, far: float) -> BaseGeometry:
        return half_plane(self._line, far, self._turn)

    def taken(self, radius: float, left: float) -> BaseGeometry:
        whole = self.band(2 * radius)
        if not left:
            return whole
        kept = grown(self._line, left)
        beyond = less(half_plane(run_on(self._line, 2 * radius), 4 * radius, self._turn), kept)
        return common(less(whole, kept), grown(grown(beyond, -radius), radius))

    def room(self, far: float, past: float) -> BaseGeometry:
        return half_plane(run_on(self._line, past), far, self._turn)

    def past_ends(self, radius: float, off: float) -> BaseGeometry:
        found = []
        # looking out of the path's start its left is on the right
        for (end, out), turn in zip(_ends(self._line), (-self._turn, self._turn), strict=True):
            x, y = end + (radius + off) * np.array(_turned((out[0], out[1]), turn))
            past = rectangle((x, y), (out[0], out[1]), (0.0, radius), radius)
            found.append(common(discs([(x, y)], radius), past))
        return union(found)

    def axis(self, radius: float) -> BaseGeometry:
        # of the band's rim that which is neither the path nor a square end
        return self.band(radius).boundary.difference(grown(self._line, radius - BAND_NEARER))

    def across(self, along: Point) -> Point:
        return _turned(along, self._turn)


def _turned(along: Point, turn: float) -> Point:
    """A quarter to the left, or with `turn` -1.0 to the right."""
    return (-turn * along[1], turn * along[0])


def _ends(line: shapely.LineString) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """Start and end of a line: the point, and the unit direction out of the line there."""
    at = shapely.get_coordinates(line)
    out = (at[0] - at[1], at[-1] - at[-2])
    return (at[0], out[0] / np.hypot(*out[0])), (at[-1], out[1] / np.hypot(*out[1]))


def run_on(line: shapely.LineString, by: float) -> shapely.LineString:
    """Straight on at both ends."""
    (start, back), (end, on) = _ends(line)
    inner = shapely.get_coordinates(line)
    return shapely.LineString(np.concatenate(([start + by * back], inner, [end + by * on])))


def half_plane(line: shapely.LineString, far: float, turn: float) -> BaseGeometry:
    """All within `far` of a line on its left (`turn` 1.0) or right, square at the ends."""
    both = less(grown(line, far, flat_ends=True), _past_ends(line, far))
    # so far that both sides never join round an end
    knife = run_on(line, 2 * far + line.length + 1.0)
    edges = shapely.union_all([both.boundary, knife], grid_size=OVERLAY_GRID)
    cells = shapely.get_parts(shapely.polygonize([edges]))
    points = [cell.representative_point() for cell in cells]
    at = shapely.get_coordinates(line)
    return union(
        cell
        for cell, p in zip(cells, points, strict=True)
        if both.covers(p) and turn * _left_by(at, np.array([p.x, p.y])) > 0
    )


def _left_by(at: Array, point: Array) -> float:
    """More than 0 where a point lies to the left of a line, by the segments nearest to it."""
    start, step = at[:-1], np.diff(at, axis=0)
    long = np.hypot(step[:, 0], step[:, 1])
    start, step, long = start[long > 0], step[long > 0], long[long > 0]
    share = np.clip(((point - start) * step).sum(axis=1) / long**2, 0.0, 1.0)
    to = point - (start + share[:, None] * step)
    away = np.hypot(to[:, 0], to[:, 1])
    near = away <= away.min() + SAME_FOOT
    along = (step[near] / long[near, None]).sum(axis=0)
    out = to[int(away.argmin())]
    return float(along[0] * out[1] - along[1] * out[0])


def _past_ends(line: shapely.LineString, far: float) -> BaseGeometry:
    """Straight past the ends: the sweep of a bend near an end comes out there. What is beside a
    part of the line farther back is not meant."""
    found = []
    back, long = AT_END * far, line.length
    for (end, out), rest in zip(_ends(line), ((back, long), (0.0, long - back)), strict=True):
        past = rectangle((end[0], end[1]), (out[0], out[1]), (0.0, 2 * far), 2 * far)
        if rest[0] < rest[1]:
            past = less(past, grown(substring(line, *rest), far))
        found.append(past)
    return union(found)
