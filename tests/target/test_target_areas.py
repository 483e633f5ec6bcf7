"""Required, allowed and kept of each kind and height against closed forms, on a plate 100 x 60."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
import shapely

from gcodekit.geometry.chain import Arc, Chain, Line
from gcodekit.geometry.region import Region
from gcodekit.job.features.tabs import Tabs
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.raw_stock import RawStock
from gcodekit.target.demand import FeatureCutters
from gcodekit.target.target import Slice

PI = math.pi
PLATE = shapely.box(0, 0, 100, 60)
# Chords inside arcs of all the rims here together make less than this, mm2.
NEAR = 0.1


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Region:
    return Region.of(Chain.of_points([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True))


def circle(x: float, y: float, r: float) -> Region:
    return Region.of(Chain.circle((x, y), r))


def in_metal(shape: Any) -> float:
    return float(shape.intersection(PLATE).area)


def areas(part: Slice) -> tuple[float, float, float]:
    """Required, allowed beside it, kept, within the plate."""
    return (
        in_metal(part.required),
        in_metal(part.allowed.difference(part.required)),
        in_metal(part.kept),
    )


def pocket(of: Any, outline: Region, *islands: Region, floor: float = -4, **more: Any) -> Pocket:
    area = outline
    if islands:
        rings = tuple(ring for i in islands for ring in (i.parts[0].outer,))
        area = Region.of(outline.parts[0].outer, *rings)
    return Pocket(outline=outline, islands=islands, area=area, **of(floor=floor), **more)


@pytest.fixture
def mill(cutter: Any) -> FeatureCutters:
    return FeatureCutters(cutter=cutter(6.0))


@pytest.mark.parametrize(
    ("z", "required"),
    [
        pytest.param(0.4, 6000, id="above-top"),
        pytest.param(-0.9, 6000, id="above-floor"),
        pytest.param(-1.0, 6000, id="at-floor"),
        pytest.param(-1.1, 0, id="below-floor"),
    ],
)
def test_face(of: Any, target: Any, mill: FeatureCutters, z: float, required: float) -> None:
    part = target(Face(**of(floor=-1)), mill).slice(z)
    assert areas(part) == (required, 0, 0)
    # the rim has air beside it: nothing seems to stand between both
    assert part.required.is_empty or part.required.buffer(-5).covers(PLATE)


def test_face_of_a_part_is_a_pocket(of: Any, target: Any, mill: FeatureCutters) -> None:
    face = Face(outline=rectangle(50, -10, 120, 40), **of(floor=-1))
    assert areas(target(face, mill).slice(0.5))[0] == pytest.approx(2000)


@pytest.mark.parametrize(
    ("z", "required"),
    [
        pytest.param(0.5, 40 * 20 - 25 * PI, id="metal-above-top"),
        pytest.param(-3.99, 40 * 20 - 25 * PI, id="above-floor"),
        pytest.param(-4.01, 0, id="below-floor"),
    ],
)
def test_pocket(of: Any, target: Any, mill: FeatureCutters, z: float, required: float) -> None:
    made = pocket(of, rectangle(10, 10, 50, 30), circle(30, 20, 5))
    assert areas(target(made, mill).slice(z)) == pytest.approx((required, 0, 0), abs=NEAR)


def rounded(r: float) -> Region:
    return Region.of(
        Chain(
            (
                Line((10, 10), (50, 10)),
                Line((50, 10), (50, 30 - r)),
                Arc((50, 30 - r), (50 - r, 30), (50 - r, 30 - r), True),
                Line((50 - r, 30), (10, 30)),
                Line((10, 30), (10, 10)),
            )
        )
    )


@pytest.mark.parametrize(
    ("outline", "corner", "reach"),
    [
        pytest.param(rectangle(10, 10, 50, 30), None, 3.0, id="sharp-corners"),
        pytest.param(rounded(5), None, 3.0, id="rounds-bigger-than-the-cutter"),
        pytest.param(rounded(2), None, 2.0, id="rounds-smaller-must-be-reached"),
        pytest.param(rectangle(10, 10, 50, 30), 2.5, 2.5, id="corner-asked"),
        pytest.param(rounded(2).moved(60, 0), None, 3.0, id="round-beyond-the-metal"),
    ],
)
def test_how_far_a_pocket_must_be_reached(
    of: Any, target: Any, mill: FeatureCutters, outline: Region, corner: float, reach: float
) -> None:
    part = target(pocket(of, outline, corner=corner), mill).slice(-1)
    assert [f.reach for f in part.features] == pytest.approx([reach])


@pytest.mark.parametrize(
    ("ends", "required"),
    [
        pytest.param(("round", "round"), 40 * 8 + 16 * PI, id="stadium"),
        # the open end runs on from x 90 to the edge at x 100
        pytest.param(("round", "open"), 50 * 8 + 8 * PI, id="open-end"),
    ],
)
def test_slot(of: Any, target: Any, mill: FeatureCutters, ends: Any, required: float) -> None:
    path = Chain.of_points([(50, 30), (90, 30)], closed=False)
    part = target(Slot(path=path, width=8, ends=ends, **of(floor=-2)), mill)
    assert areas(part.slice(-1.99)) == pytest.approx((required, 0, 0), abs=NEAR)
    assert areas(part.slice(-2.01))[0] == 0


def test_an_open_slot_may_run_1_mm_past_the_metal(
    of: Any, target: Any, mill: FeatureCutters
) -> None:
    path = Chain.of_points([(50, 30), (90, 30)], closed=False)
    part = target(Slot(path=path, width=8, ends=("round", "open"), **of(floor=-2)), mill).slice(-1)
    assert part.required.bounds[2] == pytest.approx(100)
    assert part.allowed.union(part.required).bounds[2] == pytest.approx(101)


def test_an_open_end_stops_at_what_was_cleared_before(
    of: Any, target: Any, mill: FeatureCutters
) -> None:
    """A pocket across its way: the metal beyond that is not the slot's."""
    path = Chain.of_points([(20, 30), (50, 30)], closed=False)
    slot = Slot(path=path, width=8, ends=("round", "open"), **of("slot", floor=-2))
    before = replace(pocket(of, rectangle(60, 10, 80, 50)), name="pocket")
    part = target([before, slot], mill).slice(-1)
    assert part.features[1].required.bounds[2] == pytest.approx(60)


def test_an_open_end_in_a_shallower_pocket_runs_on(
    of: Any, target: Any, mill: FeatureCutters
) -> None:
    path = Chain.of_points([(20, 30), (50, 30)], closed=False)
    slot = Slot(path=path, width=8, ends=("round", "open"), **of("slot", floor=-6))
    before = replace(pocket(of, rectangle(60, 10, 80, 50)), name="pocket")
    assert target([before, slot], mill).slice(-5).features[1].required.bounds[2] == pytest.approx(
        100
    )


def test_a_curved_slot(of: Any, target: Any, mill: FeatureCutters) -> None:
    """A quarter turn of radius 20: its area is width times length, and a disc for the ends."""
    path = Chain((Arc((30, 20), (50, 40), (30, 40), True),))
    part = target(Slot(path=path, width=6, **of(floor=-2)), mill).slice(-1)
    assert areas(part)[0] == pytest.approx(6 * 20 * PI / 2 + 9 * PI, abs=NEAR)


@pytest.mark.parametrize(
    ("side", "required", "allowed"),
    [
        # kerf 6 round a square of 20; beside it allowance 0.2 and lead 3
        pytest.param("outside", 80 * 6 + 36 * PI, 80 * 3.2 + PI * (9.2**2 - 36), id="outside"),
        pytest.param("inside", 400 - 64, 64 - 1.6**2, id="inside"),
        pytest.param("on", 80 * 6 - 4 * 9 + 9 * PI, 0, id="on"),
    ],
)
def test_profile(
    of: Any, target: Any, cutter: Any, side: Any, required: float, allowed: float
) -> None:
    cut = FeatureCutters(cutter=cutter(6.0), allowance=0.2)
    made = Profile(outline=rectangle(40, 20, 60, 40), side=side, **of())
    part = target(made, cut)
    if side == "on":
        # both sides of each edge; inside corners sharp, outside corners round
        required = 20 * 3 * 4 + 9 * PI + 400 - 14**2
    if side == "inside":
        allowed = 64 - (20 - 2 * 9.2) ** 2
    for z in (0.0, -5.0, -9.99):
        assert areas(part.slice(z)) == pytest.approx((required, allowed, 0), abs=NEAR)


def test_a_rougher_cutter_widens_what_may_go(of: Any, target: Any, cutter: Any) -> None:
    cut = FeatureCutters(cutter=cutter(6.0), others=(cutter(8.0),), allowance=0.2)
    part = target(Profile(outline=rectangle(40, 20, 60, 40), side="outside", **of()), cut)
    x0, y0, x1, y1 = part.slice(-5).allowed.bounds
    assert (x0, y0, x1, y1) == pytest.approx((28.8, 8.8, 71.2, 51.2), abs=0.001)


@pytest.mark.parametrize(
    ("side", "required"),
    [
        pytest.param("left", 50 * 6, id="left"),
        pytest.param("right", 50 * 6, id="right"),
        pytest.param("on", 50 * 6 + 9 * PI, id="on"),
    ],
)
def test_open_profile(
    of: Any, target: Any, mill: FeatureCutters, side: Any, required: float
) -> None:
    path = Chain.of_points([(20, 30), (70, 30)], closed=False)
    part = target(Profile(path=path, side=side, **of(floor=-3)), mill).slice(-2)
    assert areas(part)[0] == pytest.approx(required, abs=NEAR)
    if side != "on":
        x0, y0, x1, y1 = part.allowed.bounds
        # past the ends: cutter, lead and 1 mm; beside: kerf and lead
        assert (x0, x1) == pytest.approx((13, 77), abs=0.001)
        assert (y0, y1) == pytest.approx((30, 39) if side == "left" else (21, 30), abs=0.001)


def test_open_profile_round_a_bend(of: Any, target: Any, mill: FeatureCutters) -> None:
    """The inner and outer side of a quarter turn of radius 20."""
    path = Chain((Arc((30, 10), (50, 30), (30, 30), True),))
    inner, outer = (
        areas(target(Profile(path=path, side=s, **of(floor=-3)), mill).slice(-1))[0]
        for s in ("left", "right")
    )
    assert inner == pytest.approx(PI / 4 * (20**2 - 14**2), abs=NEAR)
    assert outer == pytest.approx(PI / 4 * (26**2 - 20**2), abs=NEAR)


class TestTabs:
    @pytest.fixture
    def part(self, of: Any, target: Any, mill: FeatureCutters) -> Any:
        made = Profile(
            outline=rectangle(30, 15, 70, 45),
            side="outside",
            tabs=Tabs(width=5, height=1.5, at=((50, 15),)),
            **of(),
        )
        return target(made, mill)

    def test_levels(self, part: Any) -> None:
        assert part.levels == pytest.approx((0.0, -8.5, -10.0))

    def test_above_the_tab_the_whole_kerf_goes(self, part: Any) -> None:
        kerf = 140 * 6 + 36 * PI
        assert areas(part.slice(-8.49))[::2] == pytest.approx((kerf, 0), abs=NEAR)

    def test_the_core_stays(self, part: Any) -> None:
        kept = part.slice(-8.51).kept
        assert kept.bounds == pytest.approx((47.5, 9, 52.5, 15))
        assert kept.area == pytest.approx(30)

    def test_the_cutters_rounds_at_both_sides_of_the_core_may_go(self, part: Any) -> None:
        found = part.slice(-9)
        # the cutter stands 2.5 + 3 (and 0.002 clear of the tab) from the middle and sweeps a half
        # disc toward it
        swept = shapely.union_all(
            [shapely.LineString([(x, 12), (x + s, 12)]).buffer(3, quad_segs=200)
             for x, s in ((44.498, -10), (55.502, 10))]
        )  # fmt: skip
        near = shapely.box(35, 9, 65, 15)
        off = found.required.intersection(near).symmetric_difference(swept.intersection(near))
        assert off.buffer(-0.001).is_empty
        assert found.required.intersection(found.kept).area == 0

    def test_another_feature_takes_the_tab(
        self, of: Any, target: Any, mill: FeatureCutters
    ) -> None:
        rim = Profile(
            outline=rectangle(30, 15, 70, 45),
            side="outside",
            tabs=Tabs(width=5, height=1.5, at=((50, 15),)),
            **of("rim"),
        )
        bore = Bore(places=((50, 12),), diameter=8, **of("bore"))
        found = target([rim, bore], mill).slice(-9)
        assert found.kept.intersection(shapely.Point(50, 12).buffer(3.9)).area == 0


def test_tab_across_a_round_kerf(of: Any, target: Any, mill: FeatureCutters) -> None:
    """The core is as wide as asked everywhere across the kerf between radius 20 and 26."""
    made = Profile(
        outline=circle(50, 30, 20),
        side="outside",
        tabs=Tabs(width=5, height=1, at=((70, 30),)),
        **of(),
    )
    found = target(made, mill).slice(-9.5)
    strip = shapely.box(60, 27.5, 90, 32.5)
    ring = shapely.Point(50, 30).buffer(26, quad_segs=500) - shapely.Point(50, 30).buffer(
        20, quad_segs=500
    )
    assert found.kept.symmetric_difference(ring.intersection(strip)).area < 0.02
    # a cutter that stands with its edge on the strip, either side, cuts none of it
    for side in (-1, 1):
        angle = side * math.asin(5.5 / 23)
        disc = shapely.Point(50 + 23 * math.cos(angle), 30 + 23 * math.sin(angle)).buffer(2.999)
        assert disc.intersection(found.kept).area == pytest.approx(0, abs=1e-6)
        # nor is any of what it cuts beside the strip kept from having to go
        beyond = disc.difference(shapely.box(0, 30 - 5.5, 100, 30 + 5.5))
        assert beyond.difference(found.required).buffer(-0.002).is_empty


def test_skin(of: Any, target: Any, mill: FeatureCutters) -> None:
    made = Profile(outline=rectangle(40, 20, 60, 40), side="outside", skin=0.2, **of())
    part = target(made, mill)
    kerf = 80 * 6 + 36 * PI
    assert areas(part.slice(-9.79))[::2] == pytest.approx((kerf, 0), abs=NEAR)
    required, allowed, kept = areas(part.slice(-9.81))
    assert (required, allowed) == (0, 0)
    assert kept == pytest.approx(kerf, abs=NEAR)


class TestKept:
    def test_a_lead_does_not_reach_into_the_part_beside(
        self, of: Any, target: Any, mill: FeatureCutters
    ) -> None:
        left = Profile(outline=rectangle(10, 20, 40, 40), side="outside", **of("left"))
        right = Profile(outline=rectangle(47, 20, 80, 40), side="outside", **of("right"))
        found = target([left, right], mill).slice(-5)
        assert found.allowed.intersection(shapely.box(47, 20, 80, 40)).area == pytest.approx(
            0, abs=1e-6
        )
        assert found.features[0].allowed.bounds[2] == pytest.approx(
            49, abs=0.001
        )  # beside the part

    def test_a_part_cut_from_a_window_has_its_leads(
        self, of: Any, target: Any, mill: FeatureCutters
    ) -> None:
        frame = Profile(outline=rectangle(8, 8, 92, 52), side="outside", **of("frame"))
        window = Profile(outline=rectangle(20, 15, 80, 45), side="inside", **of("window"))
        inner = Profile(outline=rectangle(27, 22, 73, 38), side="outside", **of("inner"))
        found = target([frame, window, inner], mill).slice(-5)
        inner_may = found.features[2].allowed
        # 9 mm from its wall, but 7 mm away stands the frame
        assert inner_may.bounds == pytest.approx((20, 15, 80, 45), abs=0.001)
        assert found.features[1].allowed.intersection(shapely.box(27, 22, 73, 38)).area < 1e-6

    def test_islands(self, of: Any, target: Any, mill: FeatureCutters) -> None:
        island = rectangle(68, 28, 74, 32)
        hollow = replace(pocket(of, rectangle(66, 20, 90, 40), island), name="hollow")
        rim = Profile(outline=rectangle(10, 20, 60, 40), side="outside", **of("rim", floor=-4))
        found = target([hollow, rim], mill).slice(-2)
        assert found.features[1].allowed.intersection(shapely.box(68, 28, 74, 32)).area < 1e-6


def point(d: float, degrees: float) -> float:
    return d / 2 / math.tan(math.radians(degrees / 2))


@pytest.mark.parametrize(
    ("below", "allowed"),
    [
        pytest.param(-1.0, None, id="above-the-floor"),
        pytest.param(0.0001, 2.5, id="cone-top"),
        pytest.param(0.5 * point(5, 118), 1.25, id="cone-middle"),
        pytest.param(point(5, 118) + 0.001, 0.0, id="below-the-tip"),
    ],
)
def test_drilled_hole(
    of: Any, target: Any, drill: Any, below: float, allowed: float | None
) -> None:
    hole = Hole(places=((20, 20), (40, 20)), diameter=5, spot=False, **of(floor=-5))
    found = areas(target(hole, FeatureCutters(cutter=drill(5.0))).slice(-5 - below))
    if allowed is None:
        assert found == pytest.approx((2 * PI * 6.25, 0, 0), abs=NEAR)
    else:
        assert found == pytest.approx((0, 2 * PI * allowed**2, 0), abs=NEAR)


def test_levels_of_a_drilled_hole(of: Any, target: Any, drill: Any) -> None:
    hole = Hole(places=((20, 20),), diameter=5, spot=False, **of(floor=-5))
    tip = point(5, 118)
    levels = target(hole, FeatureCutters(cutter=drill(5.0))).levels
    assert levels == pytest.approx((0, -5, -5 - tip / 2, -5 - tip, -10))


def test_reamed_hole(of: Any, target: Any, cutter: Any, drill: Any) -> None:
    """Full size to -5; drill 4.8 deeper by the lead of 1 plus 1, then its cone."""
    reamer = cutter(5.0, "reamer", lead=1.0)
    hole = Hole(places=((20, 20),), diameter=5, ream=True, spot=False, **of(floor=-5))
    part = target(hole, FeatureCutters(cutter=reamer, others=(drill(4.8),)))
    tip = point(4.8, 118)
    for z, required, allowed in (
        (-4.99, 2.5, None),
        (-5.05, None, 2.45),
        (-5.5, None, 2.4),
        (-6.99, None, 2.4),
        (-7 - tip / 2, None, 1.2),
        (-7 - tip - 0.01, None, 0.0),
    ):
        found = areas(part.slice(z))
        assert found[0] == pytest.approx(PI * (required or 0) ** 2, abs=NEAR)
        assert found[1] == pytest.approx(PI * (allowed or 0) ** 2, abs=NEAR)


def test_drill_depth_is_counted_from_the_top(of: Any, target: Any, cutter: Any, drill: Any) -> None:
    hole = Hole(
        places=((20, 20),), diameter=5, ream=True, drill_depth=6, spot=False, **of(floor=-3)
    )
    cut = FeatureCutters(cutter=cutter(5.0, "reamer", lead=1.0), others=(drill(4.8),))
    part = target(hole, cut)
    assert areas(part.slice(-5.99))[1] == pytest.approx(PI * 2.4**2, abs=NEAR)
    assert areas(part.slice(-6.01))[1] < PI * 2.4**2


def test_spot_within_the_finished_diameter(of: Any, target: Any, drill: Any) -> None:
    """A shallow wide hole: a 90 degree spot goes deeper than the drill's point."""
    hole = Hole(places=((20, 20),), diameter=8, **of(floor=-0.5))
    cut = FeatureCutters(cutter=drill(8.0, 170.0), others=(drill(10.0, 90.0, "spot drill"),))
    part = target(hole, cut)
    # the spot is 8 wide at z 0, its tip at -4
    for z in (-1.0, -2.0, -3.5):
        assert areas(part.slice(z))[1] == pytest.approx(PI * (4 + z) ** 2, abs=NEAR)
    assert areas(part.slice(-4.01))[1] == 0


def test_spot_only_starts_from_the_surface_there_is(of: Any, target: Any, drill: Any) -> None:
    """In a pocket 4 deep, though its top says 0."""
    made = replace(pocket(of, rectangle(10, 10, 50, 30)), name="pocket")
    spot = Hole(places=((20, 20),), diameter=4, drilled=False, **of("spot", floor=0.0))
    cuts = {
        "pocket": FeatureCutters(cutter=drill(6.0, 180.0, "end mill")),
        "spot": FeatureCutters(cutter=drill(10.0, 90.0, "spot drill")),
    }
    part = target([made, spot], cuts)
    # 90 degrees: as wide as twice its depth; at least half of 4 wide, at most 4
    found = part.slice(-4.5).features[1]
    assert found.required.area == pytest.approx(PI * 0.5**2, abs=0.01)
    assert found.allowed.area == pytest.approx(PI * 1.5**2, abs=0.01)
    assert part.slice(-6.01).features[1].allowed.is_empty


def test_bore(of: Any, target: Any, mill: FeatureCutters) -> None:
    part = target(Bore(places=((50, 30),), diameter=20, **of()), mill)
    assert areas(part.slice(-9.99)) == pytest.approx((100 * PI, 0, 0), abs=NEAR)
    assert part.slice(-9).features[0].reach == 3.0


class TestLeftOnPurpose:
    """finish = false: the target is shrunk by the allowance and opened by the roughing cutter, and
    the rest may go."""

    def test_pocket(self, of: Any, target: Any, cutter: Any) -> None:
        cut = FeatureCutters(cutter=cutter(6.0), left=0.3, left_on_floor=0.1)
        part = target(pocket(of, rectangle(10, 10, 50, 30)), cut)
        # the cutter's disc leaves (4 - pi) r2 in the four corners
        required = 39.4 * 19.4 - (4 - PI) * 9
        allowed = 800 - required
        assert areas(part.slice(-3.89)) == pytest.approx((required, allowed, 0), abs=NEAR)
        assert areas(part.slice(-3.95)) == pytest.approx((0, 800, 0), abs=NEAR)
        assert areas(part.slice(-4.01)) == (0, 0, 0)

    def test_profile(self, of: Any, target: Any, cutter: Any) -> None:
        cut = FeatureCutters(cutter=cutter(6.0), left=0.3)
        made = Profile(outline=rectangle(40, 20, 60, 40), side="outside", **of())
        found = target(made, cut).slice(-5)
        assert areas(found)[0] == pytest.approx(80 * 5.7 + PI * (36 - 0.09), abs=NEAR)
        assert found.allowed.buffer(1e-5).covers(shapely.box(39.8, 19.8, 60.2, 40.2).boundary)


def test_levels_are_within_the_metal_and_descend(
    of: Any, target: Any, mill: FeatureCutters
) -> None:
    """The breakthrough's level lies in the board: nothing is asked there."""
    part = target(Bore(places=((50, 30),), diameter=20, **of()), mill)
    assert part.levels == (0.0, -10.0)


def test_air_is_what_the_stock_leaves(of: Any, target: Any, mill: FeatureCutters) -> None:
    raw = RawStock(shape="round", low=(0, 0, -10), high=(60, 60, 0))
    part = target(Bore(places=((30, 30),), diameter=20, **of()), mill, raw=raw)
    inside = part.slice(-5).air
    assert inside.intersection(shapely.box(0, 0, 60, 60)).area == pytest.approx(
        3600 - 900 * PI, abs=NEAR
    )
    assert part.slice(0.5).air.covers(shapely.box(0, 0, 60, 60))


def test_a_feature_without_its_finishing_cut(of: Any, target: Any) -> None:
    with pytest.raises(KeyError, match="hole"):
        target(Bore(places=((30, 30),), diameter=20, **of("hole")), {})


class TestOtherSetups:
    """A second set-up with the same face up, its work turned a quarter and zeroed afresh.

    Turned counter-clockwise, what was +X points away: (x, y) of the first set-up is (60 - y, x)
    here, from the left front corner as the work sits now.
    """

    @pytest.fixture
    def both(self, of: Any, make_setup: Any, make_job: Callable[..., Any]) -> Any:
        first = make_setup(
            Pocket(
                outline=rectangle(10, 20, 50, 30),
                area=rectangle(10, 20, 50, 30),
                **of("a", floor=-4),
            )
        )
        raw = RawStock(shape="block", low=(0, 0, -11), high=(60, 100, -1))
        bore = Bore(places=((10, 80),), diameter=10, **of("b", floor=-6))
        second = make_setup(bore, name="two", raw=raw, turn=PI / 2, origin=(0.0, 60.0, 11.0))
        return make_job(first, second)

    def test_what_the_first_takes_may_go(self, both: Any, mill: FeatureCutters) -> None:
        from gcodekit.target.target import target_of

        part = target_of(both, both.setups[1], {"a": mill, "b": mill})
        # z of the first set-up's floor, -4, is -5 here
        assert part.levels == pytest.approx((-1, -5, -6, -11))
        found = part.slice(-4.9)
        assert found.allowed.bounds == pytest.approx((30, 10, 40, 50))
        assert [f.name for f in found.features] == ["b"]
        assert part.slice(-5.1).allowed.is_empty

    def test_and_the_other_way_round(self, both: Any, mill: FeatureCutters) -> None:
        from gcodekit.target.target import target_of

        found = target_of(both, both.setups[0], {"a": mill, "b": mill}).slice(-4.5)
        x0, y0, x1, y1 = found.allowed.bounds
        assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((80, 50), abs=0.001)

    def test_from_the_other_side_it_is_mirrored(
        self, both: Any, mill: FeatureCutters, make_job: Any
    ) -> None:
        from gcodekit.target.target import target_of

        first, second = both.setups
        under = replace(second, up="bottom", turn=0.0, origin=(0.0, 60.0, -1.0))
        part = target_of(make_job(first, under), under, {"a": mill, "b": mill})
        # the floor of the first is 6 above the face that is now up, at z -1
        assert part.levels == pytest.approx((-1, -6, -7, -11))
        assert part.slice(-7.1).allowed.bounds == pytest.approx((10, 30, 50, 40))
        assert part.slice(-6.9).allowed.is_empty

    def test_from_the_side_it_is_a_rectangle(
        self, both: Any, mill: FeatureCutters, make_job: Any
    ) -> None:
        from gcodekit.target.target import target_of

        first, second = both.setups
        raw = RawStock(shape="block", low=(0, 0, -60), high=(100, 10, 0))
        front = replace(second, up="front", turn=0.0, raw=raw, origin=(0.0, 0.0, 0.0), features=())
        part = target_of(make_job(first, front), front, {"a": mill})
        # y 20 to 30 of the stock is z -20 to -30 here, its height y
        assert part.levels == pytest.approx((0, -20, -30, -60))
        # all above the floor of the first, with 10 of the air over the metal
        assert part.slice(-25).allowed.bounds == pytest.approx((10, 6, 50, 20))
        assert part.slice(-19).allowed.is_empty
