"""The finished part's picture in the folder: when it is left, what it says, when it goes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gcodekit.geometry.region import Region
from gcodekit.making.make import make
from gcodekit.operations import area

JOB = """
name = "Cradle <1>"
units = "mm"
material = "aluminium"
[stock]
block = [60, 50, 6]
[[setup]]
name = "Top"
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "pocket"
  outline = { rectangle = [30, 20], centre = [30, 25], round = 4 }
  depth = 3
"""
PART = """
  [[setup.feature]]
  kind = "profile"
  outline = { circle = 36, centre = [30, 25] }
  side = "outside"
  through = true
  tabs = { count = 3, width = 5, height = 1 }
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    file = tmp_path / "job.toml"
    file.write_text(JOB)
    return file


def test_a_job_leaves_the_finished_part_in_both_forms(job: Path) -> None:
    outcome = make(job, job.parent / "out", png=True)
    assert outcome.verdict == "pass"
    names = [f.name for f in outcome.files]
    assert {"part.svg", "part.png"} <= set(names)
    written = json.loads((job.parent / "out" / "report.json").read_text())["written"]
    assert {"part.svg", "part.png"} <= set(written)
    svg = (job.parent / "out" / "part.svg").read_text()
    # 60 by 50 by 6 without 3 mm of a rounded rectangle, at 2.7 g/cm3
    assert "Cradle &lt;1&gt;" in svg
    assert "60 × 50 × 6 mm" in svg
    assert f">{json.loads((job.parent / 'out' / 'report.json').read_text())['mass']:.1f} g<" in svg


def test_the_sizes_are_those_of_what_is_left(job: Path) -> None:
    job.write_text(JOB + PART)
    assert make(job, job.parent / "out").verdict == "pass"
    assert "36 × 36 × 6 mm" in (job.parent / "out" / "part.svg").read_text()


def test_plates_of_a_stack_are_pieces(job: Path) -> None:
    job.write_text(
        JOB.replace("[60, 50, 6]", "[60, 50, 2]\nstacked = 3").replace(
            "depth = 3", "through = true"
        )
    )
    assert make(job, job.parent / "out").verdict == "pass"
    svg = (job.parent / "out" / "part.svg").read_text()
    assert "60 × 50 × 6 mm" in svg
    assert "overall, 3 pieces" in svg


def test_a_job_that_fails_its_proof_still_shows_the_part(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = area.room_for

    def off(region: Region, distance: float, **rest: object) -> Region:
        return true(region, distance - 0.03, **rest)  # type: ignore[arg-type]  # passed through

    monkeypatch.setattr(area, "room_for", off)
    outcome = make(job, job.parent / "out")
    assert outcome.verdict == "fail"
    assert (job.parent / "out" / "part.svg").is_file()
    assert not list((job.parent / "out").glob("*.nc"))


def test_a_job_that_is_not_planned_leaves_no_part_and_takes_the_earlier_one(job: Path) -> None:
    out = job.parent / "out"
    assert make(job, out, png=True).verdict == "pass"
    job.write_text(JOB.replace("depth = 3", "depth = "))
    assert make(job, out).verdict == "fail"
    assert not list(out.glob("part.*"))


def test_a_later_run_without_dots_takes_the_earlier_ones_away(job: Path) -> None:
    out = job.parent / "out"
    make(job, out, png=True)
    make(job, out)
    assert [f.name for f in out.glob("part.*")] == ["part.svg"]
