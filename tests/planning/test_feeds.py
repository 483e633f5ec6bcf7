"""Feeds set along a path by what the cutter meets: the way stays, only its feeds change."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import shapely

from gcodekit.job.load import load_job
from gcodekit.planning.plan import plan_setups
from gcodekit.planning.program import Operation
from gcodekit.toolpath.cuts_in_plan import cuts_of
from gcodekit.toolpath.moves import ArcFeed, Feed

JOB = """\
units = "mm"
material = "mild steel"
[stock]
block = [80, 60, 12]
[[setup]]
zero = {{ x = "left", y = "front", z = "top" }}
[setup.hold]
board = 12
[[setup.feature]]
kind = "pocket"
outline = {{ rectangle = [50, 40], centre = [40, 30], round = 6 }}
depth = 6
rough = "contour parallel"
{more}
"""


def roughing(folder: Path, more: str = "") -> Operation:
    path = folder / "job.toml"
    path.write_text(JOB.format(more=more))
    ((_, plan),) = plan_setups(load_job(path))
    return next(o for o in plan.program.operations if o.label == "rough")


def level_feeds(operation: Operation) -> list[float]:
    found, z = [], math.inf
    for move in operation.moves:
        if isinstance(move, Feed | ArcFeed):
            if move.z == z:
                found.append(move.feed)
            z = move.z
    return found


def test_a_pocket_is_fed_slower_where_it_is_a_slot(tmp_path: Path) -> None:
    operation = roughing(tmp_path)
    feeds = level_feeds(operation)
    assert len(set(feeds)) > 2
    assert max(feeds) > 1.5 * min(feeds)
    assert operation.load is not None
    assert operation.load.engagement == pytest.approx(180, abs=6)


def test_the_way_stays_and_only_feeds_change(tmp_path: Path) -> None:
    """A feed of the job's own stays, so the way is then as it was made."""
    operation = roughing(tmp_path)
    alike = roughing(tmp_path, f"stepdown = {_step(operation)}\nfeed = 100\nfinish = true")
    ways = []
    for o in (operation, alike):
        cuts = cuts_of(o.moves, o.cutter.radius)
        ways.append(shapely.union_all(cuts.rows(cuts.level).lines()))
    assert shapely.hausdorff_distance(*ways) < 0.05
    assert ways[0].length == pytest.approx(ways[1].length, rel=2e-3)


def _step(operation: Operation) -> float:
    # a helix goes down as it turns: only what is cut level stands on a step
    levels, z = set(), math.inf
    for move in operation.moves:
        if isinstance(move, ArcFeed) and move.z == z:
            levels.add(z)
        z = getattr(move, "z", None) or z
    heights = sorted({12.0 * 0, *levels}, reverse=True)
    return heights[-2] - heights[-1] + 1e-6


def test_the_last_pass_through_the_bottom_is_fed_as_those_above(tmp_path: Path) -> None:
    """Below the metal there is only the board, and the cutter is still in the metal above it."""
    path = tmp_path / "job.toml"
    path.write_text(JOB.format(more="").replace("depth = 6", "through = true"))
    ((_, plan),) = plan_setups(load_job(path))
    rough = next(o for o in plan.program.operations if o.label == "rough")
    by_level: dict[float, set[float]] = {}
    z = math.inf
    for move in rough.moves:
        if isinstance(move, Feed | ArcFeed):
            if move.z == z and not isinstance(move, ArcFeed):
                by_level.setdefault(z, set()).add(round(move.feed, 3))
            z = move.z
    levels = sorted(by_level)
    assert levels[0] < -12
    # the one above goes back in the open to where the next begins
    assert len(by_level[levels[0]]) > 2
    assert by_level[levels[0]] <= by_level[levels[1]]
