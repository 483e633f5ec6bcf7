"""Hand-written programs cut in the virtual stock: volumes in closed form, and what only the order
of the cuts can show."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely

from gcodekit.proof.findings import Blank, StockFinding
from gcodekit.proof.stock_findings import take_stock
from gcodekit.proof.stock_grid import MOST_CELLS
from gcodekit.rs274 import Problem, read_program
from gcodekit.rs274.program_read import ProblemList
from gcodekit.trade.cutter import Cutter, Holder

PLATE = shapely.box(0, 0, 60, 40)
BLANK = Blank(at=lambda z: PLATE, bottom=-20.0, top=0.0, lowest=-20.0)


def cutter(number: int, **given: object) -> Cutter:
    known: dict[str, object] = {
        "number": number, "name": f"cutter {number}", "kind": "end mill", "diameter": 6.0,
        "flute_length": 20.0, "stickout": 40.0, "shank": 6.0, "centre_cutting": True,
    }  # fmt: skip
    return Cutter(**(known | given))  # type: ignore[arg-type]  # every key is one of a cutter's


RACK = [
    cutter(1),
    cutter(2, kind="ball-nose end mill"),
    cutter(3, kind="bull-nose end mill", corner_radius=1.0),
    cutter(4, kind="drill", tip_angle=math.radians(118)),
    cutter(5, centre_cutting=False),
    cutter(6, diameter=4.0, flute_length=6.0, shank=8.0),
    cutter(7, stickout=12.0, holder=Holder(24.0, 30.0)),
    cutter(8, kind="reamer", lead=1.0),
    cutter(9, kind="spot drill", tip_angle=math.radians(90)),
]


def run(
    *lines: str, blank: Blank = BLANK, cell: float | None = None
) -> tuple[StockFinding, list[Problem]]:
    """The lines after a safe start, cut from the blank."""
    text = "\n".join(["G21 G90 G17 G94 M3 S1000 F100", *lines, "M2"])
    reading = read_program(text)
    assert not reading.problems
    problems = ProblemList()
    rack = {c.number: c for c in RACK}
    found = take_stock(reading.moves, rack, blank, tolerance=0.01, problems=problems, cell=cell)
    assert found is not None
    return found, problems.problems


def cut_away(*lines: str, cell: float) -> float:
    found, problems = run(*lines, cell=cell)
    assert problems == []
    return found.before - found.left


# Areas and volumes by plane and solid geometry.
SLOT = (30.0 * 6.0 + math.pi * 9.0) * 4.0
VOLUMES = [
    pytest.param(("T1 M6", "G0 X15 Y20 Z1", "G1 Z-4", "G1 X45"), SLOT, id="level slot"),
    pytest.param(
        ("T1 M6", "G0 X22 Y20 Z1", "G1 Z-3", "G3 X22 I8"),
        math.pi * (11.0**2 - 5.0**2) * 3.0,
        id="level ring",
    ),
    pytest.param(
        ("T1 M6", "G0 X27 Y20 Z0", "G3 X27 I3 Z-2", "G3 X27 I3 Z-4", "G3 X27 I3"),
        math.pi * 36.0 * 4.0,
        id="helix to a flat floor",
    ),
    pytest.param(
        ("T2 M6", "G0 X15 Y20 Z1", "G1 Z-3", "G1 X45"),
        30.0 * math.pi * 9.0 / 2 + math.pi * 27.0 * 2 / 3,
        id="ball slot",
    ),
    pytest.param(
        ("T4 M6", "G0 X30 Y20 Z1", "G1 Z-10"),
        math.pi * 9.0 * (10.0 - 2 / 3 * 3.0 / math.tan(math.radians(59))),
        id="drill",
    ),
    pytest.param(
        ("T1 M6", "G0 X10 Y20 Z0", "G1 X50 Z-4", "G1 X10"),
        (40.0 * 6.0 + math.pi * 9.0) * 4.0,
        id="ramp, then level",
    ),
    pytest.param(
        # the depth over a place is the slope times how far its rim has come: m L^2 R + m L pi R^2
        ("T1 M6", "G0 X10 Y20 Z0", "G1 X50 Z-4"),
        0.1 * 40.0**2 * 3.0 + 0.1 * 40.0 * math.pi * 9.0,
        id="ramp alone",
    ),
]


@pytest.mark.parametrize(("lines", "volume"), VOLUMES)
def test_volume_cut_away_is_the_closed_form(lines: tuple[str, ...], volume: float) -> None:
    assert cut_away(*lines, cell=0.05) == pytest.approx(volume, rel=1e-3)


WIDE = (
    "T1 M6",
    *(f"G0 X-5 Y{y} Z5\nG1 Z-10\nG1 X65\nG0 Z5" for y in (16, 20, 24)),
)


def errors(problems: list[Problem]) -> list[tuple[int, str]]:
    return [(p.line, p.text) for p in problems if p.severity == "error"]


def test_a_shank_beside_a_wall_that_stands() -> None:
    # in a slot 14 wide and 10 deep, 4 deeper: shank from 6 above the tip, 8 wide
    _, clear = run(*WIDE, "T6 M6", "G0 X-5 Y20 Z5", "G1 Z-14", "G1 X65")
    assert errors(clear) == []
    _, found = run(*WIDE, "T6 M6", "G0 X-5 Y24 Z5", "G1 Z-14", "G1 X65")
    text = "collision: shank of cutter 6 into stock, 8 mm deep"
    assert errors(found) == [(18, text)]
    assert found[0].where is not None
    assert found[0].where[1] == pytest.approx(27.5, abs=0.6)


def test_a_holder_over_the_block_and_beside_it() -> None:
    text = "collision: holder of cutter 7 into stock, 1 mm deep"
    _, found = run("T7 M6", "G0 X-3 Y20 Z5", "G1 Z-13", "G1 X10")
    assert errors(found) == [(4, text)]
    _, clear = run("T7 M6", "G0 X-20 Y20 Z5", "G1 Z-13", "G1 Y30")
    assert errors(clear) == []


def test_a_holder_on_a_rapid_and_on_a_helix() -> None:
    _, rapid = run(*WIDE, "T7 M6", "G0 X30 Y20 Z5", "G0 Z-12.5")
    assert errors(rapid) == [(17, "collision: holder of cutter 7 into stock, 0.5 mm deep")]
    _, helix = run(*WIDE, "T7 M6", "G0 X29 Y20 Z-10", "G3 X29 I1 Z-13")
    assert errors(helix) == [(17, "collision: holder of cutter 7 into stock, 1 mm deep")]


def test_metal_that_is_gone_is_in_nobodys_way() -> None:
    faced = tuple(f"G0 X-5 Y{y} Z5\nG1 Z-2\nG1 X65\nG0 Z5" for y in range(0, 44, 4))
    _, clear = run("T1 M6", *faced, "T7 M6", "G0 X-5 Y20 Z5", "G1 Z-13", "G1 X10")
    assert errors(clear) == []


@pytest.mark.parametrize(("number", "kind"), [(4, "drill"), (8, "reamer")])
def test_end_cutting_tools_go_straight(number: int, kind: str) -> None:
    _, found = run(f"T{number} M6", "G0 X30 Y20 Z1", "G1 Z-3", "G1 X32")
    text = f"cutter {number} moves sideways in stock: a {kind} cuts only at its end"
    assert errors(found) == [(5, text)]
    _, clear = run(f"T{number} M6", "G0 X30 Y20 Z1", "G1 Z-3", "G1 Z1", "G1 X40", "G1 Z-3")
    assert errors(clear) == []


def test_a_ramp_no_steeper_than_a_toothless_centre_stands() -> None:
    steep = ("T5 M6", "G0 X20 Y20 Z0", "G1 X30 Z-2.5")
    _, found = run(*steep)
    assert [line for line, _ in errors(found)] == [4]
    assert "ramps into stock steeper than 10 degrees" in found[0].text
    assert errors(run("T5 M6", "G0 X20 Y20 Z0", "G1 X40 Z-1")[1]) == []
    # with teeth at the centre, or where it was cut before, it may
    assert errors(run("T1 M6", *steep[1:])[1]) == []
    assert errors(run("T1 M6", "G0 X15 Y20 Z1", "G1 Z-4", "G1 X45", "G0 Z1", *steep)[1]) == []
    assert [line for line, _ in errors(run("T5 M6", "G0 X30 Y20 Z0", "G3 X30 I1 Z-2")[1])] == [4]


def test_the_share_in_air_is_what_a_ruler_says() -> None:
    # 60 mm through the block's whole length, 240 mm beside it, 6 mm down beside it
    found, problems = run(
        "T1 M6", "G0 X-4 Y20 Z1", "G1 Z-1", "G1 X64", "G1 X70", "G1 X270", cell=0.1
    )
    met = 66.0  # from touching to leaving
    assert found.air_share == pytest.approx(1 - met / 275, abs=12 / 275)
    assert [p.text for p in problems] == [f"{found.air_share:.0%} of the feed time cuts air"]
    assert problems[0].severity == "warning"


def test_air_over_the_metal_is_air_too() -> None:
    slot = ("G0 X-3 Y20 Z1", "G1 Z-1", "G1 X63", "G0 Z1")
    below, _ = run("T1 M6", *slot)
    over, _ = run("T1 M6", *slot, "G1 X500 F100")
    cut = (1 - below.air_share) * 68
    assert over.air_share == pytest.approx(1 - cut / (68 + 437), abs=1e-3)


def test_air_counts_what_was_cut_before() -> None:
    once = ("G0 X-4 Y20 Z1", "G1 Z-1", "G1 X64", "G0 Z1")
    first, _ = run("T1 M6", *once)
    again, _ = run("T1 M6", *once, *once)
    assert again.air_share == pytest.approx((1 + first.air_share) / 2, abs=0.02)


def test_cells_get_wider_with_the_part_and_the_program_and_say_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert run("T1 M6", "G0 X0 Y0 Z1")[0].cell == pytest.approx(0.1)
    large = Blank(at=lambda z: shapely.box(0, 0, 2000, 1000), bottom=-1.0, top=0.0, lowest=-1.0)
    found, _ = run("T1 M6", "G0 X0 Y0 Z1", blank=large)
    assert found.cell == pytest.approx(math.sqrt(2e6 / MOST_CELLS), rel=1e-3)
    monkeypatch.setattr("gcodekit.proof.stock_findings.MOST_CELLS_SEEN", 2e7)
    long = [f"G1 X{60 if i % 2 else 0}" for i in range(400)]
    found, _ = run("T1 M6", "G0 X0 Y20 Z1", "G1 Z-1", *long, cell=0.05)
    assert 0.07 < found.cell < 0.3


def test_a_stepped_blank_stands_as_high_as_it_is() -> None:
    step = Blank(
        at=lambda z: PLATE if z <= -5 else shapely.Point(30, 20).buffer(10, quad_segs=64),
        bottom=-20.0,
        top=0.0,
        lowest=-20.0,
        levels=(-5.0,),
    )
    found, _ = run("T1 M6", "G0 X0 Y0 Z5", blank=step)
    assert found.before == pytest.approx(60 * 40 * 15 + math.pi * 100 * 5, rel=1e-3)
    cut, _ = run("T1 M6", "G0 X-5 Y2 Z5", "G1 Z-4", "G1 X65", blank=step)
    assert cut.left == cut.before


def test_a_cutter_that_nobody_knows_cuts_nothing() -> None:
    found, _ = run("T77 M6", "G0 X0 Y20 Z1", "G1 Z-3", "G1 X60")
    assert found.left == found.before
    assert replace(found, air_share=0.0) == found


def test_a_spot_drill_cuts_sideways_with_the_flank_of_its_point_alone() -> None:
    """Along the block's side at Y0, its point's flank in the edge; its tip in metal; and so deep
    that what is above its point rubs."""
    _, clear = run("T9 M6", "G0 X-10 Y-1 Z5", "G1 Z-2", "G1 X70")
    assert errors(clear) == []
    text = (
        "cutter 9 moves sideways in stock: a spot drill can do so only with the flank of its point"
    )
    _, tip = run("T9 M6", "G0 X-10 Y1 Z5", "G1 Z-2", "G1 X70")
    _, deep = run("T9 M6", "G0 X-10 Y-1 Z5", "G1 Z-9", "G1 X70")
    assert [said for _, said in errors(tip)] == [text]
    assert [said for _, said in errors(deep)] == [text]
