"""A cutter stays near the metal and the drawing, as far as its work there wants."""

from __future__ import annotations

import numpy as np
import pytest

from gcodekit.proof.chords import Segments
from gcodekit.proof.cutter_room import check_run_off
from gcodekit.rs274 import read_program
from gcodekit.rs274.program_read import ProblemList
from gcodekit.trade.cutter import Cutter

MILL = Cutter(
    number=1, name="6 mm", kind="end mill", diameter=6.0, flute_length=20, stickout=30, shank=6.0
)
ROOM = (-10.0, -10.0, 50.0, 30.0)


def found(*tips: tuple[float, float, float], owner: str = "edge 1") -> list[str]:
    lines = [f"G1 X{x} Y{y} Z{z} F100" for x, y, z in tips]
    moves = read_program("\n".join(["G90 G21 G17", *lines, "M2", ""]), "it.nc").moves
    at = np.array(tips)
    segments = Segments(MILL, owner, at[:-1], at[1:], np.arange(1, len(tips)))
    problems = ProblemList()
    check_run_off([segments], {"edge 1": ROOM}, moves, top=0.0, problems=problems)
    return [p.text for p in problems.problems]


@pytest.mark.parametrize("far", [(47.0, 0.0), (0.0, 27.0), (-7.0, 0.0), (0.0, -7.0)])
def test_to_the_edge_of_its_room(far: tuple[float, float]) -> None:
    assert found((0, 0, -1), (*far, -1)) == []
    x, y = (v * 1.01 for v in far)
    (said,) = found((0, 0, -1), (x, y, -1))
    assert said.startswith("run-off in edge 1: the cutter runs 0.")


def test_above_the_metal_it_may_go_anywhere() -> None:
    assert found((0, 0, 1), (90, 0, 1)) == []


def test_the_farthest_is_told() -> None:
    (said,) = found((0, 0, -1), (60, 0, -1), (80, 0, -1), (70, 0, -1))
    assert "33 mm further" in said


def test_lines_of_no_feature_are_not_judged() -> None:
    assert found((0, 0, -1), (90, 0, -1), owner="") == []
