"""Small jobs typed as at the bench, from the job file's own page: each is made and proved."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gcodekit.job.load import load_job
from gcodekit.making.make import make

JOBS = sorted((Path(__file__).parent / "small_jobs").glob("*.toml"))


@pytest.mark.parametrize("path", [pytest.param(p, id=p.stem) for p in JOBS])
def test_a_typed_job_passes(path: Path, tmp_path: Path) -> None:
    outcome = make(path, tmp_path)
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    report = json.loads((tmp_path / "report.json").read_text())
    job = load_job(path)
    # every feature was held against the drawing, and every set-up left its program
    drawn = {(f.name, s.name) for s in job.setups for f in s.features}
    assert {(f["name"], f["setup"]) for f in report["features"]} == drawn
    assert len(report["features"]) == sum(len(s.features) for s in job.setups)
    for feature in report["features"]:
        assert feature["gouge"] <= job.tolerance, feature
        assert feature["reachable_uncut"] <= job.tolerance, feature
    assert not [p for p in report["problems"] if p["severity"] == "error"]
    for program in report["programs"]:
        assert (tmp_path / program["file"]).is_file()
