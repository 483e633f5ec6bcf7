"""Circles that open inside corners: what they meet, by circles and areas of a general geometry
library, against the rule they are made by."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Chain, Line
from gcodekit.geometry.offset import grow
from gcodekit.geometry.region import Region
from gcodekit.toolpath.corner_circles import (
    ABOVE_STRAIGHT,
    SHAVING,
    SMALLEST,
    Circle,
    Corners,
    corners_of,
)

R = 3.0
# The rim is looked at every 2 degrees, and at some places only.
SEEN = math.radians(5)


def ring_of(room: shapely.Polygon, *, left: bool = True) -> Chain:
    points = [(x, y) for x, y in shapely.geometry.polygon.orient(room).exterior.coords[:-1]]
    ring = Chain.of_points(points, closed=True)
    return ring if left else ring.reversed()


def opened_by_roughing(room: BaseGeometry, wall: float, radius: float = R) -> BaseGeometry:
    return room.buffer(-wall).buffer(radius, quad_segs=128)


def corners(
    room: shapely.Polygon, *, wall: float = 0.2, left: bool = True, ring: Chain | None = None
) -> Corners:
    return Corners(
        ring=ring or ring_of(room, left=left),
        radius=R,
        left=left,
        room=room,
        opened=opened_by_roughing(room, wall),
        allowance=wall,
    )


def met(place: tuple[float, float], heading: float, metal: BaseGeometry, thin: float) -> float:
    """How much of the leading half of the rim lies in metal at least so thick, rad: lengths of a
    circle inside an area."""
    angles = heading + np.linspace(-math.pi / 2, math.pi / 2, 181)
    reach = R - thin
    x, y = place[0] + reach * np.cos(angles), place[1] + reach * np.sin(angles)
    half = shapely.LineString(np.stack([x, y], axis=1))
    return float(half.intersection(metal).length) / reach


def most_on(circle: Circle, metal: BaseGeometry) -> float:
    turn = 1 if circle.ccw else -1
    found = 0.0
    for angle in np.linspace(0, math.tau, 90, endpoint=False).tolist():
        x = circle.centre[0] + circle.radius * math.cos(angle)
        y = circle.centre[1] + circle.radius * math.sin(angle)
        found = max(found, met((x, y), angle + turn * math.pi / 2, metal, SHAVING))
    return found


def most_on_pass(at: Corners, metal: BaseGeometry) -> float:
    found = 0.0
    for segment in at.ring:
        assert isinstance(segment, Line)
        heading = math.atan2(segment.end[1] - segment.start[1], segment.end[0] - segment.start[0])
        for share in (0.0, 0.5, 0.9, 0.97, 0.99, 1.0):
            place = segment.point_at(share * segment.length)
            found = max(found, met(place, heading, metal, SHAVING))
    return found


def limit(wall: float) -> float:
    return math.acos(1 - wall / R) + ABOVE_STRAIGHT


SQUARE = shapely.box(0, 0, 40, 30)


class TestSquareCorner:
    @pytest.mark.parametrize("left", [True, False])
    def test_pass_then_meets_no_more_than_its_share(self, left: bool) -> None:
        at = corners(SQUARE, left=left)
        metal = SQUARE.buffer(R).difference(at.opened)
        # a right angle more than the straight wall's, however little stands there
        assert most_on_pass(at, metal) > limit(0.2) + math.radians(25)
        found = at.circles()
        assert len(found) == 4
        for circles in found:
            assert 1 <= len(circles) <= 4
            for circle in circles:
                assert most_on(circle, metal) <= limit(0.2) + SEEN
                metal = metal.difference(circle.swept(R))
        assert most_on_pass(at, metal) <= limit(0.2) + SEEN

    def test_circles_touch_both_walls_and_nothing_more(self) -> None:
        for circle in (c for circles in corners(SQUARE).circles() for c in circles):
            body = circle.swept(R)
            final = SQUARE.buffer(R, join_style="mitre")
            assert body.difference(final).area < 1e-6
            assert circle.swept(R + 0.001).difference(final).area > 0

    def test_each_begins_where_nothing_stands(self) -> None:
        at = corners(SQUARE)
        metal = SQUARE.buffer(R).difference(at.opened)
        for circle in (c for circles in at.circles() for c in circles):
            assert metal.distance(shapely.Point(circle.start)) > R - SHAVING - 1e-9
            metal = metal.difference(circle.swept(R))

    def test_chain_is_once_round(self) -> None:
        circle = corners(SQUARE).circles()[0][0]
        assert circle.chain.length == pytest.approx(math.tau * circle.radius)
        assert circle.chain.closed


class TestNone:
    def test_where_the_walls_are_round(self) -> None:
        disc = Chain.circle((0.0, 0.0), 10.0)
        room = shapely.Polygon(disc.flattened(1e-4))
        assert corners(room, ring=disc).circles() == []

    def test_at_a_corner_of_what_stays(self) -> None:
        # the other way round the same corners stand out into the free side
        assert list(corners_of(ring_of(SQUARE), R, left=False)) == []

    def test_where_the_corner_is_open_already(self) -> None:
        open_ = SQUARE.buffer(R)
        at = Corners(
            ring=ring_of(SQUARE), radius=R, left=True, room=SQUARE, opened=open_, allowance=0.2
        )
        assert at.circles() == []

    def test_in_a_room_too_narrow_to_begin(self) -> None:
        # a groove of the cutter's own width: nothing is open beside its end
        groove = shapely.box(0, 0, 40, 0.01)
        at = Corners(
            ring=ring_of(groove),
            radius=R,
            left=True,
            room=groove,
            opened=shapely.Point(20, 0).buffer(R),
            allowance=0.2,
        )
        assert at.circles() == []


def test_a_drawn_round_hardly_larger_than_the_cutter_keeps_its_radius() -> None:
    drawn = Region.of(Chain.of_points([(0, 0), (40, 0), (40, 30), (0, 30)], closed=True))
    room = grow(grow(drawn, -0.15), 0.15)
    (ring,) = room.rings
    flat = shapely.Polygon(ring.flattened(1e-4))
    at = corners(flat, ring=ring)
    found = list(corners_of(ring, R, left=True))
    assert [c.rounded for c in found] == pytest.approx([0.15] * 4)
    for circle in (c for circles in at.circles() for c in circles):
        assert circle.radius >= 0.15 - 1e-9
        assert flat.buffer(2e-3).covers(shapely.Point(circle.centre).buffer(circle.radius))


@settings(max_examples=40)
@given(
    turn=st.floats(25, 150),
    wall=st.floats(0.05, 0.5),
    turned=st.floats(0, 360),
)
def test_any_corner(turn: float, wall: float, turned: float) -> None:
    apart = math.radians(180 - turn)
    tip = [(30.0, 0.0), (0.0, 0.0), (30 * math.cos(apart), 30 * math.sin(apart))]
    room = shapely.affinity.rotate(shapely.Polygon(tip), turned, origin=(0, 0))
    assume(not room.buffer(-wall).is_empty)
    at = corners(room, wall=wall)
    metal = room.buffer(R, quad_segs=128).difference(at.opened)
    final = room.buffer(R + 0.002, quad_segs=128)
    for circles in at.circles():
        radii = [c.radius for c in circles]
        assert radii == sorted(radii, reverse=True)
        assert min(radii) >= SMALLEST
        for circle in circles:
            assert final.covers(circle.swept(R))
            assert most_on(circle, metal) <= limit(wall) + SEEN
            metal = metal.difference(circle.swept(R))
