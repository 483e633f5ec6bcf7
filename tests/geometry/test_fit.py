"""Arcs fitted to free-form outlines: how far they stray, to which side, and how few they are."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from gcodekit.geometry.chain import Arc, Chain, Line, Point
from gcodekit.geometry.fit import fitted, fitted_chain
from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.region import Region

BAND = 0.004


def _ellipse(n: int, a: float, b: float) -> list[Point]:
    return [(a * math.cos(t), b * math.sin(t)) for t in np.arange(n) * math.tau / n]


def _region(points: list[Point]) -> Region:
    return Region.of(Chain.of_points(points, closed=True))


def _strays(drawn: Region, found: Region) -> float:
    """The greatest distance between both rims."""
    a, b = to_shapely(drawn, 1e-4), to_shapely(found, 1e-5)
    return float(shapely.hausdorff_distance(a.boundary, b.boundary, densify=0.02))


@pytest.mark.parametrize("inward", [True, False, None])
def test_an_ellipse_becomes_a_few_arcs_within_the_band(inward: bool | None) -> None:
    drawn = _region(_ellipse(400, 40, 25))
    found = fitted(drawn, BAND, inward=inward)
    assert len(found.rings[0]) < 40
    assert any(isinstance(s, Arc) for s in found.rings[0])
    assert _strays(drawn, found) <= BAND + 2e-5  # of flattening
    a, b = to_shapely(drawn, 1e-4), to_shapely(found, 1e-5)
    if inward is True:
        assert b.difference(a).area < 1e-6
    if inward is False:
        assert a.difference(b).area < 1e-6


def test_a_sampled_circle_has_the_circle_back() -> None:
    """The vertices lie on it, so the arcs' radius is its radius to within the band."""
    points = [(20 * math.cos(t), 20 * math.sin(t)) for t in np.arange(400) * math.tau / 400]
    arcs = fitted(_region(points), BAND, inward=None).rings[0].segments
    assert len(arcs) <= 4
    for arc in arcs:
        assert isinstance(arc, Arc)
        assert arc.radius == pytest.approx(20, abs=BAND)


@pytest.mark.parametrize(
    "points",
    [
        pytest.param(_ellipse(24, 20, 20), id="polygon of 24 sides"),
        pytest.param([(0, 0), (50, 0), (50, 30), (0, 30)], id="rectangle"),
        pytest.param([(0, 0), (5, 0), (5, 1), (6, 1), (6, 2), (0, 2)], id="steps"),
    ],
)
def test_a_drawn_polygon_stays_as_it_is(points: list[Point]) -> None:
    drawn = _region(points)
    assert fitted(drawn, BAND, inward=True) is drawn


def test_a_corner_between_two_curves_stays_sharp() -> None:
    right = [(30 * math.cos(t), 20 * math.sin(t)) for t in np.linspace(-1.2, 1.2, 200)]
    left = [(2 * right[0][0] - x, y) for x, y in reversed(right)]
    drawn = _region([*right, *left[1:-1]])
    found = fitted(drawn, BAND, inward=None)
    corners = [right[0], right[-1]]
    for corner in corners:
        assert min(math.dist(corner, s.start) for s in found.rings[0]) < 1e-6


def test_lines_in_a_row_become_one_line() -> None:
    path = Chain.of_points([(x / 10, 0.0) for x in range(200)], closed=False)
    found = fitted_chain(path, BAND)
    assert found.segments == (Line((0.0, 0.0), (19.9, 0.0)),)


@settings(deadline=None, max_examples=25)
@given(
    st.lists(st.floats(-3, 3), min_size=6, max_size=6),
    st.integers(150, 800),
    st.sampled_from([0.002, 0.004, 0.02]),
    st.booleans(),
)
def test_law_one_sided_and_within_the_band(
    waves: list[float], n: int, band: float, inward: bool
) -> None:
    """Whatever smooth outline is sampled, however finely: no point of the result is outside
    (inside) the drawn region, none further from its rim than the band."""

    def radius(t: float) -> float:
        return 30 + sum(w / (k + 1) * math.sin((k + 1) * t + w) for k, w in enumerate(waves))

    angles = np.arange(n) * math.tau / n
    drawn = _region([(radius(t) * math.cos(t), radius(t) * math.sin(t)) for t in angles])
    found = fitted(drawn, band, inward=inward)
    a, b = to_shapely(drawn, 1e-4), to_shapely(found, 1e-5)
    # Beside the band: flattening, and the offset's tiny corner arcs taken as lines.
    spare = 2e-5 + band / 40
    assert a.buffer(spare).covers(b) if inward else b.buffer(spare).covers(a)
    rim = a.boundary
    assert rim.buffer(band + spare).covers(b.boundary)
    assert b.boundary.buffer(band + spare).covers(rim)
