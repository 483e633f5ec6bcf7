"""What edges, bosses and arcs ask, against closed forms, on a plate 100 x 60 x 10."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely

from gcodekit.geometry.chain import Chain
from gcodekit.geometry.region import Part, Region
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.raw_stock import RawStock
from gcodekit.target.demand import FeatureCutters
from gcodekit.target.target import Slice

PI = math.pi
PLATE = shapely.box(0, 0, 100, 60)
BAR = RawStock(shape="round", low=(0.0, 0.0, -10.0), high=(40.0, 40.0, 0.0))
# Chords inside arcs of all the rims here together make less than this, mm2.
NEAR = 0.1


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Region:
    return Region.of(Chain.of_points([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True))


def circle(x: float, y: float, r: float) -> Region:
    return Region.of(Chain.circle((x, y), r))


def areas(part: Slice, within: Any = PLATE) -> tuple[float, float]:
    """required, and allowed beside it, within the metal."""
    required, allowed = part.required.intersection(within), part.allowed.difference(part.required)
    return required.area, allowed.intersection(within).area


@pytest.fixture
def mill(cutter: Any) -> FeatureCutters:
    return FeatureCutters(cutter=cutter(6.0))


@pytest.mark.parametrize(
    ("point", "away", "area"),
    [
        pytest.param((90, 0), (1, 0), 10 * 60, id="right"),
        pytest.param((4, 0), (-1, 0), 4 * 60, id="left"),
        pytest.param((0, 57.5), (0, 1), 2.5 * 100, id="back"),
        pytest.param((0, 1), (0, -1), 100, id="front"),
        # a corner cut off at 45 degrees: its height is 10
        pytest.param((0, 160 - 10 * math.sqrt(2)), (0.5**0.5, 0.5**0.5), 100, id="turned"),
    ],
)
def test_edge(
    of: Any, target: Any, mill: FeatureCutters, point: Any, away: Any, area: float
) -> None:
    made = target(Edge(point=point, away=away, **of(floor=-4)), mill)
    assert areas(made.slice(-3.99)) == pytest.approx((area, 0))
    assert areas(made.slice(-4.01)) == (0, 0)
    # beyond the metal is only air: nothing seems to stand between both
    assert made.slice(-1).required.buffer(-0.4).intersection(PLATE.boundary).length > 0


def test_edge_through(of: Any, target: Any, mill: FeatureCutters) -> None:
    made = target(Edge(point=(90, 0), away=(1, 0), **of()), mill)
    assert areas(made.slice(-9.99)) == pytest.approx((600, 0))
    assert made.slice(-10.4).required.area > 0


def test_edge_of_a_round_bar_takes_a_segment(of: Any, target: Any, mill: FeatureCutters) -> None:
    part = target(Edge(point=(32, 0), away=(1, 0), **of(floor=-4)), mill, raw=BAR).slice(-1)
    bar = shapely.Point(20, 20).buffer(20, quad_segs=500)
    segment = 20**2 * math.acos(12 / 20) - 12 * math.sqrt(20**2 - 12**2)
    assert areas(part, bar) == pytest.approx((segment, 0), abs=NEAR)


@pytest.mark.parametrize(
    ("kept", "within", "area"),
    [
        pytest.param(circle(50, 30, 12), None, 6000 - 144 * PI, id="to the metal's edge"),
        pytest.param(circle(50, 30, 12), circle(50, 30, 20), 256 * PI, id="within a rim"),
        pytest.param(circle(50, 30, 12), rectangle(50, -9, 120, 70), 3000 - 72 * PI, id="part"),
        pytest.param(circle(0, 30, 12), None, 6000 - 72 * PI, id="at the edge"),
        pytest.param(
            Region((*circle(20, 30, 5).parts, *circle(80, 30, 5).parts)),
            None,
            6000 - 50 * PI,
            id="two",
        ),
        pytest.param(
            Region((Part(circle(50, 30, 20).rings[0], (Chain.circle((50, 30), 10, ccw=False),)),)),
            None,
            6000 - 300 * PI,
            id="ring",
        ),
    ],
)
def test_boss(
    of: Any, target: Any, mill: FeatureCutters, kept: Region, within: Region | None, area: float
) -> None:
    made = target(Boss(kept=kept, within=within, **of(floor=-4)), mill)
    assert areas(made.slice(-3.99)) == pytest.approx((area, 0), abs=NEAR)
    assert areas(made.slice(-4.01)) == (0, 0)


def test_a_boss_leaves_what_others_keep(of: Any, target: Any, mill: FeatureCutters) -> None:
    """Another boss, an island and a part elsewhere; not the part that it stands on, nor what
    another feature starts from lower down."""
    first = Boss(kept=circle(20, 15, 5), **of("first", floor=-2))
    others = [
        Boss(kept=circle(20, 45, 6), **of("boss", floor=-3)),
        Pocket(
            outline=circle(50, 45, 9),
            islands=(circle(50, 45, 4),),
            area=Region.of(Chain.circle((50, 45), 9), Chain.circle((50, 45), 4)),
            **of("pocket", floor=-3),
        ),
        Profile(outline=circle(85, 15, 8), side="outside", **of("elsewhere", floor=-3)),
        Profile(outline=circle(20, 15, 9), side="outside", **of("under it", floor=-3)),
        Profile(outline=circle(85, 45, 8), side="outside", **of("lower", top=-2.0, floor=-3)),
    ]
    part = target([first, *others], mill).slice(-1)
    asked = next(f for f in part.features if f.name == "first")
    left = PI * (5**2 + 6**2 + 4**2 + 8**2)
    assert asked.required.intersection(PLATE).area == pytest.approx(6000 - left, abs=NEAR)


def sector(of: Any, start: float, end: float, radius: float = 20, **more: Any) -> Sector:
    angles = {"start": math.radians(start), "end": math.radians(end)}
    said = {"side": "outside", "centre": (50.0, 30.0), **more}
    return Sector(radius=radius, **angles, **said, **of(floor=-4))


@pytest.mark.parametrize(
    ("start", "end", "keys", "area"),
    [
        pytest.param(0, 360, {}, 6000 - 400 * PI, id="all round"),
        pytest.param(0, 90, {}, 1500 - 100 * PI, id="a quarter of the plate"),
        pytest.param(90, 450, {"from_radius": 25}, 225 * PI, id="ring"),
        pytest.param(30, 105, {"from_radius": 25}, 225 * PI * 75 / 360, id="groove"),
        pytest.param(200, 320, {"side": "inside"}, 400 * PI / 3, id="inside to the centre"),
        pytest.param(
            200, 320, {"side": "inside", "from_radius": 5}, 375 * PI / 3, id="inside from a bore"
        ),
        pytest.param(
            0, 180, {"side": "inside", "centre": (50.0, 0.0)}, 200 * PI, id="hollow in a side"
        ),
    ],
)
def test_arc(
    of: Any, target: Any, mill: FeatureCutters, start: float, end: float, keys: Any, area: float
) -> None:
    made = target(sector(of, start, end, **keys), mill)
    assert areas(made.slice(-3.99)) == pytest.approx((area, 0), abs=NEAR)
    assert areas(made.slice(-4.01)) == (0, 0)


def _half_segment(radius: float, across: float) -> float:
    """Area of half a disc's slice from its middle line to `across` beside it."""
    return (across * math.sqrt(radius**2 - across**2) + radius**2 * math.asin(across / radius)) / 2


def test_open_ends_may_be_run_on_by_a_cutter(of: Any, target: Any, mill: FeatureCutters) -> None:
    """Between the radii, a cutter's diameter beside each end; never inside the radius."""
    arc = sector(of, 0, 90, from_radius=25.0, open_ends=True)
    required, allowed = areas(target(arc, mill).slice(-1))
    assert required == pytest.approx(225 * PI / 4, abs=NEAR)
    assert allowed == pytest.approx(2 * (_half_segment(25, 6) - _half_segment(20, 6)), abs=NEAR)
    part = target(arc, mill).slice(-1)
    assert part.allowed.intersection(shapely.Point(50, 30).buffer(19.99)).area == 0


@pytest.mark.parametrize(
    ("feature", "required"),
    [
        pytest.param(lambda of: Edge(point=(90, 0), away=(1, 0), **of(floor=-4)), 588, id="edge"),
        pytest.param(
            lambda of: Boss(kept=circle(50, 30, 12), **of(floor=-4)),
            6000 - 12.2**2 * PI,
            id="boss",
        ),
        pytest.param(lambda of: sector(of, 0, 360), 6000 - 20.2**2 * PI, id="arc"),
    ],
)
def test_left_unfinished_on_purpose(
    of: Any, target: Any, cutter: Any, feature: Any, required: float
) -> None:
    cut = FeatureCutters(cutter=cutter(6.0), left=0.2, left_on_floor=0.1)
    made = target(feature(of), cut)
    whole = areas(target(feature(of), FeatureCutters(cutter=cutter(6.0))).slice(-1))[0]
    asked = areas(made.slice(-3.89))
    assert asked[0] == pytest.approx(required, abs=NEAR)
    assert sum(asked) == pytest.approx(whole, abs=NEAR)
    assert areas(made.slice(-3.95))[0] == 0
