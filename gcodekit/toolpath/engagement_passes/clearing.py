"""Clearing an area level by level at constant engagement."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeVar

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Point, distance
from gcodekit.geometry.flattening import polygons_of
from gcodekit.toolpath.engagement_passes.cleared_links import ClearedLinks
from gcodekit.toolpath.engagement_passes.room_passes import (
    LEFT_IN_CORNERS,
    RoomEntry,
    RoomPasses,
    Step,
    plan_even,
)
from gcodekit.toolpath.entry import helix
from gcodekit.toolpath.path import APPROACH, Path

Shape = TypeVar("Shape", bound=BaseGeometry)


@dataclass(frozen=True, slots=True, kw_only=True)
class EngagementFeeds:
    """mm/min: down the helix, where the cutter stands in solid metal; links through what is
    cleared. Passes go at the path's own."""

    entry: float
    link: float


@dataclass(frozen=True, slots=True)
class ClearedRoom:
    """One connected room's clearing, and the room."""

    even: RoomPasses
    room: BaseGeometry
    climb: bool

    def cut(self, path: Path, levels: list[float], top: float, feeds: EngagementFeeds) -> None:
        """Down through `levels`, each to its end before the next."""
        above = top
        for z in levels:
            self._enter(path, above, z, feeds)
            for step in self.even.steps:
                path.follow(step.chain, feed=None if step.cuts else feeds.link)
            above = z

    def _enter(self, path: Path, above: float, z: float, feeds: EngagementFeeds) -> None:
        entry = self.even.entry
        self._over(path, entry.start, above, feeds)
        if entry.centre is None:
            path.sink(z, feed=feeds.entry)
            return
        helix(path, entry.centre, entry.radius, z, ccw=self.climb, feed=feeds.entry)

    def _over(self, path: Path, start: Point, above: float, feeds: EngagementFeeds) -> None:
        """To the ground over a place: along the floor of the level above where there is one."""
        if path.at is not None and path.z == above and path.z != path.safe_z:
            way = ClearedLinks(self.room, shapely.Polygon(), 0.0).between(path.at, start)
            if way is not None:
                if distance(way[0], way[-1]) > 1e-6:
                    path.follow(Chain.of_points(way, closed=False), feed=feeds.link)
                return
        path.over(start)
        path.drop(above + APPROACH)
        path.sink(above)


def even_pieces(
    room: BaseGeometry,
    *,
    radius: float,
    width: float,
    climb: bool,
    clear: BaseGeometry | None = None,
    lowered: BaseGeometry | None = None,
    left: float = LEFT_IN_CORNERS,
) -> tuple[ClearedRoom, ...]:
    """The clearing of every connected piece of a room, as polygons; `clear`, `lowered` and `left`
    as in `plan_even`."""
    made = []
    asked = {"radius": radius, "width": width, "left": left}
    for piece in polygons_of(room):
        near = shapely.box(*piece.buffer(2 * radius).bounds)
        free = None if clear is None else clear.intersection(near)
        down = None if lowered is None else lowered.intersection(near)
        if climb:
            even = plan_even(piece, **asked, clear=free, lowered=down)
        else:
            even = _mirrored(
                plan_even(
                    _flipped(piece),
                    **asked,
                    clear=None if free is None else _flipped(free),
                    lowered=None if down is None else _flipped(down),
                    side=-1.0,
                )
            )
        made.append(ClearedRoom(even, piece, climb))
    return tuple(made)


def _flipped(shape: Shape) -> Shape:
    """Reflected in the y axis: what climbs there is conventional here."""
    return shapely.transform(shape, lambda c: c * (-1.0, 1.0))


def _mirrored(even: RoomPasses) -> RoomPasses:
    (x, y), centre = even.entry.start, even.entry.centre
    middle = None if centre is None else (-centre[0], centre[1])
    entry = RoomEntry((-x, y), middle, even.entry.radius)
    steps = tuple(Step(s.chain.mirrored("y"), s.cuts) for s in even.steps)
    return replace(even, entry=entry, steps=steps, swept=_flipped(even.swept))
