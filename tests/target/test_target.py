"""The target's areas against closed forms, kind by kind.

Areas are those of plane figures (rectangle, disc, stadium, ring); a drill point's radius is
height * tan(half the included angle). The chords of a round lie inside it by at most 0.0002 mm,
so an area may be short by that times the length of its rounds, under 0.03 mm2 here.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import Place
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Cutting, Depth, Feature
from gcodekit.job.features.tabs import Tabs
from gcodekit.job.holdings import Hold
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.model import Job, Setup
from gcodekit.job.raw_stock import RawStock, Stock
from gcodekit.job.workshop.machine import Machine, Spindle, Workshop
from gcodekit.target.demand import FeatureCutters
from gcodekit.target.setup_metal import metal
from gcodekit.target.target import Target, target_of
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import materials

CLOSE = 0.03  # mm2: sag times the length of the rounds
LENGTH, WIDTH, THICK = 100.0, 60.0, 12.0
PLATE = RawStock(shape="block", low=(0, 0, -THICK), high=(LENGTH, WIDTH, 0))


def cutter(kind: str, diameter: float, **more: Any) -> Cutter:
    values: dict[str, Any] = {"number": 1, "name": kind, "kind": kind, "diameter": diameter}
    values |= {"flute_length": 30.0, "stickout": 40.0, "shank": diameter}
    return Cutter(**values | more)


MILL = cutter("end mill", 6.0)
DRILL = cutter("drill", 6.0, tip_angle=math.radians(118))
REAMER = cutter("reamer", 6.0, lead=0.5)
SPOT = cutter("spot drill", 10.0, tip_angle=math.radians(90))


def depth(down: float, *, through: bool = False) -> Depth:
    floor = -THICK if through else -down
    return Depth(top=0.0, floor=floor, through=through, cut_to=floor - 0.5 * through)


def common_keys(down: float, *, through: bool = False) -> dict[str, Any]:
    at = Place("job", 1)
    return {"name": "it", "place": at, "cutting": Cutting(), "depth": depth(down, through=through)}


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Region:
    return Region.of(Chain.of_points([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True))


def target(feature: Feature, cut: FeatureCutters, raw: RawStock = PLATE) -> Target:
    setup = Setup(
        name="first",
        place=Place("job", 1),
        raw=raw,
        zero_text="x left, y front, z top",
        clearance=5.0,
        breakthrough=0.5,
        work_offset=1,
        hold=Hold(),
        features=(feature,),
    )
    workshop = Workshop(
        file="shop",
        units="mm",
        machine=Machine(name="mill", spindle=Spindle(slowest=100, fastest=3000)),
        cutters=(cut.cutter,),
    )
    job = Job(
        name="base plate",
        file="job",
        path=Path("job"),
        units="mm",
        material=materials()[0],
        tolerance=0.01,
        stock=Stock(shape=raw.shape, size=(LENGTH, WIDTH, THICK)),
        workshop=workshop,
        post="rs274_full",
        setups=(setup,),
    )
    return target_of(job, setup, {"it": cut})


def area(shape: BaseGeometry) -> float:
    """What of a shape lies in the plate, mm2."""
    plate = shapely.box(0, 0, LENGTH, WIDTH)
    return float(shapely.intersection(shape, plate, grid_size=1e-6).area)


OUTLINE = rectangle(30, 15, 70, 45)
RIM = Region.of(Chain.circle((50, 30), 15))
LINE = Chain.of_points([(30, 30), (70, 30)], closed=False)
SIX = FeatureCutters(cutter=MILL)
# a cutter of 6 mm round a rectangle of 40 x 30: four strips and four quarter discs of 6 mm
KERF_OUTSIDE = 140 * 6 + math.pi * 36
KERF_INSIDE = 40 * 30 - 28 * 18


@pytest.mark.parametrize(
    ("feature", "expected"),
    [
        pytest.param(Face(**common_keys(2)), LENGTH * WIDTH, id="face, whole top"),
        pytest.param(Face(outline=OUTLINE, **common_keys(2)), 1200, id="face, outline"),
        pytest.param(Pocket(outline=OUTLINE, area=OUTLINE, **common_keys(2)), 1200, id="pocket"),
        pytest.param(
            Slot(path=LINE, width=8, **common_keys(2)), 320 + math.pi * 16, id="slot, round"
        ),
        pytest.param(
            Slot(
                path=Chain.of_points([(30, 30), (96, 30)], closed=False),
                width=8,
                ends=("round", "open"),
                **common_keys(2),
            ),
            70 * 8 + math.pi * 8,
            id="slot, open end goes to the metal's edge",
        ),
        pytest.param(
            Profile(outline=OUTLINE, side="outside", **common_keys(2)), KERF_OUTSIDE, id="outside"
        ),
        pytest.param(
            Profile(outline=OUTLINE, side="inside", **common_keys(2)), KERF_INSIDE, id="inside"
        ),
        pytest.param(
            Profile(outline=RIM, side="on", **common_keys(2)),
            math.pi * (18**2 - 12**2),
            id="on a circle",
        ),
        pytest.param(Profile(path=LINE, side="left", **common_keys(2)), 240, id="left of a path"),
        pytest.param(Profile(path=LINE, side="right", **common_keys(2)), 240, id="right of a path"),
        pytest.param(
            Bore(places=((30, 30), (70, 30)), diameter=20, **common_keys(2)),
            2 * math.pi * 100,
            id="bores",
        ),
        pytest.param(
            Hole(places=((30, 30),), diameter=6, **common_keys(2)), math.pi * 9, id="hole"
        ),
    ],
)
def test_must_over_the_floor_and_nothing_under_it(feature: Feature, expected: float) -> None:
    asked = target(feature, SIX)
    for z in (-0.01, -1.0, -1.99):
        assert area(asked.slice(z).required) == pytest.approx(expected, abs=CLOSE)
    below = asked.slice(-2.01)
    assert area(below.required) == 0
    assert area(below.allowed) == 0
    assert {0.0, -2.0, -THICK} <= set(asked.levels)
    assert list(asked.levels) == sorted(asked.levels, reverse=True)


def test_metal_above_the_datum_must_go_too() -> None:
    raw = RawStock(shape="block", low=(0, 0, -THICK), high=(LENGTH, WIDTH, 1.5))
    asked = target(Pocket(outline=OUTLINE, area=OUTLINE, **common_keys(2)), SIX, raw)
    assert area(asked.slice(1.0).required) == pytest.approx(1200)


@pytest.mark.parametrize(
    ("side", "sign"), [pytest.param("left", 1, id="left"), pytest.param("right", -1, id="right")]
)
def test_an_open_profile_takes_nothing_on_the_parts_side(side: Any, sign: int) -> None:
    asked = target(Profile(path=LINE, side=side, **common_keys(2)), SIX).slice(-1)
    whole = shapely.union(asked.required, asked.allowed, grid_size=1e-6)
    part_side = shapely.box(0, 30, LENGTH, WIDTH) if sign < 0 else shapely.box(0, 0, LENGTH, 30)
    assert whole.intersection(part_side).area < 1e-6


def test_an_outside_profile_never_may_go_inside_its_outline() -> None:
    cut = FeatureCutters(cutter=MILL, allowance=0.2)
    asked = target(Profile(outline=OUTLINE, side="outside", **common_keys(2)), cut).slice(-1)
    assert asked.allowed.intersection(shapely.box(30, 15, 70, 45)).area < 1e-6
    # kerf 6, allowance 0.2, lead 3: straight beside the long edge
    assert asked.allowed.covers(shapely.Point(50, 15 - 9.19))
    assert not asked.allowed.covers(shapely.Point(50, 15 - 9.21))


def test_tabs_stand_in_the_kerf_up_to_their_height() -> None:
    tabs = Tabs(count=2, width=5, height=1.5)
    profile = Profile(outline=OUTLINE, side="outside", tabs=tabs, **common_keys(0, through=True))
    asked = target(profile, SIX)
    assert -THICK + 1.5 in asked.levels
    under, over = asked.slice(-THICK + 1.49), asked.slice(-THICK + 1.51)
    assert area(under.kept) == pytest.approx(2 * 5 * 6, abs=CLOSE)
    assert under.required.intersection(under.kept).area < 1e-6
    # The cutter's axis stops at 2.5 + 3 from a tab's middle: at least the cusps beside its last
    # discs are not asked for; at most those up to a whole diameter from the tab.
    least, most = 2 * (11 * 6 - math.pi * 9), 2 * (17 * 6 - 2 * math.pi * 9)
    assert KERF_OUTSIDE - most - CLOSE <= area(under.required) <= KERF_OUTSIDE - least + CLOSE
    assert area(over.kept) == 0
    assert area(over.required) == pytest.approx(KERF_OUTSIDE, abs=CLOSE)


def test_an_open_slot_may_run_past_the_metal_by_a_millimetre() -> None:
    line = Chain.of_points([(30, 30), (96, 30)], closed=False)
    slot = Slot(path=line, width=8, ends=("round", "open"), **common_keys(2))
    whole = shapely.union_all(
        [target(slot, SIX).slice(-1).required, target(slot, SIX).slice(-1).allowed]
    )
    assert whole.bounds[2] == pytest.approx(LENGTH + 1)


@pytest.mark.parametrize("under", [0.2, 0.9, 1.7])
def test_the_drills_point_may_go_below_the_full_diameter(under: float) -> None:
    hole = Hole(places=((50, 30),), diameter=6, **common_keys(6))
    asked = target(hole, FeatureCutters(cutter=DRILL))
    point = 3 / math.tan(math.radians(59))
    radius = (point - under) * math.tan(math.radians(59))
    assert area(asked.slice(-6 - under).required) == 0
    assert area(asked.slice(-6 - under).allowed) == pytest.approx(math.pi * radius**2, abs=CLOSE)
    assert any(math.isclose(z, -6 - point) for z in asked.levels)


def test_the_drill_goes_below_a_blind_reamed_hole() -> None:
    hole = Hole(places=((50, 30),), diameter=6, ream=True, **common_keys(6))
    drill = cutter("drill", 5.8, tip_angle=math.radians(118))
    asked = target(hole, FeatureCutters(cutter=REAMER, others=(drill,)))
    # lead of 0.5 and 1 mm for chips at the drill's diameter, then its point
    assert area(asked.slice(-7.4).allowed) == pytest.approx(math.pi * 2.9**2, abs=CLOSE)
    tip = -7.5 - 2.9 / math.tan(math.radians(59))
    assert area(asked.slice(tip + 0.1).allowed) > 0
    assert area(asked.slice(tip - 0.01).allowed) == 0


def test_a_spot_stays_within_the_hole() -> None:
    hole = Hole(places=((50, 30),), diameter=6, **common_keys(6))
    asked = target(hole, FeatureCutters(cutter=DRILL, others=(SPOT,)))
    for z in (-0.1, -1.5, -2.9, -5.9):
        whole = shapely.union(asked.slice(z).required, asked.slice(z).allowed, grid_size=1e-6)
        assert area(whole) == pytest.approx(math.pi * 9, abs=CLOSE)


def test_what_is_left_on_purpose_need_not_go_but_may() -> None:
    pocket = Pocket(outline=OUTLINE, area=OUTLINE, **common_keys(2))
    asked = target(pocket, FeatureCutters(cutter=MILL, left=0.3)).slice(-1)
    # the roughing cutter's disc leaves (4 - pi) r2 in the four corners
    corners = (4 - math.pi) * MILL.radius**2
    assert area(asked.required) == pytest.approx(39.4 * 29.4 - corners, abs=CLOSE)
    assert area(shapely.union(asked.required, asked.allowed)) == pytest.approx(1200, abs=CLOSE)


def test_the_reach_is_the_finishing_cutters() -> None:
    pocket = Pocket(outline=OUTLINE, area=OUTLINE, **common_keys(2))
    assert target(pocket, SIX).slice(-1).features[0].reach == 3.0


@pytest.mark.parametrize(
    ("axis", "high", "z", "expected"),
    [
        pytest.param("z", (40, 40, 0), -3, math.pi * 400, id="upright, a disc"),
        # chord of a circle of 12 mm, 3 mm from its centre: 2 sqrt(36 - 9)
        pytest.param("x", (LENGTH, 12, 0), -3, 100 * 2 * math.sqrt(27), id="lying, a strip"),
        pytest.param("y", (12, LENGTH, 0), -9, 100 * 2 * math.sqrt(27), id="lying along y"),
        pytest.param("x", (LENGTH, 12, 0), 0.1, 0, id="over it, nothing"),
    ],
)
def test_sections_of_a_bar(axis: Any, high: Any, z: float, expected: float) -> None:
    raw = RawStock(shape="round", axis=axis, low=(0, 0, -THICK), high=high)
    setup = Setup(
        name="first",
        place=Place("job", 1),
        raw=raw,
        zero_text="x left, y front, z top",
        clearance=5.0,
        breakthrough=0.5,
        work_offset=1,
        hold=Hold(),
        features=(),
    )
    assert metal(setup, z).area == pytest.approx(expected, abs=CLOSE)
