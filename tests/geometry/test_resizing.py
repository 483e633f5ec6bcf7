"""Outlines moved to a size: closed forms, and an engine that shares no code with them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.geometry.chain import Arc, Chain, Line
from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.outline_widths import sizes_across
from gcodekit.geometry.region import GeometryError, Region
from gcodekit.geometry.resizing import resized
from gcodekit.geometry.shapes import circle, obround, polygon, rectangle, sector

# A tee with a notch, its corners sharp, rounded outwards and inwards.
TEE = Region.of(
    Chain(
        (
            Line((0, 0), (20, 0)),
            Line((20, 0), (20, 8)),
            Arc((20, 8), (18, 10), (18, 8), True),
            Line((18, 10), (14, 10)),
            Arc((14, 10), (12, 12), (14, 12), False),
            Line((12, 12), (12, 25)),
            Line((12, 25), (4, 20)),
            Line((4, 20), (4, 10)),
            Line((4, 10), (0, 6)),
            Line((0, 6), (0, 0)),
        )
    )
)
# An arc that meets its sides in sharp corners, bulging out and in.
BOW = Region.of(Chain((Line((0, 0), (10, 0)), Arc((10, 0), (0, 0), (5, 2), True))))
BITE = Region.of(
    Chain(
        (
            Line((0, 0), (10, 0)),
            Line((10, 0), (10, 10)),
            Line((10, 10), (8, 10)),
            Arc((8, 10), (2, 10), (5, 10), False),
            Line((2, 10), (0, 10)),
            Line((0, 10), (0, 0)),
        )
    )
)
RING = Region.of(Chain.circle((0, 0), 10), Chain.circle((1, 0), 4))
ZOO = {
    "tee": TEE,
    "bow": BOW,
    "bite": BITE,
    "ring": RING,
    "circle": circle(12, centre=(3, 4)),
    "rounded rectangle": rectangle(30, 20, round=4, angle=0.3),
    "sharp rectangle": rectangle(30, 20, angle=0.3),
    "obround": obround(30, 8, angle=1.0),
    "hexagon": polygon(6, across_flats=20, angle=0.1),
    "triangle": polygon(3, across_flats=20),
    "two": Region((*circle(10).parts, *rectangle(5, 5, centre=(30, 0)).parts)),
}


@pytest.mark.parametrize("by", [0.2, 0.0105, -0.0105, -0.2])
@pytest.mark.parametrize("region", [pytest.param(r, id=name) for name, r in ZOO.items()])
def test_it_is_the_mitred_offset(region: Region, by: float) -> None:
    """GEOS, corners mitred, of the flattened outline: nowhere farther off than both sags, but where
    an arc ends in a sharp corner. There GEOS goes on straight, and this along the arc."""
    ours = to_shapely(resized(region, by), 1e-5)
    theirs = to_shapely(region, 1e-5).buffer(by, join_style="mitre", mitre_limit=1000)
    assert ours.is_valid
    straight_on = by**2 / 4 if region in (BOW, BITE) else 0.0
    assert ours.boundary.hausdorff_distance(theirs.boundary) < 3e-5 + straight_on
    assert [type(s) for r in resized(region, by).rings for s in r] == [
        type(s) for r in region.rings for s in r
    ]


@given(w=st.floats(5, 80), h=st.floats(5, 80), r=st.floats(0, 1), by=st.floats(-0.5, 0.5))
def test_a_rectangle_has_the_other_size(w: float, h: float, r: float, by: float) -> None:
    r = 0.6 + 1.4 * r if r > 0.1 else 0.0
    bigger = rectangle(w + 2 * by, h + 2 * by, round=r + by if r else 0.0)
    assert resized(rectangle(w, h, round=r), by).area == pytest.approx(bigger.area, abs=1e-9)


@given(n=st.integers(3, 12), a=st.floats(5, 50), angle=st.floats(0, 7), by=st.floats(-0.5, 0.5))
def test_a_polygon_has_the_other_size(n: int, a: float, angle: float, by: float) -> None:
    bigger = polygon(n, across_flats=a + 2 * by)
    moved = resized(polygon(n, across_flats=a, angle=angle, centre=(7, -3)), by)
    assert moved.area == pytest.approx(bigger.area, rel=1e-9)


def test_rounds_stay_concentric() -> None:
    before = [s for s in TEE.rings[0] if isinstance(s, Arc)]
    after = [s for s in resized(TEE, 0.1).rings[0] if isinstance(s, Arc)]
    assert [a.centre for a in after] == [a.centre for a in before]
    assert [a.radius for a in after] == pytest.approx([2.1, 1.9])


def test_a_nearly_smooth_joint_stays_on_its_arc() -> None:
    """A line half a degree off an arc's tangent: the moved ends meet within a tenth of a
    micrometre of both."""
    turn = math.radians(0.5)
    end = (10 * math.cos(turn), -10 * math.sin(turn))
    ring = Chain((Line(end, (0, 0)), Arc((0, 0), end, (5, 8), False)))
    moved = resized(Region.of(ring), 0.2).rings[0]
    arc = next(s for s in moved if isinstance(s, Arc))
    assert math.dist(arc.centre, arc.end) == pytest.approx(arc.radius, abs=1e-4)


@pytest.mark.parametrize(
    ("region", "by", "said"),
    [
        pytest.param(rectangle(10, 10, round=0.1), -0.2, "a round of radius 0.1 mm", id="round"),
        pytest.param(rectangle(10, 1), -0.5, "a side of 1", id="nothing left"),
        pytest.param(
            sector(4, 10, start=0.0, end=math.tau - 0.01), 0.05, "its walls would meet", id="gap"
        ),
        pytest.param(
            Region((*circle(10).parts, *circle(10, centre=(10.1, 0)).parts)),
            0.06,
            "its walls would meet",
            id="two parts",
        ),
    ],
)
def test_what_cannot_be(region: Region, by: float, said: str) -> None:
    with pytest.raises(GeometryError, match=said):
        resized(region, by)


@pytest.mark.parametrize(
    ("region", "sizes"),
    [
        pytest.param(circle(12, centre=(4, 4)), (12,), id="circle"),
        pytest.param(rectangle(30, 20, angle=0.7), (20, 30), id="rectangle"),
        pytest.param(rectangle(30, 20, round=3, angle=0.7), (20, 30), id="rounded"),
        pytest.param(rectangle(20, 20, round=10), (20,), id="rounded to a circle"),
        pytest.param(obround(30, 8, angle=2), (8,), id="obround"),
        pytest.param(polygon(6, across_flats=17, angle=0.2), (17,), id="hexagon"),
        pytest.param(polygon(4, across_corners=math.sqrt(200)), (10,), id="square on its corners"),
        pytest.param(polygon(5, across_flats=17), (), id="pentagon"),
        pytest.param(TEE, (), id="tee"),
        pytest.param(BOW, (), id="bow"),
        pytest.param(BITE, (), id="bite"),
    ],
)
def test_sizes_across(region: Region, sizes: tuple[float, ...]) -> None:
    assert sizes_across(region.rings[0]) == pytest.approx(sizes)


def test_sizes_across_two_flats_on_a_round() -> None:
    half = math.sqrt(10**2 - 8**2)
    ring = Chain(
        (
            Line((-half, -8), (half, -8)),
            Arc((half, -8), (half, 8), (0, 0), True),
            Line((half, 8), (-half, 8)),
            Arc((-half, 8), (-half, -8), (0, 0), True),
        )
    )
    assert sizes_across(ring) == pytest.approx((16, 20))
    one_flat = Chain((Line((-half, -8), (half, -8)), Arc((half, -8), (-half, -8), (0, 0), True)))
    assert sizes_across(one_flat) == ()


@given(by=st.floats(-0.3, 0.3), w=st.floats(4, 50), h=st.floats(4, 50), angle=st.floats(0, 7))
def test_the_sizes_change_by_twice_as_much(by: float, w: float, h: float, angle: float) -> None:
    ring = rectangle(w, h, round=1.0, angle=angle)
    after = sizes_across(resized(ring, by).rings[0])
    assert after == pytest.approx(tuple(s + 2 * by for s in sizes_across(ring.rings[0])), abs=1e-4)


def test_nothing_moves_by_nothing() -> None:
    assert resized(TEE, 0.0) is TEE


def test_an_arc_and_a_line_meet_where_circle_and_line_cross() -> None:
    """Of the moved bow: y = -0.2, and the circle of radius r + 0.2 about the same centre."""
    radius = math.hypot(5, 2) + 0.2
    half = math.sqrt(radius**2 - 2.2**2)
    line = resized(BOW, 0.2).rings[0].segments[0]
    assert (*line.start, *line.end) == pytest.approx((5 - half, -0.2, 5 + half, -0.2))


def test_a_sampled_round_has_no_size_across() -> None:
    assert sizes_across(polygon(1000, across_flats=40).rings[0]) == ()
