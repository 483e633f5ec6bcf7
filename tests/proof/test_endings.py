"""A pass with its z on the wrong side of zero is told, a way in over the metal is not."""

from __future__ import annotations

import pytest
import shapely

from gcodekit.geometry.overlay import EMPTY
from gcodekit.proof.endings import check_over
from gcodekit.proof.findings import Blank
from gcodekit.rs274 import read_program
from gcodekit.rs274.program_read import ProblemList

BLOCK = shapely.box(0, 0, 60, 40)
BLANK = Blank(at=lambda z: BLOCK if -9 <= z <= 0 else EMPTY, bottom=-9.0, top=0.0, lowest=-9.0)
HEAD = "G21 G17 G90 G94\nT1 M6\nS1000 M3\nG0 X0 Y0 Z5\n"


@pytest.mark.parametrize(
    ("cuts", "said"),
    [
        pytest.param("G1 Z-3 F100\nX50\nZ-6\nX0", [], id="as meant"),
        pytest.param("G1 Z3 F100\nX50\nY20\nZ-6\nX0", [(6, "70 mm of feed moves")], id="Z3"),
        pytest.param("G1 Z1 F100\nG2 X20 I10 J0\nG1 Z-3", [(6, "31.4 mm of")], id="an arc"),
        pytest.param("G1 Z0 F100\nX50\nZ-3", [], id="along the top itself"),
        pytest.param("G1 Z1 F100\nX4\nZ-3\nX50", [], id="a way in"),
        pytest.param("G1 Z1 F100\nX50 Z-3", [], id="a ramp from above"),
        pytest.param("G0 Z3\nX50\nG1 Z-3 F100\nX0", [], id="a rapid"),
    ],
)
def test_level_feeds_over_the_metal(cuts: str, said: list[tuple[int, str]]) -> None:
    problems = ProblemList()
    check_over(read_program(f"{HEAD}{cuts}\nG0 Z5\nM2\n").moves, BLANK, problems)
    assert len(problems.problems) == len(said)
    for problem, (line, text) in zip(problems.problems, said, strict=True):
        assert problem.severity == "warning"
        assert problem.line == line
        assert text in problem.text
