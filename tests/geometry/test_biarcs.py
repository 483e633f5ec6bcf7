"""Arcs along smooth curves: near them everywhere, without corners, few."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from gcodekit.drawing.primitives import Ellipse
from gcodekit.drawing.spline import Spline
from gcodekit.geometry import biarcs
from gcodekit.geometry.biarcs import SmoothCurve, arcs_along
from gcodekit.geometry.chain import Arc, Chain
from gcodekit.geometry.region import GeometryError

CURVES: dict[str, tuple[SmoothCurve, float, float]] = {
    "ellipse": (Ellipse((3, 4), (40, 5), (-2, 16)), 0.0, math.tau),
    "flat ellipse": (Ellipse((0, 0), (40, 0), (0, 1)), 0.0, math.tau),
    "part of one, clockwise": (Ellipse((0, 0), (9, 0), (0, 20), 1.0, -2.0), 1.0, -1.0),
    "S": (Spline.bezier((0, 0), (30, 0), (0, 20), (30, 20)), 0.0, 1.0),
    "loop": (Spline.bezier((0, 0), (60, 40), (-30, 40), (30, 0)), 0.0, 1.0),
    "cusp": (Spline.bezier((0, 0), (30, 30), (0, 30), (30, 0)), 0.0, 1.0),
    "long spline": (
        Spline.of(
            3,
            [0, 0, 0, *range(98), 97, 97, 97],
            [(i, 5 * math.sin(i / 3)) for i in range(100)],
        )[0],
        0.0,
        97.0,
    ),
}


@pytest.mark.parametrize("tolerance", [1e-2, 1e-3, 1e-4])
@pytest.mark.parametrize("name", CURVES)
def test_no_point_is_further_than_the_tolerance(name: str, tolerance: float) -> None:
    curve, t0, t1 = CURVES[name]
    chain = Chain(arcs_along(curve, [t0, (t0 + t1) / 2, t1], tolerance=tolerance))
    points = curve.at(np.linspace(t0, t1, 3001))[0]
    import shapely

    line = shapely.LineString(chain.flattened(tolerance / 100))
    off = shapely.distance(line, shapely.points(points))
    assert float(off.max()) <= 1.02 * tolerance  # and the sag of the chords
    assert chain.start == pytest.approx(tuple(points[0]))
    assert chain.end == pytest.approx(tuple(points[-1]))


@pytest.mark.parametrize("name", [n for n in CURVES if n != "cusp"])
def test_there_is_no_corner(name: str) -> None:
    curve, t0, t1 = CURVES[name]
    pieces = arcs_along(curve, [t0, (t0 + t1) / 2, t1], tolerance=1e-3)
    for a, b in pairwise(pieces):
        assert a.end == b.start
        u, v = a.tangent_at(a.length), b.tangent_at(0.0)
        assert abs(math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1])) < 1e-3


def test_a_circle_is_one_arc_between_stops() -> None:
    circle = Ellipse.circle((3, 4), 20)
    stops = [0.0, 1.0, math.tau]
    pieces = arcs_along(circle, stops, tolerance=1e-6)
    (arc,) = pieces
    assert isinstance(arc, Arc)
    assert arc.centre == pytest.approx((3, 4))


def test_a_straight_curve_is_one_line() -> None:
    (line,) = Spline.bezier((0, 0), (1, 2), (9, 18), (10, 20)).segments()
    assert line.length == pytest.approx(math.hypot(10, 20))


def test_too_many_pieces_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(biarcs, "MOST_ARCS", 10)
    with pytest.raises(GeometryError, match="too intricate"):
        Ellipse((0, 0), (40, 0), (0, 10)).segments()
