"""The room for a cutter at a depth, worked by hand: where its body may be, what it has to cut there
and where its axis may go."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.flattening import polygons_of
from gcodekit.geometry.overlay import EMPTY, common, joined, less, union
from gcodekit.handwheel.axis_scales import TableScales
from gcodekit.job.model import Setup
from gcodekit.part import plane_regions
from gcodekit.part.keep_out import held_by
from gcodekit.part.planned_target import PlannedTarget
from gcodekit.part.setup_stock import between, heights
from gcodekit.trade.cutter import Cutter

# Chords of a cutter's circle leave it by this at most, mm: a twentieth of a readout's step.
ROOM_SAG = 5e-4
# The axis may be this much nearer to a wall than the cutter's radius, mm: a slot as wide as its
# cutter then has a room, and no scale shows so little.
ROOM_SLACK = 2e-3
# A pass is looked at this much above its depth, mm.
JUST_ABOVE = 1e-3
# The room ends this far beyond what is to be cut, in diameters: far enough to run off and to go
# round a corner.
ROOM_BEYOND = 3.0
# Between a cutter or holder moved by hand and what holds the work, mm: less than the program's own
# cuts keep off, or what they cut beside a clamp would stay. Common practice, no source.
HAND_CLEAR = 0.3
# Places along the rim of a narrow room where a reading is looked for.
PROBED = 24
# Half as wide as a gap that closes between areas that were meant to meet, mm.
HAIR = 1e-3
# A wall ends so far inside the metal, mm: cuts along it run straight out, round no corner.
WALL_ENDS = 0.01
# A wall lies this near to what is to be cut along it, mm.
OFF_WALL = 0.01


def chords_of(radius: float) -> int:
    """Chords to a quarter circle."""
    if radius <= 4 * ROOM_SAG:
        return 4
    return max(8, math.ceil(math.pi / (4 * math.acos(1 - ROOM_SAG / radius))))


def grown(shape: BaseGeometry, by: float) -> BaseGeometry:
    """All within a distance of a shape, to a hundredth of that: where a cutter may go is worked out
    more exactly."""
    return shape.buffer(by, quad_segs=chords_of(abs(by)))


@dataclass(frozen=True, slots=True, kw_only=True)
class CentreRoom:
    """The room of one cutter at one depth. `centre`: where its axis may be; `to_cut`: what it has
    to cut, as far as it gets there; `walls`: the edges of that which have to come out true;
    `off`: from axis to wall, mm; `metal`: all that stands there before."""

    radius: float
    off: float
    centre: BaseGeometry
    to_cut: BaseGeometry
    walls: BaseGeometry
    metal: BaseGeometry
    _prepared: list[BaseGeometry] = field(default_factory=list, compare=False, repr=False)

    def holds(self, *points: Point) -> bool:
        """Whether the axis may go along a line."""
        if not self._prepared:
            shapely.prepare(self.centre)
            self._prepared.append(self.centre)
        shape = shapely.Point(points[0]) if len(points) == 1 else shapely.LineString(points)
        return bool(self.centre.covers(shape))

    def depth_of(self, point: Point) -> float:
        """How far a place in the room is from its rim, mm."""
        return float(self.centre.boundary.distance(shapely.Point(point)))

    def in_air(self, point: Point) -> bool:
        """Whether a cutter there meets no metal."""
        return float(self.metal.distance(shapely.Point(point))) > self.radius - ROOM_SLACK

    def same_as(self, other: CentreRoom) -> bool:
        """Whether another depth has the same room and the same to cut."""
        return alike(self.centre, other.centre) and alike(self.to_cut, other.to_cut)


def alike(one: BaseGeometry, other: BaseGeometry) -> bool:
    """Whether two areas are one but for the chords of their arcs."""
    if one.equals_exact(other, 1e-6):
        return True
    return bool(one.symmetric_difference(other).area <= ROOM_SAG * (one.length + other.length))


def centre_room(
    setup: Setup,
    asked: PlannedTarget,
    done: Sequence[PlannedTarget],
    cutter: Cutter,
    z: float,
    *,
    leave: float,
    scales: TableScales,
    stage: int = 0,
) -> CentreRoom:
    """The room of a cutter at depth z for a feature that asks `asked`, features `done` being cut
    already; `leave` is what stays on the walls, mm."""
    _, top = heights(setup)
    metal, at = between(setup, z, top), z + JUST_ABOVE
    required = common(asked.required_at(at), grown(metal, 2 * OFF_WALL))
    if required.is_empty:
        return CentreRoom(
            radius=cutter.radius, off=0.0, centre=EMPTY, to_cut=EMPTY, walls=EMPTY, metal=EMPTY
        )
    near = shapely.box(*required.bounds).buffer(ROOM_BEYOND * cutter.diameter, join_style="mitre")
    gone, kept = union(d.required_at(at) for d in done), asked.kept_at(at)
    standing = less(metal, gone)
    body = union([less(near, standing), asked.required_at(at), asked.allowed_at(at)])
    # no hair stays between areas that were meant to meet
    body = common(less(grown(grown(body, HAIR), -HAIR), kept), near)
    off, centre = _room(body, cutter, leave, scales)
    centre = _touching(less(centre, _holdings(setup, cutter, z, stage)), required, off + leave)
    reached = common(required, grown(centre, cutter.radius))
    return CentreRoom(
        radius=cutter.radius,
        off=off,
        centre=centre,
        to_cut=common(reached, standing),
        walls=_walls(required, body, standing, kept, leave),
        metal=standing,
    )


def _room(
    body: BaseGeometry, cutter: Cutter, leave: float, scales: TableScales
) -> tuple[float, BaseGeometry]:
    """How far the axis stays off the walls, and where it may be. In a slot as wide as the cutter
    it may be off by half a division, for no nearer reading is to be had."""
    half_division = scales.coarsest / math.sqrt(2)
    for slack in (ROOM_SLACK, half_division):
        off = cutter.radius + leave - slack
        room = plane_regions.grown(body, -off)
        if not room.is_empty and _on_scale(room, scales):
            return off, room
    return cutter.radius + leave, EMPTY


def _touching(centre: BaseGeometry, required: BaseGeometry, reach: float) -> BaseGeometry:
    """The pieces of a room from which something of what is to be cut is reached."""
    near = grown(required, reach)
    pieces = [p for p in polygons_of(centre) if p.intersects(near)]
    return pieces[0] if len(pieces) == 1 else shapely.MultiPolygon(pieces)


def _on_scale(room: BaseGeometry, scales: TableScales) -> bool:
    """Whether readings of the scales lie all along a room."""
    if not room.buffer(-scales.coarsest).is_empty:
        return True
    rims = (ring for p in polygons_of(room) for ring in (p.exterior, *p.interiors))
    places = [r.interpolate(k / PROBED, normalized=True) for r in rims for k in range(PROBED)]
    return all(
        any(
            room.intersects(shapely.Point(x, y))
            for x in scales.x.near(place.x, 2)
            for y in scales.y.near(place.y, 2)
        )
        for place in places
    )


def _walls(
    required: BaseGeometry,
    body: BaseGeometry,
    metal: BaseGeometry,
    kept: BaseGeometry,
    leave: float,
) -> BaseGeometry:
    """The edges of the cutter's room that lie along what is to be cut, within the metal there is:
    not those that are there already, nor a tab's."""
    along = body.boundary.intersection(grown(required, leave + OFF_WALL))
    inside = along.intersection(metal.buffer(-WALL_ENDS))
    return inside if kept.is_empty else inside.difference(kept.buffer(2 * OFF_WALL))


def _holdings(setup: Setup, cutter: Cutter, z: float, stage: int) -> BaseGeometry:
    """Where the axis may not go for what holds the work: the cutter, its shank or its holder would
    touch that."""
    found = []
    for body in held_by(setup.holds[stage], setup):
        if body.top <= z:
            continue
        wide = max(cutter.radius, cutter.shank / 2 if body.top > z + cutter.flute_length else 0.0)
        if cutter.holder is not None and body.top > z + cutter.stickout:
            wide = max(wide, cutter.holder.diameter / 2)
        found.append(body.outline.buffer(wide + HAND_CLEAR, quad_segs=16))
    return joined(found) if found else EMPTY
