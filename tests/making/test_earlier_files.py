"""What an earlier run left is never taken for this one's, and what others left is not touched."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gcodekit.job.fingerprint import fingerprint
from gcodekit.making.dryrun import dry_run
from gcodekit.making.files import digests
from gcodekit.making.make import make

JOB = """
units = "mm"
material = "aluminium"
[stock]
block = [60, 50, 6]
[[setup]]
name = "Top"
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "hole"
  diameter = 5
  depth = 3
  at = [20, 20]
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    file = tmp_path / "job.toml"
    file.write_text(JOB)
    assert make(file, tmp_path / "out").verdict == "pass"
    return file


def names(job: Path) -> list[str]:
    return sorted(p.name for p in (job.parent / "out").iterdir())


def test_a_renamed_setup_leaves_no_earlier_program(job: Path) -> None:
    job.write_text(JOB.replace('"Top"', '"Upper side"'))
    outcome = make(job, job.parent / "out")
    assert outcome.verdict == "pass"
    assert names(job) == [
        *("1-upper-side.nc", "1-upper-side.svg", "part.svg", "report.json", "set-up-sheet.html")
    ]
    assert "Upper side" in (job.parent / "out" / "set-up-sheet.html").read_text()


@pytest.mark.parametrize("wrong", [("depth = 3", "depth = "), ("diameter = 5", "diameter = 5.37")])
def test_a_job_that_fails_marks_its_earlier_programs(job: Path, wrong: tuple[str, str]) -> None:
    job.write_text(JOB.replace(*wrong))
    assert make(job, job.parent / "out").verdict == "fail"
    assert names(job) == ["1-top.nc.outdated", "report.json"]
    report = json.loads((job.parent / "out" / "report.json").read_text())
    assert report["verdict"] == "fail"
    assert report["problems"]


def test_a_program_changed_since_stays(job: Path) -> None:
    program = job.parent / "out" / "1-top.nc"
    program.write_text("M2\n")
    job.write_text(JOB.replace('"Top"', '"Upper side"'))
    outcome = make(job, job.parent / "out")
    assert program.read_text() == "M2\n"
    assert [f.severity for f in outcome.faults if "edited since" in f.message] == ["warning"]


def test_another_jobs_programs_stay(job: Path) -> None:
    other = job.with_name("other.toml")
    other.write_text(JOB.replace('"Top"', '"Upper side"'))
    outcome = make(other, job.parent / "out")
    assert "1-top.nc" in names(job)
    assert any("another job" in f.message for f in outcome.faults)


@pytest.mark.parametrize(
    "text", ["[]", "{", "[" * 100_000, '{"written": [], "job_file": "job.toml"}', '{"programs": 3}']
)
def test_a_report_that_is_not_ours_is_not_trusted(job: Path, text: str) -> None:
    (job.parent / "out" / "report.json").write_text(text)
    job.write_text(JOB.replace('"Top"', '"Upper side"'))
    assert make(job, job.parent / "out").verdict == "pass"
    assert "1-top.nc" in names(job)


def test_a_name_outside_the_folder_is_not_followed(job: Path) -> None:
    mine = job.parent / "mine.txt"
    mine.write_text("mine")
    written = digests({"../mine.txt": "mine", str(mine): "mine"})
    text = json.dumps({"job_file": "job.toml", "written": written})
    (job.parent / "out" / "report.json").write_text(text)
    make(job, job.parent / "out")
    assert mine.read_text() == "mine"


def test_a_program_names_the_version_of_its_job(job: Path) -> None:
    """Job, workshop and drawing each change it; a dry run says that the program is older."""
    program = job.parent / "out" / "1-top.nc"
    report = json.loads((job.parent / "out" / "report.json").read_text())
    assert f"job version {report['fingerprint']}" in program.read_text()
    older = "made from another version of"
    assert not [n for n in dry_run(program, job=job).notes if older in n.message]
    job.write_text(JOB.replace("depth = 3", "depth = 3.5"))
    assert [n.severity for n in dry_run(program, job=job).notes if older in n.message] == [
        "warning"
    ]


def test_workshop_and_drawings_are_part_of_the_state(tmp_path: Path) -> None:
    job, shop, rim = tmp_path / "job.toml", tmp_path / "shop.toml", tmp_path / "rim.dxf"
    job.write_text("x = 1")
    said = {"workshop": "shop.toml", "outlines": {"rim": [{"dxf": "rim.dxf"}]}}
    states = {fingerprint([(job, said)])}
    for file, text in ((shop, "a"), (rim, "a"), (rim, "b"), (shop, "b"), (job, "x = 2")):
        file.write_text(text)
        states.add(fingerprint([(job, said)]))
    assert len(states) == 6
    assert fingerprint([(job, said)]) in states
