"""Where tabs stand: evenly, off corners, on straights; and where none can."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.errors import Place, PlanError
from gcodekit.geometry.chain import Arc, Chain, Line, Point
from gcodekit.geometry.flattening import nearest
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Cutting, Depth
from gcodekit.job.features.tabs import Tabs
from gcodekit.job.kinds.profile import Profile
from gcodekit.part.tab_places import tab_places

BASE: dict[str, Any] = {
    "name": "rim",
    "place": Place("part.toml", 9),
    "depth": Depth(top=0, floor=-10, through=True, cut_to=-10.5),
    "cutting": Cutting(),
}


def rectangle(w: float, h: float) -> Chain:
    return Chain.of_points([(0, 0), (w, 0), (w, h), (0, h)], closed=True)


def obround(length: float, width: float) -> Chain:
    r, s = width / 2, length - width
    return Chain(
        (
            Line((0, -r), (s, -r)),
            Arc((s, -r), (s, r), (s, 0), True),
            Line((s, r), (0, r)),
            Arc((0, r), (0, -r), (0, 0), True),
        )
    )


def profile(of: Any, *rings: Chain, side: Any = "outside", **tabs: Any) -> Profile:
    region = Region(tuple(p for r in rings for p in Region.of(r).parts))
    values = {"count": 4, "width": 6.0, "height": 1.0} | tabs
    return Profile(outline=region, side=side, tabs=Tabs(**values), **of())


def along(chain: Chain, points: list[Point]) -> list[float]:
    found = [nearest(chain, p) for p in points]
    assert max(gap for _, gap in found) < 1e-9
    return sorted(s for s, _ in found)


def gaps(chain: Chain, at: list[float]) -> list[float]:
    return [b - a for a, b in pairwise([*at, at[0] + chain.length])]


@pytest.mark.parametrize("count", [1, 2, 3, 4, 7])
def test_even_round_a_circle(of: Any, count: int) -> None:
    ring = Chain.circle((10, 10), 25)
    places = tab_places(profile(of, ring, count=count), 3.0)
    at = along(ring, [p.point for p in places])
    assert gaps(ring, at) == pytest.approx([ring.length / count] * count, abs=1e-6)


def test_four_on_a_square_stand_one_on_each_side(of: Any) -> None:
    places = tab_places(profile(of, rectangle(60, 60)), 3.0)
    sides = {(round(p.along[0]), round(p.along[1])) for p in places}
    assert sides == {(1, 0), (0, 1), (-1, 0), (0, -1)}


@pytest.mark.parametrize("count", [2, 4])
def test_straights_are_preferred_to_arcs(of: Any, count: int) -> None:
    ring = obround(80, 30)
    for place in tab_places(profile(of, ring, count=count), 3.0):
        assert abs(place.along[1]) < 1e-9
        # the tab and the cutter beside it stand on the straight whole
        assert 6.0 - 1e-9 <= place.point[0] <= 44.0 + 1e-9


def test_every_ring_has_its_own(of: Any) -> None:
    other = Chain.circle((200, 0), 20)
    places = tab_places(profile(of, rectangle(60, 40), other, count=3), 3.0)
    assert sum(p.point[0] > 100 for p in places) == 3
    assert len(places) == 6


@given(
    w=st.floats(60, 200), h=st.floats(60, 200), count=st.integers(1, 6), radius=st.floats(0.5, 5)
)
def test_tabs_keep_off_corners_and_off_one_another(
    w: float, h: float, count: int, radius: float
) -> None:
    ring = rectangle(w, h)
    part = Profile(
        outline=Region.of(ring), side="outside", tabs=Tabs(count=count, width=6, height=1), **BASE
    )
    places = tab_places(part, radius)
    assert len(places) == count
    for place in places:
        corner = min(math.dist(place.point, s.start) for s in ring)
        assert corner >= 3 + 2 * radius - 1e-6
    at = along(ring, [p.point for p in places])
    assert min(gaps(ring, at)) >= 6 + 2 * radius - 1e-6
    # no gap is wider than twice the even one: the work is held all round
    assert max(gaps(ring, at)) <= 2 * ring.length / count + 1e-6


def test_asked_for_by_point(of: Any) -> None:
    part = profile(of, rectangle(60, 40), count=0, at=((30, -4), (61, 20)))
    found = [p.point for p in tab_places(part, 3.0)]
    assert found == [pytest.approx((30, 0)), pytest.approx((60, 20))]


def test_a_point_far_from_the_outline_is_refused(of: Any) -> None:
    part = profile(of, rectangle(60, 40), count=0, at=((30, -5.5),))
    with pytest.raises(PlanError) as caught:
        tab_places(part, 3.0)
    assert str(caught.value) == (
        "part.toml:9: setup 1.feature it.tabs: the tab at [30, -5.5] is 5.5 mm from the "
        "outline, place it within 5 mm"
    )


def test_too_many_are_refused(of: Any) -> None:
    with pytest.raises(
        PlanError,
        match="5 tabs of 6 mm with a 6 mm cutter need 60 mm, but the outline is 40 mm long",
    ):
        tab_places(profile(of, rectangle(10, 10), count=5), 3.0)


def test_roughing_and_finishing_cutters_leave_the_same_tabs(
    of: Any, cutter: Callable[..., Any]
) -> None:
    values = of(rough_with=cutter(8.0), cutter=cutter(4.0))
    part = Profile(
        outline=Region.of(rectangle(60, 40)),
        side="outside",
        tabs=Tabs(count=4, width=6, height=1),
        **values,
    )
    assert tab_places(part, 4.0) == tab_places(part, 2.0)


def test_no_tabs_asked_for(of: Any) -> None:
    assert tab_places(Profile(outline=Region.of(rectangle(9, 9)), side="on", **of()), 3.0) == ()


def test_on_an_open_path(of: Any) -> None:
    path = Chain.of_points([(0, 0), (100, 0)], closed=False)
    part = Profile(path=path, side="left", tabs=Tabs(count=2, width=6, height=1), **of())
    assert [p.point[0] for p in tab_places(part, 3.0)] == pytest.approx([25, 75])


def test_in_a_corner_a_tab_stands_on_the_line_that_halves_it(of: Any) -> None:
    part = profile(of, rectangle(60, 40), count=0, at=((61, 41),))
    (place,) = tab_places(part, 3.0)
    assert place.point == pytest.approx((60, 40))
    assert place.along == pytest.approx((-math.sqrt(0.5), math.sqrt(0.5)))
    # across an inside corner a kerf is as much wider as the corner's own diagonal
    assert place.stretch == pytest.approx(math.sqrt(2))


def test_near_a_corner_a_tab_leans_to_it_bit_by_bit(of: Any) -> None:
    leans = [
        tab_places(profile(of, rectangle(60, 40), count=0, at=((60 - d, 0),)), 3.0)[0].along[1]
        for d in (4.0, 3.0, 2.0, 1.0, 0.0)
    ]
    assert leans[:2] == pytest.approx([0, 0])
    assert leans == sorted(leans)
    assert leans[-1] == pytest.approx(math.sqrt(0.5))


@pytest.mark.parametrize(
    ("points", "apart"),
    [
        pytest.param(((30, 0), (41.9, 0)), "11.9", id="side by side"),
        pytest.param(((2, 0), (0, 5)), "7", id="over the ring's start"),
        pytest.param(((30, 0), (30, 1)), "0", id="the same place twice"),
    ],
)
def test_tabs_that_run_together_are_refused(of: Any, points: tuple[Point, ...], apart: str) -> None:
    with pytest.raises(PlanError, match=f"is {apart} mm from another along the outline"):
        tab_places(profile(of, rectangle(60, 40), count=0, at=points), 3.0)


def test_tabs_just_far_enough_apart_stand(of: Any) -> None:
    part = profile(of, rectangle(60, 40), count=0, at=((30, 0), (42, 0)))
    assert len(tab_places(part, 3.0)) == 2
