"""One program a cutter: named in running order, each read back, proved as one cut."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from gcodekit.making.dryrun import dry_run
from gcodekit.making.make import make
from gcodekit.planning.program import Program
from gcodekit.rs274 import read_program

RECESS = """
  [[setup.feature]]
  name = "recess"
  kind = "bore"
  diameter = 9
  at = [22, 18]
  depth = 1
  cutter = 2
"""


def report_of(made: Any) -> Any:
    return json.loads((made.out / "report.json").read_text(encoding="utf-8"))


def test_files_sort_in_running_order(apart: Any) -> None:
    assert apart.outcome.verdict == "pass", [str(f) for f in apart.outcome.faults]
    programs = report_of(apart)["programs"]
    names = [p["file"] for p in programs]
    assert names == ["1-top-side-1-t2.nc", "1-top-side-2-t5.nc"]
    assert names == sorted(p.name for p in apart.out.glob("*.nc"))
    assert [p["cutters"] for p in programs] == [[2], [5]]
    assert {p["setup"] for p in programs} == {"Top side"}


def test_each_file_is_counted_for_itself(apart: Any) -> None:
    """Against the file's own text, read anew."""
    for row in report_of(apart)["programs"]:
        text = (apart.out / row["file"]).read_text(encoding="utf-8")
        reading = read_program(text)
        assert row["blocks"] == reading.blocks
        cuts = [m.length for m in reading.moves if m.kind != "rapid" and m.known_before == "XYZ"]
        assert row["cut_length"] == pytest.approx(sum(cuts))
        assert row["time_s"] > 0
        assert [e.value for e in reading.events if e.kind == "tool change"] == row["cutters"]
        assert text.splitlines()[-1] == "M2"


def test_header_says_which_of_how_many(apart: Any) -> None:
    for n, row in enumerate(report_of(apart)["programs"], 1):
        head = (apart.out / row["file"]).read_text(encoding="utf-8").splitlines()[:3]
        assert f"(file {n} of 2 for this set-up: run in order)" in head
        assert (apart.out / row["file"]).with_suffix(".svg").is_file()


@pytest.mark.usefixtures("undrawn")
def test_files_in_the_wrong_order_fail(apart: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """The drill's rapid into the tray is right only after the tray is cut."""
    true = Program.visits
    monkeypatch.setattr(Program, "visits", property(lambda self: tuple(reversed(true.fget(self)))))
    outcome = make(apart.job, apart.job.parent / "wrong")
    assert outcome.verdict == "fail"
    found = [f for f in outcome.faults if "rapid into stock" in f.message]
    assert found
    assert {f.place.file for f in found} == {"1-top-side-2-t5.nc"}
    # the line is that file's own: its drilling cycle
    assert min(f.place.line for f in found) < 30
    assert not list((apart.job.parent / "wrong").glob("*.nc"))
    outcome = make(apart.job, apart.job.parent / "wrong", unproven=True)
    names = sorted(p.name for p in (apart.job.parent / "wrong").glob("*.nc"))
    assert names == ["UNPROVEN-1-top-side-1-t2.nc", "UNPROVEN-1-top-side-2-t5.nc"]


@pytest.mark.usefixtures("undrawn")
def test_a_file_left_out_is_found(apart: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    true = Program.visits
    monkeypatch.setattr(Program, "visits", property(lambda self: true.fget(self)[:1]))
    outcome = make(apart.job, apart.job.parent / "short")
    assert outcome.verdict == "fail"
    assert any("uncut in screws" in f.message for f in outcome.faults)


def test_a_post_can_ask_for_it(two_sides: Any, tmp_path: Path) -> None:
    (tmp_path / "single.py").write_text(
        "from gcodekit.post.contract import Post\n"
        "post = Post(name='single', description='', one_cutter_a_file=True)\n",
        encoding="utf-8",
    )
    outcome = make(two_sides.job, tmp_path / "out", post="single", posts=tmp_path)
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    names = sorted(p.name for p in (tmp_path / "out").glob("*.nc"))
    assert names == ["1-top-side-1-t2.nc", "1-top-side-2-t5.nc", "2-second-clamping.nc"]


def test_a_control_without_tool_words(apart: Any, tmp_path: Path) -> None:
    """Its texts do not say which cutter cuts; each file is proved with the one it is for."""
    (tmp_path / "plain.py").write_text(
        "from gcodekit.post.contract import Post\n"
        "post = Post(name='plain', description='', tool_change=False, one_cutter_a_file=True)\n",
        encoding="utf-8",
    )
    outcome = make(apart.job, tmp_path / "out", post="plain", posts=tmp_path)
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    files = sorted((tmp_path / "out").glob("*.nc"))
    assert len(files) == 2
    assert not any(" M6" in f.read_text(encoding="utf-8") for f in files)
    run = dry_run(files[1], job=apart.job, cutter=5)
    assert [f.severity for f in run.faults] == ["warning"]
    run = dry_run(files[1], job=apart.job)
    assert any(f.hint == "give --cutter N" for f in run.notes)


def test_a_cutter_that_comes_again_has_a_file_again(apart: Any, tmp_path: Path) -> None:
    """One file a cutter would cut in another order than is written."""
    shutil.copy(apart.job.with_name("shop.toml"), tmp_path)
    job = tmp_path / "job.toml"
    text = apart.job.read_text(encoding="utf-8").replace(
        'name = "Top side"', 'name = "Top side"\norder = "as written"'
    )
    job.write_text(text + RECESS, encoding="utf-8")
    outcome = make(job, tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    names = sorted(p.name for p in (tmp_path / "out").glob("*.nc"))
    assert names == ["1-top-side-1-t2.nc", "1-top-side-2-t5.nc", "1-top-side-3-t2.nc"]
