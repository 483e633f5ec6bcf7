"""Work bolted down by holes cut before: their heads stand in the way, and what they hold comes out
whole."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from gcodekit.job.load import load_job
from gcodekit.making.make import make
from gcodekit.part.keep_out import keep_out

HEAD = """\
name = "Dovetail saddle"
units = "mm"
material = "aluminium"
[stock]
block = [80, 50, 10]
[[setup]]
name = "Holes"
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
vise = { grip = 5, jaw_width = 100, jaw_depth = 25 }
parallels = 6
[[setup.feature]]
name = "bolt holes"
kind = "hole"
at = [[20, 25], [60, 30]]
diameter = 6
through = true
"""
SECOND = """\
[[setup]]
name = "Bolted down"
up = "bottom"
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
board = 10
bolts = "bolt holes"
"""
STOP = """\
[[setup.feature]]
kind = "stop"
text = "bolt it to the board through both holes"
hold = { board = 10, bolts = "bolt holes" }
"""
RIM = """\
[[setup.feature]]
name = "rim"
kind = "profile"
side = "outside"
outline = { rectangle = [70, 40], centre = [40, 25], round = 8 }
through = true
"""
RECESS = """\
[[setup.feature]]
name = "recess"
kind = "pocket"
outline = { rectangle = [20, 14], centre = [CENTRE], round = 4 }
depth = 2
"""


def written(folder: Path, text: str) -> Path:
    job = folder / "saddle.toml"
    job.write_text(text, encoding="utf-8")
    return job


def test_heads_stand_on_the_work_where_the_holes_are(tmp_path: Path) -> None:
    # turned over about its long side, y runs the other way: 30 is 20 from the new front
    setup = load_job(written(tmp_path, HEAD + SECOND + RIM)).setups[1]
    bolts = [b for b in keep_out(setup) if b.name.startswith("bolt ")]
    assert [b.name for b in bolts] == ["bolt 1 through bolt holes", "bolt 2 through bolt holes"]
    places = [b.outline.centroid.coords[0] for b in bolts]
    assert places[0] == pytest.approx((20, 25), abs=1e-6)
    assert places[1] == pytest.approx((60, 20), abs=1e-6)
    assert [(b.bottom, b.top) for b in bolts] == [(0, pytest.approx(7.8))] * 2
    assert bolts[0].outline.area == pytest.approx(math.pi * 6.6**2, rel=1e-3)


@pytest.mark.parametrize("second", [SECOND + RIM, STOP + RIM], ids=["set-up", "stop"])
def test_what_bolts_hold_is_cut_out_whole(tmp_path: Path, second: str) -> None:
    head = HEAD if "[[setup]]" in second else HEAD.replace(
        "vise = { grip = 5, jaw_width = 100, jaw_depth = 25 }\nparallels = 6", "board = 10"
    )  # fmt: skip
    outcome = make(written(tmp_path, head + second), tmp_path / "out")
    assert [f.message for f in outcome.faults] == []
    assert outcome.verdict == "pass"


def test_a_bolt_in_the_way_is_named(tmp_path: Path) -> None:
    text = HEAD + SECOND + RECESS.replace("CENTRE", "30, 25")
    outcome = make(written(tmp_path, text), tmp_path / "out")
    assert outcome.verdict == "fail"
    assert any(
        "bolt 1 through bolt holes is in the cutter's way" in f.message for f in outcome.faults
    )
