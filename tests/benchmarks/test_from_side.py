"""Deep passes, held against the cutter's engagement along the program that is made of them."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely
from engagement.bite import bite
from engagement.ways import read_level
from shapely.geometry.base import BaseGeometry

from gcodekit.making.check import sound_job
from gcodekit.planning.plan import plan_setups
from gcodekit.post.find import find_post
from gcodekit.post.writer import write_program

WORKSHOP = """
units = "mm"
[machine]
rapid = 1500
feed_max = 600
spindle = { min = 100, max = 2500, power = 350 }
[[cutter]]
number = 1
name = "10 mm"
kind = "end mill"
diameter = 10
flutes = 4
flute_length = 22
stickout = 35
shank = 10
"""
JOB = """
name = "Edges"
units = "mm"
workshop = "workshop.toml"
material = "aluminium"
[stock]
block = [100, 60, 22]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  vise = { grip = 6, jaw_width = 100, jaw_depth = 25 }
  [[setup.feature]]
  name = "it"
  depth = 12
  finish = false
"""
STOCK = shapely.box(-50, -30, 50, 30)


@pytest.mark.parametrize(
    ("feature", "kept"),
    [
        pytest.param(
            'kind = "edge"\nside = "right"\nat = 42\n', shapely.box(-50, -30, 42, 30), id="edge"
        ),
        pytest.param(
            'kind = "arc"\ncentre = [0, 0]\nradius = 46\nstart = -50\nend = 50\nside = "outside"\n',
            STOCK.intersection(
                shapely.union_all(
                    [shapely.Point(0, 0).buffer(46, quad_segs=400), shapely.box(-50, -30, 0, 30)]
                )
            ),
            id="arc",
        ),
    ],
)
def test_no_pass_takes_more_than_its_width(
    feature: str, kept: BaseGeometry, tmp_path: Path
) -> None:
    (tmp_path / "workshop.toml").write_text(WORKSHOP, encoding="utf-8")
    (tmp_path / "job.toml").write_text(JOB + feature, encoding="utf-8")
    job = sound_job(tmp_path / "job.toml")
    ((_, plan),) = plan_setups(job)
    (operation,) = plan.program.operations
    assert "from the side only" in operation.how
    wide = float(operation.how.split(" mm wide")[0].split()[-1])
    level = read_level(write_program(plan.program, find_post(job.post)).text, feed=600)
    samples = bite(level, STOCK.difference(kept), 5.0)
    cut = samples.rows(level.opens[samples.move] & (samples.weight > 0))
    assert cut.width.max() <= 1.02 * wide
    # and takes it: the strip is gone
    assert (cut.width * cut.weight).sum() > 0.5 * STOCK.difference(kept).area
