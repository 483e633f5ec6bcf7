"""`gcodekit outline`: what it lists, and that what it prints can be pasted into a job."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from gcodekit.job.kinds.boss import Boss
from gcodekit.job.load import load_job

Run = Callable[..., Any]


@pytest.fixture(params=[pytest.param(4, id="mm"), pytest.param(1, id="inch")])
def drawing(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.chdir(tmp_path)
    document = ezdxf.new("R2000", units=request.param)
    space = document.modelspace()
    rim = {"layer": "the rim"}
    space.add_ellipse((2, 1), (2, 0), 0.5, dxfattribs=rim)
    space.add_circle((2, 1), 0.5, dxfattribs=rim)
    space.add_circle((6, 1), 0.5, dxfattribs=rim)
    space.add_line((0, 0), (3, 4), dxfattribs={"layer": "line", "handle": "F1"})
    document.saveas("it.dxf")
    return "mm" if request.param == 4 else "inch"


def test_json(drawing: str, run: Run) -> None:
    code, out, err = run("outline", "it.dxf", "--json")
    found = json.loads(out)
    assert code == 0
    assert found["units"] == drawing
    rim, line = found["layers"]
    assert (rim["name"], line["name"]) == ("the rim", "line")
    assert [r["closed"] for r in rim["rings"]] == [True] * 3
    areas = [2 * math.pi, 0.25 * math.pi, 0.25 * math.pi]
    assert [r["area"] for r in rim["rings"]] == pytest.approx(areas, abs=0.01)
    assert rim["size"] == pytest.approx([6.5, 2])
    assert rim["open_ends"] == 0
    assert [r["circle"] for r in rim["rings"]] == [
        None,
        {"centre": pytest.approx([2, 1]), "diameter": pytest.approx(1)},
        {"centre": pytest.approx([6, 1]), "diameter": pytest.approx(1)},
    ]
    boxes = [[[0, 0], [4, 2]], [[1.5, 0.5], [2.5, 1.5]], [[5.5, 0.5], [6.5, 1.5]]]
    for ring, box in zip(rim["rings"], boxes, strict=True):
        assert ring["box"] == [pytest.approx(c, abs=0.001) for c in box]
    (ring,) = line["rings"]
    box = [[0, 0], pytest.approx([3, 4])]
    assert ring == {"area": None, "length": 5.0, "closed": False, "box": box, "circle": None}
    assert line["open_ends"] == 2
    assert line["open_at"] == [[0, 0], pytest.approx([3, 4])]
    where = "LINE F1 has an open end at [0, 0], LINE F1 at [3, 4], 5 apart"
    hint = "use it as a path, or join them for an outline"
    assert err == f"it.dxf: warning: layer line: {where}, {hint}\n"


def test_table(drawing: str, run: Run) -> None:
    _, out, _ = run("outline", "it.dxf")
    rows = [row.split() for row in out.splitlines()]
    assert rows[0] == ["units:", drawing]
    assert rows[3][:3] == ["the", "rim", "all"]
    assert [r[0] for r in rows[4:7]] == ["closed", "circle", "circle"]
    assert "circle 1 at [6, 1]" in out
    assert rows[7][1:8] == ["all", "1", "2", "0.0", "0.0", "3.0", "4"]


def test_what_is_printed_makes_the_same_outlines(drawing: str, run: Run) -> None:
    _, out, _ = run("outline", "it.dxf", "--as-path")
    assert f'# units = "{drawing}"' in out
    head = f'units = "{drawing}"\nmaterial = "brass"\n[stock]\nblock = [9, 9, 6]\n'
    feature = '[[setup]]\n[[setup.feature]]\nkind = "boss"\noutline = {}\ndepth = 0.1\n'
    areas = []
    for outline in ('"the_rim"', '{ dxf = "it.dxf", layer = "the rim" }'):
        Path("job.toml").write_text(head + out + feature.format(outline), encoding="utf-8")
        boss = load_job(Path("job.toml")).setups[0].features[0]
        assert isinstance(boss, Boss)
        areas.append(boss.kept.area)
    assert areas[0] == pytest.approx(areas[1], rel=1e-6)


def test_what_is_wrong_ends_with_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("outline", "no.dxf") == (1, "", "no.dxf: no such file, check the name\n")
    Path("a.txt").touch()
    said = "a.txt: is neither a .dxf nor an .svg file, save it as one of them\n"
    assert run("outline", "a.txt") == (1, "", said)
    Path("a.svg").write_text("<svg><circle r='-1'/></svg>", encoding="utf-8")
    code, _, err = run("outline", "a.svg")
    assert code == 1
    assert err == "a.svg: circle on line 1: its radius is negative, draw it again\n"
    assert run("outline", "a.svg", "--json", "--as-path").code == 2


def test_a_drawing_with_nothing_in_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("a.svg").write_text("<svg/>", encoding="utf-8")
    assert run("outline", "a.svg") == (0, "no outlines found\n", "")
