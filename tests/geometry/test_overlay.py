"""Regions put together and taken apart in groups, against shapely on all of them at once."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import OVERLAY_GRID, clusters, common, less, union

# Two results are the same where nothing wider than this lies in one of them alone, mm.
SAME = 5 * OVERLAY_GRID


@st.composite
def pieces(draw: st.DrawFn) -> list[BaseGeometry]:
    """Discs, rings and boxes all over a plate: apart, touching, one in another, over its edge."""
    found: list[BaseGeometry] = []
    pitch = draw(st.sampled_from((2.0, 3.0, 5.0)))
    for i in range(draw(st.integers(1, 9))):
        for j in range(draw(st.integers(1, 6))):
            kind = draw(st.sampled_from(("disc", "ring", "box", "none")))
            at = (pitch * i, pitch * j)
            size = draw(st.sampled_from((0.4, 1.0, 1.5, 2.6)))
            if kind == "box":
                found.append(shapely.box(at[0] - size, at[1] - size, at[0] + size, at[1] + size))
            elif kind != "none":
                disc = shapely.Point(at).buffer(size, quad_segs=6)
                inner = shapely.Point(at).buffer(size / 2, quad_segs=6)
                found.append(disc.difference(inner) if kind == "ring" else disc)
    return found


def same(a: BaseGeometry, b: BaseGeometry) -> bool:
    """Whether two regions are the same but for the grid, and sound."""
    assert a.is_valid
    assert a.geom_type in ("Polygon", "MultiPolygon")
    return bool(a.symmetric_difference(b).buffer(-SAME).is_empty)


def whole(shapes: list[BaseGeometry]) -> BaseGeometry:
    return shapely.union_all(shapes, grid_size=OVERLAY_GRID) if shapes else shapely.Polygon()


@settings(max_examples=150, deadline=None)
@given(first=pieces(), second=pieces(), plate=st.booleans())
def test_every_operation_is_as_on_all_at_once(
    first: list[BaseGeometry], second: list[BaseGeometry], plate: bool
) -> None:
    a, b = whole(first), whole(second)
    if plate:
        a = whole([a, shapely.box(-1.0, 0.5, 20.0, 14.0)])
    assert same(union([*first, *second]), whole([*first, *second]))
    for one, other in ((a, b), (b, a)):
        assert same(less(one, other), shapely.difference(one, other, grid_size=OVERLAY_GRID))
    assert same(common(a, b), shapely.intersection(a, b, grid_size=OVERLAY_GRID))


@settings(max_examples=60, deadline=None)
@given(shapes=pieces(), gap=st.sampled_from((0.0, 0.3)))
def test_groups_lie_apart_and_hold_every_shape_once(shapes: list[BaseGeometry], gap: float) -> None:
    groups = clusters(shapes, gap)
    rows = np.concatenate(groups) if groups else np.zeros(0, dtype=int)
    assert sorted(rows) == list(range(len(shapes)))
    boxes = [shapely.box(*shapely.total_bounds([shapes[i] for i in g])) for g in groups]
    tree = shapely.STRtree([shapely.box(*s.bounds) for s in shapes])
    for number, (group, box) in enumerate(zip(groups, boxes, strict=True)):
        inside = {int(i) for i in tree.query(box, predicate="intersects")}
        others = inside - {int(i) for i in group}
        own = [shapes[i] for i in group]
        assert all(
            min(shapely.box(*s.bounds).distance(shapely.box(*shapes[i].bounds)) for s in own) > gap
            for i in others
        ), number


def test_holes_that_touch_are_taken_out_too() -> None:
    plate = shapely.box(0, 0, 40, 40)
    rows = [shapely.box(x, y, x + 2, y + 2) for x in range(2, 36, 2) for y in range(2, 36, 2)]
    # every second one, like a chessboard: they meet in corners
    chess = [b for b in rows if (b.bounds[0] + b.bounds[1]) % 4 == 0]
    left = less(plate, shapely.MultiPolygon(chess))
    assert left.area == pytest.approx(1600 - 4 * len(chess), abs=1e-6)
    assert left.is_valid
