"""The plane beside an outline or a path: bands along it on the cutter's side."""

from __future__ import annotations

from typing import Protocol

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from gcodekit.geometry.chain import Point
from gcodekit.geometry.flattening import disc
from gcodekit.geometry.overlay import EMPTY, OVERLAY_GRID, common, less, union
from gcodekit.job.kinds.profile import Profile
from gcodekit.part.plane_regions import area_of, grown, line_of, strip
from gcodekit.part.tab_places import TabPlace

# What of a band's rim lies nearer the line than the band's width, less this, mm, is no path.
RIM_NEARER = 1e-3
# Of a band's width: what the line does within so much of its end belongs to the end.
BEND = 3.0


class ProfileSide(Protocol):
    """Bands along a line on the cutter's side, by distance from it, mm."""

    def band(self, near: float, far: float) -> BaseGeometry:
        """The area from `near` to `far`; a cutter on the line takes half of `far` to each side."""

    def kerf(self, radius: float, left: float) -> BaseGeometry:
        """The area that a cutter has to take; with `left` on the wall, no more than it can so far
        off."""

    def room(self, far: float, *, past: float) -> BaseGeometry:
        """Everything within `far`, and `past` the ends where there are any."""

    def past_ends(self, radius: float, *, off: float) -> BaseGeometry:
        """The area that a cutter takes past an open path's ends, its side `off` the line."""

    def path(self, radius: float) -> BaseGeometry:
        """The path of a cutter's axis."""

    def across(self, radius: float) -> tuple[float, float]:
        """The distances from the line at which the kerf begins and ends."""

    def away(self, tab: TabPlace) -> Point:
        """Unit direction from the line to the cutter's side."""


def beside(profile: Profile) -> ProfileSide:
    """The cutter's side of a profile."""
    if profile.outline is not None:
        area = area_of(profile.outline)
        if profile.side == "on":
            return _On(area.boundary)
        return _Ring(area, outside=profile.side == "outside")
    assert profile.path is not None  # the job gives one of both
    line = line_of(profile.path)
    if profile.side == "on":
        return _On(line)
    return _Path(line, left=profile.side == "left")


class _Ring:
    """The side of a closed outline: outside or inside a region."""

    def __init__(self, area: BaseGeometry, *, outside: bool) -> None:
        self._area, self._outside = area, outside

    def band(self, near: float, far: float) -> BaseGeometry:
        if self._outside:
            return less(grown(self._area, far), grown(self._area, near) if near else self._area)
        return less(grown(self._area, -near) if near else self._area, grown(self._area, -far))

    def kerf(self, radius: float, left: float) -> BaseGeometry:
        kerf = self.band(left, 2 * radius)
        return common(kerf, grown(self.path(radius + left), radius)) if left else kerf

    def room(self, far: float, *, past: float) -> BaseGeometry:
        return self.band(0.0, far)

    def past_ends(self, radius: float, *, off: float) -> BaseGeometry:
        return EMPTY

    def path(self, radius: float) -> BaseGeometry:
        return grown(self._area, radius if self._outside else -radius).boundary

    def across(self, radius: float) -> tuple[float, float]:
        return (0.0, 2 * radius)

    def away(self, tab: TabPlace) -> Point:
        return _right(tab.along) if self._outside else _left(tab.along)


class _On:
    """Along a line, the cutter's axis on it."""

    def __init__(self, line: BaseGeometry) -> None:
        self._line = line

    def band(self, near: float, far: float) -> BaseGeometry:
        return grown(self._line, far / 2)

    def kerf(self, radius: float, left: float) -> BaseGeometry:
        return self.band(0.0, 2 * radius)

    def room(self, far: float, *, past: float) -> BaseGeometry:
        # no allowance and no lead: the cutter goes down and along on the line itself
        return shapely.Polygon()

    def past_ends(self, radius: float, *, off: float) -> BaseGeometry:
        return EMPTY  # its band has round ends

    def path(self, radius: float) -> BaseGeometry:
        return self._line

    def across(self, radius: float) -> tuple[float, float]:
        return (-radius, radius)

    def away(self, tab: TabPlace) -> Point:
        return _left(tab.along)


class _Path:
    """The side of an open line."""

    def __init__(self, line: shapely.LineString, *, left: bool) -> None:
        self._line, self._to_left = line, left

    def band(self, near: float, far: float) -> BaseGeometry:
        whole = sided(self._line, far, left=self._to_left)
        return less(whole, grown(self._line, near)) if near else whole

    def kerf(self, radius: float, left: float) -> BaseGeometry:
        if not left:
            return self.band(0.0, 2 * radius)
        beyond = sided(extended(self._line, 2 * radius), 4 * radius, left=self._to_left)
        open_ = grown(grown(less(beyond, grown(self._line, left)), -radius), radius)
        return common(self.band(left, 2 * radius), open_)

    def room(self, far: float, *, past: float) -> BaseGeometry:
        return sided(extended(self._line, past), far, left=self._to_left)

    def past_ends(self, radius: float, *, off: float) -> BaseGeometry:
        coords = shapely.get_coordinates(self._line)
        halves = []
        # looking out of the line's end its left is on the left, out of its start on the right
        for end, before, same in ((coords[0], coords[1], False), (coords[-1], coords[-2], True)):
            out = (end - before) / np.hypot(*(end - before))
            turn = 1.0 if self._to_left == same else -1.0
            away = turn * np.array([-out[1], out[0]])
            x, y = end + (radius + off) * away
            beyond = strip((x, y), (out[0], out[1]), (0.0, radius), radius)
            halves.append(common(disc((x, y), radius), beyond))
        return union(halves)

    def path(self, radius: float) -> BaseGeometry:
        # without the line itself and the ends, which lie nearer
        return shapely.difference(
            self.band(0.0, radius).boundary, grown(self._line, radius - RIM_NEARER)
        )

    def across(self, radius: float) -> tuple[float, float]:
        return (0.0, 2 * radius)

    def away(self, tab: TabPlace) -> Point:
        return _left(tab.along) if self._to_left else _right(tab.along)


def sided(line: shapely.LineString, distance: float, *, left: bool) -> BaseGeometry:
    """The points on one side of a line and within `distance`, cut off square at its ends."""
    body = less(grown(line, distance, flat_ends=True), _past(line, distance))
    # past everything: where the ends stand nearer than the band is wide, its two sides would
    # else join round them
    cutting = extended(line, 2 * distance + line.length + 1.0)
    edges = shapely.union_all([body.boundary, cutting], grid_size=OVERLAY_GRID)
    pieces = shapely.get_parts(shapely.polygonize([edges]))
    inside = (p for p in pieces if body.covers(p.representative_point()))
    return union(p for p in inside if _is_left(line, p.representative_point()) == left)


def _past(line: shapely.LineString, distance: float) -> BaseGeometry:
    """The area straight past the ends, where the round about a bend nearer the end than a band is
    wide comes out; not what is beside another part of the line, farther back."""
    coords, found = shapely.get_coordinates(line), []
    back = BEND * distance
    for end, before, rest in (
        (coords[0], coords[1], (back, line.length)),
        (coords[-1], coords[-2], (0.0, line.length - back)),
    ):
        out = (end - before) / np.hypot(*(end - before))
        x, y = end
        past = strip((x, y), (out[0], out[1]), (0.0, 2 * distance), 2 * distance)
        if rest[1] > rest[0]:
            past = less(past, grown(substring(line, *rest), distance))
        found.append(past)
    return union(found)


def _is_left(line: shapely.LineString, point: shapely.Point) -> bool:
    """Tell on which side of a line a point lies, by the directions before and after its foot."""
    coords = shapely.get_coordinates(line)
    runs = np.hypot(*np.diff(coords, axis=0).T)
    at = np.concatenate(([0.0], np.cumsum(runs)))
    s = float(line.project(point))
    foot = np.array(shapely.get_coordinates(line.interpolate(s))[0])
    near = np.flatnonzero((at[:-1] <= s + OVERLAY_GRID) & (at[1:] >= s - OVERLAY_GRID))
    along = sum((coords[i + 1] - coords[i]) / runs[i] for i in near if runs[i] > 0)
    to = np.array([point.x, point.y]) - foot
    return bool(along[0] * to[1] - along[1] * to[0] > 0)


def extended(line: shapely.LineString, by: float) -> shapely.LineString:
    """The line run straight on at both ends."""
    coords = shapely.get_coordinates(line)
    first, last = coords[0] - coords[1], coords[-1] - coords[-2]
    first, last = first / np.hypot(*first), last / np.hypot(*last)
    ends = ([coords[0] + by * first], coords, [coords[-1] + by * last])
    return shapely.LineString(np.concatenate(ends))


def _left(along: Point) -> Point:
    return (-along[1], along[0])


def _right(along: Point) -> Point:
    return (along[1], -along[0])
