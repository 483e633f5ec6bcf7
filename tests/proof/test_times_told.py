"""How a program's time is told: to machines and to people."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.making.dryrun import DryRun, dry_run
from gcodekit.making.report import way_rows
from gcodekit.making.summary import waits
from gcodekit.proof.time import CutterTime, ProgramTime

WORKSHOP = """units = "mm"
[machine]
name = "m"
rapid = 2500
feed_max = 1200
acceleration = 150
spindle = { min = 100, max = 2800, start_time = 3 }
[[cutter]]
number = 1
kind = "end mill"
diameter = 6
flutes = 2
flute_length = 15
stickout = 25
"""


def ran(folder: Path, *lines: str) -> DryRun:
    program, workshop = folder / "p.nc", folder / "w.toml"
    text = ["G21 G17 G90 G94", *lines, "M2"]
    program.write_text("\n".join(text), encoding="ascii")
    workshop.write_text(WORKSHOP, encoding="ascii")
    return dry_run(program, workshop=workshop)


def test_a_program_of_two_cutters(tmp_path: Path) -> None:
    run = ran(
        tmp_path,
        "T1 M6", "G61", "S1000 M3", "G0 X0 Y0 Z10", "X30", "G1 Y30 F600", "G4 P1",
        "T2 M6", "M3", "G0 Z10", "G1 Y60",
    )  # fmt: skip
    found = run.document()
    assert [row["cutter"] for row in found["times"]] == [1, 2]
    # from rest to rest, at 150 mm/s2: 30 mm at 10 mm/s
    assert [row["cut_s"] for row in found["times"]] == pytest.approx([3 + 10 / 150] * 2)
    assert found["dwell_s"] == 1
    assert found["spindle_s"] == 6
    assert found["change_s"] == 240
    moving = sum(row["cut_s"] + row["rapid_s"] for row in found["times"])
    assert found["time_s"] == pytest.approx(moving + 1 + 6)


def test_the_path_control_of_the_text_counts(tmp_path: Path) -> None:
    lines = ["T1 M6", "G0 X0 Y0 Z10", "G1 X1 F600", "Y1", "X2", "Y2"]
    exact, stop, rounded = (
        ran(tmp_path, code, *lines).document()["time_s"] for code in ("G61", "G61.1", "G64")
    )
    assert exact == pytest.approx(stop)
    assert rounded < 0.95 * exact


def test_what_is_waited_for_is_said() -> None:
    way = ProgramTime(
        90, 1, 1, (CutterTime(1, 80, 1),), dwell_s=2, spindle_s=7, change_s=240, changes=2
    )
    assert waits(way) == (
        "dwells 2 s; spindle starts 7 s; not counted: 2 cutter changes, 4 min 00 s"
    )
    assert waits(ProgramTime(90, 1, 1)) == ""
    assert way_rows(way)["times"] == [{"cutter": 1, "cut_s": 80, "rapid_s": 1}]
