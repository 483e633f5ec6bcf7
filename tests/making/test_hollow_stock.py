"""Tubes and plates of some shape: what they lack is air to cutters, and no part of volume or
model."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from gcodekit.job.load import load_job
from gcodekit.making.make import make
from gcodekit.part.setup_stock import metal

TUBE = """\
units = "mm"
material = "aluminium"
[stock]
tube = { diameter = 60, bore = 40, length = 20, axis = "AXIS" }
[[setup]]
name = "On end"
up = "UP"
zero = { x = "centre", y = "centre", z = "top" }
[setup.hold]
chuck = { diameter = 100, grip = 8, jaw_height = 12 }
[[setup.feature]]
name = "rim"
kind = "bore"
at = [0, 0]
diameter = 46
depth = 3
[[setup.feature]]
name = "screws"
kind = "hole"
pitch_circle = { centre = [0, 0], diameter = 53, count = 3 }
diameter = 3
depth = 6
"""
PLATE = """\
units = "mm"
material = "aluminium"
[outlines]
blank = { path = [[10, 5], [90, 5], { to = [90, 45], centre = [90, 25], turn = "ccw" }, [10, 45]] }
[stock]
outline = "blank"
thickness = 8
[[setup]]
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
board = 10
clamps = [{ at = [8, 20], size = [12, 20], height = 12 }]
[[setup.feature]]
name = "skim"
kind = "face"
outline = { rectangle = [60, 60], centre = [80, 20] }
depth = 0.5
[[setup.feature]]
name = "window"
kind = "pocket"
outline = { rectangle = [30, 16], centre = [45, 20], round = 5 }
through = true
"""


def made(tmp_path: Path, text: str) -> dict[str, float]:
    job = tmp_path / "job.toml"
    job.write_text(text, encoding="utf-8")
    outcome = make(job, tmp_path / "out", model=tmp_path / "part.stl")
    assert [str(f) for f in outcome.faults if f.severity == "error"] == []
    found: dict[str, float] = json.loads((tmp_path / "out" / "report.json").read_text())
    return found


@pytest.mark.parametrize(("axis", "up"), [("z", "top"), ("x", "left"), ("y", "back")])
def test_a_tube_is_bored_wider(tmp_path: Path, axis: str, up: str) -> None:
    report = made(tmp_path, TUBE.replace("AXIS", axis).replace("UP", up))
    drill = math.pi * 1.5**2 * (6 + 1.5 / math.tan(math.radians(59)) / 3)
    by_hand = math.pi * (30**2 - 20**2) * 20 - math.pi * (23**2 - 20**2) * 3 - 3 * drill
    assert report["volume"] == pytest.approx(by_hand, rel=1e-3)


def test_nothing_is_cut_in_a_tubes_bore(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(TUBE.replace("AXIS", "z").replace("UP", "top"), encoding="utf-8")
    setup = load_job(job).setups[0]
    ring = metal(setup, -10.0)
    assert ring.area == pytest.approx(math.pi * (30**2 - 20**2), rel=1e-4)
    assert len(ring.interiors) == 1  # type: ignore[attr-defined]


def test_a_plate_of_some_shape_has_its_corner_at_the_stocks(tmp_path: Path) -> None:
    report = made(tmp_path, PLATE)
    whole = (80 * 40 + math.pi * 20**2 / 2) * 8
    skim = (30 * 40 + math.pi * 20**2 / 2) * 0.5
    window = (30 * 16 - (4 - math.pi) * 25) * 8
    both = (10 * 16 - (4 - math.pi) * 25 / 2) * 0.5
    assert report["volume"] == pytest.approx(whole - skim - window + both, rel=1e-4)
    # beside the round end there is nothing to hit and nothing to hold
    assert metal(load_job(tmp_path / "job.toml").setups[0], -4.0).bounds == pytest.approx(
        (0, 0, 100, 40), abs=1e-3
    )
