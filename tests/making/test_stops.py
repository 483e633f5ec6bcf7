"""A stop in the middle of a set-up: nothing goes across it, and each stretch of the program is held
against the bodies that hold the work while it runs."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gcodekit.making.dryrun import dry_run
from gcodekit.making.make import make
from gcodekit.rs274 import read_program

HEAD = """\
name = "Guide strip"
units = "mm"
material = "aluminium"
{top}
[stock]
block = [100, 40, 8]
[[setup]]
name = "Clamped twice"
{setup}
[setup.hold]
board = 10
clamps = [{{ at = [90, 20], size = [24, 30], height = 14 }}]
"""
POCKET = """\
[[setup.feature]]
name = "{name}"
kind = "pocket"
outline = {{ rectangle = [30, 20], centre = [{x}, 20], round = 4 }}
depth = 3
"""
HOLES = """\
[[setup.feature]]
name = "{name}"
kind = "hole"
at = [[{x}, 6], [{x}, 34]]
diameter = 5
through = true
"""
STOP = """\
[[setup.feature]]
kind = "stop"
text = "move the clamp: to the (left) end, 3/4 over the edge of the work and no farther"
hold = { board = 10, clamps = [{ at = [10, 20], size = [24, 30], height = 14 }] }
"""


def strip(*features: str, top: str = "", setup: str = "") -> str:
    return HEAD.format(top=top, setup=setup) + "".join(features)


def pocket(name: str, x: float) -> str:
    return POCKET.format(name=name, x=x)


def holes(name: str, x: float) -> str:
    return HOLES.format(name=name, x=x)


BOTH = (
    pocket("left pocket", 25),
    holes("left holes", 50),
    STOP,
    pocket("right pocket", 75),
    holes("right holes", 55),
)


@pytest.mark.parametrize("post", ["rs274_full", "iso6983", "motion_only"])
@pytest.mark.parametrize("order", ["planned", "as written"])
def test_a_clamp_is_moved_and_both_sides_are_cut(tmp_path: Path, post: str, order: str) -> None:
    job = tmp_path / "strip.toml"
    job.write_text(strip(*BOTH, setup=f'order = "{order}"'), encoding="utf-8")
    outcome = make(job, tmp_path / "out", post=post)
    assert [f.message for f in outcome.faults] == []
    assert outcome.verdict == "pass"
    report = json.loads((tmp_path / "out" / "report.json").read_text())
    texts = [(tmp_path / "out" / p["file"]).read_text() for p in report["programs"]]
    assert sum(t.count("farther") for t in texts) == 1


def lines_of(text: str, words: str) -> list[int]:
    return [n for n, line in enumerate(text.splitlines()) if words in line]


def test_no_cutter_works_across_the_stop(tmp_path: Path) -> None:
    job = tmp_path / "strip.toml"
    job.write_text(strip(*BOTH), encoding="utf-8")
    make(job, tmp_path / "out")
    text = (tmp_path / "out" / "1-clamped-twice.nc").read_text()
    (stop,) = lines_of(text, "farther")
    assert max(lines_of(text, "(left")) < stop < min(lines_of(text, "(right"))
    # up and still before the operator reaches in; up again before anything moves sideways
    lines = text.splitlines()
    first = lines_of(text, "MSG, move the clamp")[0]
    assert lines[first - 2 : first] == ["G0 Z19", "M5"]
    assert lines[stop + 1] == "M0"
    reading = read_program(text)
    after = [m for m in reading.moves if m.line > stop + 2]
    assert after[0].kind == "rapid"
    assert after[0].end[2] >= 14 + 5


@pytest.mark.parametrize(
    ("features", "line"),
    [
        pytest.param((pocket("p", 75), STOP, pocket("q", 60)), "clamp 1", id="before it moves"),
        pytest.param((pocket("p", 40), STOP, pocket("q", 25)), "clamp 1", id="after it moved"),
    ],
)
def test_what_a_clamp_stands_on_is_not_cut(
    tmp_path: Path, features: tuple[str, ...], line: str
) -> None:
    job = tmp_path / "strip.toml"
    job.write_text(strip(*features), encoding="utf-8")
    outcome = make(job, tmp_path / "out")
    assert outcome.verdict == "fail"
    assert any(f"{line} is in the cutter's way" in f.message for f in outcome.faults)


def test_a_dry_run_finds_the_stop_by_its_words(tmp_path: Path) -> None:
    job = tmp_path / "strip.toml"
    job.write_text(strip(*BOTH), encoding="utf-8")
    make(job, tmp_path / "out")
    program = tmp_path / "out" / "1-clamped-twice.nc"
    assert dry_run(program, job=job).findings.passed
    # without it nobody knows when which clamp stands
    text = program.read_text()
    program.write_text(text.replace("farther", "further"), encoding="utf-8")
    run = dry_run(program, job=job)
    assert [n.message for n in run.notes] == ["not every stop of Clamped twice found (stop 1)"]
    # moved to the front of the program, the right pocket's clamp is in the left pocket's way
    lines = text.splitlines()
    first, last = lines_of(text, "MSG, move the clamp")[0], lines_of(text, "farther")[0] + 1
    begin = next(n for n, line in enumerate(lines) if line.startswith("T"))
    moved = [*lines[:begin], *lines[first : last + 1], *lines[begin:first], *lines[last + 1 :]]
    program.write_text("\n".join(moved) + "\n", encoding="utf-8")
    assert any("into clamp 1" in f.message for f in dry_run(program, job=job).faults)


def test_copies_of_a_set_up_are_cut_in_their_stage(tmp_path: Path) -> None:
    job = tmp_path / "strip.toml"
    copy = "[[setup.copy]]\nmove = [0, -2]\n"
    hole = '[[setup.feature]]\nname = "{}"\nkind = "hole"\nat = [{}, 36]\ndiameter = 3\ndepth = 2\n'
    text = strip(hole.format("a", 30), STOP, hole.format("b", 70), copy.replace("-2", "-30"))
    job.write_text(text, encoding="utf-8")
    outcome = make(job, tmp_path / "out")
    assert outcome.verdict == "pass"
    program = (tmp_path / "out" / "1-clamped-twice.nc").read_text()
    (stop,) = lines_of(program, "farther")
    assert max(lines_of(program, "(a")) < stop < min(lines_of(program, "(b: "))
