"""What a sheet tells its reader to do: sides, holding, gauges; and where a sheet is left."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from pdf_text import text_of

from gcodekit.cli.app import app
from gcodekit.errors import GcodekitError
from gcodekit.job.load import load_job
from gcodekit.job.model import Job
from gcodekit.making.make import make
from gcodekit.making.setup_sheets import leave_sheet
from gcodekit.post.header import FIRST_RUN
from gcodekit.sheet.caution_texts import CAUTIONS
from gcodekit.sheet.edge_finding import zero_steps
from gcodekit.sheet.figures import length
from gcodekit.sheet.hold_words import hold_steps
from gcodekit.sheet.measuring import SizeRow, size_rows_of

README = Path(__file__).parents[2] / "README.md"
SHOP = """
units = "mm"
[machine]
name = "Mill"
spindle = { min = 100, max = 3000 }
feed_max = 600
%s
[[cutter]]
number = 1
name = "6 mm slot drill"
kind = "end mill"
diameter = 6
flute_length = 20
stickout = 30
shank = 6
centre_cutting = true
[[cutter]]
number = 2
name = "5 mm drill"
kind = "drill"
diameter = 5
flute_length = 50
stickout = 60
shank = 5
tip_angle = 118
"""
JOB = """
name = "Trial <part>"
units = "mm"
material = "aluminium"
workshop = "shop.toml"
[stock]
block = [60, 50, 8]
[[setup]]
name = "Top"
zero = { %s }
  [setup.hold]
  %s
  [[setup.feature]]
  name = "tray"
  kind = "pocket"
  outline = { rectangle = [30, 20], centre = %s }
  depth = 3
  %s
"""
BOARD = "board = 12"
CENTRE = 'x = "centre", y = "centre", z = "top"'


def written(
    folder: Path,
    *,
    zero: str = CENTRE,
    hold: str = BOARD,
    machine: str = "",
    centre: str = "[0, 0]",
    more: str = "",
) -> Path:
    (folder / "shop.toml").write_text(SHOP % machine, encoding="utf-8")
    file = folder / "job.toml"
    file.write_text(JOB % (zero, hold, centre, more), encoding="utf-8")
    return file


def steps(job: Job) -> list[str]:
    return list(zero_steps(job, job.setups[0]))


def test_zero_in_the_middle_takes_both_sides(tmp_path: Path) -> None:
    found = steps(load_job(written(tmp_path, machine="edge_finder = 10")))
    assert found[0] == "Touch each side with the 10 mm edge finder, below its top edge."
    assert found[1] == "X: touch the left side and set X to -35."
    assert found[2].startswith("Then touch the right side: X should read 35. If it does not")
    assert found[3] == "Y: touch the front side and set Y to -30."
    assert found[4].startswith("Then touch the back side: Y should read 30.")


def test_zero_on_sides_is_set_there_and_checked_opposite(tmp_path: Path) -> None:
    zero = 'x = "right", y = "front + 5", z = "top"'
    file = written(tmp_path, zero=zero, machine="edge_finder = 6", centre="[-30, 20]")
    assert steps(load_job(file))[1:] == [
        "X: touch the right side and set X to 3.",
        "Check: touching the left side, X should read -63.",
        "Y: touch the front side and set Y to -8.",
        "Check: touching the back side, Y should read 48.",
    ]


def test_a_pin_and_a_feeler_in_place_of_an_edge_finder(tmp_path: Path) -> None:
    found = steps(load_job(written(tmp_path, machine="feeler = 0.1")))
    assert (
        found[0] == "Touch each side with a ground pin and the 0.1 mm feeler, below its top edge."
    )
    assert found[1] == "X: touch the left side and set X to -30.1 less half the pin's diameter."
    assert "X should read 30.1 plus half the pin's diameter." in found[2]
    bare = steps(load_job(written(tmp_path)))
    assert bare[1] == "X: touch the left side and set X to -30 less half the pin's diameter."


def test_a_raw_side_is_not_where_zero_is_set_from(tmp_path: Path) -> None:
    """Its place is known by the oversize only: a zero in the middle of it is halved."""
    job = load_job(written(tmp_path, machine="edge_finder = 10"))
    setup = replace(job.setups[0], oversize=((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)))
    assert list(zero_steps(job, setup))[1:] == [
        "X: touch the right side and set X to 35.",
        "Y: touch the front side and set Y to -30.",
    ]


def test_zero_on_a_feature_and_on_a_bar(tmp_path: Path) -> None:
    job = load_job(written(tmp_path))
    on = replace(job.setups[0], zero_on="hub")
    assert list(zero_steps(job, on)) == [
        "X and Y: with an indicator in the spindle, find the axis of hub and set X to 0 and Y to 0."
    ]
    bar = replace(job.setups[0].raw, shape="round", low=(-20.0, -5.0, -8.0), high=(10.0, 25.0, 0.0))
    (said,) = zero_steps(job, replace(job.setups[0], raw=bar))
    assert said.endswith("set X to -5 and Y to 10.")


def test_work_holding_in_figures(tmp_path: Path) -> None:
    hold = 'vise = { grip = 4, jaw_width = 100, jaw_depth = 25, fixed = "front", parallels = 12 }'
    job = load_job(written(tmp_path, hold=hold))
    said = " ".join(hold_steps(job, replace(job.setups[0], against="the sawn edge"), -3.0))
    assert "fixed jaw at the front" in said
    assert "Against the fixed jaw: the sawn edge." in said
    assert "on parallels 12 mm high and close the jaws on the lowest 4 mm" in said
    board = load_job(written(tmp_path))
    assert any("12 mm thick: cuts go 0.5 mm into it." in s
               for s in hold_steps(board, board.setups[0], -8.5))  # fmt: skip
    assert any("12 mm thick." in s for s in hold_steps(board, board.setups[0], -3.0))


def rows(job: Job) -> list[SizeRow]:
    return list(size_rows_of(job.setups[0]))


@pytest.mark.parametrize(
    ("more", "least", "most", "tools"),
    [
        ("limits = [0, 0.02]", 20.0, 20.02, ["gauge blocks", "inside micrometer"]),
        ("limits = [-0.03, 0.01]", 29.97, 30.01, ["gauge blocks", "inside micrometer"]),
        ("limits = [-0.2, 0.2]", 29.8, 30.2, ["caliper", "caliper"]),
    ],
)
def test_limits_are_nominal_and_limits_added(
    tmp_path: Path, more: str, least: float, most: float, tools: list[str]
) -> None:
    found = rows(load_job(written(tmp_path, more=more)))
    widths = [r for r in found if r.what.startswith("across")]
    assert [r.nominal for r in widths] == [20, 30]
    assert (pytest.approx(least), pytest.approx(most)) in [(r.least, r.most) for r in widths]
    assert [r.tool for r in widths] == tools
    assert found[-1].what == "depth"
    assert found[-1].nominal == pytest.approx(3)


def test_cautions_are_the_readmes() -> None:
    said = " ".join(README.read_text(encoding="utf-8").split())
    assert f"{FIRST_RUN}." in CAUTIONS[2]
    for caution in CAUTIONS[:2]:
        assert caution in said
    for words in ("machine's manual, workshop rules, local codes and licensed practice",):
        assert words in CAUTIONS[3]
        assert words in said


def test_make_leaves_a_sheet_with_its_programs_only(tmp_path: Path) -> None:
    file = written(tmp_path)
    done = make(file, tmp_path / "out")
    assert "set-up-sheet.html" in done.document["written"]
    sheet = (tmp_path / "out" / "set-up-sheet.html").read_text(encoding="utf-8")
    assert "Trial &lt;part&gt;" in sheet
    assert "<part>" not in sheet
    assert "UNPROVEN" not in sheet
    written(tmp_path, centre="[25, 0]", more="cutter = 2")
    assert make(file, tmp_path / "out").verdict == "fail"
    assert not (tmp_path / "out" / "set-up-sheet.html").exists()


def test_a_sheet_of_an_unproven_job_says_so(tmp_path: Path) -> None:
    file = written(tmp_path)
    make(file, tmp_path / "out", unproven=True)
    sheet = (tmp_path / "out" / "set-up-sheet.html").read_text(encoding="utf-8")
    assert "UNPROVEN: do not run unchecked" in sheet


@pytest.mark.parametrize("name", ["sheet.html", "sheet.PDF", "sheet.txt"])
def test_the_command_writes_the_sheet_alone(
    tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    file = written(tmp_path, machine="feeler = 0.1")
    with pytest.raises(SystemExit) as ended:
        app(["sheet", str(file), "--out", str(tmp_path / "papers" / name), "-q"])
    assert ended.value.code == 0
    assert capsys.readouterr().out == ""
    assert [p.name for p in (tmp_path / "papers").iterdir()] == [name]
    data = (tmp_path / "papers" / name).read_bytes()
    text = text_of(data) if name.endswith("PDF") else data.decode()
    assert "With the 0.1 mm feeler between cutter and surface, set Z higher by 0.1 mm." in text


@pytest.mark.parametrize(("name", "said"), [("sheet.doc", "end its name in"), ("", "end its name")])
def test_files_that_are_no_sheets(tmp_path: Path, name: str, said: str) -> None:
    with pytest.raises(GcodekitError, match=said):
        leave_sheet(written(tmp_path), tmp_path / name)


def test_a_job_that_fails_has_no_sheet(tmp_path: Path) -> None:
    file = written(tmp_path, centre="[25, 0]", more="cutter = 2")
    with pytest.raises(GcodekitError):
        leave_sheet(file, tmp_path / "sheet.txt")
    assert not (tmp_path / "sheet.txt").exists()


def test_lengths_are_in_the_jobs_units() -> None:
    assert length(12.7, "inch") == "0.5 in"


def test_warnings_stand_with_their_set_up(tmp_path: Path) -> None:
    """A grip of half a millimetre is warned of when the job is read."""
    hold = "vise = { grip = 0.5, jaw_width = 100, jaw_depth = 25, parallels = 12 }"
    file = written(tmp_path, hold=hold)
    warned = [f.message for f in load_job(file).warnings]
    assert warned
    leave_sheet(file, tmp_path / "sheet.txt")
    said = (tmp_path / "sheet.txt").read_text(encoding="utf-8")
    assert "WARNINGS OF THIS SET-UP" in said
    assert all(w in " ".join(said.split()) for w in warned)


def test_nothing_large_is_loaded_before_it_is_needed() -> None:
    code = "import sys, gcodekit.making.make, gcodekit.cli.app; print('reportlab' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
