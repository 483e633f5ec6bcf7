"""Jobs made in every dialect, proved from their own text."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from gcodekit.making.make import make
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
    outcome = make(job, tmp_path / "out", post=name, posts_env=str(EXAMPLE))
    assert outcome.verdict == "pass", outcome.faults
    assert outcome.faults == ()
    programs = [f for f in outcome.files if f.suffix not in (".svg", ".json", ".html")]
    post = find_post(name, environment=str(EXAMPLE))
    assert [f.suffix for f in programs] == [post.file_ending]


# Limits that no number of the program's lies on: 19.685 in/min, and no whole rev/min.
LIMITS = """
units = "mm"
[machine]
name = "Bench mill"
travel = { x = 280, y = 165, z = 190 }
rapid = 1200
feed_max = 500
spindle = { min = 900.6, max = 1499.4, power = 750 }
rigidity = "medium"

[[cutter]]
number = 3
name = "10 mm end mill"
kind = "end mill"
diameter = 10
flutes = 4
flute_length = 22
stickout = 38
shank = 10
centre_cutting = true
"""


@pytest.mark.parametrize("name", ["rs274_full", "iso6983", "motion_only"])
def test_no_limit_of_the_machine_is_overstepped_by_rounding(tmp_path: Path, name: str) -> None:
    (tmp_path / "shop.toml").write_text(LIMITS, encoding="utf-8")
    job = tmp_path / "job.toml"
    text = 'workshop = "shop.toml"' + JOB.format(units="inch", **SIZES["inch"])
    job.write_text(text, encoding="utf-8")
    outcome = make(job, tmp_path / "out", post=name)
    assert outcome.verdict == "pass", outcome.faults
    (program,) = (f for f in outcome.files if f.suffix not in (".svg", ".json", ".html"))
    text = program.read_text()
    feeds = [float(f) for f in re.findall(r"(?m)^[^(;]*?\bF([0-9.]+)", text)]
    # 500 / 25.4 is 19.685: 19.69 would be too fast
    assert max(feeds) == 19.68
    assert set(re.findall(r"(?m)^[^(;]*?\bS([0-9.]+)", text)) == {"1499"}
