"""Chains, places on them, shapes, and arcs to polygons and back."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.geometry.boolean import common, minus, union
from gcodekit.geometry.chain import Arc, Chain, Line
from gcodekit.geometry.checks import region_of, self_crossing
from gcodekit.geometry.flattening import boxes, inside, nearest, region_from, to_shapely
from gcodekit.geometry.region import GeometryError, Region
from gcodekit.geometry.shapes import circle, obround, polygon, rectangle

KEY = union([circle(20), rectangle(40, 4, corner=(0, -2))])


class TestChain:
    bend = Chain((Line((0, 0), (10, 0)), Arc((10, 0), (10, 10), (10, 5), True)))

    def test_places(self) -> None:
        assert self.bend.length == pytest.approx(10 + 5 * math.pi)
        assert self.bend.point_at(10 + 2.5 * math.pi) == pytest.approx((15, 5))
        assert self.bend.tangent_at(10 + 2.5 * math.pi) == pytest.approx((0, 1))
        assert not self.bend.closed

    def test_turned_round_it_walks_back(self) -> None:
        back = self.bend.reversed()
        assert back.start == self.bend.end
        assert back.point_at(3.0) == pytest.approx(self.bend.point_at(self.bend.length - 3.0))

    @given(st.floats(0, 25), st.floats(0.01, 20))
    def test_between(self, s: float, step: float) -> None:
        stop = min(s + step, self.bend.length)
        if stop - s < 1e-6:
            return
        piece = self.bend.between(s, stop)
        assert piece.length == pytest.approx(stop - s, abs=1e-9)
        assert piece.start == pytest.approx(self.bend.point_at(s))
        assert piece.end == pytest.approx(self.bend.point_at(stop))

    def test_a_piece_of_an_arc_too_short_for_two_ends_is_no_circle(self) -> None:
        ring = Chain.circle((3, 4), 10).from_start_at(1.0)
        for step in (1e-8, 9e-8, 1.5e-7, 3e-7):
            assert sum(s.length for s in ring.between(2.0, 2.0 + step)) <= step + 1e-12
            assert ring.from_start_at(step).length == pytest.approx(ring.length)
            assert ring.from_start_at(1.0 - step).length == pytest.approx(ring.length)

    def test_a_ring_started_elsewhere_is_the_same_ring(self) -> None:
        (ring,) = obround(40, 12).rings
        other = ring.from_start_at(17.0)
        assert other.closed
        assert other.area == pytest.approx(ring.area)
        assert other.start == pytest.approx(ring.point_at(17.0))
        assert ring.from_start_at(0.0) is ring

    @pytest.mark.parametrize("axis", ["x", "y"])
    def test_mirrored_twice_is_itself(self, axis: str) -> None:
        (ring,) = KEY.rings
        once = ring.mirrored(axis, (1, 2))
        assert once.area == pytest.approx(-ring.area)
        assert nearest(ring, once.mirrored(axis, (1, 2)).point_at(5.0))[1] < 1e-9
        assert KEY.mirrored(axis, (1, 2)).area == pytest.approx(KEY.area)


class TestShapes:
    @pytest.mark.parametrize(
        ("region", "area", "length"),
        [
            pytest.param(rectangle(40, 20, round=4), 800 - (4 - math.pi) * 16, 88 + 8 * math.pi,
                         id="rounded"),
            pytest.param(rectangle(40, 20, angle=1), 800, 120, id="turned"),
            pytest.param(rectangle(8, 8, round=4), 16 * math.pi, 8 * math.pi, id="all round"),
            pytest.param(circle(12), 36 * math.pi, 12 * math.pi, id="circle"),
            pytest.param(obround(40, 12), 28 * 12 + 36 * math.pi, 56 + 12 * math.pi, id="obround"),
            # a hexagon of across-flats s: area s^2 * sqrt(3) / 2, side s / sqrt(3)
            pytest.param(polygon(6, across_flats=19), 361 * math.sqrt(3) / 2, 6 * 19 / math.sqrt(3),
                         id="hexagon"),
            pytest.param(polygon(4, across_corners=10), 50, 4 * math.sqrt(50), id="four corners"),
        ],
    )  # fmt: skip
    def test_closed_forms(self, region: Region, area: float, length: float) -> None:
        assert region.area == pytest.approx(area, rel=1e-12)
        assert region.length == pytest.approx(length, rel=1e-12)

    def test_a_corner_is_the_lower_left_and_the_point_turned_about(self) -> None:
        assert boxes(rectangle(10, 4, corner=(1, 2))) == pytest.approx((1, 2, 11, 6))
        assert boxes(rectangle(10, 4, corner=(1, 2), angle=math.pi / 2)) == pytest.approx(
            (-3, 2, 1, 12)
        )

    def test_a_polygon_stands_on_a_flat(self) -> None:
        for sides in (3, 4, 5, 6, 8):
            x0, y0, x1, _ = boxes(polygon(sides, across_flats=10))
            assert y0 == pytest.approx(-5)
            assert x0 == pytest.approx(-x1)

    def test_too_big_a_round(self) -> None:
        with pytest.raises(GeometryError, match="a round of 3 mm does not fit, use at most 2 mm"):
            rectangle(10, 4, round=3)


class TestBooleans:
    def test_arcs_stay_exact_and_corners_are_where_they_meet(self) -> None:
        (ring,) = KEY.rings
        (arc,) = [s for s in ring if isinstance(s, Arc)]
        assert arc.centre == (0, 0)
        assert arc.start == pytest.approx((math.sqrt(96), 2), abs=1e-12)
        assert arc.end == pytest.approx((math.sqrt(96), -2), abs=1e-12)
        assert len(ring) == 4

    def test_lens(self) -> None:
        # Two circles of radius r, d apart: 2 r^2 acos(d/2r) - d/2 sqrt(4 r^2 - d^2)
        lens = common([circle(10), circle(10, centre=(5, 0))])
        expected = 50 * math.acos(0.5) - 2.5 * math.sqrt(75)
        assert lens.area == pytest.approx(expected, rel=1e-12)

    def test_an_edge_in_common_disappears(self) -> None:
        pair = union([rectangle(10, 10), rectangle(10, 10, centre=(10, 0))])
        assert pair.length == pytest.approx(60)
        assert len(pair.rings[0]) == 4

    def test_coinciding_arcs_leave_no_slivers(self) -> None:
        half = common([circle(20), rectangle(30, 30, centre=(15, 0.3), angle=0.1)])
        whole = union([half, minus(circle(20), half)])
        assert whole.area == pytest.approx(100 * math.pi, rel=1e-9)
        assert len(whole.rings) == 1
        assert minus(circle(20), circle(20)).empty
        assert minus(half, circle(20)).empty

    def test_nothing(self) -> None:
        assert union([]).empty
        assert union([Region(), circle(2)]) == circle(2)
        assert minus(circle(2), Region()) == circle(2)
        assert common([circle(2), Region()]).empty
        assert common([circle(2), circle(2, centre=(9, 0))]).empty


class TestFlat:
    @pytest.mark.parametrize("sag", [0.1, 0.01, 1e-4])
    def test_inscribed_and_circumscribed(self, sag: float) -> None:
        ring = minus(obround(40, 12, angle=0.3), circle(5))
        within, around = to_shapely(ring, sag), to_shapely(ring, sag, circumscribed=True)
        for k in range(200):
            for chain in ring.rings:
                point = shapely.Point(chain.point_at(chain.length * k / 200))
                assert around.distance(point) < 1e-12
                assert within.boundary.distance(point) <= sag * 1.001
                assert around.boundary.distance(point) <= sag * 1.001
        assert around.area > ring.area

    @given(st.floats(-30, 40), st.floats(-15, 15))
    def test_inside_agrees_with_polygons(self, x: float, y: float) -> None:
        flat = to_shapely(KEY, 1e-4)
        point = shapely.Point(x, y)
        if flat.boundary.distance(point) > 2e-4:
            assert inside(KEY, (x, y)) == flat.covers(point)

    def test_inside_of_a_lens_on_its_chord(self) -> None:
        lens = common([circle(30, centre=(-5, 0)), circle(30, centre=(5, 0))])
        assert inside(lens, (0, 0))
        assert not inside(lens, (0, 14.2))

    @given(st.floats(-30, 40), st.floats(-15, 15))
    def test_nearest_agrees_with_polygons(self, x: float, y: float) -> None:
        (ring,) = KEY.rings
        s, gap = nearest(ring, (x, y))
        assert math.dist(ring.point_at(s), (x, y)) == pytest.approx(gap, abs=1e-9)
        line = shapely.LinearRing(ring.flattened(1e-5))
        assert gap == pytest.approx(line.distance(shapely.Point(x, y)), abs=2e-5)

    def test_boxes_know_how_far_arcs_bulge(self) -> None:
        assert boxes(KEY) == pytest.approx((-10, -10, 40, 10))

    def test_there_and_back(self) -> None:
        flat = to_shapely(minus(rectangle(20, 20), circle(6)), 0.01)
        assert to_shapely(region_from(flat), 0.01).equals(flat)


class TestChecks:
    def test_a_bow_tie_crosses_itself(self) -> None:
        tie = Chain.of_points([(0, 0), (10, 10), (10, 0), (0, 10)], closed=True)
        assert self_crossing(tie) == pytest.approx((5, 5))

    def test_an_arc_that_cuts_a_line(self) -> None:
        way = Chain((Line((0, 0), (20, 0)), Arc((20, 0), (4, -3), (12, 0), True)))
        assert self_crossing(way) is not None

    def test_touching_counts_for_a_closed_outline(self) -> None:
        eight = Chain.of_points(
            [(0, 0), (10, 0), (5, 5), (10, 10), (0, 10), (5, 5)], closed=True
        )  # fmt: skip
        assert self_crossing(eight) == pytest.approx((5, 5))

    def test_a_way_back_along_itself(self) -> None:
        spike = Chain.of_points([(0, 0), (10, 0), (10, 5), (10, 9), (10, 5), (0, 5)], closed=True)
        assert self_crossing(spike) is not None

    @pytest.mark.parametrize("region", [KEY, circle(3), rectangle(9, 4, round=2)])
    def test_sound_rings_do_not(self, region: Region) -> None:
        assert all(self_crossing(r) is None for r in region.rings)

    def test_rings_find_their_place(self) -> None:
        rings = [
            *circle(4).rings, *rectangle(40, 40).rings, *circle(20).rings,
            *circle(6, centre=(60, 0)).rings, *circle(2, centre=(-15, 0)).rings,
        ]  # fmt: skip
        region = region_of(rings)
        assert sorted(len(p.holes) for p in region.parts) == [0, 0, 2]
        assert region.area == pytest.approx(
            1600 - 100 * math.pi - math.pi + 4 * math.pi + 9 * math.pi
        )
