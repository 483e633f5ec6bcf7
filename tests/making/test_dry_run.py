"""Programs run dry against a job's drawing: which set-up, what is found, the picture."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import pytest

from gcodekit.errors import GcodekitError, JobError
from gcodekit.making.dryrun import DryRun, dry_run
from gcodekit.making.summary import problem_faults
from gcodekit.post.comments import printable, remarks
from gcodekit.rs274 import Problem


def text_of(made: Any, name: str) -> str:
    return str((made.out / name).read_text(encoding="utf-8"))


def changed(made: Any, tmp_path: Path, name: str, *changes: tuple[str, str]) -> Path:
    text = text_of(made, name)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    program = tmp_path / "p.nc"
    program.write_text(text, encoding="utf-8")
    return program


def errors(run: DryRun) -> list[str]:
    return [f.message for f in run.faults if f.severity == "error"]


@pytest.mark.parametrize(
    ("file", "setup"),
    [
        pytest.param("1-top-side.nc", "Top side", id="first"),
        pytest.param("2-second-clamping.nc", "Second clamping", id="second"),
    ],
)
def test_made_programs_find_their_set_up_and_pass(two_sides: Any, file: str, setup: str) -> None:
    run = dry_run(two_sides.out / file, job=two_sides.job)
    assert run.faults == ()
    assert run.setting.setup.name == setup
    assert run.findings.reachable_uncut < 0.01
    assert run.findings.features


def test_a_gouge_and_what_is_left_are_named(two_sides: Any, tmp_path: Path) -> None:
    program = changed(two_sides, tmp_path, "1-top-side.nc", ("X-8 Y0 Z-10", "X-8.5 Y0 Z-10"))
    found = errors(dry_run(program, job=two_sides.job))
    assert any(re.match(r"gouge in screws \(line \d+\): 0\.50", f) for f in found)
    assert any(f.startswith("uncut in screws: 0.5") for f in found)
    assert all(re.search(r" at X-?[\d.]+ Y-?[\d.]+ Z-?[\d.]+$", f) for f in found)


def test_every_stretch_has_its_own_gouge(two_sides: Any, tmp_path: Path) -> None:
    program = changed(
        two_sides, tmp_path, "1-top-side.nc",
        ("X-8 Y0 Z-10", "X-8.5 Y0 Z-10"), ("\nX8\nG80", "\nX8.25\nG80"),
        ("\nX12\nY-7\n", "\nX12.1\nY-7\n"),
    )  # fmt: skip
    gouges = [f for f in errors(dry_run(program, job=two_sides.job)) if f.startswith("gouge")]
    assert [f"{float(f.split(': ')[1].split()[0]):.2f}" for f in gouges] == ["0.10", "0.50", "0.25"]
    assert gouges[0].startswith("gouge in tray (lines ")


def test_a_floor_too_deep_is_found(two_sides: Any, tmp_path: Path) -> None:
    program = changed(two_sides, tmp_path, "2-second-clamping.nc", ("Z-2 ", "Z-2.05 "))
    assert any("gouge" in f for f in errors(dry_run(program, job=two_sides.job)))


def test_no_header_and_two_set_ups(two_sides: Any, tmp_path: Path) -> None:
    program = changed(two_sides, tmp_path, "1-top-side.nc", ("(Trial: Top side)\n", ""))
    with pytest.raises(JobError) as caught:
        dry_run(program, job=two_sides.job)
    assert str(caught.value) == (
        f"{program}: header names no set-up of Trial, "
        'give --setup NAME, one of "Top side", "Second clamping"'
    )
    assert dry_run(program, job=two_sides.job, setup=" top side").faults == ()


def test_a_set_up_that_is_none(two_sides: Any) -> None:
    with pytest.raises(JobError, match='no such set-up: "Tip", choose one of "Top side"'):
        dry_run(two_sides.out / "1-top-side.nc", job=two_sides.job, setup="Tip")


def test_another_set_up_than_the_header_says(two_sides: Any) -> None:
    run = dry_run(two_sides.out / "1-top-side.nc", job=two_sides.job, setup="Second clamping")
    assert [f.message for f in run.notes] == ["header names another set-up: Top side"]
    assert any("uncut in recess" in f for f in errors(run))


@pytest.mark.parametrize("style", ["({})", "; {}"])
def test_a_long_heading_in_pieces(two_sides: Any, tmp_path: Path, style: str) -> None:
    """As the writer breaks it, whatever the job is called."""
    name = "Plate (left) für die Montierung; M5, der lange Name einer ganz gewöhnlichen " * 2
    job = two_sides.job.with_name("long.toml")
    text = two_sides.job.read_text(encoding="utf-8")
    job.write_text(text.replace('"Trial"', f'"{name.strip()}"'), encoding="utf-8")
    head = [style.format(r) for r in remarks(f"{name.strip()}: Second clamping", 60)]
    assert len(head) > 2
    assert printable(name) != name
    program = changed(
        two_sides, tmp_path, "2-second-clamping.nc", ("(Trial: Second clamping)", "\n".join(head))
    )
    assert dry_run(program, job=job).setting.setup.name == "Second clamping"


def test_one_cutters_file_is_not_blamed_for_the_rest(apart: Any) -> None:
    for n, name in enumerate(("1-top-side-1-t2.nc", "1-top-side-2-t5.nc"), 1):
        run = dry_run(apart.out / name, job=apart.job)
        assert errors(run) == []
        (note,) = run.notes
        assert f"file {n} of 2 of Top side, checked alone" in note.message
        assert ("rapids" in note.message) == (n == 2)
        assert note.severity == "warning"


def test_one_cutters_file_still_gouges(apart: Any, tmp_path: Path) -> None:
    program = changed(apart, tmp_path, "1-top-side-2-t5.nc", ("X-8 Y0", "X-8.5 Y0"))
    (found,) = errors(dry_run(program, job=apart.job))
    assert re.match(r"gouge in screws \(line \d+\): 0\.50", found)


def test_a_rapid_through_the_finished_part(apart: Any, tmp_path: Path) -> None:
    """What the drawing keeps stands, whatever ran before."""
    program = changed(apart, tmp_path, "1-top-side-2-t5.nc", ("X8\nG80", "G80\nG0 X20\nZ-1\nZ5"))
    found = errors(dry_run(program, job=apart.job))
    assert any("rapid into stock" in f for f in found)


def test_an_unknown_file_on_a_machine_with_separate_files(apart: Any, tmp_path: Path) -> None:
    program = changed(
        apart, tmp_path, "1-top-side-2-t5.nc",
        ("(Trial: Top side)\n", ""), ("(file 2 of 2 for this set-up: run in order)\n", ""),
    )  # fmt: skip
    run = dry_run(program, job=apart.job)
    assert errors(run) == []
    assert run.notes[0].message.startswith("one cutter's file of Top side, checked alone")


def test_metal_by_hand_leaves_the_drawing_out(two_sides: Any) -> None:
    program = two_sides.out / "1-top-side.nc"
    run = dry_run(program, job=two_sides.job, block=(60, 50, 8), zero=(30, 25, 8))
    assert errors(run) == []
    assert run.setting.target is None
    assert "not compared with the job's drawing" in run.notes[0].message


@pytest.mark.parametrize(
    ("options", "words"),
    [
        pytest.param({"job": True}, {"tray", "3 deep", "screws", "Trial", "DRY RUN"}, id="job"),
        pytest.param({"block": (60, 50, 8)}, {"60 × 50 × 8 mm", "stock"}, id="block"),
        pytest.param({"round_bar": (60, 8)}, {"Ø60 × 8 mm", "bar, axis Z, top up"}, id="bar"),
        pytest.param({}, {"not given", "dry run, no job given"}, id="nothing"),
    ],
)
def test_picture(two_sides: Any, tmp_path: Path, options: dict[str, Any], words: set[str]) -> None:
    plot = tmp_path / "new folder" / "p.SVG"
    if options.get("job"):
        options = {"job": two_sides.job}
    dry_run(two_sides.out / "1-top-side.nc", plot=plot, **options)
    svg = ET.fromstring(plot.read_text(encoding="utf-8"))
    found = {"".join(t.itertext()) for t in svg.iter("{http://www.w3.org/2000/svg}text")}
    assert words <= found
    assert "1-top-side.nc" in found
    assert [p.name for p in plot.parent.iterdir()] == ["p.SVG"]


def test_picture_as_dots(two_sides: Any, tmp_path: Path) -> None:
    plot = tmp_path / "p.PNG"
    dry_run(two_sides.out / "1-top-side.nc", job=two_sides.job, plot=plot)
    # signature and header: PNG (ISO/IEC 15948), 5.2 and 11.2.2
    assert plot.read_bytes()[:16] == b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"


@pytest.mark.parametrize(
    ("plot", "said"),
    [
        pytest.param("p.HTML", ".html pictures are not supported yet", id="html"),
        pytest.param("p.txt", "p.txt is not a picture file", id="txt"),
        pytest.param("taken/p.svg", "is a file, not a folder", id="file-for-folder"),
    ],
)
def test_picture_that_cannot_be(tmp_path: Path, plot: str, said: str) -> None:
    """Refused before anything is read."""
    (tmp_path / "taken").write_text("", encoding="utf-8")
    with pytest.raises(GcodekitError) as caught:
        dry_run(tmp_path / "none.nc", plot=tmp_path / plot)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_folder_in_the_pictures_place(two_sides: Any, tmp_path: Path) -> None:
    (tmp_path / "p.svg").mkdir()
    with pytest.raises(GcodekitError, match=r"p\.svg: cannot be written: "):
        dry_run(two_sides.out / "2-second-clamping.nc", plot=tmp_path / "p.svg")
    assert [p.name for p in tmp_path.iterdir()] == ["p.svg"]


def test_of_many_moves_it_is_told_before_they_are_run(
    two_sides: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    program, told = two_sides.out / "1-top-side.nc", list[str]()
    dry_run(program, job=two_sides.job, progress=told.append)
    assert told == []
    monkeypatch.setattr("gcodekit.making.dryrun.MANY_MOVES", 10)
    run = dry_run(program, job=two_sides.job, progress=told.append)
    assert told == [f"1-top-side.nc: {run.moves:,} moves, this takes a while"]


def test_a_place_names_its_units_where_the_program_is_in_others() -> None:
    found = Problem("error", 3, 0, (25.4, 0.0, -2.54), "rapid into stock", "retract above Z0 first")
    (same,) = problem_faults("p.nc", [found], "inch", "inch")
    (other,) = problem_faults("p.nc", [found], "inch", "mm")
    assert str(same) == "p.nc:3: rapid into stock at X1 Y0 Z-0.1, retract above Z0 first"
    assert str(other) == "p.nc:3: rapid into stock at X1 Y0 Z-0.1 (inch), retract above Z0 first"
