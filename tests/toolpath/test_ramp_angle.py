"""Ramps and helices are no steeper than their material stands."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from gcodekit.job.load import load_job
from gcodekit.planning.plan import plan_setups
from gcodekit.toolpath.moves import ArcFeed, Feed
from gcodekit.trade.materials import find_material

JOB = """\
name = "Bearing cup"
units = "mm"
material = "%s"
[stock]
block = [80, 60, 12]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
[setup.hold]
board = 12
[[setup.feature]]
kind = "pocket"
outline = { rectangle = [40, 30], centre = [0, 0], round = 6 }
depth = 5
rough = "contour parallel"
[[setup.feature]]
kind = "slot"
from = [-25, 24]
to = [25, 24]
width = 6
depth = 3
[[setup.feature]]
kind = "bore"
at = [32, 0]
diameter = 12
depth = 6
"""


def steepest(material: str, folder: Path) -> float:
    """The steepest way down that is not straight down, degrees."""
    path = folder / "cup.toml"
    path.write_text(JOB % material, encoding="utf-8")
    found = 0.0
    for _, plan in plan_setups(load_job(path)):
        for operation in plan.program.operations:
            x = y = z = math.inf
            for move in operation.moves:
                at = (getattr(move, "x", None), getattr(move, "y", None), getattr(move, "z", None))
                nx, ny, nz = (b if b is not None else a for a, b in zip((x, y, z), at, strict=True))
                run = math.hypot(nx - x, ny - y)
                if isinstance(move, ArcFeed):
                    radius = math.hypot(x - move.cx, y - move.cy)
                    turn = math.atan2(ny - move.cy, nx - move.cx) - math.atan2(
                        y - move.cy, x - move.cx
                    )
                    turn = turn if move.ccw else -turn
                    run = radius * (turn % math.tau or math.tau)
                if isinstance(move, Feed | ArcFeed) and nz < z - 1e-6 and run > 1e-6:
                    found = max(found, math.degrees(math.atan2(z - nz, run)))
                x, y, z = nx, ny, nz
    return found


@pytest.mark.parametrize("material", ["stainless steel", "mild steel", "aluminium"])
def test_nothing_is_ramped_steeper_than_it_stands(tmp_path: Path, material: str) -> None:
    known = find_material(material)
    assert known is not None
    limit = min(known.ramp, 3.0)
    assert limit / 2 < steepest(material, tmp_path) <= limit + 1e-3
