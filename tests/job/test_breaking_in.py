"""Depth until a feature breaks into what an earlier set-up has cut, worked out by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from gcodekit.errors import JobError
from gcodekit.job.feature import Depth
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


def depth_of(*keys: str, folder: Path, first: str = FIRST) -> Depth:
    text = first + f'[[setup]]\nname = "top"\n{CENTRE}[[setup.feature]]\n' + "\n".join(keys) + "\n"
    (folder / "job.toml").write_text(text, encoding="utf-8")
    return load_job(folder / "job.toml").setups[2].features[0].depth


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
    depth = depth_of(*keys, folder=tmp_path)
    assert depth.floor == pytest.approx(floor, abs=0.003)
    # and on by the breakthrough, 0.5 unless given
    assert depth.cut_to == pytest.approx(depth.floor - 0.5)
    assert depth.into in ("gallery", "well")
    assert not depth.through


def test_the_other_side(tmp_path: Path) -> None:
    over = (HOLE, "at = [5, 10]", "diameter = 5", GALLERY)
    depth = depth_of(*over, folder=tmp_path)
    assert depth.far == pytest.approx(-10 - math.sqrt(16 - 2.5**2), abs=0.003)
    # a pocket of the other face is open below
    assert depth_of(HOLE, "at = [-18, 2]", "diameter = 5", WELL, folder=tmp_path).far == -math.inf


@pytest.mark.parametrize(
    ("first", "keys", "beyond"),
    [
        # 8 wide, the hole 7.9: the full width lies within the gallery over 1.26
        pytest.param(FIRST, (HOLE, "at = [5, 10]", "diameter = 7.9", GALLERY, "top = 0"), 0.5,
                     id="just enough for both"),
        pytest.param(FIRST, (HOLE, "at = [5, 10]", "diameter = 7.97", GALLERY), 0.345,
                     id="half the way across"),
        pytest.param(FIRST.replace("depth = 6", "depth = 0.3"),
                     (HOLE, "at = [-18, 2]", "diameter = 5", WELL), 0.15,
                     id="half the way to the bottom"),
    ],
)  # fmt: skip
def test_no_farther_than_half_way(
    first: str, keys: tuple[str, ...], beyond: float, tmp_path: Path
) -> None:
    depth = depth_of(*keys, folder=tmp_path, first=first)
    assert depth.floor - depth.cut_to == pytest.approx(beyond, abs=0.015)


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
        depth_of(*keys, folder=tmp_path)
    assert said in str(raised.value)
