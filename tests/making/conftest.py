"""A job of two cutters, the second working on the floor that the first leaves."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from gcodekit.making.lost_pictures import Pictures
from gcodekit.making.make import Report, make
from gcodekit.proof import compare

# Test folders are no packages: what lies beside the tests of this one is found here, and is none
# itself.
sys.path.insert(0, str(Path(__file__).parent))
collect_ignore = [
    "coarse_field.py",
    "harmless.py",
    "made_jobs.py",
    "mutant_trial.py",
    "mutants.py",
    "random_jobs.py",
    "random_racks.py",
    "random_setups.py",
]

WORKSHOP = Path(__file__).parents[2] / "jobs" / "workshop.toml"
TRAY = """
name = "Trial"
units = "mm"
material = "aluminium"
workshop = "shop.toml"
[stock]
block = [60, 50, 8]
[[setup]]
name = "Top side"
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  name = "tray"
  kind = "pocket"
  outline = { rectangle = [30, 20], centre = [0, 0], round = 3 }
  depth = 3
  cutter = 2
  [[setup.feature]]
  name = "screws"
  kind = "hole"
  diameter = 5
  spot = false
  top = -3
  through = true
  at = [[-8, 0], [8, 0]]
"""
SECOND = """
[[setup]]
name = "Second clamping"
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  name = "recess"
  kind = "bore"
  diameter = 9
  at = [22, 18]
  depth = 2
  cutter = 2
"""


class Made(NamedTuple):
    """A job that was made, and where."""

    job: Path
    out: Path
    outcome: Report


def _make(folder: Path, text: str, tool_change: str) -> Made:
    shop = WORKSHOP.read_text(encoding="utf-8")
    shop = shop.replace('tool_change = "by hand"', f'tool_change = "{tool_change}"')
    (folder / "shop.toml").write_text(shop, encoding="utf-8")
    job = folder / "job.toml"
    job.write_text(text, encoding="utf-8")
    return Made(job, folder / "out", make(job, folder / "out"))


@pytest.fixture(scope="session")
def apart(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """One program a cutter."""
    return _make(tmp_path_factory.mktemp("apart"), TRAY, "separate files")


@pytest.fixture(scope="session")
def two_sides(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Two set-ups, all cutters in one program each."""
    return _make(tmp_path_factory.mktemp("sides"), TRAY + SECOND, "by hand")


@pytest.fixture
def undrawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """No picture is drawn, for tests that plant an error and ask what the proof says to it."""
    monkeypatch.setattr(Pictures, "drawn", lambda *_: None)


@pytest.fixture
def unmeasured(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault against the drawing is told as large as it is in the plane where it is found, which
    is over the tolerance: how far it goes in space takes many more planes, and changes no verdict.
    For tests that ask whether the proof sees an error, not how large it is."""
    monkeypatch.setattr(compare, "penetration", lambda found, at, _: (found, at))
