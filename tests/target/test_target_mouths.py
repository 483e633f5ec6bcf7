"""What holes ask besides their cylinder: mouths, threads, bands."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from gcodekit.geometry.chain import Point
from gcodekit.job.band import Band
from gcodekit.job.hole_shapes import Counterbore, Countersink
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.target.demand import FeatureCutters
from gcodekit.trade.threads import find_thread

AT: tuple[Point, ...] = ((30.0, 30.0),)
RIGHT = math.pi / 2


def disc_area(diameter: float) -> float:
    return math.pi * diameter**2 / 4


@pytest.fixture
def hole(of: Callable[..., Any]) -> Callable[..., Hole]:
    def make(*, floor: float | None = None, diameter: float = 5.0, **keys: Any) -> Hole:
        return Hole(places=AT, diameter=diameter, **of(floor=floor), **keys)

    return make


@pytest.mark.parametrize(
    ("z", "diameter"),
    [(-0.001, 9.0), (-2.999, 9.0), (-3.001, 5.0), (-7.9, 5.0)],
    ids=["top", "above its floor", "below it", "hole"],
)
def test_a_counterbore_is_flat(
    hole: Any, target: Any, drill: Any, z: float, diameter: float
) -> None:
    asked = hole(floor=-8.0, counterbore=Counterbore(diameter=9.0, floor=-3.0))
    found = target(asked, FeatureCutters(cutter=drill(5.0))).slice(z)
    assert found.required.area == pytest.approx(disc_area(diameter), rel=1e-3)


@pytest.mark.parametrize(
    ("angle", "z", "diameter"),
    [
        (RIGHT, -0.001, 9.0),
        (RIGHT, -1.0, 7.0),
        (RIGHT, -1.999, 5.0),
        (RIGHT, -3.0, 5.0),
        (math.radians(120), -0.5, 9.0 - 2 * 0.5 * math.tan(math.radians(60))),
    ],
)
def test_a_countersink_narrows_by_its_angle(
    hole: Any, target: Any, drill: Any, angle: float, z: float, diameter: float
) -> None:
    sink = Countersink(diameter=9.0, angle=angle, mouth=0.0)
    cut = FeatureCutters(cutter=drill(5.0), others=(replace(drill(12.0, 90, "chamfer mill")),))
    found = target(hole(floor=-8.0, countersink=sink), cut).slice(z)
    assert found.required.area == pytest.approx(disc_area(diameter), rel=2e-3)
    assert found.allowed.area == pytest.approx(0.0, abs=1e-6)


def test_a_countersink_is_looked_at_where_it_shows(hole: Any, target: Any, drill: Any) -> None:
    sink = Countersink(diameter=9.0, angle=RIGHT, mouth=0.0)
    levels = target(hole(countersink=sink), FeatureCutters(cutter=drill(5.0))).levels
    # its slope shows from the mouth, 9 wide, down to the hole, 5 wide, 2 below; half way is 1 below
    assert any(z == pytest.approx(-1.0) for z in levels)
    assert any(z == pytest.approx(-2.0) for z in levels)


def test_a_countersink_alone_is_a_cone_to_its_tip(hole: Any, target: Any, drill: Any) -> None:
    sink = Countersink(diameter=8.0, angle=RIGHT, mouth=0.0)
    asked = target(
        hole(floor=0.0, countersink=sink, drilled=False), FeatureCutters(cutter=drill(10, 90))
    )
    assert asked.slice(-2.0).required.area == pytest.approx(disc_area(4.0), rel=2e-3)
    assert asked.slice(-4.1).required.is_empty


def test_a_tap_may_cut_to_the_major_diameter_and_no_deeper_than_its_lead(
    hole: Any, target: Any, drill: Any, cutter: Any
) -> None:
    tap = cutter(4.0, "tap", pitch=0.7, lead=1.4)
    thread = find_thread("M4")
    asked = hole(diameter=3.3, floor=-6.0, thread=thread, tapping="machine")
    found = target(asked, FeatureCutters(cutter=drill(3.3), others=(replace(tap, number=2),)))
    both = found.slice(-5.9)
    assert both.required.area == pytest.approx(disc_area(3.3), rel=1e-3)
    assert both.allowed.union(both.required).area == pytest.approx(disc_area(4.0), rel=1e-3)
    # the drill goes the lead and a pitch deeper: 1.4 + 0.7; its point ends 0.99 below that
    assert found.slice(-8.0).allowed.area == pytest.approx(disc_area(3.3), rel=1e-3)
    assert found.slice(-8.1 - 3.3 / 2 / math.tan(math.radians(59)) - 0.01).allowed.is_empty


def test_by_hand_nothing_is_cut_to_the_major_diameter(hole: Any, target: Any, drill: Any) -> None:
    asked = hole(diameter=3.3, floor=-5.0, thread=find_thread("M4"))
    found = target(asked, FeatureCutters(cutter=drill(3.3)))
    assert found.slice(-4.0).allowed.union(found.slice(-4.0).required).area == pytest.approx(
        disc_area(3.3), rel=1e-3
    )
    # 4 pitches of lead and one more
    assert found.slice(-5.0 - 5 * 0.7 + 0.01).allowed.area == pytest.approx(
        disc_area(3.3), rel=1e-3
    )


def test_a_reamer_cuts_anywhere_in_the_band(hole: Any, target: Any, cutter: Any) -> None:
    band = Band(lower=0.0, upper=0.012, sizes=(6.0,), fit="H7")
    reamer = cutter(6.005, "reamer", lead=1.0)
    found = target(hole(diameter=6.006, band=band, ream=True), FeatureCutters(cutter=reamer)).slice(
        -5
    )
    assert found.required.area == pytest.approx(disc_area(6.0), rel=1e-4)
    assert found.required.union(found.allowed).area == pytest.approx(disc_area(6.012), rel=1e-4)
    assert found.features[0].band == pytest.approx(0.012)


def test_a_milled_bore_is_asked_at_the_middle_of_its_band(
    of: Callable[..., Any], target: Any, cutter: Any
) -> None:
    band = Band(lower=0.0, upper=0.021, sizes=(20.0,), fit="H7")
    bore = Bore(places=AT, diameter=band.middle, band=band, **of())
    found = target(bore, FeatureCutters(cutter=cutter(10.0))).slice(-5)
    assert found.required.area == pytest.approx(disc_area(20.0105), rel=1e-4)
    assert found.allowed.is_empty
    assert found.features[0].band == pytest.approx(0.021)
