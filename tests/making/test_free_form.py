"""Jobs with outlines sampled from free-form curves: few true arcs in the program, tabs held."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from gcodekit.making.make import make

# A cam for a hand paddle's lever, sampled 400 times round. Invented.
CAM = [
    (
        (18 + 3 * math.sin(3 * t) + math.cos(5 * t)) * math.cos(t),
        (18 + 3 * math.sin(3 * t) + math.cos(5 * t)) * math.sin(t),
    )
    for t in (i * math.tau / 400 for i in range(400))
]
PATH = ", ".join(f"[{x:.4f}, {y:.4f}]" for x, y in CAM)
JOB = f"""
name = "Cam"
units = "mm"
material = "aluminium"
[stock]
block = [64, 64, 6]
[outlines]
cam = {{ path = [{PATH}] }}
[[setup]]
zero = {{ x = "centre", y = "centre", z = "top" }}
  [setup.hold]
  board = 10
  [[setup.feature]]
  name = "cam"
"""


@pytest.mark.parametrize(
    ("feature", "most_blocks"),
    [
        pytest.param(
            'kind = "profile"\noutline = "cam"\nside = "outside"\nthrough = true\n'
            "tabs = { count = 3, width = 5, height = 1 }",
            900,
            id="profile with tabs",
        ),
        pytest.param('kind = "pocket"\noutline = "cam"\ndepth = 2\n', 900, id="pocket"),
    ],
)
def test_a_free_form_outline_is_cut_in_few_arcs(
    tmp_path: Path, feature: str, most_blocks: int
) -> None:
    (tmp_path / "job.toml").write_text(JOB + feature)
    outcome = make(tmp_path / "job.toml", tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    (program,) = json.loads((tmp_path / "out" / "report.json").read_text())["programs"]
    # 400 lines a pass as drawn
    assert program["blocks"] < most_blocks
    text = (tmp_path / "out" / program["file"]).read_text()
    assert text.count("G2 ") + text.count("G3 ") > 20


@pytest.mark.parametrize(
    "feature",
    [
        pytest.param(
            'kind = "profile"\noutline = "cam"\nside = "outside"\nthrough = true\n'
            "tabs = { count = 3, width = 5, height = 1 }\nlimits = [-0.03, -0.01]",
            id="profile",
        ),
        pytest.param(
            'kind = "pocket"\noutline = "cam"\ndepth = 2\nlimits = [0, 0.02]', id="pocket"
        ),
        pytest.param('kind = "boss"\noutline = "cam"\ndepth = 2\nlimits = [-0.02, 0]', id="boss"),
    ],
)
def test_a_free_form_outline_with_narrow_limits_is_as_true_as_they_ask(
    tmp_path: Path, feature: str
) -> None:
    """A tenth of 0.02: arcs may leave the drawn lines by no more than a part of that."""
    (tmp_path / "job.toml").write_text(JOB + feature)
    outcome = make(tmp_path / "job.toml", tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    (row,) = json.loads((tmp_path / "out" / "report.json").read_text())["features"]
    assert row["gouge"] < 0.002
    assert row["reachable_uncut"] < 0.002
    assert row["sizes"] == []
