"""What the virtual stock measures of cuts, against figures worked out by hand, and what is said."""

from __future__ import annotations

import math

import pytest
import shapely

from gcodekit.job.workshop.machine import Machine, Spindle
from gcodekit.proof.cutting_data import CuttingData
from gcodekit.proof.findings import Blank
from gcodekit.proof.stock_findings import take_stock
from gcodekit.rs274 import Problem, read_program
from gcodekit.rs274.program_read import ProblemList
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import find_material, materials

PLATE = shapely.box(0, 0, 80, 40)
BLANK = Blank(at=lambda z: PLATE, bottom=-20.0, top=0.0, lowest=-20.0)
ALUMINIUM = find_material("aluminium")


def cutter(number: int, **given: object) -> Cutter:
    known: dict[str, object] = {
        "number": number, "name": f"cutter {number}", "kind": "end mill", "diameter": 6.0,
        "flutes": 2, "flute_length": 20.0, "stickout": 25.0, "shank": 6.0, "centre_cutting": True,
    }  # fmt: skip
    return Cutter(**(known | given))  # type: ignore[arg-type]  # every key is one of a cutter's


RACK = {
    1: cutter(1),
    2: cutter(2, kind="drill", tip_angle=math.radians(118)),
    3: cutter(3, diameter=3.0, shank=3.0),
    4: cutter(4, flute_length=4.0),
}


def machine(power: float | None) -> Machine:
    spindle = Spindle(slowest=100, fastest=6000, power=power)
    return Machine(name="mill", spindle=spindle, feed_max=5000)


def said(*lines: str, data: CuttingData | None = None, power: float | None = None) -> list[Problem]:
    reading = read_program("\n".join(["G21 G90 G17 G94 G64", *lines, "M2"]))
    assert not reading.problems
    problems = ProblemList()
    data = data or CuttingData(ALUMINIUM, machine(power))
    take_stock(reading.moves, RACK, BLANK, tolerance=0.01, problems=problems, cutting=data)
    return problems.problems


def slot(number: int, *, deep: float, feed: float, speed: float, y: float = 20.0) -> list[str]:
    """From beside the plate right through it."""
    down = [f"T{number} M6", f"S{speed:g} M3", "G0 Z5", f"X-8 Y{y:g}", f"Z{-deep:g}"]
    return [*down, f"G1 X88 F{feed:g}", "G0 Z5"]


def test_sound() -> None:
    assert said(*slot(1, deep=2, feed=200, speed=2500), power=350) == []


def test_power_of_a_slot() -> None:
    # P = ap ae vf kc / 60e6, kc = 800 h^-0.25 at h = fz: 3 x 6 x 400 x 1504 / 60 000 = 180.5 W
    (found,) = said(*slot(1, deep=3, feed=400, speed=2500), power=150)
    assert (found.severity, found.line) == ("warning", 7)
    assert (
        "cutter 1 needs 181 W, 3 mm deep and 6 mm wide at 400 mm/min: limited by spindle power, 90"
        in found.text
    )
    assert said(*slot(1, deep=3, feed=400, speed=2500), power=300) == []
    # no power given: nothing to hold it against
    assert said(*slot(1, deep=3, feed=400, speed=2500)) == []


def test_width_of_a_cut_along_an_edge() -> None:
    # 1.5 of 6 mm wide, 8 deep: 8 x 1.5 x 400 x 800 (0.0667 x 0.5)^-0.25 / 60 000 = 150 W
    edge = slot(1, deep=8, feed=400, speed=3000, y=-1.5)
    (found,) = said(*edge, power=100)
    assert "needs 150 W, 8 mm deep and 1.5 mm wide" in found.text
    assert said(*edge, power=400) == []


@pytest.mark.parametrize(("deep", "wrong"), [(4.0, False), (7.0, True)])
def test_a_slot_too_deep(deep: float, wrong: bool) -> None:
    # twice 0.4 of 6 mm on a light machine: 4.8, and a quarter on top of it before it is said
    found = said(*slot(1, deep=deep, feed=200, speed=2500))
    assert bool(found) == wrong
    if wrong:
        assert "cuts 7 mm deep at full width: at most 4.8 mm deep in aluminium" in found[0].text


def test_deeper_than_the_flutes_is_not_said_twice() -> None:
    assert said(*slot(4, deep=7, feed=200, speed=2500), power=100) == []


def test_a_slim_cutter_far_too_deep_and_too_fast() -> None:
    every = [
        p.full_text for p in said(*slot(3, deep=11, feed=3000, speed=2500), data=CuttingData())
    ]
    assert len(every) == 2
    assert "cuts 11 mm deep at full width: at most 3 mm deep in any material" in every[0]
    assert "has a chip load of 0.600 mm" in every[1]
    assert "lower the feed to 240 mm/min" in every[1]


def test_thin_chips_of_a_narrow_cut_may_be_fed_faster() -> None:
    # 0.25 of 6 mm wide: chips are 0.4 of the feed a tooth
    assert said(*slot(1, deep=2, feed=800, speed=2500, y=-2.75)) == []
    (found,) = said(*slot(1, deep=2, feed=800, speed=2500))
    assert "chip load of 0.160 mm" in found.text
    assert "at most 0.084 mm" in found.text


def test_rubbing() -> None:
    (found,) = said(*slot(1, deep=2, feed=20, speed=2500))
    assert "cutter 1 rubs: chip load 0.0040 mm" in found.text
    assert "at least 0.0120 mm to cut, raise the feed to 60 mm/min" in found.full_text
    # a short slow stretch is a corner
    short = [*slot(1, deep=2, feed=200, speed=2500)]
    short[5:6] = ["G1 X40 F200", "X50 F20", "X88 F200"]
    assert said(*short) == []


def test_above_the_machines_feed_is_an_error_elsewhere() -> None:
    assert said(*slot(1, deep=2, feed=7000, speed=2500)) == []


@pytest.mark.parametrize(
    ("feed", "words"),
    [
        (100, ""),
        (600, "fed 0.600 mm per turn: at most 0.216 mm"),
        (15, "rubs at 0.0150 mm per turn"),
    ],
)
def test_drills(feed: float, words: str) -> None:
    found = said("T2 M6", "S1000 M3", "G0 Z5", "X20 Y20", "Z1", f"G1 Z-10 F{feed}", "G0 Z5")
    assert [words in p.text for p in found] == ([True] if words else [])


def test_nothing_known_is_judged_by_the_most_forgiving() -> None:
    unknown, drill, mill = CuttingData(), RACK[2], RACK[1]
    for material in materials():
        for power in (None, 100.0):
            known = CuttingData(material, machine(power))
            assert known.thickest_chip(mill) <= unknown.thickest_chip(mill)
            assert known.deepest_slot(mill) <= unknown.deepest_slot(mill)
            assert known.drill_feeds(drill)[1] <= unknown.drill_feeds(drill)[1]
            assert known.drill_feeds(drill)[0] >= unknown.drill_feeds(drill)[0]
            watts = [
                d.watts(depth=2, width=6, feed=300, chip_load=0.05, diameter=6)
                for d in (known, unknown)
            ]
            assert watts[0] >= watts[1]
