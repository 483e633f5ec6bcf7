"""Spindle and coolant, switched at the wrong time, and what a program tells its operator."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from gcodekit.job.workshop.machine import Machine, Spindle
from gcodekit.proof.findings import Blank
from gcodekit.proof.operator_words import check_told
from gcodekit.proof.spindle import check_spindle
from gcodekit.rs274 import Problem, read_program
from gcodekit.rs274.program_read import ProblemList

MACHINE = Machine(
    name="Trial",
    rapid=2000,
    spindle=Spindle(slowest=100, fastest=4000, start_time=2),
    coolant="mist",
)
BLOCK = shapely.box(0, 0, 40, 40)
BLANK = Blank(at=lambda z: BLOCK, bottom=-9.0, top=0.0, lowest=-9.0)
PROGRAM = """\
G21 G17 G90 G94
(MSG, load cutter 1: 6 mm slot drill)
T1 M6
M0
G0 Z20
(MSG, set the spindle to 900 rev/min)
M0
G0 Z20
S900 M3
G4 P2
M7
G0 X10 Y10
G1 Z-1 F90
X20
G0 Z20
M9
M5
(MSG, load cutter 2: 8 mm slot drill)
T2 M6
M0
G0 Z20
S900 M3
G4 P2
M7
G0 X10 Y10
G1 Z-2 F90
X20
G0 Z20
M9
M5
(MSG, load cutter 3: 5 mm drill)
T3 M6
M0
G0 Z20
S900 M3
G4 P2
M7
G0 X10 Y10
G1 Z-3 F90
G0 Z20
M9
M5
M2
"""


def said(text: str, machine: Machine = MACHINE) -> list[Problem]:
    problems = ProblemList()
    reading = read_program(text)
    check_spindle(reading, BLANK, machine, problems)
    check_told(reading, machine, problems)
    return problems.problems


def test_a_sound_program_is_clean() -> None:
    assert said(PROGRAM) == []


@pytest.mark.parametrize(
    ("was", "now", "line", "text"),
    [
        pytest.param(
            "G4 P2\n",
            "",
            9,
            "needs 2 s to reach its speed, the first cut is 0.0 s after M3",
            id="dwell",
        ),
        pytest.param("M7\n", "", 12, "cuts dry up to line 15", id="coolant never on"),
        pytest.param("M9\nM5", "M5", 18, "coolant still on at this cutter change", id="M9"),
        pytest.param("M9\nM5", "M9", 18, "spindle still turning at this cutter change", id="M5"),
        pytest.param("X20\n", "X20\nM0\n", 15, "spindle still turning at this stop", id="stop"),
        pytest.param("X20\n", "X20\nM0\n", 15, "coolant still on at this stop", id="wet stop"),
        pytest.param(
            "T1 M6\nM0",
            "T1 M6",
            4,
            "does not stop for the operator to do what line 2 says",
            id="M0",
        ),
        pytest.param("T1 M6", "T2 M6", 3, "line 2 tells the operator cutter 1", id="cutter"),
        pytest.param("S900", "S1900", 13, "S1900 is in force, but line 6 tells", id="speed"),
    ],
)
def test_a_fault(was: str, now: str, line: int, text: str) -> None:
    assert was in PROGRAM
    found = said(PROGRAM.replace(was, now, 1))
    assert any(p.line == line and text in p.text for p in found), found


def test_later_cutters_keep_the_speed_that_was_set() -> None:
    at = PROGRAM.rindex("S900")
    (found,) = said(f"{PROGRAM[:at]}S90{PROGRAM[at + 4 :]}")
    assert "S90 is in force" in found.text


def test_no_hand_comes_near_a_changer() -> None:
    text = PROGRAM.replace("M9\nM5", "M5", 1)
    automatic = replace(MACHINE, tool_change="automatic", tool_length="table")
    assert said(text, automatic) == []
