"""Sections of swept cutters against plane geometry worked out by hand, and against laws."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import common, less, union
from gcodekit.proof.chords import segments_of, segments_of_path
from gcodekit.proof.reach import reach
from gcodekit.proof.sections import ProgramCut, section
from gcodekit.rs274 import read_program
from gcodekit.trade.cutter import Cutter, CutterKind


def cutter(kind: CutterKind, diameter: float = 6.0, number: int = 1, **more: float) -> Cutter:
    return Cutter(
        number=number,
        name=kind,
        kind=kind,
        diameter=diameter,
        flute_length=30,
        stickout=40,
        shank=diameter,
        corner_radius=more.get("corner_radius", 0.0),
        tip_angle=more.get("tip_angle", math.pi),
        lead=more.get("lead", 0.0),
    )


FLAT = cutter("end mill")
BALL = cutter("ball-nose end mill")
BULL = cutter("bull-nose end mill", corner_radius=1.0)
DRILL = cutter("drill", tip_angle=math.radians(118))
CONE = cutter("chamfer mill", tip_angle=math.radians(90))
FLAT_TIP = replace(CONE, tip_diameter=0.8)
REAMER = cutter("reamer", lead=1.0)


def swept(path: list[tuple[float, float, float]], tool: Cutter, z: float) -> BaseGeometry:
    return union(section(segments_of_path(path, tool), z))


def hull_of_discs(r0: float, r1: float, apart: float) -> float:
    """Area of the convex hull of two discs."""
    lean = math.asin((r1 - r0) / apart)
    sides = (r0 + r1) * math.sqrt(apart**2 - (r1 - r0) ** 2)
    return sides + r1**2 * (math.pi / 2 + lean) + r0**2 * (math.pi / 2 - lean)


@pytest.mark.parametrize(
    ("tool", "height", "radius"),
    [
        pytest.param(FLAT, 0.0, 3.0, id="flat, at the floor"),
        pytest.param(FLAT, 2.0, 3.0, id="flat"),
        pytest.param(BALL, 1.0, math.sqrt(5), id="ball"),
        pytest.param(BALL, 4.0, 3.0, id="ball, above its centre"),
        pytest.param(BULL, 0.5, 2 + math.sqrt(0.75), id="bull"),
        pytest.param(DRILL, 1.0, math.tan(math.radians(59)), id="drill point"),
        pytest.param(DRILL, 5.0, 3.0, id="drill, full diameter"),
        pytest.param(FLAT_TIP, 0.0, 0.4, id="flat tip"),
        pytest.param(FLAT_TIP, 1.5, 1.9, id="cone over a flat tip"),
        pytest.param(FLAT_TIP, 2.7, 3.0, id="over the cone"),
        pytest.param(REAMER, 0.25, 2.25, id="reamer's lead"),
    ],
)
@pytest.mark.parametrize("length", [0.0, 20.0])
def test_level_and_upright(tool: Cutter, height: float, radius: float, length: float) -> None:
    got = swept([(0, 0, 7), (0, 0, 0), (length, 0, 0), (length, 0, 7)], tool, height)
    # chords of a disc sag at most 0.0003 mm, so its rim is short by at most that
    exact = math.pi * radius**2 + 2 * radius * length
    assert exact - 0.0003 * math.tau * radius <= got.area <= exact + 1e-9


def test_below_the_tip_nothing() -> None:
    assert swept([(0, 0, 0), (9, 0, 0)], FLAT, -0.01).is_empty


def test_flat_cutter_on_a_slope_is_clipped() -> None:
    # z from 0 to 10 over 20 mm: at z 4 the first 8 mm have the tip at or below
    got = swept([(0, 0, 0), (20, 0, 10)], FLAT, 4.0)
    assert got.bounds == pytest.approx((-3, -3, 11, 3), abs=0.0003)


def test_cone_on_a_slope_is_the_hull_of_its_end_discs() -> None:
    # tip from -1 to -3 over 10 mm, 90 degrees: radii 1 and 3 at z 0
    got = swept([(0, 0, -1), (10, 0, -3)], CONE, 0.0)
    assert got.area == pytest.approx(hull_of_discs(1, 3, 10), abs=0.01)
    # the tip comes out of the plane half way: from a point to radius 1
    got = swept([(0, 0, 1), (10, 0, -1)], CONE, 0.0)
    assert got.area == pytest.approx(hull_of_discs(0, 1, 5), abs=0.005)


@pytest.mark.parametrize("tool", [BALL, BULL, DRILL, REAMER], ids=lambda t: t.kind)
def test_slope_is_the_union_of_its_discs(tool: Cutter) -> None:
    start, end, z = np.array((0.0, 0.0, 1.0)), np.array((12.0, 5.0, -5.0)), 0.5
    # the tip passes the plane, and the point ends there, between two even steps
    corners = [(1 - (z - h)) / 6 for h in (1e-9, tool.point_length)]
    near = corners[0] + np.geomspace(1e-6, 0.1, 400)
    discs = [
        shapely.Point(*p[:2]).buffer(r, quad_segs=100)
        for p in (start + t * (end - start) for t in (*np.linspace(0, 1, 1501), *near, *corners))
        if (r := tool.radius_at(z - p[2])) > 0
    ]
    got, exact = swept([tuple(start), tuple(end)], tool, z), shapely.union_all(discs)
    assert reach(got, exact).distance < 0.001
    assert reach(exact, got).distance < 0.001


def test_helix_leaves_no_core_at_its_floor_and_an_exact_bore() -> None:
    # bore of 10 mm with a 6 mm cutter: a centre path of 2 mm radius
    turns = [f"G3 X2 Y0 Z{-0.5 * k} I-2" for k in range(1, 7)]
    text = "\n".join(["T1 M6", "G0 X2 Y0", "Z1", "G1 Z0 F100", *turns, "G3 X2 Y0 I-2", "M2"])
    moves = read_program(text).moves
    got = ProgramCut(segments_of(moves, {1: FLAT}, (), top=0.0)).by_owner(-2.9)[""]
    exact = shapely.Point(0, 0).buffer(5, quad_segs=400)
    assert reach(exact, got).distance < 0.001
    assert reach(got, exact).distance < 0.001


KINDS = [FLAT, BALL, BULL, DRILL, CONE, REAMER]
near = st.integers(-10, 10).map(float)
low = st.integers(-12, 2).map(lambda v: v / 2)


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.tuples(near, near, low), min_size=2, max_size=8),
    st.sampled_from(KINDS),
    st.lists(st.integers(-60, 9).map(lambda v: v / 10), min_size=2, max_size=4),
)
def test_planes_in_any_order_give_the_same_and_only_grow(
    path: list[tuple[float, float, float]], tool: Cutter, planes: list[float]
) -> None:
    lines = [f"G1 X{x} Y{y} Z{z} F100" for x, y, z in path]
    moves = read_program("\n".join(["T1 M6", "G0 X0 Y0", "Z5", *lines, "M2"])).moves
    segments = segments_of(moves, {1: tool}, (), top=1.0)
    one = ProgramCut(segments)
    up = [one.by_owner(z).get("", shapely.Polygon()) for z in sorted(planes)]
    for z, got in zip(sorted(planes), up, strict=True):
        fresh = ProgramCut(segments).by_owner(z).get("", shapely.Polygon())
        # the chords of a disc lie as the run they are swept with
        assert reach(got, fresh).distance < 0.0008
        assert reach(fresh, got).distance < 0.0008
    for lower, higher in itertools.pairwise(up):
        # a point's section is by pieces, each straight within 0.0004 mm
        assert reach(lower, higher).distance < 0.0015


@given(st.floats(0.001, 5), st.floats(0, math.tau))
def test_reach_of_a_shifted_square(shift: float, toward: float) -> None:
    """A square moved by (dx, dy) reaches out by |dx|, |dy|, or their length past a corner."""
    square = shapely.box(0, 0, 20, 20)
    dx, dy = shift * math.cos(toward), shift * math.sin(toward)
    moved = shapely.affinity.translate(square, dx, dy)
    found = reach(moved, square)
    assert found.distance == pytest.approx(shift, rel=0.01, abs=0.0002)


def test_reach_sees_what_rims_do_not() -> None:
    plate = shapely.box(0, 0, 20, 20)
    hole = shapely.Point(10, 10).buffer(4, quad_segs=64)
    found = reach(plate, plate.difference(hole))
    assert found.distance == pytest.approx(4, rel=0.01)
    assert found.at == pytest.approx((10, 10), abs=0.1)


def test_difference_holds_nothing_that_was_in_neither() -> None:
    """Sections of one reamer path at two heights: in floating point a piece of their common hole
    came out as their difference."""
    path = [(0.0, 0.0, 5.0), (-4, 5, -4.5), (-9, -1, -0.5), (5, -6, -2), (0, 3, -1)]
    pieces = [section(segments_of_path(path, REAMER), z) for z in (0.2, 0.4)]
    low, high = map(union, pieces)
    assert less(low, high).area < 1e-3
    assert common(low, high).area == pytest.approx(low.area, abs=1e-3)
    # the reason for the grid, in the release it was seen in
    low, high = map(shapely.union_all, pieces)
    assert shapely.difference(low, high).area > 0.1 or shapely.geos_version != (3, 14, 1)
