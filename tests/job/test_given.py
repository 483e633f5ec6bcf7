"""Dimensions given in place of a job file's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.errors import JobError
from gcodekit.job.load import Given, load_job
from gcodekit.job.model import Job

JOB = """\
units = "UNITS"
material = "aluminium"
[dimensions]
pitch = 24
length = "pitch + 16 mm"
[stock]
block = ["length + 20 mm", "40 mm", "4 mm"]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
[setup.hold]
board = "12 mm"
[[setup.feature]]
kind = "hole"
diameter = "3.2 mm"
through = true
at = [["-pitch / 2", 0], ["pitch / 2", 0]]
[[setup.feature]]
kind = "profile"
outline = { rectangle = ["length", "12 mm"], centre = [0, 0], round = "4 mm" }
side = "outside"
depth = "2 mm"
"""


def read(folder: Path, given: Given | None = None, *, units: str = "mm") -> Job:
    path = folder / "clip.toml"
    path.write_text(JOB.replace("UNITS", units))
    return load_job(path, dimensions=given)


def long_of(job: Job) -> float:
    return job.stock.size[0] - 20


@pytest.mark.parametrize(
    ("pitch", "mm"),
    [
        pytest.param(30, 30.0, id="a number"),
        pytest.param("30", 30.0, id="a number as text"),
        pytest.param("1.5 in", 38.1, id="a length with its unit"),
        pytest.param("2 * 17", 34.0, id="arithmetic"),
        pytest.param("length - 10", None, id="by another dimension"),
    ],
)
def test_what_leans_on_it_follows(tmp_path: Path, pitch: float | str, mm: float | None) -> None:
    if mm is None:
        with pytest.raises(JobError, match="refers back to itself: pitch -> length -> pitch"):
            read(tmp_path, {"pitch": pitch})
        return
    assert long_of(read(tmp_path, {"pitch": pitch})) == pytest.approx(mm + 16)


def test_a_number_is_in_the_jobs_units(tmp_path: Path) -> None:
    assert long_of(read(tmp_path, {"length": 2, "pitch": "1 in"}, units="inch")) == pytest.approx(
        50.8
    )


def test_the_file_says_the_rest(tmp_path: Path) -> None:
    assert long_of(read(tmp_path, {"length": 50})) == pytest.approx(50)
    assert long_of(read(tmp_path)) == pytest.approx(40)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        pytest.param({"pich": 3}, "clip.toml:3: dimensions: .* did you mean pitch", id="misspelt"),
        pytest.param({"bore": 3}, "choose from pitch, length", id="unknown"),
        pytest.param({"pitch": "1x"}, "clip.toml:4: dimensions.pitch: ", id="no length"),
        pytest.param({"pitch": "1e999"}, "dimensions.pitch: ", id="without end"),
        pytest.param({"pitch": float("nan")}, "dimensions.pitch: ", id="no number"),
        pytest.param({"pitch": "(" * 10_000}, "dimensions.pitch: ", id="nested without end"),
    ],
)
def test_refused_with_the_files_line(tmp_path: Path, given: Given, said: str) -> None:
    with pytest.raises(JobError, match=said):
        read(tmp_path, given)


def test_a_file_without_dimensions_says_so(tmp_path: Path) -> None:
    path = tmp_path / "plain.toml"
    path.write_text(JOB.split("[dimensions]", maxsplit=1)[0] + "[stock]\nblock = [40, 40, 4]\n")
    with pytest.raises(JobError, match=r"add it below \[dimensions\] in the file first"):
        load_job(path, dimensions={"pitch": 3})


def test_every_value_is_a_state_of_its_own(tmp_path: Path) -> None:
    states = [read(tmp_path, given).fingerprint for given in (None, {"pitch": 30}, {"pitch": 31})]
    assert len(set(states)) == 3
    assert read(tmp_path, {"pitch": 30}).fingerprint == states[1]
