"""What a body sweeps over a grid, against distances worked out by shapely and against the way
sampled densely."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.proof.stock_spans import arc_spans, line_spans
from gcodekit.proof.stock_sweeps import (
    BodyProfile,
    cylinder,
    low_on_helix,
    low_on_level_arc,
    low_on_line,
    profile_of,
)
from gcodekit.trade.cutter import Cutter, CutterKind

XS = np.arange(-12.0, 12.0, 0.37) + 0.013
YS = np.arange(-12.0, 12.0, 0.41) + 0.017
# Nearer to the rim than this, mm, either answer is right: a sampled way's or a chord's error.
RIM = 1e-6

places = st.integers(-60, 60).map(lambda n: n / 10)
points = st.tuples(places, places)
heights = st.integers(-50, 0).map(lambda n: n / 10)
radii = st.sampled_from([0.5, 1.5, 3.0, 4.75])


def covered(spans: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    low, high = spans
    return ((low[..., None] <= XS) & (high[..., None] >= XS)).any(axis=0)


def off(path: shapely.LineString | shapely.Point) -> np.ndarray:
    xs, ys = np.meshgrid(XS, YS)
    return np.asarray(shapely.distance(path, shapely.points(xs, ys)))


@given(st.lists(points, min_size=2, max_size=5), radii)
def test_lines_cover_what_is_within_the_radius(
    way: list[tuple[float, float]], radius: float
) -> None:
    a, b = np.array(way[:-1]), np.array(way[1:])
    path = shapely.LineString(way) if len(set(way)) > 1 else shapely.Point(way[0])
    distance = off(path)
    found = covered(line_spans(a, b, radius, YS))
    sure = np.abs(distance - radius) > RIM
    assert (found == (distance <= radius))[sure].all()


@given(
    points,
    st.sampled_from([0.4, 2.0, 5.0]),
    st.integers(-720, 720).map(lambda d: math.radians(d / 2)),
    st.integers(-720, 720).filter(bool).map(lambda d: math.radians(d / 2)),
    radii,
)
def test_arcs_cover_what_is_within_the_radius(
    centre: tuple[float, float], arc: float, start: float, sweep: float, radius: float
) -> None:
    found = covered(arc_spans(centre, arc, start, sweep, radius, YS))
    begin = (centre[0] + arc * math.cos(start), centre[1] + arc * math.sin(start), -1.0)
    ball = BodyProfile(radius, 0.0, corner=radius)
    swept = low_on_level_arc(centre, begin, sweep, ball, XS, YS)
    # the distance to an arc in closed form: to its circle within its angles, else to an end
    x, y = XS[None, :] - centre[0], YS[:, None] - centre[1]
    low, whole = min(start, start + sweep), abs(sweep)
    beside = np.mod(np.arctan2(y, x) - low, math.tau) <= whole
    ends = np.minimum(
        *(np.hypot(x - arc * math.cos(t), y - arc * math.sin(t)) for t in (start, start + sweep))
    )
    distance = np.where(beside, np.abs(np.hypot(x, y) - arc), ends)
    sure = np.abs(distance - radius) > RIM
    assert (found == (distance <= radius))[sure].all()
    assert np.allclose(swept[sure], ball.height(distance)[sure] - 1.0, atol=1e-3)


PROFILES = {
    "flat": cylinder(3.0),
    "ball": BodyProfile(3.0, 0.0, corner=3.0),
    "bull": BodyProfile(3.0, 2.0, corner=1.0),
    "steep cone": BodyProfile(3.0, 0.0, slope=1.7),
    "shallow cone": BodyProfile(3.0, 0.0, slope=0.2),
    "lead": BodyProfile(3.0, 2.0, slope=1.0),
}


SHARES = np.linspace(0.0, 1.0, 3001)
# Shifted, so that no place lies on a rim to the last bit, where rounding decides.
grids = st.lists(places, min_size=2, max_size=3, unique=True).map(
    lambda values: np.array(sorted(values)) + 0.01371
)


def hold_against_samples(
    found: np.ndarray, distance: np.ndarray, z: np.ndarray, profile: BodyProfile, step: float
) -> None:
    """`found` between the lowest sample and the lowest one of a body thicker by a step: every point
    of the way has a sample within that."""
    lowest = (z + profile.height(distance)).min(axis=2)
    thicker = (z + profile.height(np.maximum(distance - step, 0.0))).min(axis=2)
    fall = float(np.abs(np.diff(z)).max())
    assert (found <= lowest + 1e-9).all()
    assert (found >= thicker - fall - 1e-9).all()


@pytest.mark.parametrize("name", PROFILES)
@given(start=points, end=points, z0=heights, z1=heights, xs=grids, ys=grids)
def test_a_body_on_a_line_comes_as_low_as_the_way_sampled_says(
    name: str,
    start: tuple[float, float],
    end: tuple[float, float],
    z0: float,
    z1: float,
    xs: np.ndarray,
    ys: np.ndarray,
) -> None:
    profile = PROFILES[name]
    found = low_on_line((*start, z0), (*end, z1), profile, xs, ys)
    x, y = (a + (b - a) * SHARES for a, b in zip(start, end, strict=True))
    distance = np.hypot(xs[None, :, None] - x, ys[:, None, None] - y)
    step = math.dist(start, end) / (len(SHARES) - 1)
    hold_against_samples(found, distance, z0 + (z1 - z0) * SHARES, profile, step + 1e-9)


@given(
    start=points.filter(lambda p: math.hypot(*p) > 0.2),
    z0=heights,
    rise=st.integers(-30, 30).map(lambda n: n / 10),
    sweep=st.integers(-1500, 1500).filter(bool).map(math.radians),
    radius=radii,
    xs=grids,
    ys=grids,
)
def test_a_flat_body_on_a_helix_comes_as_low_as_the_way_sampled_says(
    start: tuple[float, float],
    z0: float,
    rise: float,
    sweep: float,
    radius: float,
    xs: np.ndarray,
    ys: np.ndarray,
) -> None:
    found = low_on_helix((0.0, 0.0), (*start, z0), sweep, rise, radius, xs, ys)
    angle = math.atan2(start[1], start[0]) + sweep * SHARES
    arc = math.hypot(*start)
    distance = np.hypot(
        xs[None, :, None] - arc * np.cos(angle), ys[:, None, None] - arc * np.sin(angle)
    )
    step = abs(sweep) * arc / (len(SHARES) - 1)
    hold_against_samples(found, distance, z0 + rise * SHARES, cylinder(radius), step + 1e-9)


KINDS: tuple[CutterKind, ...] = (
    "end mill",
    "ball-nose end mill",
    "bull-nose end mill",
    "drill",
    "chamfer mill",
    "reamer",
    "tap",
)


@pytest.mark.parametrize(("kind", "tip"), [*((kind, 0.0) for kind in KINDS), ("chamfer mill", 0.8)])
def test_a_profile_is_the_cutters_own(kind: CutterKind, tip: float) -> None:
    cutter = Cutter(
        number=1, name="", kind=kind, diameter=6.0, flute_length=12, stickout=30, shank=6,
        corner_radius=1.0, tip_angle=math.radians(118), tip_diameter=tip, lead=1.5,
    )  # fmt: skip
    profile = profile_of(cutter)
    for height in np.linspace(0.001, cutter.point_length, 20) if cutter.point_length else []:
        radius = cutter.radius_at(float(height))
        assert profile.height(np.array([radius]))[0] == pytest.approx(height, abs=1e-9)
    assert np.isinf(profile.height(np.array([3.0001]))[0])
    assert profile.height(np.array([0.0]))[0] == pytest.approx(0.0)
