"""Where the drawing puts tabs: the published rule, twice worked out."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.errors import Place, PlanError
from gcodekit.geometry.chain import Chain, Point
from gcodekit.geometry.flattening import nearest
from gcodekit.geometry.region import Region
from gcodekit.geometry.shapes import rectangle
from gcodekit.job.feature import Cutting, Depth
from gcodekit.job.features.tabs import Tabs
from gcodekit.job.holdings import Clamp
from gcodekit.job.kinds.profile import Profile
from gcodekit.part.tab_places import tab_places
from gcodekit.target.tab_spread import middles

Made = Callable[..., Profile]


@pytest.fixture(scope="module")
def made() -> Made:
    def make(outline: Region, **tabs: Any) -> Profile:
        return Profile(
            name="it",
            place=Place("part.toml", 9),
            depth=Depth(top=0.0, floor=-5.0, through=True, cut_to=-5.5),
            cutting=Cutting(),
            outline=outline,
            side="outside",
            tabs=Tabs(height=1.0, **tabs),
        )

    return make


def polygon(*points: Point) -> Region:
    return Region.of(Chain.of_points(list(points), closed=True))


def test_the_first_spread_that_is_off_all_corners(made: Made) -> None:
    asked = made(polygon((0, 0), (40, 0), (40, 40), (0, 40)), count=4, width=5)
    assert asked.tabs is not None
    found = [m.point for m in middles(asked, asked.tabs, 3.0)]
    # half a tab, a cutter and 0.01 off a corner is 8.51: the 11th of 48 beginnings of a pitch of 40
    s = 40 * 11 / 48
    for point, side in zip(found, [(s, 0), (40, s), (40 - s, 40), (0, 40 - s)], strict=True):
        assert point == pytest.approx(side)


def test_the_point_nearest_to_one_asked_for(made: Made) -> None:
    asked = made(Region.of(Chain.circle((0, 0), 30.0)), width=5, at=((25.0, 25.0), (0.0, -28.0)))
    assert asked.tabs is not None
    first, second = middles(asked, asked.tabs, 3.0)
    half = 30 * math.sqrt(0.5)
    assert first.point == pytest.approx((half, half), abs=0.001)
    assert second.point == pytest.approx((0, -30), abs=0.001)
    assert second.along == pytest.approx((1, 0), abs=0.001)


@given(
    size=st.tuples(st.integers(40, 120), st.integers(40, 120)),
    round_=st.sampled_from([0.0, 0.0, 2.0, 6.0, 15.0]),
    notch=st.integers(0, 15),
    count=st.integers(1, 6),
    width=st.sampled_from([2.0, 3.0, 4.5, 6.0]),
    radius=st.sampled_from([1.0, 1.5, 3.0]),
)
def test_planning_puts_them_there_too(
    made: Made,
    size: tuple[int, int],
    round_: float,
    notch: int,
    count: int,
    width: float,
    radius: float,
) -> None:
    w, h = size
    if round_:
        outline = rectangle(w, h, round=round_)
    else:
        outline = polygon((0, 0), (w, 0), (w, h), (w / 2, h - notch), (0, h))
    asked = made(outline, count=count, width=width)
    assert asked.tabs is not None
    planned = tab_places(asked, radius)
    proved = middles(asked, asked.tabs, radius)
    for one, other in zip(planned, proved, strict=True):
        assert one.point == pytest.approx(other.point, abs=1e-6)
        assert one.along == pytest.approx(other.along, abs=1e-6)
        assert nearest(asked.outline.rings[0], other.point)[1] < 1e-6  # type: ignore[union-attr]  # given


@given(
    width=st.floats(30, 90),
    height=st.floats(25, 60),
    corner=st.just(0.0) | st.floats(1, 12),
    count=st.integers(1, 6),
    tab=st.floats(3, 9),
    radius=st.floats(1, 4),
    holes=st.lists(
        st.tuples(st.tuples(st.floats(-5, 95), st.floats(-5, 65)), st.floats(0.5, 6)), max_size=6
    ),
)
def test_both_keep_off_the_same_holes(
    made: Made,
    width: float,
    height: float,
    corner: float,
    count: int,
    tab: float,
    radius: float,
    holes: list[tuple[Point, float]],
) -> None:
    outline = rectangle(width, height, corner=(0, 0), round=min(corner, 0.45 * height))
    spread = made(outline, count=count, width=tab, clear_of=tuple(holes))
    assert spread.tabs is not None
    try:
        first = tab_places(spread, radius)
    except PlanError:
        return  # too many for the outline
    second = middles(spread, spread.tabs, radius)
    for one, other in zip(first, second, strict=True):
        assert one.point == pytest.approx(other.point, abs=1e-6)


@given(
    width=st.floats(40, 120),
    height=st.floats(35, 80),
    corner=st.just(0.0) | st.floats(1, 17),
    count=st.integers(1, 5),
    tab=st.floats(3, 9),
    radius=st.floats(1, 4),
    clamps=st.lists(
        st.builds(
            Clamp,
            at=st.tuples(st.floats(-20, 130), st.floats(-20, 90)),
            size=st.tuples(st.floats(5, 30), st.floats(5, 40)),
            height=st.just(8.0),
            angle=st.sampled_from([0.0, math.pi / 2]) | st.floats(-3, 3),
        ),
        max_size=3,
    ),
)
def test_both_keep_off_the_same_clamps(
    made: Made,
    width: float,
    height: float,
    corner: float,
    count: int,
    tab: float,
    radius: float,
    clamps: list[Clamp],
) -> None:
    outline = rectangle(width, height, corner=(0, 0), round=corner)
    spread = made(outline, count=count, width=tab, clamps=tuple((c, "it") for c in clamps))
    assert spread.tabs is not None
    try:
        first = tab_places(spread, radius)
    except PlanError:
        return  # too many for the outline
    second = middles(spread, spread.tabs, radius)
    for one, other in zip(first, second, strict=True):
        assert one.point == pytest.approx(other.point, abs=1e-6)


def test_tabs_keep_off_a_clamp_where_there_is_room(made: Made) -> None:
    plate = polygon((0, 0), (90, 0), (90, 60), (0, 60))
    plain = made(plate, count=4, width=5)
    x, _ = tab_places(plain, 1.5)[0].point
    turned = Clamp(at=(x, -30.0), size=(40.0, 16.0), height=8.0, angle=math.pi / 2)
    moved = made(plate, count=4, width=5, clamps=((turned, "clamp 1"),))
    assert moved.tabs is not None
    # a clamp on end, 10 mm off the line: half a tab, a cutter, a hand tool and 0.01 from its corner
    clear = math.sqrt((2.5 + 3 + 5 + 0.01) ** 2 - 10**2)
    for found in ([p.point for p in tab_places(moved, 1.5)],
                  [m.point for m in middles(moved, moved.tabs, 1.5)]):  # fmt: skip
        assert min(abs(a - x) for a, b in found if b < 1) >= 8 + clear - 1e-6
    # a clamp over all of the part leaves no room: the tabs stand as they would without
    everywhere = Clamp(at=(45.0, 30.0), size=(100.0, 70.0), height=8.0)
    crowded = made(plate, count=4, width=5, clamps=((everywhere, "clamp 1"),))
    assert tab_places(crowded, 1.5) == tab_places(plain, 1.5)
    assert crowded.tabs is not None
    assert plain.tabs is not None
    assert middles(crowded, crowded.tabs, 1.5) == middles(plain, plain.tabs, 1.5)


def test_tabs_keep_off_a_hole_where_there_is_room(made: Made) -> None:
    square = polygon((0, 0), (40, 0), (40, 40), (0, 40))
    plain = made(square, count=4, width=5)
    on_one = ((tab_places(plain, 3.0)[0].point, 2.0),)
    moved = made(square, count=4, width=5, clear_of=on_one)
    assert moved.tabs is not None
    for found in ([p.point for p in tab_places(moved, 3.0)],
                  [m.point for m in middles(moved, moved.tabs, 3.0)]):  # fmt: skip
        # the hole, half a tab, a cutter beside it, and 0.01
        assert min(math.dist(p, on_one[0][0]) for p in found) >= 2 + 2.5 + 6 + 0.01 - 1e-6
    # a short clip with two screws, close to every place of its rim
    clip = made(
        rectangle(28, 12, round=4), count=2, width=5, clear_of=(((-6, 0), 1.6), ((6, 0), 1.6))
    )
    assert clip.tabs is not None
    for radius in (2.0, 3.0, 4.0):
        ours, theirs = tab_places(clip, radius), middles(clip, clip.tabs, radius)
        for one, other in zip(ours, theirs, strict=True):
            assert one.point == pytest.approx(other.point)
    # holes all round leave no room: the tabs stand as they would without
    everywhere = tuple(((x, y), 8.0) for x in range(0, 41, 10) for y in range(0, 41, 10))
    crowded = made(square, count=4, width=5, clear_of=everywhere)
    assert [p.point for p in tab_places(crowded, 3.0)] == [p.point for p in tab_places(plain, 3.0)]
