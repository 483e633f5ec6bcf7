"""Exit codes and texts of the commands."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from gcodekit.cli.app import app
from gcodekit.job.keys.kind_tables import kind_names

GOLDEN = Path(__file__).parents[1] / "golden" / "post"


Run = Callable[..., Any]


@pytest.mark.parametrize(
    "arguments",
    [
        pytest.param(["nonsense"], id="unknown-command"),
        pytest.param(["check"], id="missing-argument"),
        pytest.param(["posts", "--colour"], id="unknown-option"),
        pytest.param(["dryrun", "a.nc", "--block", "1", "2"], id="too-few-numbers"),
        pytest.param(["dryrun", "a.nc", "--block", "1", "2", "x"], id="not-a-number"),
        pytest.param(
            ["dryrun", "a.nc", "--block", "1", "2", "3", "--round", "1", "2"], id="two-metals"
        ),
        pytest.param(["dryrun", "a.nc", "--zero", "1", "2", "3"], id="zero-on-nothing"),
        pytest.param(["make", "a.toml", "--only", "seat", "--from", "pin"], id="only-and-from"),
        pytest.param(["make", "a.toml", "--only", "seat", "--from-cutter", "3"], id="only-cutter"),
        pytest.param(["make", "a.toml", "--from-cutter", "x"], id="no-cutter-number"),
    ],
)
def test_wrong_usage_is_2(run: Run, arguments: list[str]) -> None:
    ended = run(*arguments)
    assert ended.code == 2
    assert ended.out == ""
    assert "Error: " in ended.err


@pytest.mark.parametrize(
    "arguments",
    [
        pytest.param(["check", "none.toml"], id="check"),
        pytest.param(["dryrun", "none.nc"], id="dryrun"),
        pytest.param(["cutters", "--workshop", "none.toml"], id="cutters"),
        pytest.param(["posts", "--posts", "none"], id="posts"),
    ],
)
def test_file_that_cannot_be_read_is_1_with_one_line(run: Run, arguments: list[str]) -> None:
    ended = run(*arguments)
    assert ended.code == 1
    assert ended.out == ""
    assert ended.err.startswith("none")
    assert ended.err.count("\n") == 1


def test_help_names_every_command(run: Run) -> None:
    ended = run("--help")
    assert ended.code == 0
    for command in ("make", "check", "dryrun", "posts", "materials", "cutters", "new"):
        assert f"\n  {command} " in ended.out
    assert "\x1b" not in ended.out


def test_version(run: Run) -> None:
    ended = run("--version")
    assert ended.code == 0
    assert ended.out.startswith("gcodekit")


def test_new_never_overwrites(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "plate.toml"
    assert run("new", file).code == 0
    file.write_text("mine", encoding="utf-8")
    ended = run("new", file)
    assert ended.code == 1
    assert ended.err == f"{file}: exists already and is never overwritten, choose another name\n"
    assert file.read_text(encoding="utf-8") == "mine"


def test_new_into_no_folder(run: Run, tmp_path: Path) -> None:
    ended = run("new", tmp_path / "no" / "plate.toml")
    assert ended.code == 1
    assert ended.err.count("\n") == 1


def test_new_passes_check(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "plate.toml"
    run("new", file)
    ended = run("check", file)
    assert (ended.code, ended.err) == (0, "")
    assert ended.out == f"{file}: nothing wrong found\n"


@pytest.mark.parametrize("kind", kind_names())
def test_new_of_a_kind_is_a_job_that_is_made(run: Run, tmp_path: Path, kind: str) -> None:
    file = tmp_path / f"{kind}.toml"
    assert run("new", file, "--kind", kind).code == 0
    assert run("check", file).out == f"{file}: nothing wrong found\n"
    ended = run("make", file, "-q")
    assert (ended.code, ended.out) == (0, "")
    report = json.loads((tmp_path / kind / "report.json").read_text(encoding="utf-8"))
    assert report["verdict"] == "pass"
    assert kind == "stop" or kind in {f["kind"] for f in report["features"]}


def test_new_of_no_kind(run: Run, tmp_path: Path) -> None:
    ended = run("new", tmp_path / "a.toml", "--kind", "pokcet")
    assert ended.code == 1
    assert "no such kind of feature, choose one of" in ended.err
    assert not (tmp_path / "a.toml").exists()


def test_new_workshop_is_the_built_in_one(run: Run, tmp_path: Path) -> None:
    job, shop = tmp_path / "plate.toml", tmp_path / "shop" / "mill.toml"
    shop.parent.mkdir()
    assert run("new", job, "--workshop", shop).code == 0
    assert 'workshop = "shop/mill.toml"' in job.read_text(encoding="utf-8")
    assert run("check", job).out == f"{job}: nothing wrong found\n"
    mine, built_in = (run("cutters", *more).out for more in (("--workshop", shop), ()))
    assert mine == built_in

    ended = run("new", tmp_path / "other.toml", "--workshop", shop)
    assert ended.code == 1  # neither is written
    assert not (tmp_path / "other.toml").exists()


def test_new_of_nothing(run: Run) -> None:
    assert run("new").code == 2


def test_check_as_json(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "plate.toml"
    run("new", file)
    assert json.loads(run("check", file, "--json").out) == {"job_file": str(file), "problems": []}
    file.write_text(file.read_text(encoding="utf-8").replace("depth = 3", "depth = -3"))
    ended = run("check", file, "--json")
    assert ended.code == 1
    (problem,) = json.loads(ended.out)["problems"]
    assert (problem["severity"], problem["file"]) == ("error", str(file))


def test_check_counts_warnings(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "plate.toml"
    run("new", file)
    file.write_text(file.read_text(encoding="utf-8").replace("  board = 10", "  # board = 10"))
    ended = run("check", file)
    assert ended.code == 0
    assert ended.out == f"{file}: no errors, 1 warning\n"
    assert run("check", file, "-q").out == ""


def test_make_as_json_is_the_report(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "plate.toml"
    run("new", file, "--kind", "hole")
    ended = run("make", file, "--json", "-q")
    assert ended.code == 0
    report = tmp_path / "plate" / "report.json"
    assert json.loads(ended.out) == json.loads(report.read_text(encoding="utf-8"))
    file.write_text(file.read_text(encoding="utf-8").replace("diameter = 6", "diameter = -6"))
    ended = run("make", file, "--json")
    assert ended.code == 1
    assert json.loads(ended.out)["verdict"] == "fail"


def test_check_names_file_and_line(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "plate.toml"
    run("new", file)
    text = file.read_text(encoding="utf-8").replace('"aluminium"', '"cheese"')
    file.write_text(text, encoding="utf-8")
    line = 1 + next(i for i, row in enumerate(text.splitlines()) if "cheese" in row)
    ended = run("check", file)
    assert ended.code == 1
    assert ended.err.startswith(f"{file}:{line}: material: ")


def test_posts_table_and_json(run: Run) -> None:
    rows = [x.split(":")[0] for x in run("posts").out.splitlines() if not x.startswith(" ")]
    listed = json.loads(run("posts", "--json").out)
    assert rows == [p["name"] for p in listed] == ["iso6983", "motion_only", "rs274_full"]
    assert [p["cycles"] for p in listed] == [
        ["G81", "G82", "G83"], [], ["G81", "G82", "G83", "G84", "G85", "G89"]
    ]  # fmt: skip
    assert all(Path(p["source"]).is_file() for p in listed)


def test_posts_from_the_environment(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = "from gcodekit.post.contract import Post\npost = Post(name='mine', description='')\n"
    (tmp_path / "mine.py").write_text(text, encoding="utf-8")
    monkeypatch.setenv("GCODEKIT_POSTS", str(tmp_path))
    listed = json.loads(run("posts", "--json").out)
    assert {p["name"]: p["source"] for p in listed}["mine"] == str(tmp_path / "mine.py")
    assert len(listed) == 4


def test_materials(run: Run) -> None:
    names = {m["name"] for m in json.loads(run("materials", "--json").out)}
    assert {"mild steel", "cast iron", "aluminium", "acetal"} <= names
    table = run("materials").out
    assert all(name in table for name in names)


def test_cutters(run: Run) -> None:
    rack = json.loads(run("cutters", "--json").out)
    assert [c["number"] for c in rack] == sorted(c["number"] for c in rack)
    drills = [c for c in rack if c["kind"] == "drill"]
    assert drills
    assert {c["tip_angle"] for c in drills} == {118.0}
    assert len(run("cutters").out.splitlines()) == len(rack) + 2


def test_dryrun_of_a_clean_program(run: Run, tmp_path: Path) -> None:
    program = tmp_path / "p.nc"
    program.write_text(
        "G21 G17 G90 G94\nT3 M6\nG0 Z10\nS1000 M3\nX-10 Y10\nZ-1\nG1 X60 F100\nG0 Z10\nM5\nM2\n",
        encoding="ascii",
    )
    ended = run("dryrun", program, "--block", "50", "20", "10", "--json")
    found = json.loads(ended.out)
    assert ended.code == 0
    assert found["blocks"] == 10
    assert found["cut_length"] == pytest.approx(70)
    assert found["box"] == [[-10, 10, -1], [60, 10, 10]]
    assert found["cutters"] == [3]
    assert [p["severity"] for p in found["problems"]] == ["warning"]
    # 70 mm at 100 mm/min
    assert found["time_s"] >= 42


def test_dryrun_of_standard_input(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    program = b"G21 G90 G94 G17\nG0 Z5\nT1 M6\nS500 M3\nG0 X0 Y0\nG0 Z-1\nG0 Z5\nM30\n"
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(program)))
    ended = run("dryrun", "-", "--block", 20, 20, 5)
    assert ended.code == 1
    assert "standard input:6: rapid" in ended.err


def test_dryrun_finds_a_rapid_through_metal(run: Run, tmp_path: Path) -> None:
    program = tmp_path / "p.nc"
    program.write_text(
        "G21 G90\nT3 M6\nS1000 M3\nG0 Z10\nX-10 Y10\nZ-1\nX60\nM2\n", encoding="ascii"
    )
    ended = run("dryrun", program, "--block", "50", "20", "10")
    assert ended.code == 1
    assert f"{program}:7: " in ended.err
    clear = run("dryrun", program, "--block", "50", "20", "10", "--zero", "0", "0", "-2")
    assert ended.err != clear.err


def test_dryrun_of_our_own_program(run: Run, tmp_path: Path) -> None:
    """The writer's golden program, its cutters in a rack of the same numbers."""
    rack = tmp_path / "w.toml"
    rack.write_text(
        'units = "mm"\n[machine]\nname = "m"\ntravel = { x = 300, y = 160, z = 180 }\n'
        "rapid = 2500\nfeed_max = 1200\nacceleration = 150\n"
        "spindle = { min = 100, max = 2800 }\n"
        '[[cutter]]\nnumber = 1\nname = "6 mm slot drill"\nkind = "end mill"\ndiameter = 6\n'
        "flutes = 2\nflute_length = 13\nstickout = 25\nshank = 6\ncentre_cutting = true\n"
        '[[cutter]]\nnumber = 2\nname = "3.2 mm drill"\nkind = "drill"\ndiameter = 3.2\n'
        "flutes = 2\nflute_length = 30\nstickout = 40\nshank = 3.2\ntip_angle = 118\n",
        encoding="utf-8",
    )
    options = ("--workshop", rack, "--block", "80", "50", "8")
    ended = run("dryrun", GOLDEN / "by-hand-mm.nc", *options)
    assert (ended.code, ended.err) == (0, "")
    assert "cutters: T1, T2" in ended.out


@pytest.mark.parametrize(
    ("units", "wide"),
    [("mm", "X 0 to 2, Y 0 to 0, Z 1 to 1 mm"), ("inch", "X 0 to 2, Y 0 to 0, Z 1 to 1 in")],
)
def test_dryrun_of_a_program_that_does_not_say_its_units(
    run: Run, tmp_path: Path, units: str, wide: str
) -> None:
    program = tmp_path / "plain.nc"
    program.write_text("G0 Z1\nG0 X0 Y0\nM3 S900\nG1 X2 F3\nM2\n", encoding="utf-8")
    ended = run("dryrun", program, "--units", units, "--cutter", "1")
    assert wide in ended.out


COMMANDS = [c.callback.__name__ for c in app.registered_commands if c.callback]


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_help_is_whole_at_80_columns(
    run: Run, command: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    lines = run(*filter(None, [command]), "--help").out.splitlines()
    assert max(len(line) for line in lines) <= 80
    elsewhere = ("  explain ", "  schema ")
    assert not [x for x in lines if x.endswith("...") and not x.startswith(("Usage", *elsewhere))]


@pytest.mark.parametrize("option", ["-V", "--version"])
def test_version_by_either_name(run: Run, option: str) -> None:
    assert run(option).out.startswith("gcodekit ")


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_script(run: Run, shell: str) -> None:
    ended = run("--show-completion", shell)
    assert (ended.code, ended.err) == (0, "")
    assert f"_GCODEKIT_COMPLETE=complete_{shell}" in ended.out


def test_completion_of_no_known_shell(run: Run) -> None:
    ended = run("--show-completion", "abacus")
    assert (ended.code, ended.out) == (2, "")
    assert "'abacus' is not one of bash, zsh, fish" in ended.err


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        pytest.param("gcodekit ", {"make", "check", "dryrun", "speeds"}, id="commands"),
        pytest.param("gcodekit make --p", {"--post", "--posts", "--plot"}, id="options"),
    ],
)
def test_what_may_follow_loads_nothing_heavy(typed: str, offered: set[str]) -> None:
    """A shell waits for it at every press of the key."""
    code = (
        "import sys\nfrom gcodekit.cli.app import main\n"
        "try:\n    main()\nexcept SystemExit:\n"
        "    print({'numpy', 'shapely', 'gcodekit.job', 'gcodekit.making'} & set(sys.modules))\n"
    )
    words = {
        "_GCODEKIT_COMPLETE": "complete_bash",
        "COMP_WORDS": typed,
        "COMP_CWORD": str(typed.count(" ")),
    }
    ended = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, **words},
    )
    *found, heavy = ended.stdout.splitlines()
    assert offered <= set(found)
    assert heavy == "set()"
