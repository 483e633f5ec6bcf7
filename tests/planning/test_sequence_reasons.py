"""Every operation's place in the order has its reason, in the words a machinist would use."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.job.load import load_job
from gcodekit.planning.plan import plan_setup

HEAD = """\
units = "mm"
material = "aluminium"
[stock]
block = [100, 60, 10]
[[setup]]
zero = { x = "left", y = "front", z = "top" }
ORDER
[setup.hold]
board = 10
"""
WINDOW = """\
[[setup.feature]]
name = "window"
kind = "pocket"
outline = { rectangle = [30, 20], centre = [30, 30], round = 5 }
depth = 4
"""
WELL = """\
[[setup.feature]]
name = "well"
kind = "pocket"
outline = { rectangle = [12, 12], centre = [30, 30], round = 5 }
top = -4
depth = 3
"""
HOLE = """\
[[setup.feature]]
name = "dowel"
kind = "hole"
at = [70, 30]
diameter = 5
depth = 6
"""
RIM = """\
[[setup.feature]]
name = "rim"
kind = "profile"
side = "outside"
outline = { rectangle = [90, 50], centre = [50, 30], round = 5 }
through = true
tabs = { count = 4, width = 5, height = 1 }
"""
STOP = """\
[[setup.feature]]
name = "turn the clamp"
kind = "stop"
text = "turn the clamp round"
"""


def said(tmp_path: Path, *features: str, order: str = "") -> list[tuple[str, str]]:
    path = tmp_path / "job.toml"
    path.write_text(HEAD.replace("ORDER", order) + "".join(features), encoding="utf-8")
    job = load_job(path)
    program = plan_setup(job, job.setups[0]).program
    return [(f"{o.feature}: {o.label}", o.why) for o in program.operations]


def test_reasons_of_a_plate(tmp_path: Path) -> None:
    found = dict(said(tmp_path, RIM, WINDOW, WELL, HOLE))
    assert found["dowel: spot"] == "holes are started and drilled before milling"
    assert found["dowel: drill"].startswith("after its own spot")
    assert found["well: rough"].startswith(
        "after window, which it touches and which is listed first"
    )
    assert list(found)[-1].startswith("rim")
    assert all(found.values())


def test_a_stop_and_after_are_named(tmp_path: Path) -> None:
    asked = HOLE.replace("depth = 6", 'depth = 6\nafter = "window"')
    found = dict(said(tmp_path, WINDOW, asked, STOP, RIM))
    assert found["dowel: spot"].startswith("after window, as set by after")
    first = next(why for name, why in found.items() if name.startswith("rim"))
    assert first.startswith("after turn the clamp")


@pytest.mark.parametrize("order", ['order = "as written"'])
def test_as_written_needs_no_other_reason(tmp_path: Path, order: str) -> None:
    found = said(tmp_path, RIM, WINDOW, order=order)
    assert {why for _, why in found} == {order}
