"""The lines that a cutter's axis follows beside the walls of its room."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from gcodekit.geometry.chain import Point
from gcodekit.geometry.flattening import polygons_of
from gcodekit.handwheel.centre_rooms import CentreRoom

# Whether a rim lies beside a wall is looked at so often, mm.
RIM_STEP = 0.3
# A rim lies beside a wall while it is this little farther off than it has to be, mm.
BESIDE = 1e-3
# Along an axis to within this, mm.
ALONG_AXIS = 1e-4
# Places of a wall nearer than this are one, mm.
ONE_PLACE = 0.05

Places = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class WallLine:
    """A line of the cutter's axis beside a wall, walked so that the wall is on its left."""

    points: Places
    closed: bool

    def at(self, s: float) -> Point:
        """The point so many mm along."""
        place = shapely.line_interpolate_point(shapely.LineString(self.points), s)
        return float(place.x), float(place.y)


def wall_lines(room: CentreRoom, thin: float) -> list[WallLine]:
    """The lines beside all walls of a room. One no wider than twice `thin`, mm, is gone through
    once: a slot as wide as its cutter."""
    if room.walls.is_empty:
        return []
    found: list[WallLine] = []
    for polygon in polygons_of(room.centre):
        if polygon.buffer(-thin).is_empty and not polygon.interiors:
            found.append(_one_way(polygon))
            continue
        # the room on the right of the way: the cutter, turning clockwise, cuts against the feed
        turned = shapely.geometry.polygon.orient(polygon, -1.0)
        for ring in (turned.exterior, *turned.interiors):
            found += _beside_walls(ring, room, thin)
    return found


def _one_way(polygon: shapely.Polygon) -> WallLine:
    """From end to end of a room that is no wider than a division."""
    points = shapely.get_coordinates(polygon.exterior)[:-1]
    off = points[:, None, :] - points[None, :, :]
    widest = int(np.hypot(off[..., 0], off[..., 1]).argmax())
    first, last = sorted(divmod(widest, len(points)))
    return WallLine(_plain(points[first : last + 1]), False)


def _beside_walls(ring: shapely.LinearRing, room: CentreRoom, thin: float) -> Iterator[WallLine]:
    """The stretches of a room's rim that lie beside a wall."""
    points = shapely.get_coordinates(shapely.segmentize(ring.simplify(ALONG_AXIS), RIM_STEP))
    points = points[:-1]
    shapely.prepare(room.walls)
    near = shapely.distance(room.walls, shapely.points(points)) <= room.off + BESIDE
    if near.all():
        yield WallLine(_plain(np.concatenate((points, points[:1]))), True)
        return
    if not near.any():
        return
    first = int(np.flatnonzero(~near)[0])
    points, near = np.roll(points, -first, axis=0), np.roll(near, -first)
    edges = np.flatnonzero(np.diff(np.concatenate(([False], near, [False])).astype(int)))
    for start, end in edges.reshape(-1, 2):
        if end - start > 1:
            yield WallLine(_plain(_without_return(points[start:end], thin)), False)


def _without_return(points: Places, thin: float) -> Places:
    """A stretch that comes back beside itself, no more than four times `thin` away: the way
    there."""
    away = np.hypot(*(points - points[0]).T)
    far = int(away.argmax())
    if away[-1] > 4 * thin or away[far] <= 20 * thin:
        return points
    begun = (points[:1] + points[-1:]) / 2
    return np.concatenate((begun, points[1 : far + 1]))


def _plain(points: Places) -> Places:
    """Without the points that lie on a straight line."""
    return shapely.get_coordinates(shapely.LineString(points).simplify(ALONG_AXIS))


def at_one_place(room: CentreRoom, points: Places) -> bool:
    """Whether a cutter touches the walls at one place all along a stretch: it goes round the
    corner of the metal there."""
    if len(points) < 2:
        return True
    touch = touched_from(room, (points[1:] + points[:-1]) / 2)
    return bool(np.hypot(*(touch.max(axis=0) - touch.min(axis=0))) < ONE_PLACE)


def touched_from(room: CentreRoom, centres: Places) -> Places:
    """The places of the walls that a cutter there touches."""
    lines = shapely.shortest_line(shapely.points(centres), room.walls)
    return shapely.get_coordinates(lines).reshape(-1, 2, 2)[:, 1]
