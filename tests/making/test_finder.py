"""Where an edge finder sets zero."""

from __future__ import annotations

from pathlib import Path

from gcodekit.job.load import load_job
from gcodekit.making.report import finder_row
from gcodekit.making.summary import finder_line

JOB = """\
name = "Clock drive plate"
units = "mm"
material = "brass"
[stock]
block = [60, 40, 10]
%s
[[setup]]
name = "Top"
zero = { x = "left + 5", y = "centre", z = "top" }
[setup.hold]
board = 12
[[setup.feature]]
kind = "hole"
at = [10, 0]
diameter = 4
depth = 3
"""


def test_the_spindle_stands_off_each_side_by_the_finder_s_radius(tmp_path: Path) -> None:
    """The built-in mill has a finder of 10 mm: by hand, 5 mm outside every side."""
    path = tmp_path / "plate.toml"
    path.write_text(JOB % "", encoding="utf-8")
    job = load_job(path)
    row = finder_row(job, job.setups[0])
    assert row == {"diameter": 10, "left": -10, "right": 60, "front": -25, "back": 25}
    assert finder_line(job, job.setups[0]).endswith(
        "set: left X -10 mm, right X 60 mm, front Y -25 mm, back Y 25 mm"
    )


def test_a_side_that_may_lie_further_out_sets_nothing(tmp_path: Path) -> None:
    path = tmp_path / "plate.toml"
    path.write_text(JOB % "oversize = 1.5", encoding="utf-8")
    job = load_job(path)
    row = finder_row(job, job.setups[0])
    assert row is not None
    # zero is touched on the left: where that is, is known
    assert row["left"] == -10
    assert "right" not in row
