"""A mill that is in use anyway is taken where it is quicker than a larger one."""

from __future__ import annotations

import re
from pathlib import Path

from gcodekit.making.make import make

# The 16 mm one stands out far and bends, the 10 mm one does not.
RACK = """\
units = "mm"
[machine]
rapid = 1200
feed_max = 500
spindle = { min = 100, max = 2500, power = 400 }
rigidity = "light"
[[cutter]]
number = 3
kind = "end mill"
diameter = 10
flutes = 4
flute_length = 22
stickout = 38
shank = 10
centre_cutting = true
[[cutter]]
number = 4
kind = "end mill"
diameter = 16
flutes = 4
flute_length = 40
stickout = OUT
shank = 16
centre_cutting = true
"""
JOB = """\
units = "mm"
workshop = "shop.toml"
material = "bright mild steel"
[stock]
block = [90, 70, 6]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
[setup.hold]
board = 12
[[setup.feature]]
name = "seat"
kind = "bore"
diameter = 34
at = [-10, 0]
through = true
SEAT
[[setup.feature]]
name = "window"
kind = "bore"
diameter = 18
at = [28, 0]
through = true
"""


def made(folder: Path, *, out: int = 95, seat: str = "") -> tuple[float, set[int], str]:
    """Minutes, cutters of the seat, and why."""
    (folder / "shop.toml").write_text(RACK.replace("OUT", str(out)))
    (folder / "job.toml").write_text(JOB.replace("SEAT", seat))
    outcome = make(folder / "job.toml", folder / "out", explain=True)
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    said = "\n".join(outcome.summary)
    minutes = re.search(r"blocks, ([\d.]+) min", said)
    assert minutes is not None
    cutters = {int(n) for n in re.findall(r"seat: T(\d+)", said)}
    return float(minutes[1]), cutters, said


def test_a_smaller_one_in_use_is_taken_where_it_is_quicker(tmp_path: Path) -> None:
    minutes, cutters, said = made(tmp_path)
    assert cutters == {3}
    assert "already used for another feature: cutter 4 would take about" in said
    larger, _, _ = made(tmp_path, seat="cutter = 4")
    assert minutes < larger
    named, _, _ = made(tmp_path, seat="cutter = 3")
    assert minutes == named


def test_a_larger_one_that_is_quicker_is_kept(tmp_path: Path) -> None:
    minutes, cutters, _ = made(tmp_path, out=40)
    assert cutters == {4}
    smaller, _, _ = made(tmp_path, out=40, seat="cutter = 3")
    assert minutes < smaller
