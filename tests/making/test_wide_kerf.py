"""Profiles cut out at constant engagement: proved against the drawing, never a slot, tabs left
whole."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from gcodekit.making.make import Report, make

HEAD = """\
name = "Cheek"
units = "mm"
material = "aluminium"
[stock]
block = [60, 46, 8]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
"""
RIM = 'kind = "profile"\noutline = { rectangle = [34, 22], centre = [0, 0], round = 5 }\n'
OUTSIDE = RIM + 'side = "outside"\nthrough = true\n'
TABS = "tabs = { count = 3, width = 4, height = 1.5 }\n"

PROVED = {
    "outside, through, with tabs": OUTSIDE + TABS,
    "outside, to a depth": RIM + 'side = "outside"\ndepth = 4\n',
    "inside, a skin left": RIM + 'side = "inside"\nthrough = true\nskin = 0.2\n',
    "conventional": OUTSIDE + TABS + 'cut = "conventional"\n',
    "round a sharp inner corner": 'kind = "profile"\noutline = { path = [[-17, -11], [17, -11], '
    '[17, 0], [0, 0], [0, 11], [-17, 11]] }\nside = "outside"\nthrough = true\n' + TABS,
    "left to be finished": OUTSIDE + TABS + "finish = false\n",
    "finished by spring passes alone": OUTSIDE
    + TABS
    + "finish = false\nallowance = { wall = 0 }\nspring_passes = 1\n",
    "beside a path": 'kind = "profile"\nside = "left"\ndepth = 4\n'
    "path = [[-18, -12], { to = [10, -12], round = 8 }, [10, 14]]\n",
}


def outcome_of(folder: Path, *features: str) -> Report:
    path = folder / "job.toml"
    path.write_text(HEAD + "".join(f"[[setup.feature]]\n{f}" for f in features))
    return make(path, folder / "out")


def made(folder: Path, *features: str) -> dict[str, Any]:
    assert outcome_of(folder, *features).verdict == "pass"
    found: dict[str, Any] = json.loads((folder / "out" / "report.json").read_text())
    return found


EVEN = 'rough = "constant engagement"\n'


def roughing(report: dict[str, Any]) -> list[dict[str, Any]]:
    return [o for o in report["features"][0]["operations"] if o.get("how") == "constant engagement"]


@pytest.mark.parametrize("feature", [pytest.param(f, id=name) for name, f in PROVED.items()])
def test_proved_and_never_a_slot(feature: str, tmp_path: Path) -> None:
    report = made(tmp_path, feature + EVEN)
    found = roughing(report)
    assert found
    for operation in found:
        cutter = 6.0
        width = operation["width"]
        assert 0 < width <= cutter / 2 + 1e-9
        straight = math.degrees(math.acos(1 - 2 * width / cutter))
        # the helix it comes down by lies in whole metal, level cuts never do
        assert operation["engagement"] <= 1.2 * straight
    (row,) = report["features"]
    assert row["gouge"] <= 0.01
    assert row["reachable_uncut"] <= 0.01


def test_along_the_outline_it_is_a_slot(tmp_path: Path) -> None:
    (first, *_) = made(tmp_path, OUTSIDE + TABS)["features"][0]["operations"]
    assert first["engagement"] == pytest.approx(180, abs=2)


@pytest.mark.parametrize(
    ("features", "said"),
    [
        pytest.param(
            [PROVED["outside, to a depth"] + "rough_with = 5\ncutter = 1\n" + EVEN],
            "has no room for",
            id="finished with a small cutter",
        ),
        pytest.param(
            [
                OUTSIDE + TABS + EVEN,
                'kind = "boss"\noutline = { circle = 6, centre = [26.5, 0] }\n'
                "within = { circle = 9, centre = [26.5, 0] }\ndepth = 1\ncutter = 1\n",
            ],
            "cuts into what another feature keeps",
            id="beside what stays",
        ),
    ],
)
def test_refused(features: list[str], said: str, tmp_path: Path) -> None:
    outcome = outcome_of(tmp_path, *features)
    assert outcome.verdict == "fail"
    assert any(said in fault.message for fault in outcome.faults)
