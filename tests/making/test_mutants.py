"""Single faults planted in programs of shipped jobs, held against their job by a dry run."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from gcodekit.making.dryrun import dry_run
from gcodekit.making.make import make

JOB = Path(__file__).parents[2] / "jobs" / "eyepiece-plate.toml"
Lines = list[str]


# A slot as narrow as its cutter goes down on straight ramps.
SLOT = """\
name = "Drive key"
units = "mm"
material = "mild steel"
[stock]
block = [60, 30, 10]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
[setup.hold]
board = 12
[[setup.feature]]
kind = "slot"
from = [-20, 0]
to = [20, 0]
width = 6
cutter = "6 mm slot drill"
depth = 3
"""


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Lines:
    folder = tmp_path_factory.mktemp("made")
    assert make(JOB, folder).verdict == "pass"
    (file,) = folder.glob("*.nc")
    return file.read_text(encoding="utf-8").splitlines()


def found(lines: Lines, folder: Path, job: Path = JOB) -> list[tuple[int, str]]:
    """Line and text of every problem."""
    file = folder / "mutant.nc"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return [(p.line, p.text) for p in dry_run(file, job=job).findings.problems]


def other_zero(lines: Lines) -> int:
    at = next(i for i, line in enumerate(lines) if line.startswith("G54"))
    lines[at] = lines[at].replace("G54", "G55")
    return at


def stopped_early(lines: Lines) -> int:
    """The spindle stopped before the retract that follows the last cut of all."""
    end = max(i for i, line in enumerate(lines) if line == "M5")
    lift = max(i for i in range(end) if lines[i].startswith("G0 Z"))
    lines.pop(end)
    lines.insert(lift, "M5")
    return lift + 1


def steeper_ramp(lines: Lines) -> int:
    """The way of a straight ramp ten times as short: its X or Y lost a decimal place."""
    x = y = z = math.inf
    for i, line in enumerate(lines):
        words = dict(re.findall(r"([XYZ])(-?\d+(?:\.\d+)?)", line.split("(")[0]))
        nx, ny, nz = (float(words.get(a, v)) for a, v in zip("XYZ", (x, y, z), strict=True))
        run = math.hypot(nx - x, ny - y)
        if line.startswith(("X", "Y", "G1 X")) and nz < z - 0.1 and 4 < run < math.inf:
            px, py = x + (nx - x) / 10, y + (ny - y) / 10
            lines[i] = f"G1 X{px:.4f} Y{py:.4f} Z{nz:.4f}"
            lines.insert(i + 1, f"X{nx:.4f} Y{ny:.4f}")
            return i
        x, y, z = nx, ny, nz
    raise AssertionError("no straight ramp in it")


@pytest.mark.parametrize(
    ("plant", "said"),
    [
        (other_zero, "G55 is not the job's work offset"),
        (stopped_early, "spindle stops with cutter"),
    ],
)
def test_a_single_fault_is_found_where_it_is(
    program: Lines, plant: Callable[[Lines], int], said: str, tmp_path: Path
) -> None:
    assert found(program, tmp_path) == []
    lines = [*program]
    line = plant(lines) + 1
    problems = found(lines, tmp_path)
    assert any(said in text and abs(at - line) <= 1 for at, text in problems), problems


def test_a_steeper_ramp_is_found_where_it_is(tmp_path: Path) -> None:
    job = tmp_path / "key.toml"
    job.write_text(SLOT, encoding="utf-8")
    assert make(job, tmp_path / "out").verdict == "pass"
    (file,) = (tmp_path / "out").glob("*.nc")
    lines = file.read_text(encoding="utf-8").splitlines()
    assert found(lines, tmp_path, job) == []
    line = steeper_ramp(lines) + 1
    problems = found(lines, tmp_path, job)
    said = "ramps into stock steeper than 4 degrees, twice the table's in mild steel"
    assert any(said in text and at == line for at, text in problems), problems
