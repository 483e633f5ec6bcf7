"""The bodies that other features of a set-up keep where one feature's cutters have room."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from manifold3d import CrossSection
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import common, less, union
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Feature
from gcodekit.job.model import Setup
from gcodekit.target import planar
from gcodekit.target.bodies import Upright
from gcodekit.target.drawn_areas import area_of, framed, grown
from gcodekit.target.kind_target import target_kind
from gcodekit.target.setup_metal import plan

# Outlines meant to be one are so to this, mm.
ONE_EDGE = 0.001
# A window is cut in a plate that reaches this far beyond the metal, mm.
PLATE_BEYOND = 10.0


@dataclass(frozen=True, slots=True)
class _Region:
    owner: str
    area: BaseGeometry
    low: float


class Neighbours:
    """The bodies that features keep: what they go round, some of it less the windows in that, and
    the plate round a window."""

    def __init__(self, setup: Setup) -> None:
        self._plate = framed(plan(setup), PLATE_BEYOND)
        cut = ((f, target_kind(f).window(f)) for f in setup.features)
        self._windows = [_region(f, [window]) for f, window in cut if window is not None]
        self._window_tree = STRtree([w.area for w in self._windows])
        self._bodies = [b for f in setup.features if (b := self._body(f)) is not None]
        self._tree = STRtree([b.area for b in self._bodies])

    def beside(
        self, owner: str, drawn: BaseGeometry, room: BaseGeometry, along: BaseGeometry
    ) -> tuple[Upright, ...]:
        """The part of its `room` that others than the owner keep. A body in which its line or
        outline lies as `drawn` gives up what its cutters sweep `along` that: the drawing cuts into
        it there."""
        found = []
        for i in sorted(self._tree.query(room)):
            body = self._bodies[i]
            if body.owner != owner:
                area = less(body.area, along) if body.area.covers(drawn) else body.area
                found.append(Upright(area, body.low))
        for i in sorted(self._window_tree.query(drawn)):
            window = self._windows[i]
            if window.owner != owner and grown(window.area, ONE_EDGE).covers(drawn):
                found.append(Upright(less(self._plate, window.area), window.low))
        return tuple(found)

    def _body(self, feature: Feature) -> _Region | None:
        kind = target_kind(feature)
        kept = kind.kept(feature)
        if not kept:
            return None
        body = _region(feature, kept)
        return self._less_windows(body) if kind.pierced else body

    def _less_windows(self, part: _Region) -> _Region:
        wide = grown(part.area, ONE_EDGE)
        near = (self._windows[i].area for i in self._window_tree.query(part.area))
        return _Region(
            part.owner, less(part.area, union(w for w in near if wide.covers(w))), part.low
        )


def _region(feature: Feature, drawn: Iterable[Region]) -> _Region:
    return _Region(feature.name, union(map(area_of, drawn)), feature.depth.cut_to)


def spared(feature: Feature, touched: BaseGeometry, setup: Setup) -> list[BaseGeometry]:
    """The bodies that other features keep higher than a feature's floor, apart from what it touches
    itself."""
    found = map(area_of, _kept_higher(feature, setup))
    return [b for b in found if common(b, touched).is_empty]


def kept_higher(feature: Feature, setup: Setup) -> list[CrossSection]:
    """The bodies that other features keep higher than a feature's floor, for the solids."""
    return [planar.area_of(region) for region in _kept_higher(feature, setup)]


def _kept_higher(feature: Feature, setup: Setup) -> list[Region]:
    found: list[Region] = []
    for other in setup.features:
        if other.name != feature.name and other.depth.top > feature.depth.cut_to:
            found += target_kind(other).kept(other)
    return found


def kept_beside(feature: Feature, setup: Setup) -> list[CrossSection]:
    """The bodies that others of the set-up keep, at any height, for the solids: a part as well
    along whose rim a cutter's middle goes."""
    kept: list[Region] = []
    for other in setup.features:
        if other is not feature:
            kind = target_kind(other)
            part = kind.part(other)
            kept += kind.kept(other) or (() if part is None else (part,))
    return [planar.area_of(region) for region in kept]
