"""A picture that cannot be drawn costs no proved program: it is warned of in one line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from gcodekit.errors import Fault, GcodekitError, Place
from gcodekit.making import programs
from gcodekit.making import proved_job as making
from gcodekit.making.make import Report, make
from gcodekit.making.reference_page.pictures import picture
from gcodekit.plot import paper

JOB = """\
name = "Plate"
units = "mm"
material = "aluminium"
[stock]
block = [60, 40, 6]
[[setup]]
hold = { board = 12 }
[[setup.feature]]
kind = "slot"
from = [15, 20]
to = [45, 20]
width = 6
depth = 2
"""


PROGRAM = ("1-set-up-1.nc", "set-up-sheet.html", "report.json")


def raising(error: Exception) -> Callable[..., Any]:
    def fail(*_: Any, **__: Any) -> Any:
        raise error

    return fail


def made(folder: Path, **more: Any) -> Report:
    (folder / "plate.toml").write_text(JOB, encoding="utf-8")
    return make(folder / "plate.toml", folder / "out", **more)


def left(folder: Path) -> set[str]:
    return {p.name for p in (folder / "out").iterdir()}


@pytest.mark.parametrize(
    ("error", "reason"),
    [
        (ZeroDivisionError("division\n by zero"), "ZeroDivisionError: division by zero"),
        (AssertionError(), "AssertionError"),
        (ValueError("x" * 1000), "ValueError: " + "x" * 188),
        (GcodekitError([Fault(Place("a"), "no face was found")]), "no face was found"),
    ],
)
def test_a_sheet_that_cannot_be_drawn(
    error: Exception, reason: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(programs, "plan_view", raising(error))
    outcome = made(tmp_path)
    assert outcome.verdict == "pass"
    assert [str(f) for f in outcome.faults] == [
        f"{tmp_path}/plate.toml:6: warning: the picture of set-up 1 could not be drawn: {reason}, "
        "the programs are not affected"
    ]
    assert left(tmp_path) == {*PROGRAM, "part.svg"}
    problems = json.loads((tmp_path / "out" / "report.json").read_text())["problems"]
    assert [(p["severity"], p["line"]) for p in problems] == [("warning", 6)]
    assert "could not be drawn" in problems[0]["text"]


def test_the_program_is_the_same_without_its_picture(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made(tmp_path)
    program = (tmp_path / "out" / "1-set-up-1.nc").read_bytes()
    assert "1-set-up-1.svg" in left(tmp_path)
    monkeypatch.setattr(programs, "plan_view", raising(KeyError("z")))
    made(tmp_path)
    assert (tmp_path / "out" / "1-set-up-1.nc").read_bytes() == program
    # the earlier run's is not to be taken for this one's
    assert "1-set-up-1.svg" not in left(tmp_path)


@pytest.mark.parametrize("where", ["work_holding_view", "plan_view"])
def test_the_sheet_without_a_picture(
    where: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(programs, where, raising(IndexError("no facet")))
    outcome = made(tmp_path)
    assert outcome.verdict == "pass"
    assert len(outcome.faults) == 1
    text = (tmp_path / "out" / "set-up-sheet.html").read_text(encoding="utf-8")
    assert ("data:image/svg" in text) == (where == "plan_view")
    assert "Cutters in running order" in text


@pytest.mark.parametrize("where", ["part_surface", "part_picture"])
def test_a_part_that_cannot_be_drawn(
    where: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(making, where, raising(IndexError("no facet")))
    outcome = made(tmp_path)
    assert outcome.verdict == "pass"
    assert [str(f) for f in outcome.faults] == [
        f"{tmp_path}/plate.toml: warning: the picture of the finished part could not be drawn: "
        "IndexError: no facet, the programs are not affected"
    ]
    assert left(tmp_path) == {*PROGRAM, "1-set-up-1.svg"}


def test_pictures_that_cannot_be_had_as_png(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(paper, "_lettered", lambda: False)
    outcome = made(tmp_path, png=True)
    assert outcome.verdict == "pass"
    assert [str(f) for f in outcome.faults] == [
        f"{name}: warning: the picture of {name} could not be drawn: cannot be lettered: no "
        "sans-serif face was found here, the programs are not affected"
        for name in ("1-set-up-1.png", "part.png")
    ]
    assert left(tmp_path) == {*PROGRAM, "1-set-up-1.svg", "part.svg"}


def test_a_failing_job_fails_all_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(programs, "plan_view", raising(ZeroDivisionError()))
    path = tmp_path / "plate.toml"
    path.write_text(JOB.replace("board = 12", "board = 12, clamps = [{ at = [30, 20], "
                    "size = [10, 10], height = 10 }]"), encoding="utf-8")  # fmt: skip
    outcome = make(path, tmp_path / "out")
    assert outcome.verdict == "fail"
    assert any("collision" in f.message for f in outcome.faults)
    assert left(tmp_path) == {"part.svg", "report.json"}


def test_the_reference_needs_its_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    for module, name in ((programs, "plan_view"), (making, "part_picture")):
        monkeypatch.setattr(module, name, raising(ZeroDivisionError()))
    with pytest.raises(GcodekitError, match=r"the example of slot: .* could not be drawn"):
        picture("slot")
