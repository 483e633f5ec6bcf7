"""Bodies that a profile's roughing and leads may not reach into: what other features keep."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import less, union
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.model import Setup
from gcodekit.part.plane_regions import area_of, grown, line_of
from gcodekit.part.setup_stock import plan
from gcodekit.part.solids import Prism

# Outlines meant to coincide do to this, mm.
SAME_EDGE = 0.001
# What an inside profile keeps is taken to be the whole plate, this far beyond the metal, mm.
PLATE_BEYOND = 10.0


@dataclass(frozen=True, slots=True)
class _Body:
    """A region one feature keeps, or cuts out, down to `low`."""

    owner: str
    area: BaseGeometry
    low: float


class KeptBodies:
    """The bodies that a set-up's features keep.

    A profile with the cutter outside keeps its inside, less the windows cut out of it; one with
    the cutter inside keeps the plate round it from whatever is cut within its window; a pocket
    keeps its islands, a boss itself.
    """

    def __init__(self, setup: Setup) -> None:
        self._setup = setup
        self._windows = [_outlined(f) for f in _profiles(setup, "inside")]
        self._window_tree = STRtree([w.area for w in self._windows])
        self._bodies = [self._part(_outlined(f)) for f in _profiles(setup, "outside")]
        self._bodies += [
            _Body(f.name, union(map(area_of, f.keeps)), f.depth.cut_to)
            for f in setup.features
            if f.keeps and not isinstance(f, Profile)
        ]
        self._body_tree = STRtree([b.area for b in self._bodies])

    def near(self, profile: Profile, room: BaseGeometry, swept: BaseGeometry) -> tuple[Prism, ...]:
        """The bodies that other features keep in the `room` a profile's cutters may take.

        A body that the profile is drawn in gives up what they sweep along the line (`swept`):
        there the drawing cuts into it, and the groove's other wall is nobody's.
        """
        bodies = (self._bodies[i] for i in sorted(self._body_tree.query(room)))
        drawn = _drawn(profile)
        near = [
            Prism(less(b.area, swept) if b.area.covers(drawn) else b.area, b.low)
            for b in bodies
            if b.owner != profile.name
        ]
        windows = (self._windows[i] for i in sorted(self._window_tree.query(drawn)))
        plate = grown(plan(self._setup).envelope, PLATE_BEYOND)
        near += [
            Prism(less(plate, w.area), w.low)
            for w in windows
            if w.owner != profile.name and grown(w.area, SAME_EDGE).covers(drawn)
        ]
        return tuple(near)

    def ahead(self, slot: Slot, room: BaseGeometry) -> tuple[tuple[str, BaseGeometry], ...]:
        """The bodies, with their features, in the `room` that a slot's open end runs through."""
        bodies = (self._bodies[i] for i in sorted(self._body_tree.query(grown(room, SAME_EDGE))))
        return tuple((b.owner, b.area) for b in bodies)

    def _part(self, whole: _Body) -> _Body:
        """An outside profile's part: without the windows inside it."""
        held = grown(whole.area, SAME_EDGE)
        inside = (self._windows[i].area for i in self._window_tree.query(whole.area))
        windows = union(w for w in inside if held.covers(w))
        return _Body(whole.owner, less(whole.area, windows), whole.low)


def _profiles(setup: Setup, side: str) -> list[Profile]:
    return [
        f
        for f in setup.features
        if isinstance(f, Profile) and f.side == side and f.outline is not None
    ]


def _outlined(profile: Profile) -> _Body:
    assert profile.outline is not None
    return _Body(profile.name, area_of(profile.outline), profile.depth.cut_to)


def _drawn(profile: Profile) -> BaseGeometry:
    if profile.outline is not None:
        return area_of(profile.outline)
    return line_of(profile.path) if profile.path is not None else shapely.Point()
