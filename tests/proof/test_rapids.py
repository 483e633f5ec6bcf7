"""What stands before a move: the latest cuts first, against all earlier ones at once."""

from __future__ import annotations

import math

import pytest
import shapely

from gcodekit.geometry.overlay import EMPTY, less, union
from gcodekit.proof import rapids
from gcodekit.proof.chords import segments_of
from gcodekit.proof.findings import Blank
from gcodekit.proof.rapids import (
    BATCH,
    MOST_RAPIDS_SAID,
    StandingMetal,
    check_rapids,
    once_in_plan,
)
from gcodekit.proof.sections import disc, section
from gcodekit.rs274 import read_program
from gcodekit.rs274.program_read import ProblemList
from gcodekit.trade.cutter import Cutter

MILL = Cutter(
    number=1, name="6 mm", kind="end mill", diameter=6, flute_length=15, stickout=25, shank=6,
    centre_cutting=True,
)  # fmt: skip
BLOCK = shapely.box(-20, -20, 20, 20)
BLANK = Blank(at=lambda z: BLOCK if -9 <= z <= 0 else EMPTY, bottom=-9.0, top=0.0, lowest=-9.0)
TURNS = 12
# A helix to 6 mm deep, round at its floor, then a straight slot beside it.
PROGRAM = "\n".join(
    ["G21 G17 G90 G94", "T1 M6", "S1000 M3", "G0 X7 Y0", "Z1", "G1 Z0 F100"]
    + [f"G3 X7 Y0 Z{-0.5 * (k + 1):.1f} I-7 J0" for k in range(TURNS)]
    + ["G3 X7 Y0 I-7 J0", "G1 X16 Y-12", "Y12", "M2"]
)


def standing() -> tuple[StandingMetal, int]:
    moves = read_program(PROGRAM).moves
    return StandingMetal(segments_of(moves, {1: MILL}, (), top=0.0), BLANK), len(moves)


def all_at_once(
    s: StandingMetal, asked: shapely.Geometry, z: float, before: int
) -> shapely.Geometry:
    pieces = [p for g in s.segments for p in section(g.rows(g.move < before), z)]
    return less(shapely.intersection(asked, BLANK.at(z)), union(pieces))


@pytest.mark.parametrize("z", [-0.3, -3.2, -5.999, -6.5])
@pytest.mark.parametrize("back", [0, 1, 2, 6])
def test_batches_leave_what_all_cuts_at_once_leave(z: float, back: int) -> None:
    s, count = standing()
    assert sum(len(g.move) for g in s.segments) > 3 * BATCH
    for asked in (disc(0, 0, 6), disc(9, 3, 2), disc(16, 0, 3.5), disc(-17, 4, 5)):
        found, wanted = s.within(asked, z, count - back), all_at_once(s, asked, z, count - back)
        apart = shapely.symmetric_difference(found, wanted)
        assert apart.buffer(-0.001).is_empty
        assert apart.area < 1e-3


def test_a_turn_round_again_is_looked_at_once() -> None:
    s, _ = standing()
    (helix,) = s.segments
    once = once_in_plan(helix, -0.001)
    turn = len(helix.move) // (TURNS + 1)
    assert len(once.move) < len(helix.move) - (TURNS - 2) * turn
    same = shapely.symmetric_difference(union(section(once, -0.001)), union(section(helix, -0.001)))
    assert same.buffer(-0.001).is_empty
    assert math.isclose(float(once.start[:, 2].max()), float(helix.start[:, 2].max()))


def test_no_more_rapids_are_looked_for_than_it_takes(monkeypatch: pytest.MonkeyPatch) -> None:
    """A program all of rapids through the block is answered after the first few."""
    most = MOST_RAPIDS_SAID + 12
    monkeypatch.setattr(rapids, "MOST_FOUND", most)
    ways = [f"G0 X{19 * (-1) ** n} Y{-19 + 0.07 * n:.2f}" for n in range(most + 9)]
    moves = read_program("\n".join(["G21 G90", "T1 M6", "G0 Z-2", *ways, "M2"])).moves
    problems = ProblemList()
    looked = StandingMetal(segments_of(moves, {1: MILL}, (), top=0.0), BLANK)
    check_rapids(moves, {1: MILL}, looked, problems)
    through = [p for p in problems.problems if "rapid into stock" in p.text]
    assert len(through) == MOST_RAPIDS_SAID
    assert any("not checked" in p.text for p in problems.problems)
    assert any(f"and {most - MOST_RAPIDS_SAID} more rapids" in p.text for p in problems.problems)


@pytest.mark.parametrize("way", ["X15 Y0", "X15 Y0 Z-9.4"], ids=["level", "on a slope"])
def test_a_rapid_below_the_bottom_meets_what_stands_above_it(way: str) -> None:
    """A cut right through leaves the tip below the stock, and nothing stands there."""
    text = f"G21 G17 G90 G94\nT1 M6\nS1000 M3\nG0 Z1\nX-10 Y0\nG1 Z-9.5 F100\nG0 {way}\nZ1\nM2\n"
    moves = read_program(text).moves
    cutters = {1: MILL}
    problems = ProblemList()
    known = StandingMetal(segments_of(moves, cutters, (), top=0.0), BLANK)
    check_rapids(moves, cutters, known, problems)
    (problem,) = problems.problems
    assert problem.line == 7
    assert "rapid into stock" in problem.text


DRILLS = {
    n: Cutter(
        number=n, name=f"{d} mm drill", kind="drill", diameter=d, flute_length=30, stickout=40,
        shank=d, tip_angle=math.radians(118),
    )
    for n, d in ((1, 4.0), (2, 6.0))
}  # fmt: skip


def through(text: str, cutters: dict[int, Cutter]) -> list[int]:
    """The lines of rapids through metal."""
    moves = read_program(text).moves
    problems = ProblemList()
    known = StandingMetal(segments_of(moves, cutters, (), top=0.0), BLANK)
    check_rapids(moves, cutters, known, problems)
    return [p.line or 0 for p in problems.problems if "rapid into stock" in p.text]


@pytest.mark.parametrize(
    ("again", "wrong"),
    [
        pytest.param("G0 Z-2.5", [], id="above what the peck before has cut"),
        pytest.param("G0 Z-3.5", [7], id="below it"),
        pytest.param("G0 X0.3 Y0\nG0 Z-2.5", [8], id="beside it"),
        pytest.param("T2 M6\nG0 X0 Y0\nG0 Z-2.5", [9], id="another drill"),
    ],
)
def test_a_drill_goes_back_into_its_own_hole_and_no_farther(again: str, wrong: list[int]) -> None:
    text = (
        f"G21 G17 G90 G94\nT1 M6\nS1000 M3\nG0 X0 Y0 Z1\nG1 Z-3 F100\nG0 Z1\n{again}\nG0 Z1\nM2\n"
    )
    assert through(text, DRILLS) == wrong


def test_the_same_way_again_meets_nothing_but_a_lower_one_does() -> None:
    there = "G0 X-5 Y0 Z1\nG0 X5 Y0 Z-1\nG0 Z1\n"
    text = f"G21 G17 G90 G94\nT1 M6\nS1000 M3\n{there}{there}{there.replace('Z-1', 'Z-1.5')}M2\n"
    assert through(text, {1: MILL}) == [5, 11]
