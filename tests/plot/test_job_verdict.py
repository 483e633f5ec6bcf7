"""The sheets of a job with several set-ups: where one of them fails, none is to be run."""

from __future__ import annotations

import re
from pathlib import Path

from random_sheets import letterings

from gcodekit.making.make import make

# The top's cuts lie farther apart than the machine travels.
JOB = """
name = "Bar"
units = "mm"
material = "aluminium"
[stock]
block = [420, 30, 12]
[[setup]]
name = "Top"
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  name = "foot"
  kind = "hole"
  at = [[12, 8], [FAR, 15]]
  diameter = 5
  depth = 4
[[setup]]
name = "Under side"
up = "bottom"
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  name = "pin"
  kind = "hole"
  at = [60, 15]
  diameter = 5
  depth = 4
"""


def stamps(folder: Path, far: int) -> tuple[str, list[list[str]]]:
    job = folder / "bar.toml"
    job.write_text(JOB.replace("FAR", str(far)), encoding="utf-8")
    made = make(job, folder / "out")
    sheets = sorted((folder / "out").glob("[12]-*.svg"))
    read = (letterings(s.read_text(encoding="utf-8")) for s in sheets)
    return made.verdict, [[t.text for t in found if t.frame == "stamp"] for found in read]


def test_every_sheet_has_the_verdict_on_the_job(tmp_path: Path) -> None:
    verdict, (top, under) = stamps(tmp_path, 408)
    assert verdict == "fail"
    assert top[:2] == ["FAIL", "do not run this program"]
    assert re.fullmatch(r"\d errors?(, \d+ warnings?)?", top[2])
    assert under == ["FAIL", "do not run: errors in Top", "here: nothing wrong found"]
    verdict, both = stamps(tmp_path, 108)
    assert verdict == "pass"
    assert [s[0] for s in both] == ["PASS", "PASS"]
