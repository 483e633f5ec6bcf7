"""Parts of a job's programs made end to end: each begins as a whole program does, what is left out
counts as cut, and what goes wrong where one begins is refused."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from made_jobs import told

from gcodekit.job.load import load_job
from gcodekit.making import program_texts, proved_job
from gcodekit.making.dryrun import dry_run
from gcodekit.making.make import Report, make
from gcodekit.planning import job_part
from gcodekit.planning.job_part import JobPart
from gcodekit.planning.program import Operation
from gcodekit.post import writer

ROOT = Path(__file__).parents[2]
PLATE = ROOT / "jobs" / "eyepiece-plate.toml"
BLOCK = ROOT / "jobs" / "worm-block-squared.toml"
SMALL = """\
name = "Seat"
units = "mm"
material = "aluminium"
[stock]
block = [70, 40, 10]
[[setup]]
name = "Top"
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  board = 15
  clamps = [{ at = [66, 20], size = [10, 20], height = 12 }]
  [[setup.feature]]
  name = "step"
  kind = "pocket"
  outline = { rectangle = [24, 20], centre = [18, 20], round = 4 }
  depth = 2
  [[setup.feature]]
  name = "well"
  kind = "pocket"
  outline = { rectangle = [14, 12], centre = [18, 20], round = 4 }
  top = -2
  depth = 2
  [[setup.feature]]
  kind = "stop"
  text = "move the clamp to the left end"
  hold = { board = 15, clamps = [{ at = [4, 20], size = [10, 20], height = 12 }] }
  [[setup.feature]]
  name = "seat"
  kind = "bore"
  diameter = 16
  at = [54, 20]
  depth = 4
  [[setup.feature]]
  name = "pin"
  kind = "hole"
  diameter = 4
  at = [40, 20]
  depth = 4
"""


def part_made(folder: Path, part: JobPart, more: str = "") -> Report:
    (folder / "job.toml").write_text(SMALL + more, "utf-8")
    return make(folder / "job.toml", folder / "out", part=part)


def program(folder: Path) -> str:
    (file,) = folder.glob("**/*.nc")
    return file.read_text("utf-8")


def operations(text: str) -> list[str]:
    """Those that a program announces."""
    lines = (line[1:-1] for line in text.splitlines() if line.startswith("("))
    known = {"step", "well", "seat", "pin"}
    return [line for line in lines if line.partition(":")[0] in known]


# -- what is written ------------------------------------------------------------------------------


@pytest.mark.parametrize("cutter", [1, 2, 3, 4, 5, 6, 7, 9])
def test_a_shipped_job_starts_again_from_each_of_its_cutters(cutter: int, tmp_path: Path) -> None:
    outcome = make(PLATE, tmp_path, part=JobPart(cutter=cutter))
    assert outcome.verdict == "pass", told(outcome)
    text = program(tmp_path)
    assert f"T{cutter} M6" in text.split(": ", 1)[1]
    # everything is set as at the start of a program, the spindle turns before anything is cut
    head, _, rest = text.partition("G17 G21 G90 G94 G40 G49 G80\nG54 G61\n")
    assert head
    begun = rest[: rest.index("\n(", rest.index("M3"))].splitlines()
    assert begun[0].startswith(f"(MSG, load cutter {cutter}: ")
    # the message may go on over lines
    assert next(line for line in begun if not line.startswith("(")) == f"T{cutter} M6"
    assert [line.split()[0] for line in begun if line.startswith("G")] == ["G0"] * sum(
        line.startswith("G0 Z") for line in begun
    )
    assert begun[-1].endswith("M3") or begun[-1].startswith(("G4", "M"))


def test_a_shipped_job_starts_again_from_a_feature_in_the_middle(tmp_path: Path) -> None:
    outcome = make(PLATE, tmp_path, part=JobPart(start="right clamp slot"))
    assert outcome.verdict == "pass", told(outcome)
    assert [f.name for f in tmp_path.glob("*.nc")] == [
        "1-flat-on-the-spoil-board_from-right-clamp-slot.nc"
    ]
    left = outcome.document["left_out"]
    assert {"dowels", "tray", "corner screws"} == {row["feature"] for row in left}
    assert any("left out, counts as cut: spot of corner screws" in s for s in outcome.summary)
    assert "(right clamp slot: rough)" in program(tmp_path)
    assert "(tray: rough)" not in program(tmp_path)


def test_the_set_up_that_holds_it_is_begun_with_and_those_after_it_follow(tmp_path: Path) -> None:
    outcome = make(BLOCK, tmp_path, part=JobPart(start="keyways"))
    assert outcome.verdict == "pass", told(outcome)
    assert sorted(f.name for f in tmp_path.glob("*.nc")) == [
        "7-bore-and-half-the-curve_from-keyways.nc",
        "8-under-side-and-the-other-half.nc",
    ]
    assert outcome.document["setups_left_out"] == [
        *("Front", "Top", "Back", "Bottom", "Left end", "Right end")
    ]


def test_a_cutter_that_comes_in_several_set_ups_is_warned_of(tmp_path: Path) -> None:
    outcome = make(BLOCK, tmp_path, part=JobPart(start="keyways", cutter=8))
    assert "is used in" not in told(outcome)
    again = make(BLOCK, tmp_path / "again", part=JobPart(cutter=9))
    assert 'cutter 9 is used in "Front" first, later in "Top", "Back"' in told(again)


@pytest.mark.parametrize(
    ("part", "cut"),
    [
        (JobPart(start="well"), ["well", "pin", "seat"]),
        (JobPart(start="pin"), ["pin", "seat"]),
        (JobPart(finish_only=True), ["step finish", "well finish", "seat finish"]),
        (JobPart(start="well", finish_only=True), ["well finish", "seat finish"]),
        (JobPart(only="step", finish_only=True), ["step finish"]),
        (JobPart(only="seat", finish_only=True), ["seat finish"]),
        (JobPart(only="seat"), ["seat"]),
        (JobPart(only="well"), ["well"]),
    ],
    ids=lambda p: p.suffix if isinstance(p, JobPart) else "",
)
def test_no_more_than_the_part_is_written(part: JobPart, cut: list[str], tmp_path: Path) -> None:
    outcome = part_made(tmp_path, part)
    assert outcome.verdict == "pass", told(outcome)
    found = operations(program(tmp_path))
    words = [o.replace(": ", " ") if part.finish_only else o.partition(":")[0] for o in found]
    assert list(dict.fromkeys(words)) == cut
    head = "practice cut: " if part.practice else "part of the program: "
    assert f"({head}" in program(tmp_path)
    asked = outcome.document["part"]
    assert asked == {
        "from": part.start or None,
        "from_cutter": None,
        "finish_only": part.finish_only,
        "only": part.only or None,
        "practice": part.practice,
    }


@pytest.mark.parametrize(
    ("part", "held", "stops"),
    [
        (JobPart(start="well"), "", True),
        (JobPart(start="pin"), "", True),
        (JobPart(only="seat", finish_only=True), "as after the stop: move the clamp", False),
        (JobPart(only="step", finish_only=True), "as at the start of the set-up", False),
        (JobPart(only="seat"), "", False),
    ],
    ids=lambda p: p.suffix if isinstance(p, JobPart) else "",
)
def test_the_work_is_held_as_the_program_says(
    part: JobPart, held: str, stops: bool, tmp_path: Path
) -> None:
    assert part_made(tmp_path, part).verdict == "pass"
    text = program(tmp_path)
    assert f"(work-holding: {held}" in text if held else "(work-holding: " not in text
    assert ("(MSG, move the clamp to the left end)" in text) == stops


def test_a_clamp_that_is_not_moved_back_is_run_into(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Planted: the part counts as held as after the stop, where the other clamp stands."""
    near = SMALL.replace("size = [10, 20], height = 12 }] }", "size = [30, 20], height = 12 }] }")
    (tmp_path / "job.toml").write_text(near, "utf-8")
    part = JobPart(only="step", finish_only=True)
    assert make(tmp_path / "job.toml", tmp_path / "out", part=part).verdict == "pass"
    right = proved_job.part_of

    def later(plan: Any, part: JobPart) -> Any:
        found = right(plan, part)
        return replace(found, program=replace(found.program, begun=1))

    monkeypatch.setattr(proved_job, "part_of", later)
    outcome = make(tmp_path / "job.toml", tmp_path / "out", part=part)
    assert outcome.verdict == "fail"
    assert "clamp" in told(outcome)


def test_where_a_cutter_is_touched_off_is_still_there(tmp_path: Path) -> None:
    """The whole program touches off on the raw top, which its first operation faces."""
    face = '  [[setup.feature]]\n  name = "flat"\n  kind = "face"\n  depth = 1\n  cutter = 7\n'
    rest = (
        '  [[setup.feature]]\n  name = "step"\n  kind = "pocket"\n  cutter = 7\n  depth = 3\n'
        "  outline = { rectangle = [40, 24], centre = [30, 20], round = 9 }\n"
    )
    head = SMALL.partition("  [[setup.feature]]")[0].replace("clamps = ", "# clamps = ")
    (tmp_path / "job.toml").write_text(head + face + rest, "utf-8")
    whole = make(tmp_path / "job.toml", tmp_path / "whole")
    assert whole.verdict == "pass", told(whole)
    assert "then touch the raw top at" in program(tmp_path / "whole").replace(")\n(MSG, ", " ")
    outcome = make(tmp_path / "job.toml", tmp_path / "part", part=JobPart(start="step"))
    assert outcome.verdict == "pass", told(outcome)
    said = program(tmp_path / "part").replace(")\n(MSG, ", " ")
    assert "touch the faced top at" in said
    assert "set Z to -1.000" in said


def test_the_sheet_says_which_part_it_is(tmp_path: Path) -> None:
    assert part_made(tmp_path, JobPart(start="pin")).verdict == "pass"
    sheet = (tmp_path / "out" / "set-up-sheet_from-pin.html").read_text("utf-8")
    assert "part of the program: from pin: spot on" in sheet
    assert "counts as cut already: rough and finish of step, then rough and finish of well" in sheet


def test_a_dry_run_knows_a_part_for_what_it_is(tmp_path: Path) -> None:
    assert part_made(tmp_path, JobPart(start="pin")).verdict == "pass"
    (file,) = tmp_path.glob("out/*.nc")
    found = dry_run(file, job=tmp_path / "job.toml")
    said = [str(f) for f in found.faults]
    assert not [f for f in found.faults if f.severity == "error"], said
    assert any("a part of the program of Top, checked alone" in s for s in said)


# -- its files ------------------------------------------------------------------------------------


def test_the_whole_program_stays_beside_a_part_of_it(tmp_path: Path) -> None:
    assert part_made(tmp_path, JobPart()).verdict == "pass"
    whole = (tmp_path / "out" / "1-top.nc").read_bytes()
    sheet = (tmp_path / "out" / "set-up-sheet.html").read_bytes()
    for part in (
        JobPart(start="pin"),
        JobPart(only="seat"),
        JobPart(only="seat", finish_only=True),
    ):
        assert part_made(tmp_path, part).verdict == "pass"
    assert sorted(f.name for f in tmp_path.glob("out/*.nc")) == [
        "1-top.nc",
        "1-top_from-pin.nc",
        "1-top_only-seat-finish.nc",
        "1-top_only-seat.nc",
    ]
    assert (tmp_path / "out" / "1-top.nc").read_bytes() == whole
    assert (tmp_path / "out" / "set-up-sheet.html").read_bytes() == sheet
    # the whole job made once more clears its parts away: they may be out of date
    assert part_made(tmp_path, JobPart()).verdict == "pass"
    assert [f.name for f in tmp_path.glob("out/*.nc")] == ["1-top.nc"]


def test_a_part_that_fails_takes_nothing_else_with_it(tmp_path: Path) -> None:
    assert part_made(tmp_path, JobPart()).verdict == "pass"
    assert part_made(tmp_path, JobPart(start="pin")).verdict == "pass"
    (tmp_path / "job.toml").write_text(SMALL.replace('"pin"', '"pin"\n  cutter = 99'), "utf-8")
    part = JobPart(start="pin")
    assert make(tmp_path / "job.toml", tmp_path / "out", part=part).verdict == "fail"
    assert [f.name for f in tmp_path.glob("out/*.nc")] == ["1-top.nc"]
    assert (tmp_path / "out" / "1-top_from-pin.nc.outdated").exists()
    assert json.loads((tmp_path / "out" / "report.json").read_text("utf-8"))["verdict"] == "fail"


# -- refused --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("part", "said"),
    [
        (JobPart(start="sead"), '--from: no feature is called "sead", did you mean "seat"? choose'),
        (JobPart(only="x"), 'from "step", "well", "seat", "pin"'),
        (
            JobPart(cutter=2),
            "--from-cutter: cutter 2 is not used, choose from 4 (8 mm slot drill), ",
        ),
        (
            JobPart(only="pin", finish_only=True),
            '--finish-only: no finishing pass is left of "pin", features of Top with one: "step"',
        ),
    ],
)
def test_what_is_not_there_is_refused(part: JobPart, said: str, tmp_path: Path) -> None:
    outcome = part_made(tmp_path, part)
    assert outcome.verdict == "fail"
    assert said in told(outcome)
    # the job is not at fault: nothing is touched
    assert not (tmp_path / "out").exists()


def test_finishing_passes_of_several_set_ups_need_a_name(tmp_path: Path) -> None:
    said = told(make(BLOCK, tmp_path, part=JobPart(finish_only=True)))
    assert '--finish-only: the set-up may be "Bore and half the curve" or "Under side' in said


def test_only_goes_with_no_start() -> None:
    with pytest.raises(ValueError, match="only names all that is cut"):
        JobPart(only="seat", start="pin")


def test_a_correction_that_is_left_out_is_warned_of(tmp_path: Path) -> None:
    more = '[measured]\n"step" = { nominal = 24, measured = 23.96 }\n'
    outcome = part_made(tmp_path, JobPart(start="pin"), more)
    assert outcome.verdict == "pass"
    assert "measured.step: its finishing pass is left out, so nothing is corrected" in told(outcome)
    assert "corrected" not in program(tmp_path)
    assert "corrected" not in json.dumps(outcome.document["features"])


def test_what_was_measured_chooses_the_set_up(tmp_path: Path) -> None:
    more = '[measured]\n"step" = { nominal = 24, measured = 23.96 }\n'
    outcome = part_made(tmp_path, JobPart(start="step", finish_only=True), more)
    assert outcome.verdict == "pass"
    assert "(corrected: step: 23.96 mm measured" in program(tmp_path)


# -- planted --------------------------------------------------------------------------------------


def refused(folder: Path, part: JobPart, *words: str) -> None:
    outcome = part_made(folder, part)
    assert outcome.verdict == "fail"
    assert not list(folder.glob("out/*.nc"))
    for word in words:
        assert word in told(outcome)


def test_a_start_without_the_spindle_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Planted: the part goes on as if the spindle were still turning from what was left out."""
    write = writer.write_program

    def planted(program: Any, post: Any, **keys: Any) -> Any:
        written = write(program, post, **keys)
        if not program.suffix:
            return written
        text = "".join(
            line for line in written.text.splitlines(keepends=True) if not line.endswith("M3\n")
        )
        return replace(written, text=text)

    monkeypatch.setattr(program_texts, "write_program", planted)
    refused(tmp_path, JobPart(start="well"), "spindle")


def test_a_start_from_a_height_that_nobody_set_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Planted: the part goes over to its start without coming up first."""

    write = writer.write_program

    def planted(program: Any, post: Any, **keys: Any) -> Any:
        written = write(program, post, **keys)
        if not program.suffix:
            return written
        head, begun, rest = written.text.partition("G0 X")
        kept = [line for line in head.splitlines(keepends=True) if not line.startswith("G0 Z")]
        return replace(written, text="".join(kept) + begun + rest)

    monkeypatch.setattr(program_texts, "write_program", planted)
    refused(tmp_path, JobPart(start="well"), "the first motion is not Z up")


def test_a_start_through_standing_stock_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Planted: what is left out is one operation more than what counts as cut."""
    right = job_part._with_stops

    def one_less(setup: Any, done: list[Operation], stage: int) -> Iterator[Operation]:
        kept = [o for o in done if o.feature != "step"] if stage == 0 else done
        return right(setup, kept, stage)

    assert part_made(tmp_path, JobPart(start="well")).verdict == "pass"
    monkeypatch.setattr(job_part, "_with_stops", one_less)
    refused(tmp_path, JobPart(start="well"), "rapid into stock", "uncut")


def test_what_is_left_out_has_to_be_right_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Planted: the operations before the part cut too deep."""
    write = writer.write_program

    def planted(program: Any, post: Any, **keys: Any) -> Any:
        written = write(program, post, **keys)
        if program.suffix:
            return written
        return replace(written, text=written.text.replace("Z-2\n", "Z-2.5\n").replace(
            "Z-2 ", "Z-2.5 "))  # fmt: skip

    monkeypatch.setattr(program_texts, "write_program", planted)
    refused(tmp_path, JobPart(start="well"), "what is left out has", "gouge")


def test_a_practice_cut_that_gouges_its_feature_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    right = proved_job.practice_plan

    def planted(*given: Any) -> Any:
        found = right(*given)
        whole = load_job(tmp_path / "job.toml").setups[0].features
        assert len(whole) == 4
        operations = tuple(
            replace(o, moves=tuple(
                replace(m, x=m.x + 0.1) if getattr(m, "x", None) is not None else m
                for m in o.moves
            ))
            for o in found.program.operations
        )  # fmt: skip
        return replace(found, program=replace(found.program, operations=operations))

    monkeypatch.setattr(proved_job, "practice_plan", planted)
    refused(tmp_path, JobPart(only="step"), "gouge in step")
