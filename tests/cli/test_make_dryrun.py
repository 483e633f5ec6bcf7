"""`make` and `dryrun` as a user meets them, mistakes included."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

JOB = """
name = "Trial"
units = "mm"
material = "aluminium"
[stock]
block = [40, 30, 6]
[[setup]]
name = "Top"
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  name = "tray"
  kind = "pocket"
  outline = { rectangle = [20, 14], centre = [0, 0], round = 4 }
  depth = 1
"""
SLIM = """
units = "mm"
[machine]
spindle = { min = 100, max = 2500 }
feed_max = 4000
[[cutter]]
number = 1
kind = "end mill"
diameter = 3
flutes = 2
flute_length = 12
stickout = 15
centre_cutting = true
"""


Run = Callable[..., Any]


@pytest.fixture
def job(tmp_path: Path) -> Path:
    file = tmp_path / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    return file


def test_pictures_are_dated(
    job: Path, tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the day, or as SOURCE_DATE_EPOCH says, for the same files on every day."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1709164800")
    assert run("make", job, "--out", tmp_path / "out").code == 0
    made = (tmp_path / "out" / "1-top.svg").read_text(encoding="utf-8")
    assert ">2024-02-29<" in made
    assert ">PASS<" in made
    plot, program = tmp_path / "top.svg", tmp_path / "out" / "1-top.nc"
    assert run("dryrun", program, "--job", job, "--plot", plot).code == 0
    dry = plot.read_text(encoding="utf-8")
    assert ">2024-02-29<" in dry
    assert ">DRY RUN<" in dry
    for wrong in ("", "yesterday", "9" * 20):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", wrong)
        assert run("dryrun", program, "--job", job, "--plot", plot).code == 0
        assert re.search(r">20\d\d-[01]\d-[0-3]\d<", plot.read_text(encoding="utf-8"))


def test_make_then_dryrun(job: Path, tmp_path: Path, run: Run) -> None:
    ended = run("make", job, "--out", tmp_path / "out")
    assert ended.code == 0
    said = ended.out.splitlines()
    assert said[0].startswith("1-top.nc: ")
    assert said[1].startswith("Top: gouge 0.0")
    program, plot = tmp_path / "out" / "1-top.nc", tmp_path / "top.svg"
    ended = run("dryrun", program, "--job", job, "--plot", plot)
    assert ended.code == 0
    assert ended.err == ""
    assert "compared with the drawing of Top: gouge 0.0" in ended.out
    assert plot.read_text(encoding="utf-8").endswith("</svg>\n")
    assert [p.name for p in (tmp_path / "out").glob("*.png")] == []
    ended = run("make", job, "--out", tmp_path / "out", "--plot", "png")
    assert ended.code == 0
    assert sorted(p.name for p in (tmp_path / "out").glob("*.png")) == ["1-top.png", "part.png"]
    assert ended.err.count("\n") <= 20
    text = program.read_text(encoding="ascii").replace("Z-1 F", "Z-1.2 F")
    program.write_text(text, encoding="ascii")
    ended = run("dryrun", program, "--job", job, "--json")
    assert ended.code == 1
    problems = json.loads(ended.out)["problems"]
    assert any(p["text"].startswith("gouge in ") for p in problems)
    assert ended.err.splitlines()[0].startswith(f"{program}:")


@pytest.mark.parametrize("made", ["folder", "picture"])
def test_a_file_where_a_folder_should_be(job: Path, tmp_path: Path, run: Run, made: str) -> None:
    taken = tmp_path / "taken"
    taken.write_text("mine", encoding="utf-8")
    if made == "folder":
        ended = run("make", job, "--out", taken / "deep" / "er")
    else:
        ended = run("dryrun", "none.nc", "--plot", taken / "p.svg")
    assert ended.code == 1
    assert ended.err == f"{taken}: is a file, not a folder, choose another\n"
    assert taken.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        pytest.param(
            ["--plot", "p.html"], 1, "p.html: .html pictures are not supported yet", id="html"
        ),
        pytest.param(["--plot", "p.txt"], 2, "name a file that ends in .svg", id="txt"),
        pytest.param(["--plot", "p"], 2, "name a file that ends in .svg", id="no-ending"),
        pytest.param(["--setup", "Top"], 2, "give --job too", id="setup-of-nothing"),
        pytest.param(["--job", "none.toml"], 1, "none.toml: ", id="no-job"),
        pytest.param(
            ["--job", "j", "--setup", "Top", "--block", "1", "2", "3"], 2, "--block", id="both"
        ),
    ],
)
def test_dryrun_mistakes(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    run: Run,
    arguments: list[str],
    code: int,
    said: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("p.nc").write_text("G21\nM2\n", encoding="ascii")
    ended = run("dryrun", "p.nc", *arguments)
    assert ended.code == code
    assert ended.out == ""
    assert said in ended.err
    assert len(ended.err.splitlines()) == (1 if code == 1 else 4)
    assert [p.name for p in tmp_path.iterdir()] == ["p.nc"]


def test_a_slim_cutter_far_too_deep(tmp_path: Path, run: Run) -> None:
    program, shop = tmp_path / "p.nc", tmp_path / "shop.toml"
    shop.write_text(SLIM, encoding="utf-8")
    lines = ["G21 G90 G17 G94", "T1 M6", "S2500 M3", "G0 Z5", "X5 Y20", "G1 Z-11 F30"]
    program.write_text("\n".join([*lines, "X60 F3000", "G0 Z5", "M5", "M2"]), encoding="utf-8")
    block = ["--block", "80", "40", "15"]
    ended = run("dryrun", program, "--workshop", shop, *block)
    assert ended.code == 0
    assert "p.nc:7: warning: cutter 1 cuts 11 mm deep at full width: at most 3 mm" in ended.err
    assert "p.nc:7: warning: cutter 1 has a chip load of 0.600 mm" in ended.err
    assert ended.out.endswith("no errors, 2 warnings\n")


@pytest.mark.parametrize("command", ["", "make", "check", "dryrun", "new", "posts"])
def test_help_loads_nothing_heavy(command: str) -> None:
    """A help text is wanted at once."""
    heavy = ["numpy", "shapely", "pyclipper", "pydantic", "rich", "gcodekit.job"]
    code = (
        "import sys\nfrom gcodekit.cli.app import main\n"
        f"try:\n    main({[*filter(None, [command]), '--help']!r})\n"
        f"except SystemExit:\n    print([m for m in {heavy!r} if m in sys.modules])\n"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ended.stdout.splitlines()[-1] == "[]"
    assert ended.stdout.startswith("Usage: gcodekit")


def test_dimensions_in_place_of_the_files(tmp_path: Path, run: Run) -> None:
    job = tmp_path / "family.toml"
    sized = JOB.replace("[stock]", "[dimensions]\nlong = 20\nwide = 14\n[stock]")
    job.write_text(sized.replace("[20, 14]", '["long", "wide"]'), encoding="utf-8")
    words = ("--set", "long=24", "--set", "wide = 3/4 in - 3")
    assert run("check", job, *words).code == 0
    assert run("make", job, "--out", tmp_path / "out", *words).code == 0
    program, report = tmp_path / "out" / "1-top.nc", tmp_path / "out" / "report.json"
    assert "(made with long = 24, wide = 3/4 in - 3)" in program.read_text(encoding="ascii")
    given = json.loads(report.read_text(encoding="utf-8"))["given"]
    assert given == {"long": "24", "wide": "3/4 in - 3"}
    ended = run("dryrun", program, "--job", job, *words)
    assert ended.code == 0
    assert ended.err == ""
    ended = run("dryrun", program, "--job", job)
    assert ended.code == 1
    assert "made from another version" in ended.err
    ended = run("check", job, "--set", "lng=24")
    assert ended.code == 1
    assert "did you mean long?" in ended.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        pytest.param(("--set", "long"), "write NAME=VALUE", id="no value"),
        pytest.param(("--set", "long="), "write NAME=VALUE", id="an empty value"),
        pytest.param(("--set", "a=1", "--set", "a=2"), "a is set twice", id="twice"),
    ],
)
def test_dimensions_typed_wrongly(job: Path, run: Run, words: tuple[str, ...], said: str) -> None:
    ended = run("check", job, *words)
    assert ended.code == 2
    assert said in " ".join(ended.err.split())


def test_a_part_of_a_job_is_told_of(job: Path, tmp_path: Path, run: Run) -> None:
    out = tmp_path / "out"
    ended = run("make", job, "--out", out, "--from", "tray", "--finish-only", "--json")
    assert ended.code == 0
    found = json.loads(ended.out)
    assert (found["part"]["from"], found["part"]["finish_only"]) == ("tray", True)
    assert {row["operation"] for row in found["left_out"]} == {"rough"}
    assert found["left_out"] == json.loads((out / "report.json").read_text("utf-8"))["left_out"]
    ended = run("make", job, "--out", out, "--from", "trey", "-q")
    assert ended.code == 1
    assert ended.err == (
        f'{job}: --from: no feature is called "trey", did you mean "tray"? choose from "tray"\n'
    )
