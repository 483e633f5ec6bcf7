"""Laws of offsets over a zoo of regions, and what happens at the limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from gcodekit.geometry.boolean import common, minus, union
from gcodekit.geometry.chain import Arc, Chain, Line, Point, distance
from gcodekit.geometry.flattening import inside, nearest, region_from, to_shapely
from gcodekit.geometry.offset import grow, grow_chain, offset_chain
from gcodekit.geometry.region import GeometryError, Region
from gcodekit.geometry.shapes import circle, obround, polygon, rectangle

# The stated bound of an offset is 0.001 mm; everywhere but at a grazing cut it is rounding.
STATED = 0.001
# Nobody draws a strip thinner than this, mm: what is left between two outlines that nearly meet.
# Its offset is off by up to a hundredth.
HAIR = 0.01


def _star(points: int, outer: float, inner: float) -> Region:
    corners = [
        (
            (outer, inner)[i % 2] * math.cos(math.pi * i / points),
            (outer, inner)[i % 2] * math.sin(math.pi * i / points),
        )
        for i in range(2 * points)
    ]
    return Region.of(Chain.of_points(corners, closed=True))


def _traced() -> Region:
    """A wavy outline of many short straight pieces, as traced ones are."""
    a = np.linspace(0, math.tau, 400, endpoint=False)
    r = 30 + 3 * np.cos(5 * a) + np.cos(11 * a + 1)
    return Region.of(
        Chain.of_points(
            [(float(x), float(y)) for x, y in np.c_[r * np.cos(a), r * np.sin(a)]], closed=True
        )
    )


ZOO: dict[str, Region] = {
    "square": rectangle(20, 20),
    "turned": rectangle(30, 12, corner=(3, -2), round=2.5, angle=0.4),
    "island": minus(rectangle(60, 40), circle(10, centre=(8, 3))),
    "thin neck": union(
        [rectangle(20, 20), rectangle(20, 20, centre=(40, 0)), rectangle(30, 5, centre=(20, 0))]
    ),
    "two parts": union([circle(10, centre=(-20, 0)), rectangle(10, 8, centre=(20, 0))]),
    "touching": union([rectangle(10, 10), rectangle(10, 10, centre=(10, 10))]),
    "tiny": circle(0.2),
    "huge": rectangle(4000, 3000, round=100),
    "empty": Region(),
    "star": _star(5, 30, 12),
    "arcs only": common([circle(30, centre=(-5, 0)), circle(30, centre=(5, 0))]),
    "obround": obround(40, 12, angle=0.7),
    "hexagon": polygon(6, across_flats=19),
    "gear": minus(
        circle(40),
        union([circle(6, centre=(20 * math.cos(k), 20 * math.sin(k))) for k in range(6)]),
    ),
    "traced": _traced(),
}
DISTANCES = (-7.5, -3.0, -0.5, -0.05, 0.05, 0.5, 3.0, 20.0)


def places(region: Region) -> list[Point]:
    return [
        s.point_at(t * s.length)
        for ring in region.rings
        for s in ring
        for t in (0.0, 0.3, 0.5, 0.8, 1.0)
    ]


def assert_sound(region: Region) -> None:
    """Directions, joints and arcs as a region promises."""
    for part in region.parts:
        assert part.outer.area > 0
        assert all(hole.area < 0 for hole in part.holes)
    for ring in region.rings:
        for s, after in zip(ring.segments, ring.segments[1:] + ring.segments[:1], strict=True):
            assert s.end == after.start
            if isinstance(s, Arc):
                assert abs(distance(s.centre, s.end) - s.radius) < 1e-6


@pytest.mark.parametrize("by", DISTANCES)
@pytest.mark.parametrize("name", ZOO)
def test_every_point_is_at_the_distance(name: str, by: float) -> None:
    region = ZOO[name]
    grown = grow(region, by)
    assert_sound(grown)
    step = 7 if name == "traced" else 1
    for point in places(grown)[:: 3 * step]:
        gap = min(nearest(ring, point)[1] for ring in region.rings)
        assert gap == pytest.approx(abs(by), abs=STATED)
        assert inside(region, point) == (by < 0)


@pytest.mark.parametrize("by", DISTANCES)
@pytest.mark.parametrize("name", sorted(ZOO.keys() - {"empty"}))
def test_the_area_is_that_of_a_general_library(name: str, by: float) -> None:
    # GEOS, independently: inscribed chords of 2e-5 mm, its own round joins.
    region = ZOO[name]
    expected = to_shapely(region, 2e-5).buffer(by, quad_segs=200)
    grown = grow(region, by)
    length = max(grown.length, expected.length)
    # Short of exactly twice the distance wide there is nothing; touching parts stay apart.
    assert grown.area == pytest.approx(expected.area, abs=3e-4 * length + 1e-6)


def test_growing_a_disc_or_a_rounded_rectangle_adds_no_segments() -> None:
    for by in (-3.0, -0.001, 0.2, 7.0, 500.0):
        (ring,) = grow(circle(12), by).rings
        assert len(ring) == 1
        assert ring.area == pytest.approx(math.pi * (6 + by) ** 2, rel=1e-9)
    for by in (-3.9, 0.5, 3.0, 200.0):
        (ring,) = grow(rectangle(40, 20, round=4), by).rings
        assert sorted(type(s).__name__ for s in ring) == ["Arc"] * 4 + ["Line"] * 4
        centres = {s.centre for s in ring if isinstance(s, Arc)}
        assert centres == {(16, 6), (-16, 6), (-16, -6), (16, -6)}


def test_a_round_of_the_cutters_own_radius_becomes_a_sharp_corner() -> None:
    (ring,) = grow(rectangle(40, 20, round=3), -3).rings
    assert all(isinstance(s, Line) for s in ring)
    assert ring.area == pytest.approx(34 * 14, abs=1e-9)


class TestExactlyAsWideAsTheCutter:
    def test_a_neck_is_open(self) -> None:
        neck = union(
            [rectangle(20, 20), rectangle(20, 20, centre=(40, 0)), rectangle(30, 6, centre=(20, 0))]
        )
        assert len(grow(neck, -3).parts) == 1
        assert len(grow(neck, -3.001).parts) == 2

    def test_a_gap_is_open(self) -> None:
        pair = union([rectangle(10, 10), rectangle(10, 10, centre=(16, 0))])
        assert len(grow(pair, 3).parts) == 2
        assert len(grow(pair, 3.001).parts) == 1

    @pytest.mark.parametrize("slot", [rectangle(40, 6), obround(40, 6)], ids=["square", "round"])
    def test_a_slot_leaves_its_centre_line(self, slot: Region) -> None:
        (ring,) = grow(slot, -3).rings
        assert ring.length == pytest.approx(2 * 34, abs=1e-3)
        assert all(abs(y) < 1e-6 for _, y in places(grow(slot, -3)))

    def test_a_ring_shaped_slot_leaves_its_middle_circle(self) -> None:
        outer, inner = grow(minus(circle(26), circle(14)), -3).rings
        assert outer.length == pytest.approx(math.tau * 10)
        assert inner.length == pytest.approx(math.tau * 10)

    def test_a_hole_leaves_nothing(self) -> None:
        assert grow(circle(6), -3).empty

    def test_flattened_it_is_cut_apart_and_sound(self) -> None:
        neck = union(
            [rectangle(20, 20), rectangle(20, 20, centre=(40, 0)), rectangle(30, 6, centre=(20, 0))]
        )
        flat = to_shapely(grow(neck, -3), 0.001)
        assert flat.is_valid
        assert len(shapely.get_parts(flat)) == 2


def test_a_shallow_hollow_is_not_smoothed_away() -> None:
    """GEOS drops hollows shallower than a hundredth of the distance before it offsets."""
    points = [
        (-20.0, 0.0),
        *((x, -0.02 * (1 + math.cos(x * 3))) for x in range(-19, 20)),
        (20.0, 0.0),
    ]
    region = Region.of(Chain.of_points([*points, (20.0, 30.0), (-20.0, 30.0)], closed=True))
    for by in (4.0, -4.0, 9.0):
        grown = grow(region, by)
        for point in places(grown):
            assert nearest(region.rings[0], point)[1] == pytest.approx(abs(by), abs=1e-5)


def test_out_of_range_is_refused() -> None:
    with pytest.raises(GeometryError, match="20000 mm from zero"):
        grow(circle(2, centre=(19_998.0, 0)), 1.0)


shapes = st.one_of(
    st.builds(
        lambda w, h, x, y, a: rectangle(w, h, centre=(x, y), angle=a),
        st.floats(3, 40),
        st.floats(3, 40),
        st.floats(-20, 20),
        st.floats(-20, 20),
        st.floats(0, 3),
    ),
    st.builds(
        lambda d, x, y: circle(d, centre=(x, y)),
        st.floats(2, 40),
        st.floats(-20, 20),
        st.floats(-20, 20),
    ),
    st.builds(
        lambda w, x, y, a: obround(2.5 * w, w, centre=(x, y), angle=a),
        st.floats(2, 15),
        st.floats(-20, 20),
        st.floats(-20, 20),
        st.floats(0, 3),
    ),
)


@settings(max_examples=25, deadline=None)
@given(st.lists(shapes, min_size=1, max_size=4), shapes, st.floats(0.05, 6))
def test_laws_on_any_shapes(added: list[Region], taken: Region, by: float) -> None:
    region = minus(union(added), taken)
    flat = to_shapely(region, 1e-4)
    thick = flat.buffer(-HAIR / 2).buffer(HAIR)
    assume(not region.empty and flat.difference(thick).area < 1e-3)
    smaller, larger = grow(region, -by), grow(region, by)
    fence = to_shapely(region, 1e-3, circumscribed=True)
    core = to_shapely(region, 1e-3)
    for grown in (smaller, larger):
        for ring in grown.rings:
            for a, b in zip(ring.segments, ring.segments[1:] + ring.segments[:1], strict=True):
                assert a.end == b.start
                if isinstance(a, Arc):
                    assert abs(distance(a.centre, a.end) - a.radius) < 1e-6
        for point in places(grown)[::3]:
            gap = min(nearest(ring, point)[1] for ring in region.rings)
            assert abs(gap - by) < STATED
    assert smaller.empty or fence.buffer(1e-3).covers(to_shapely(smaller, 1e-3))
    assert to_shapely(larger, 1e-3).buffer(2e-3).covers(core)


class TestOpenChains:
    bend = Chain((Line((0, 0), (20, 0)), Arc((20, 0), (30, 10), (20, 10), True)))

    def test_both_sides_of_a_bend(self) -> None:
        (left,) = offset_chain(self.bend, 3, left=True)
        (right,) = offset_chain(self.bend, 3, left=False)
        assert left.length == pytest.approx(20 + 7 * math.pi / 2)
        assert right.length == pytest.approx(20 + 13 * math.pi / 2)
        assert (left.start, left.end) == (pytest.approx((0, 3)), pytest.approx((27, 10)))
        assert (right.start, right.end) == (pytest.approx((0, -3)), pytest.approx((33, 10)))

    def test_inner_corner_is_trimmed_and_outer_one_round(self) -> None:
        corner = Chain.of_points([(0, 0), (10, 0), (10, 10)], closed=False)
        (left,) = offset_chain(corner, 2, left=True)
        (right,) = offset_chain(corner, 2, left=False)
        assert left == Chain.of_points([(0, 2), (8, 2), (8, 10)], closed=False)
        assert [type(s) for s in right] == [Line, Arc, Line]
        assert right.segments[1].radius == pytest.approx(2, abs=1e-12)

    def test_where_it_comes_back_to_itself_it_is_cut_into_pieces_in_order(self) -> None:
        loop = Chain.of_points([(0, 0), (30, 0), (30, 20), (10, 20), (10, -10)], closed=False)
        first, closed, last = offset_chain(loop, 2, left=True)
        assert first == Chain.of_points([(0, 2), (8, 2)], closed=False) or first.end == (8, 2)
        assert closed.closed
        assert abs(closed.area) == pytest.approx(16 * 16)
        assert last.end == pytest.approx((12, -10))

    def test_nothing_is_left_inside_a_bend_too_tight(self) -> None:
        hairpin = Chain(
            (Line((0, 0), (20, 0)), Arc((20, 0), (20, 10), (20, 5), True), Line((20, 10), (0, 10)))
        )
        assert offset_chain(hairpin, 6, left=True) == ()
        assert len(offset_chain(hairpin, 6, left=False)) == 1

    def test_sweep_of_a_line_is_an_obround(self) -> None:
        slot = grow_chain(Chain((Line((-14, 0), (14, 0)),)), 6)
        assert slot.area == pytest.approx(obround(40, 12).area, rel=1e-12)
        assert len(slot.rings[0]) == 4

    def test_sweep_along_a_circle_is_a_band(self) -> None:
        band = grow_chain(Chain.circle((1, 2), 10), 2)
        assert band.area == pytest.approx(math.pi * (12**2 - 8**2), rel=1e-9)
        assert len(grow_chain(Chain.circle((1, 2), 10), 12).rings) == 1


def test_thousands_of_vertices_take_no_quadratic_time() -> None:
    """Ten thousand vertices in about half a second: a quadratic step would stop the suite."""
    a = np.linspace(0, math.tau, 10_000, endpoint=False)
    r = 60 + 2 * np.cos(7 * a)
    outline = shapely.Polygon(np.c_[r * np.cos(a), r * np.sin(a)])
    grown = grow(region_from(outline), -3)
    assert len(grown.rings[0]) > 5_000
    assert grown.area == pytest.approx(outline.buffer(-3).area, abs=0.05)
