"""Rapids within an operation rise over the metal by the clearance, and higher only where a clamp,
its stud or a bolt lies in the way."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.job.load import load_job
from gcodekit.making.make import make
from gcodekit.planning.plan import plan_setup
from gcodekit.toolpath.moves import HoleCycle, Rapid

JOB = """\
units = "mm"
material = "aluminium"
[stock]
block = [120, 60, 10]
[[setup]]
zero = { x = "left", y = "front", z = "top" }
clearance = 4
[setup.hold]
board = 10
clamps = [{ at = [60, CLAMP], size = [16, 30], height = 18 }]
[[setup.feature]]
name = "row"
kind = "hole"
at = [[15, 30], [35, 30], [85, 30], [105, 30]]
diameter = 5
depth = 4
spot = false
"""


def heights(tmp_path: Path, clamp: float) -> list[float]:
    """How high the tip goes from each hole to the next."""
    path = tmp_path / "job.toml"
    path.write_text(JOB.replace("CLAMP", str(clamp)), encoding="utf-8")
    job = load_job(path)
    program = plan_setup(job, job.setups[0]).program
    (operation,) = program.operations
    found, z, seen = [], program.safe_z, False
    for move in operation.moves:
        if isinstance(move, HoleCycle):
            z, seen = move.retract, True
        elif isinstance(move, Rapid) and move.z is not None:
            z = move.z
        elif seen:
            found.append(z)
    assert z == program.safe_z == 22.0
    assert make(path, tmp_path / "out").verdict == "pass"
    return found


def test_only_the_way_past_the_clamp_is_high(tmp_path: Path) -> None:
    assert heights(tmp_path, 30.0) == pytest.approx([4.0, 22.0, 4.0])


def test_a_clamp_beside_the_way_is_passed_low(tmp_path: Path) -> None:
    # its edge is 28.5 from the row, farther than holder, or cutter, and clearance together
    assert heights(tmp_path, 73.5) == pytest.approx([4.0, 4.0, 4.0])


def test_a_clamp_too_near_the_way_counts_as_in_it(tmp_path: Path) -> None:
    # 6 from the row: the drill's 2.5 and the clearance are more
    assert heights(tmp_path, 51.0) == pytest.approx([4.0, 22.0, 4.0])
