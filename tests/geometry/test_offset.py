"""Offsets against published contours, closed forms and laws."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.geometry.boolean import common, minus, union
from gcodekit.geometry.chain import Arc, Chain, Line
from gcodekit.geometry.flattening import nearest, to_shapely
from gcodekit.geometry.offset import grow, grow_chain, offset_chain
from gcodekit.geometry.region import Region
from gcodekit.geometry.shapes import circle, obround, polygon, rectangle, sector

# Source: NISTIR 6556, tables 12 and 13 (edge of the part; path of a cutter of diameter 1.0).
EDGE = Chain(
    (
        Arc((2, 3), (3, 2), (2, 2), False),
        Line((3, 2), (3, -1)),
        Arc((3, -1), (2, -2), (2, -1), False),
        Line((2, -2), (-2, -2)),
        Arc((-2, -2), (-2.6, -0.2), (-2, -1), False),
        Line((-2.6, -0.2), (1.4, 2.8)),
        Arc((1.4, 2.8), (2, 3), (2, 2), False),
    )
)


def test_grown_contour_is_the_published_one() -> None:
    grown = grow(Region.of(EDGE), 0.5)
    (ring,) = grown.rings
    assert EDGE.length == pytest.approx(12 + 2 * math.pi, abs=1e-6)
    assert ring.length == pytest.approx(12 + 3 * math.pi, abs=1e-5)
    published = [(2, 3.5), (3.5, 2), (3.5, -1), (2, -2.5), (-2, -2.5), (-2.9, 0.2), (1.1, 3.2)]
    for point in published:
        assert nearest(ring, point)[1] < 1e-5
    arcs = [s for s in ring if isinstance(s, Arc)]
    assert {(round(a.centre[0], 6), round(a.centre[1], 6)) for a in arcs} == {
        (2, 2),
        (2, -1),
        (-2, -1),
    }
    assert all(a.radius == pytest.approx(1.5, abs=1e-6) for a in arcs)


@pytest.mark.parametrize("by", [0.5, 3.0, 10.0])
def test_rounded_rectangle_keeps_four_lines_and_four_arcs(by: float) -> None:
    (ring,) = grow(rectangle(40, 20, round=4), by).rings
    assert sum(isinstance(s, Arc) for s in ring) == 4
    assert sum(isinstance(s, Line) for s in ring) == 4
    assert all(abs(s.radius - 4 - by) < 1e-6 for s in ring if isinstance(s, Arc))


def test_square_grown_has_the_closed_form_area() -> None:
    assert grow(rectangle(10, 10), 2).area == pytest.approx(100 + 80 + 4 * math.pi, abs=1e-4)
    assert grow(rectangle(10, 10), -2).area == pytest.approx(36, abs=1e-4)
    assert grow(rectangle(10, 10), -5.1).empty


def test_disc_stays_a_disc() -> None:
    for by in (-3.0, 0.2, 7.0):
        (ring,) = grow(circle(12), by).rings
        assert all(isinstance(s, Arc) for s in ring)
        # inward, NECK (2e-6 mm) less than asked: the radius is that much larger
        assert ring.area == pytest.approx(
            math.pi * (6 + by) ** 2, abs=2 * math.pi * (6 + by) * 3e-6
        )


def test_slot_of_a_bent_line() -> None:
    bent = Chain((Line((0, 0), (20, 0)), Arc((20, 0), (30, 10), (20, 10), True)))
    slot = grow_chain(bent, 3)
    assert slot.area == pytest.approx(6 * bent.length + 9 * math.pi, abs=1e-3)
    assert {round(s.radius, 4) for s in slot.rings[0] if isinstance(s, Arc)} == {3, 7, 13}


def test_one_sided_offset_of_an_open_line() -> None:
    corner = Chain.of_points([(0, 0), (10, 0), (10, 10)], closed=False)
    (left,) = offset_chain(corner, 2, left=True)
    (right,) = offset_chain(corner, 2, left=False)
    assert left.length == pytest.approx(8 + 8, abs=1e-4)
    assert right.length == pytest.approx(20 + math.pi, abs=1e-4)
    assert left.start == pytest.approx((0, 2), abs=1e-4)
    assert right.end == pytest.approx((12, 10), abs=1e-4)


ZOO = {
    "square": rectangle(20, 20),
    "rounded": rectangle(50, 30, round=6),
    "disc": circle(25),
    "obround": obround(40, 12),
    "hexagon": polygon(6, across_flats=19),
    "island": minus(rectangle(60, 40), circle(10, centre=(8, 3))),
    "two parts": union([circle(10, centre=(-20, 0)), rectangle(10, 8, centre=(20, 0))]),
    "lens": common([circle(30, centre=(-5, 0)), circle(30, centre=(5, 0))]),
    "published": Region.of(EDGE),
}


@pytest.mark.parametrize("name", ZOO)
@pytest.mark.parametrize("by", [-4.0, -1.0, 0.3, 5.0])
def test_zoo_agrees_with_shapely(name: str, by: float) -> None:
    region = ZOO[name]
    grown = grow(region, by)
    expected = to_shapely(region, 1e-5, max_step=0.01).buffer(by, quad_segs=400)
    assert grown.area == pytest.approx(expected.area, rel=1e-5, abs=1e-3)
    off = to_shapely(grown, 1e-5).symmetric_difference(expected)
    assert off.buffer(-0.0006).is_empty


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(-40, 40), st.floats(-40, 40)), min_size=3, max_size=9, unique=True
    ),
    st.floats(0.3, 8),
)
def test_inward_offset_keeps_its_distance(points: list[tuple[float, float]], by: float) -> None:
    hull = shapely.MultiPoint(points).convex_hull
    if hull.geom_type != "Polygon" or hull.area < 1:
        return
    region = Region.of(Chain.of_points(list(hull.exterior.coords)[:-1], closed=True))
    for ring in grow(region, -by).rings:
        for segment in ring:
            for s in (0.0, segment.length / 2, segment.length):
                point = shapely.Point(segment.point_at(s))
                assert abs(hull.exterior.distance(point) - by) < 0.001
                assert hull.covers(point)


def test_rounds_little_wider_than_the_cutter_stay_small() -> None:
    (ring,) = grow(rectangle(25.4, 19.05, round=5.08), -5.0).rings
    assert all(s.radius == pytest.approx(0.08, abs=1e-5) for s in ring if isinstance(s, Arc))
    assert ring.length == pytest.approx(2 * (15.24 + 8.89) + 0.16 * math.pi, abs=1e-3)


def test_a_disc_made_of_pieces_is_one_circle() -> None:
    """Most of a disc, and two bars that fill the gap, each cut off by the disc's own rim."""
    most = sector(0.0, 8.0, start=0.0, end=math.radians(310))
    bars = [
        common([rectangle(8, 5, corner=corner, angle=math.radians(angle)), circle(16)])
        for corner, angle in (((0.0, 0.0), 310), ((0.0, -5.0), 0))
    ]
    whole = union([most, *bars])
    assert [len(ring) for ring in whole.rings] == [1]
    assert whole.area == pytest.approx(64 * math.pi)


@pytest.mark.parametrize(
    ("inner", "outer", "sweep"),
    [
        pytest.param(0.0, 5.0, 1.0, id="slice"),
        pytest.param(2.0, 5.0, 4.0, id="more than half a ring"),
        pytest.param(0.0, 5.0, math.tau, id="disc"),
        pytest.param(2.0, 5.0, math.tau, id="ring"),
    ],
)
def test_sector_has_the_closed_form_area(inner: float, outer: float, sweep: float) -> None:
    made = sector(inner, outer, start=0.3, end=0.3 + sweep, centre=(7, -2))
    assert made.area == pytest.approx((outer**2 - inner**2) * sweep / 2)


@pytest.mark.parametrize("inner", [10.0, 15.3, 20.0])
def test_a_sector_as_wide_as_the_cutter_keeps_its_ends(inner: float) -> None:
    """The centre runs there and back on the middle radius, a cutter's radius off both ends."""
    (ring,) = grow(sector(inner, inner + 6, start=0.3, end=1.9, centre=(0, 0)), -3.0).rings
    middle = inner + 3
    off = math.asin(3 / middle)
    assert ring.length == pytest.approx(2 * middle * (1.6 - 2 * off), abs=2e-3)
    for x, y in ring.flattened(0.01):
        assert 0.3 + off - 1e-4 <= math.atan2(y, x) <= 1.9 - off + 1e-4


@pytest.mark.parametrize("left", [0.0008, 0.0015, 0.0025, 0.005, 0.01, 0.02, 0.05])
@pytest.mark.parametrize("width", [2.003, 3.005, 4.008, 4.01, 5.04, 10.2])
def test_a_slot_hardly_wider_than_its_cutter_keeps_both_round_ends(
    width: float, left: float
) -> None:
    """What is left of an obround is one too, `left` the radius of its ends."""
    grown = grow(obround(30 + width, width, centre=(25, 10)), left - width / 2)
    (ring,) = grown.rings
    arcs = [s for s in ring if isinstance(s, Arc)]
    assert [a.radius for a in arcs] == pytest.approx([left, left], abs=1e-6)
    assert sorted(a.centre[0] for a in arcs) == pytest.approx([10, 40], abs=1e-6)
    assert grown.area == pytest.approx(60 * left + math.pi * left**2, rel=1e-6)
