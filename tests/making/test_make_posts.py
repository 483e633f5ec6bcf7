"""Jobs made in every dialect, proved from their own text."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.making.make import make_job
from gcodekit.post.find import find_post

EXAMPLE = Path(__file__).parents[1] / "post" / "example_post"

# One cutter does all of it; the bore is cut in helices, the outline in arcs.
JOB = """
name = "Bored block"
units = "{units}"
material = "aluminium"
[stock]
block = [{size}]
[[setup]]
zero = {{ x = "centre", y = "centre", z = "top" }}
  [setup.hold]
  board = {board}
  [[setup.feature]]
  name = "bore"
  kind = "bore"
  diameter = {bore}
  at = [0, 0]
  depth = {depth}
"""
SIZES = {
    "mm": {"size": "40, 30, 6", "board": "12", "bore": "16", "depth": "3"},
    "inch": {"size": "1.5, 1.25, 0.25", "board": "0.5", "bore": "0.625", "depth": "0.125"},
}


@pytest.mark.parametrize("name", ["rs274_full", "iso6983", "motion_only", "shed_mill"])
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_every_dialect_is_proved(tmp_path: Path, name: str, units: str) -> None:
    job = tmp_path / "job.toml"
    job.write_text(JOB.format(units=units, **SIZES[units]), encoding="utf-8")
    outcome = make_job(job, tmp_path / "out", post=name, posts_env=str(EXAMPLE))
    assert outcome.verdict == "pass", outcome.faults
    assert outcome.faults == ()
    programs = [f for f in outcome.files if f.suffix not in (".svg", ".json")]
    post = find_post(name, environment=str(EXAMPLE))
    assert [f.suffix for f in programs] == [post.file_ending]
