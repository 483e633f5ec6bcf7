"""Outlines from drawings in a job: where they come out, and every fault with the job's line and
key, the file, the layer, what is at fault there, and its place."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from gcodekit.errors import JobError
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.load import load_job
from gcodekit.job.model import Job

HEAD = """\
units = "mm"
material = "brass"
[stock]
block = [120, 80, 6]
[[setup]]
[setup.hold]
board = 12
[[setup.feature]]
kind = "{kind}"
depth = 2
"""
SVG = """\
<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<g id="plate"><rect width="50" height="40"/><circle id="eye" cx="20" cy="30" r="5"/></g>
<path id="line" d="M0 0 L10 0 L20 10"/>
</svg>
"""


def plate(document: Any) -> None:
    space = document.modelspace()
    rim, eye = {"layer": "Rim"}, {"layer": "Eye"}
    space.add_lwpolyline([(0, 0), (40, 0), (40, 30), (0, 30)], close=True, dxfattribs=rim)
    space.add_circle((10, 10), 4, dxfattribs=rim)
    space.add_circle((20, 20), 6, dxfattribs=eye)
    space.add_line((0, 0), (10, 0), dxfattribs={"layer": "Line", "handle": "F1"})
    space.add_line((10, 0), (20, 10), dxfattribs={"layer": "Line", "handle": "F2"})
    space.add_line((0, 0), (10, 0), dxfattribs={"layer": "Broken", "handle": "F3"})
    space.add_line((10, 0.5), (20, 10), dxfattribs={"layer": "Broken", "handle": "F4"})
    space.add_text("note", dxfattribs=eye)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    for name, units in (("mm.dxf", 4), ("inch.dxf", 1), ("bare.dxf", 0)):
        document = ezdxf.new("R2000", units=units)
        document.layers.add("Empty")
        plate(document)
        document.saveas(name)
    Path("it.svg").write_text(SVG, encoding="utf-8")
    Path("bad.dxf").write_text("no drawing", encoding="utf-8")
    return tmp_path


def job(lines: str, kind: str = "pocket") -> Job:
    Path("job.toml").write_text(HEAD.format(kind=kind) + lines, encoding="utf-8")
    return load_job(Path("job.toml"))


def pocket(outline: str) -> Any:
    feature = job(f"outline = {outline}\n").setups[0].features[0]
    assert isinstance(feature, Pocket)
    return feature.area


RIM = 1200 - 16 * math.pi


@pytest.mark.parametrize(
    ("outline", "area"),
    [
        ('{ dxf = "mm.dxf", layer = "Rim" }', RIM),
        ('{ dxf = "mm.dxf", layer = "RIM" }', RIM),
        ('{ dxf = "mm.dxf", layer = "Rim", scale = 0.5 }', RIM / 4),
        ('{ dxf = "inch.dxf", layer = "Rim", scale = "1/25.4" }', RIM),
        ('{ dxf = "bare.dxf", layer = "Rim" }', RIM),
        ('{ svg = "it.svg", id = "plate" }', 2000 - 25 * math.pi),
        ('{ svg = "it.svg", id = "eye", mirror = "x", angle = 30, move = [9, 9] }', 25 * math.pi),
        ('{ dxf = "mm.dxf", layer = "Eye", grow = 2 }', 64 * math.pi),
        (
            '{ minus = [{ dxf = "mm.dxf", layer = "Rim" }, { dxf = "mm.dxf", layer = "Eye" }] }',
            RIM - 36 * math.pi,
        ),
    ],
)
def test_outlines_come_from_drawings(folder: Path, outline: str, area: float) -> None:
    assert pocket(outline).area == pytest.approx(area, rel=1e-6)


def test_an_outline_is_placed_as_all_are(folder: Path) -> None:
    found = pocket('{ dxf = "mm.dxf", layer = "Eye", mirror = "y", angle = 90, move = [50, 60] }')
    (arc,) = found.rings[0]
    # 20, 20 mirrored: -20, 20; turned: -20, -20; moved: 30, 40
    assert arc.centre == pytest.approx((30, 40))
    assert arc.radius == pytest.approx(6)


@pytest.mark.parametrize(
    "path",
    [
        '{ dxf = "mm.dxf", layer = "Line" }',
        '{ svg = "it.svg", id = "line", mirror = "y", move = [60, 0] }',
    ],
)
def test_a_path_comes_from_a_drawing(folder: Path, path: str) -> None:
    made = job(f'path = {path}\nside = "on"\n', kind="profile").setups[0].features[0]
    assert isinstance(made, Profile)
    assert made.path is not None
    assert made.path.length == pytest.approx(10 + math.hypot(10, 10))
    assert not made.path.closed


def told(lines: str, kind: str = "pocket") -> list[str]:
    """Errors, or else warnings, of the drawing's key."""
    try:
        found = [str(w) for w in job(lines, kind).warnings]
    except JobError as error:
        found = [str(f) for f in error.faults if f.severity == "error"]
    return [line.removeprefix("job.toml:11: ") for line in found]


OUTLINE = "setup 1.feature 1.outline"
THERE = 'choose from "Rim", "Eye", "Line" and "Broken"'


@pytest.mark.parametrize(
    ("outline", "said"),
    [
        ('{ dxf = "no.dxf" }', [f"{OUTLINE}.dxf: no.dxf: no such file, check the name"]),
        (
            '{ dxf = "bad.dxf" }',
            [
                f"{OUTLINE}.dxf: bad.dxf: is not a DXF drawing, save it as a text (ASCII) DXF",
            ],
        ),
        (
            '{ dxf = "it.svg" }',
            [f'{OUTLINE}.dxf: "it.svg" is not a .dxf file, name a file that ends in .dxf'],
        ),
        (
            '{ dxf = "mm.dxf", layer = "Rin" }',
            [f'{OUTLINE}.layer: mm.dxf has no layer "Rin", the nearest names: "Rim"'],
        ),
        (
            '{ dxf = "mm.dxf", layer = "zzz" }',
            [f'{OUTLINE}.layer: mm.dxf has no layer "zzz", {THERE}'],
        ),
        (
            '{ dxf = "mm.dxf", layer = "Empty" }',
            [f'{OUTLINE}.layer: nothing is drawn on "Empty" in mm.dxf, {THERE}'],
        ),
        (
            '{ dxf = "mm.dxf" }',
            [
                f'{OUTLINE}.layer: mm.dxf has several, name one of "Rim", "Eye", "Line" and '
                '"Broken"'
            ],
        ),
        (
            '{ dxf = "mm.dxf", layer = "Line" }',
            [
                f"{OUTLINE}: is an open path (mm.dxf, layer Line: LINE F1 has an open end "
                "at [0, 0], "
                "LINE F2 at [20, 10], 22.3607 apart), draw a closed outline"
            ],
        ),
        (
            '{ dxf = "mm.dxf", layer = "Broken" }',
            [
                f"{OUTLINE}.layer: mm.dxf, layer Broken: LINE F3 has an open end at [0, 0], "
                "LINE F3 at "
                "[10, 0], 10 apart, join them in the drawing",
                f"{OUTLINE}.layer: mm.dxf, layer Broken: LINE F4 has an open end at [10, "
                "0.5], LINE F4 "
                "at [20, 10], 13.7931 apart, join them in the drawing",
            ],
        ),
        (
            '{ dxf = "mm.dxf", layer = "Rim", id = "x" }',
            [f"{OUTLINE}.id: does not go with dxf, use layer, scale, mirror, angle, move, grow and "
             "about"],
        ),
        (
            '{ svg = "it.svg", id = "Plate" }',
            [f'{OUTLINE}.id: it.svg has no id "Plate", the nearest names: "plate"'],
        ),
        (
            '{ svg = "it.svg", id = "plate", scale = -1 }',
            [f"{OUTLINE}.scale: -1 is too small, it must be greater than 0"],
        ),
    ],
)  # fmt: skip
def test_faults_of_drawings_are_faults_of_the_job(
    folder: Path, outline: str, said: list[str]
) -> None:
    assert told(f"outline = {outline}\n") == said


def test_what_is_worth_a_word_is_a_warning(folder: Path) -> None:
    key = f"warning: {OUTLINE}.layer: bare.dxf, layer Eye:"
    assert told('outline = { dxf = "bare.dxf", layer = "Eye" }\n')[:2] == [
        f"{key} has no units, read in the units of the job, mm",
        f"{key} ignored, not shapes: 1 TEXT",
    ]


def test_all_faults_are_told_at_once(folder: Path) -> None:
    lines = (
        'outline = { union = [{ dxf = "no.dxf" }, { svg = "it.svg", id = "x" }] }\n'
        '[outlines]\nunused = { dxf = "mm.dxf", layer = "Rin" }\n'
    )
    assert len(told(lines)) == 3
