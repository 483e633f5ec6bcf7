"""A key in a bore, measured in the cut that the program makes."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.making.make import make
from gcodekit.rs274 import read_program

BORE, KEY, WALL = 16.0, 3.0, 1.5
JOB = f"""
name = "Bush"
units = "mm"
material = "leaded bronze"
[dimensions]
bore = {BORE}
key = {KEY}
wall = {WALL}
[stock]
block = [40, 40, 8]
[[setup]]
zero = {{ x = "centre", y = "centre", z = "top" }}
  [setup.hold]
  board = 12
  [[setup.feature]]
  name = "bore"
  kind = "bore"
  at = [0, 0]
  diameter = "bore"
  through = true
  [[setup.feature]]
  name = "keyway"
  kind = "slot"
  from = [0, 0]
  to = [0, "bore/2 + wall - key/2"]
  width = "key"
  cutter = 1
  depth = 5
"""


def test_a_square_key_stands_out_by_what_the_wall_does_not_take(tmp_path: Path) -> None:
    """Common practice, no source: a square key 3 mm on a side, sunk 1.5 mm into the wall of a bore,
    stands 1.5 mm into the bore. Measured from the bottom of the keyway that the program cuts: the
    farthest that the cutter's edge goes in y, less the key."""
    job = tmp_path / "job.toml"
    job.write_text(JOB, encoding="utf-8")
    outcome = make(job, tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    (program,) = (f for f in outcome.files if f.suffix == ".nc")
    moves = read_program(program.read_text(encoding="utf-8"), program.name).moves
    # cutter 1 of the built-in rack is as wide as the key; the bore is milled by a wider one
    own = [m for m in moves if m.cutter == 1 and m.kind != "rapid" and m.end[2] < 0]
    assert own
    bottom_of_keyway = max(m.end[1] for m in own) + KEY / 2
    stands_out = BORE / 2 - (bottom_of_keyway - KEY)
    assert stands_out == pytest.approx(1.5, abs=0.001)
    # and it slides in sideways: the keyway is as wide as the key
    assert max(abs(m.end[0]) for m in own) == pytest.approx(0.0, abs=0.001)
