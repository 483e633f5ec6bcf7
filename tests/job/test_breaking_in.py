"""Depth until a feature breaks into what an earlier set-up has cut, worked out by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from gcodekit.errors import JobError
from gcodekit.job.load import load_job

CENTRE = 'zero = { x = "centre", y = "centre", z = "top" }\nhold = { board = 12 }\n'
# A block 60 x 40 x 20, across it in y a hole of 8, its axis 10 below the top, 5 to the right.
FIRST = f"""\
units = "mm"
material = "brass"
[stock]
block = [60, 40, 20]
[[setup]]
name = "across"
up = "front"
{CENTRE}[[setup.feature]]
name = "gallery"
kind = "hole"
at = [5, 0]
diameter = 8
through = true
[[setup]]
name = "under"
up = "bottom"
{CENTRE}[[setup.feature]]
name = "well"
kind = "pocket"
outline = {{ circle = 14, centre = [-18, 0] }}
depth = 6
"""


def floor_of(*keys: str, folder: Path) -> float:
    text = FIRST + f'[[setup]]\nname = "top"\n{CENTRE}[[setup.feature]]\n' + "\n".join(keys) + "\n"
    (folder / "job.toml").write_text(text, encoding="utf-8")
    return load_job(folder / "job.toml").setups[2].features[0].depth.cut_to


HOLE, GALLERY, WELL = 'kind = "hole"', 'until = "gallery"', 'until = "well"'


@pytest.mark.parametrize(
    ("keys", "floor"),
    [
        pytest.param((HOLE, "at = [5, 10]", "diameter = 5", GALLERY),
                     -10 + math.sqrt(16 - 2.5**2), id="over the axis"),
        pytest.param((HOLE, "at = [6, 10]", "diameter = 5", GALLERY),
                     -10 + math.sqrt(16 - 3.5**2), id="1 beside it"),
        pytest.param((HOLE, "at = [[5, -10], [6, 10]]", "diameter = 5", GALLERY),
                     -10 + math.sqrt(16 - 3.5**2), id="the deeper of two"),
        pytest.param((HOLE, "at = [-18, 2]", "diameter = 5", WELL), -14, id="into a pocket below"),
        pytest.param(('kind = "slot"', "from = [-20, 0]", "to = [-16, 0]", "width = 6", WELL),
                     -14, id="a slot"),
        pytest.param(('kind = "pocket"', "outline = { circle = 14, centre = [-18, 0] }", WELL),
                     -14, id="as wide as what it meets"),
    ],
)  # fmt: skip
def test_floor(keys: tuple[str, ...], floor: float, tmp_path: Path) -> None:
    # the flattened rim lies 0.001 within the drawn one, worth more where the gallery leans
    assert floor_of(*keys, folder=tmp_path) == pytest.approx(floor, abs=0.003)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        pytest.param((HOLE, "at = [8, 10]", "diameter = 5", GALLERY),
                     'until: hole 2 does not break into "gallery" with its full width',
                     id="beside it"),
        pytest.param((HOLE, "at = [5, 10]", "diameter = 5", 'until = "galery"'),
                     'until: no earlier set-up cuts "galery", did you mean "gallery"?',
                     id="misspelt"),
        pytest.param((HOLE, "at = [5, 10]", "diameter = 5", GALLERY, "depth = 3"),
                     "until: depth and until are given, give only one of them", id="both"),
        pytest.param(('kind = "edge"', 'side = "left"', "at = -28", GALLERY),
                     "until: does not apply to an edge, give a depth", id="an edge"),
    ],
)  # fmt: skip
def test_what_does_not_break_in_is_said(keys: tuple[str, ...], said: str, tmp_path: Path) -> None:
    with pytest.raises(JobError) as raised:
        floor_of(*keys, folder=tmp_path)
    assert said in str(raised.value)
