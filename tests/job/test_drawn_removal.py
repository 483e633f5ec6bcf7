"""What the drawing alone says is sure to be gone."""

from __future__ import annotations

from pathlib import Path

import shapely

from gcodekit.job.load import load_job
from gcodekit.job.stock.drawn_removal import taken

WORKSHOP = """\
units = "mm"
[machine]
spindle = { min = 100, max = 3000 }
[[cutter]]
number = 1
kind = "end mill"
diameter = 2
flute_length = 14
"""
# The very curve on which it was found: of most others nothing at all is left.
JOB = """\
units = "inch"
material = "mild steel"
workshop = "shop.toml"
[stock]
block = [1.5748, 0.7874, 0.31496]
[[setup]]
zero = { x = "left + 0.7874", y = "front", z = "top" }
[setup.hold]
board = 0.6
[[setup.feature]]
kind = "profile"
through = true
side = "on"
finish = false
path = [
  [0.0, 0.7874], { to = [0.1496, 0.6969], round = 0.1575 },
  { to = [0.6693, 0.0354], radius = 0.463, turn = "ccw" },
]
"""


def test_a_kerf_as_wide_as_its_allowances_leaves_no_hairs(tmp_path: Path) -> None:
    """1 mm on either side of a 2 mm kerf: what GEOS keeps of that crosses itself, and no union can
    be made of it: with more features beside it, reading such a job was a traceback."""
    (tmp_path / "shop.toml").write_text(WORKSHOP, encoding="utf-8")
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    job = load_job(tmp_path / "job.toml")
    (setup,) = job.setups
    areas = [slab.area for slab in taken(setup.features[0], setup, job.workshop)]
    assert all(area.is_valid for area in areas)
    assert shapely.union_all(areas).area < 1e-3
