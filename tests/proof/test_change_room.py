"""A spindle too low for the next cutter to be put in is told."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from gcodekit.geometry.overlay import EMPTY
from gcodekit.job.workshop.machine import Machine, Spindle
from gcodekit.proof.change_room import check_change_room
from gcodekit.proof.findings import Blank
from gcodekit.rs274 import read_program
from gcodekit.rs274.program_read import ProblemList
from gcodekit.trade.cutter import Cutter

BLOCK = shapely.box(0, 0, 60, 40)
BLANK = Blank(at=lambda z: BLOCK if -9 <= z <= 0 else EMPTY, bottom=-9.0, top=0.0, lowest=-9.0)
MACHINE = Machine(name="Trial", spindle=Spindle(slowest=100, fastest=4000))
SIZES: dict[str, float] = {"flute_length": 20, "shank": 6}
CUTTERS = {
    1: Cutter(number=1, name="mill", kind="end mill", diameter=6, stickout=25, **SIZES),
    2: Cutter(number=2, name="drill", kind="drill", diameter=5, stickout=64, **SIZES),
}


def told(change: str, machine: Machine = MACHINE) -> list[str]:
    text = f"G21 G17 G90 G94\nT1 M6\nG0 Z5\nS900 M3\nX10 Y10\nG1 Z-1 F90\n{change}\nT2 M6\nM2\n"
    problems = ProblemList()
    check_change_room(read_program(text), BLANK, CUTTERS, machine, problems)
    assert all(p.severity == "warning" for p in problems.problems)
    return [f"{p.line}: {p.text}, {p.hint}" for p in problems.problems]


@pytest.mark.parametrize("change", ["G0 Z39", "G0 Z64", "G0 Z5\nX-10 Y50"])
def test_room_enough(change: str) -> None:
    assert told(change) == []


def test_too_low() -> None:
    assert told("G0 Z5") == [
        "8: the spindle is 34 mm too low over the work for cutter 2 to go in, raise it by hand, "
        "or go up to Z 39 or higher before the change"
    ]


def test_a_changer_takes_care_of_itself() -> None:
    assert told("G0 Z5", replace(MACHINE, tool_change="automatic")) == []
