"""A job's own faults and what the rack lacks, in one round, and none that only follows."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from gcodekit.errors import Fault
from gcodekit.making.check import check_job
from gcodekit.making.make import make

SyntaxFinding = Callable[..., tuple[Fault, ...]]
WORKSHOP = Path(__file__).parents[2] / "jobs" / "workshop.toml"
HEAD = """
name = "Trial"
units = "mm"
material = "aluminium"
workshop = "workshop.toml"
[stock]
block = [60, 50, 30]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
"""
NO_DRILL = """
  [[setup.feature]]
  kind = "hole"
  diameter = 4.3
  depth = 4
  at = [-20, 15]
"""
MISSPELT_HOLE = """
  [[setup.feature]]
  kind = "hole"
  diameter = 5
  depht = 4
  at = [-20, 0]
"""
MISSPELT_TRAY = """
  [[setup.feature]]
  kind = "pocket"
  outline = { rectangle = [30, 30], centre = [0, 0], round = 5 }
  depth = 24
  isles = []
"""
# 28 mm below the raw top no end mill of the rack is long enough; on the tray's floor 4 mm are cut
IN_THE_TRAY = """
  [[setup.feature]]
  kind = "pocket"
  outline = { rectangle = [20, 20], centre = [0, 0], round = 5 }
  top = -24
  depth = 4
"""
BAD_OUTLINE = """
[outlines]
wing = { rectangle = [-3, 20], centre = [0, 0] }
"""


@pytest.fixture
def found(tmp_path: Path) -> SyntaxFinding:
    shutil.copy(WORKSHOP, tmp_path / "workshop.toml")

    def check(*parts: str) -> tuple[Fault, ...]:
        job = tmp_path / "job.toml"
        job.write_text("".join(parts), encoding="utf-8")
        faults = tuple(f for f in check_job(job) if f.severity == "error")
        made = make(job, tmp_path / "out")
        assert faults == tuple(f for f in made.faults if f.severity == "error")
        return faults

    return check


def keys(faults: tuple[Fault, ...]) -> list[str]:
    return [f.place.key.removeprefix("setup 1.") for f in faults]


@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        pytest.param((NO_DRILL,), ["feature 1.diameter"], id="rack-alone"),
        pytest.param(
            (NO_DRILL, MISSPELT_TRAY), ["feature 1.diameter", "feature 2.isles"], id="rack-first"
        ),
        pytest.param(
            (MISSPELT_HOLE, NO_DRILL), ["feature 1.depht", "feature 2.diameter"], id="job-first"
        ),
        pytest.param((MISSPELT_TRAY, IN_THE_TRAY), ["feature 1.isles"], id="may-follow"),
    ],
)
def test_one_round(found: SyntaxFinding, parts: tuple[str, ...], expected: list[str]) -> None:
    assert keys(found(HEAD, *parts)) == expected


def test_the_deep_pocket_alone_would_lack_a_cutter(found: SyntaxFinding) -> None:
    (fault,) = found(HEAD, IN_THE_TRAY)
    assert "no end mill in the rack can cut this pocket" in fault.message


def test_nothing_said_of_the_rack_while_an_outline_is_at_fault(found: SyntaxFinding) -> None:
    faults = found(HEAD.replace("[[setup]]", f"{BAD_OUTLINE}\n[[setup]]"), NO_DRILL)
    assert [f.place.key.partition(".")[0] for f in faults] == ["outlines"]
