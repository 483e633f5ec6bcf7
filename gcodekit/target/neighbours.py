"""What the other features of a set-up keep standing where one feature's cutters have room."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.model import Setup
from gcodekit.target.bodies import Upright
from gcodekit.target.metal import plan
from gcodekit.target.plane import area_of, framed, grown, line_of

# Outlines meant to be one are so to this, mm.
ONE_EDGE = 0.001
# A window is cut in a plate that reaches this far beyond the metal, mm.
BEYOND = 10.0


@dataclass(frozen=True, slots=True)
class _Region:
    owner: str
    area: BaseGeometry
    low: float


class Neighbours:
    """A profile cut outside keeps what it goes round, less the windows in that; one cut inside
    keeps the plate round its window; a pocket keeps its islands, a boss itself."""

    def __init__(self, setup: Setup) -> None:
        self._plate = framed(plan(setup), BEYOND)
        self._windows = [_drawn_round(f) for f in setup.features if _cut(f, "inside")]
        self._window_tree = STRtree([w.area for w in self._windows])
        self._bodies = [
            self._less_windows(_drawn_round(f)) for f in setup.features if _cut(f, "outside")
        ]
        self._bodies += [r for f in setup.features if (r := _stands(f)) is not None]
        self._tree = STRtree([b.area for b in self._bodies])

    def beside(
        self, profile: Profile, room: BaseGeometry, along: BaseGeometry
    ) -> tuple[Upright, ...]:
        """What others keep of a profile's `room`. A body in which the profile is drawn gives up
        what its cutters sweep `along` the line: the drawing cuts into it there."""
        if profile.outline is not None:
            drawn = area_of(profile.outline)
        else:
            drawn = line_of(profile.path) if profile.path is not None else shapely.Point()
        found = []
        for i in sorted(self._tree.query(room)):
            body = self._bodies[i]
            if body.owner != profile.name:
                area = less(body.area, along) if body.area.covers(drawn) else body.area
                found.append(Upright(area, body.low))
        for i in sorted(self._window_tree.query(drawn)):
            window = self._windows[i]
            if window.owner != profile.name and grown(window.area, ONE_EDGE).covers(drawn):
                found.append(Upright(less(self._plate, window.area), window.low))
        return tuple(found)

    def _less_windows(self, part: _Region) -> _Region:
        wide = grown(part.area, ONE_EDGE)
        near = (self._windows[i].area for i in self._window_tree.query(part.area))
        return _Region(
            part.owner, less(part.area, union(w for w in near if wide.covers(w))), part.low
        )


def spared(feature: Feature, touched: BaseGeometry, setup: Setup) -> list[BaseGeometry]:
    """What other features keep higher than a feature's floor, apart from what it touches itself."""
    found: list[BaseGeometry] = []
    for other in setup.features:
        if other.name == feature.name or other.depth.top <= feature.depth.cut_to:
            continue
        bodies = [area_of(i) for i in other.islands] if isinstance(other, Pocket) else []
        if isinstance(other, Boss):
            bodies = [area_of(other.kept)]
        if _cut(other, "outside"):
            bodies = [_drawn_round(other).area]
        found += [b for b in bodies if common(b, touched).is_empty]
    return found


def _cut(feature: Feature, side: str) -> bool:
    return isinstance(feature, Profile) and feature.outline is not None and feature.side == side


def _drawn_round(feature: Feature) -> _Region:
    assert isinstance(feature, Profile)
    assert feature.outline is not None
    return _Region(feature.name, area_of(feature.outline), feature.depth.cut_to)


def _stands(feature: Feature) -> _Region | None:
    if isinstance(feature, Pocket):
        area = union(area_of(island) for island in feature.islands)
    elif isinstance(feature, Boss):
        area = area_of(feature.kept)
    else:
        return None
    return _Region(feature.name, area, feature.depth.cut_to)
