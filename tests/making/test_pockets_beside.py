"""Pockets drawn side by side are one hollow: where they meet no cutter's radius stays."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import shapely

from gcodekit.making.make import make
from gcodekit.rs274 import read_program

JOB = """\
units = "mm"
material = "aluminium"
[stock]
block = [90, 60, 10]
[[setup]]
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
board = 10
[[setup.feature]]
name = "left"
kind = "pocket"
cutter = "CUTTER"
outline = { rectangle = [30, 24], corner = [12, 12] }
depth = 3
[[setup.feature]]
name = "right"
kind = "pocket"
cutter = "CUTTER"
outline = RIGHT
depth = DEPTH
"""
BESIDE = "{ rectangle = [30, 24], corner = [42, 12] }"
OVER = "{ rectangle = [20, 40], corner = [22, 12] }"
CORNERS = {"beside": [(42, 12), (42, 36)], "over": [(22, 36), (42, 36)]}


def swept(program: Path, radius: float, z: float) -> shapely.Geometry:
    """What the cutter covers at a height, by its moves in the text: lines and arcs by chords."""
    from gcodekit.proof.chords import points_of

    ways = [
        shapely.LineString([p[:2] for p in points_of(m)])
        for m in read_program(program.read_text()).moves
        if m.known_before == "XYZ" and max(m.start[2], m.end[2]) <= z and m.length > 0
    ]
    return shapely.union_all([w.buffer(radius, quad_segs=64) for w in ways])


@pytest.mark.parametrize(("right", "depth"), [(BESIDE, 3), (BESIDE, 5), (OVER, 3)])
def test_no_corner_stays_where_they_meet(tmp_path: Path, right: str, depth: float) -> None:
    text = JOB.replace("CUTTER", "6 mm slot drill").replace("RIGHT", right)
    (tmp_path / "job.toml").write_text(text.replace("DEPTH", str(depth)), encoding="utf-8")
    outcome = make(tmp_path / "job.toml", tmp_path / "out")
    assert [str(f) for f in outcome.faults] == []
    assert outcome.verdict == "pass"
    report = json.loads((tmp_path / "out" / "report.json").read_text())
    cut = swept(tmp_path / "out" / report["programs"][0]["file"], 3.0, -2.99)
    left = shapely.box(12, 12, 42, 36)
    other = shapely.box(42, 12, 72, 36) if right == BESIDE else shapely.box(22, 12, 42, 52)
    asked = left.union(other)
    # what stays is in the corners of the two together, and no larger than the cutter's radius asks
    rounded = asked.buffer(-2.999).buffer(2.999, quad_segs=64)
    assert rounded.difference(cut.buffer(0.01)).area < 1e-6
