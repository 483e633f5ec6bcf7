"""What a machinist looks up: `fits`, `thread` and `speeds`, their texts, figures and refusals."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

WORKSHOP = Path(__file__).parents[2] / "jobs" / "workshop.toml"


Run = Callable[..., Any]


@pytest.mark.parametrize(
    "arguments",
    [
        pytest.param(["fits", "10", "H7/p6"], id="fits"),
        pytest.param(["thread", "M4", "--workshop", str(WORKSHOP)], id="thread"),
        pytest.param(["speeds", "brass", "--cutter", "6"], id="speeds"),
        pytest.param(
            ["speeds", "brass", "--cutter", "6", "--workshop", str(WORKSHOP)], id="speeds, rack"
        ),
        pytest.param(
            [
                "speeds",
                "brass",
                "--cutter",
                "6",
                "--job",
                str(WORKSHOP.with_name("worm-block.toml")),
            ],
            id="speeds, job",
        ),
        pytest.param(["speeds", "brass", "--cutter", "6", "--kind", "drill"], id="speeds, drill"),
    ],
)
def test_nothing_heavy_is_loaded(arguments: list[str]) -> None:
    text = (
        "import sys\nfrom gcodekit.cli.app import main\n"
        "try:\n    main(sys.argv[1:])\nexcept SystemExit as end:\n    assert not end.code\n"
        "heavy = {'numpy', 'shapely', 'pyclipper', 'manifold3d'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    subprocess.run([sys.executable, "-c", text, *arguments], check=True, capture_output=True)


def test_fits_as_a_document(run: Run) -> None:
    # the example of the commands' contract
    assert json.loads(run("fits", "10", "H7/p6", "--json").out) == {
        "size": 10,
        "hole": {"lower": 0.0, "upper": 0.015},
        "shaft": {"lower": 0.015, "upper": 0.024},
        "clearance": {"least": -0.024, "greatest": 0.0},
    }


@pytest.mark.parametrize(
    ("fit", "said"),
    [
        ("H7/g6", "clearance fit, 0.0050 to 0.0290 mm\n"),
        ("H7/k6", "transition fit, up to 0.0100 mm interference or 0.0140 mm clearance"),
        ("p6/H7", "interference fit, up to 0.0240 mm: "),
        ("H7/r6", "interference fit, 0.0040 to 0.0280 mm: "),
        ("H7/g6", "\nslides and turns with hardly any play: "),
        ("H7/f6", "\nruns true with oil: "),
        ("H7/g7", "\nnot a usual fit; the nearest usual one is H7/g6: slides and turns "),
    ],
)
def test_fits_as_text(run: Run, fit: str, said: str) -> None:
    ended = run("fits", "10", fit)
    assert (ended.code, ended.err) == (0, "")
    rows = [line.split() for line in ended.out.splitlines()]
    assert rows[2] == ["hole", "H7", "+0.0000", "+0.0150", "10.0000", "10.0150"]
    assert said in ended.out


def test_letters_that_never_go_together_are_for_nothing(run: Run) -> None:
    assert run("fits", "10", "F8/k6").out.splitlines()[-1].startswith("clearance fit, ")


def test_one_part_alone(run: Run) -> None:
    found = json.loads(run("fits", "12", "g6", "--json").out)
    assert found == {"size": 12, "shaft": {"lower": -0.017, "upper": -0.006}}
    assert "fit" not in run("fits", "12", "g6").out


def test_an_inch_size_is_answered_in_inches_too(run: Run) -> None:
    # 9.525 mm is 3/8 in; H7 over 6 to 10 mm is 15 micrometres, 0.00059 in
    assert json.loads(run("fits", "3/8 in", "H7", "--json").out)["size"] == 9.525
    row = run("fits", "3/8 in", "H7").out.splitlines()[2].split()
    assert row[-4:] == ["9.5250", "9.5400", "0.37500", "0.37559"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["fits", "10", "H7/t6"], "'t6' is not a tolerance class in the table, the nearest is s6"),
        (["fits", "10", "H12/h6"], "H12: grade 12 is not in the table, use grades 5 to 11"),
        (
            ["fits", "600", "H7/h6"],
            "600 mm is not in the table of fits, greater than 0, at most 500 mm",
        ),
        (["fits", "10", "H7/H8"], "'H7/H8' names two holes"),
        (["thread", "M9"], "no such thread, the nearest are M8 and M10"),
        (["thread", "1/4", "UNX"], "no such thread, did you mean 1/4-"),
        (["thread", "M4", "--workshop", "none.toml"], "none.toml: "),
        (["speeds", "mild stel", "--cutter", "6"], 'did you mean "mild steel"?'),
        (["speeds", "cheese", "--cutter", "6"], "no such material, known: mild steel,"),
        (["speeds", "brass", "--cutter", "6", "--workshop", "none.toml"], "none.toml: "),
        (["speeds", "brass", "--cutter", "6", "--job", "none.toml"], "none.toml: "),
    ],
)
def test_what_is_not_known_is_one_line(run: Run, arguments: list[str], said: str) -> None:
    ended = run(*arguments)
    assert (ended.code, ended.out) == (1, "")
    assert ended.err.count("\n") == 1
    assert said in ended.err


@pytest.mark.parametrize(
    "arguments",
    [
        pytest.param(["fits", "10"], id="no fit"),
        pytest.param(["fits", "ten", "H7/g6"], id="no number"),
        pytest.param(["thread"], id="no name"),
        pytest.param(["thread", "M4", "--engagement", "101"], id="more than a thread"),
        pytest.param(["thread", "M4", "--engagement", "most"], id="no percentage"),
        pytest.param(["speeds", "brass"], id="no cutter"),
        pytest.param(["speeds", "--cutter", "6"], id="no material"),
        pytest.param(["speeds", "brass", "--cutter", "0"], id="cutter of nothing"),
        pytest.param(["speeds", "brass", "--cutter", "six"], id="cutter is no length"),
        pytest.param(["speeds", "brass", "--cutter", "6", "--flutes", "0"], id="no flutes"),
        pytest.param(["speeds", "brass", "--cutter", "6", "--cutter-material", "tin"], id="tin"),
        pytest.param(["speeds", "brass", "--cutter", "6", "--width", "7"], id="too wide"),
        pytest.param(["speeds", "brass", "--cutter", "6", "--depth", "-1"], id="depth"),
    ],
)
def test_wrong_usage_is_2(run: Run, arguments: list[str]) -> None:
    ended = run(*arguments)
    assert (ended.code, ended.out) == (2, "")
    assert "Error: " in ended.err


def test_thread_as_a_document(run: Run) -> None:
    # ISO 724: D1 = d - 1.0825 P; ISO 2306: M4 is drilled 3.3
    found = json.loads(run("thread", "M4", "--json").out)
    assert list(found) == ["name", "major", "pitch", "minor", "tap_drill", "engagement"]
    assert found == {
        "name": "M4",
        "major": 4.0,
        "pitch": 0.7,
        "minor": 3.242,
        "tap_drill": 3.3,
        "engagement": pytest.approx(92.4, abs=0.05),
    }


def test_the_drill_for_an_engagement(run: Run) -> None:
    # 5 - 0.75 * 1.082532 * 0.8
    found = json.loads(run("thread", "M5", "--engagement", "75", "--json").out)
    assert found["tap_drill"] == pytest.approx(4.3505, abs=0.0001)
    assert found["engagement"] == 75
    text = run("thread", "M5", "--engagement", "75").out
    assert "tapping drill: 4.35 mm, 75 % thread, as asked" in text
    assert "nearest size in 0.1 mm steps: 4.4 mm, 69 % thread" in text  # 0.6 / 0.866


def test_the_nearest_drill_of_the_rack(run: Run, tmp_path: Path) -> None:
    rack = tmp_path / "w.toml"
    head = WORKSHOP.read_text(encoding="utf-8").partition("[[cutter]]")[0]
    drills = (
        f'[[cutter]]\nnumber = {n}\nname = "{d} mm drill"\nkind = "drill"\ndiameter = {d}\n'
        f"flutes = 2\nflute_length = 40\nstickout = 50\nshank = {d}\ntip_angle = 118\n"
        for n, d in ((7, 3.2), (8, 3.4), (9, 5.0))
    )
    rack.write_text(head + "".join(drills), encoding="utf-8")

    def nearest(name: str) -> str:
        return run("thread", name, "--workshop", rack).out.splitlines()[-1]

    found = json.loads(run("thread", "M4", "--workshop", rack, "--json").out)["rack_drill"]
    # 3.2 is as near as 3.4 to 3.3, but leaves 106 %; 100 (4 - 3.4) / (1.082532 * 0.7)
    assert found["number"] == 8
    assert found["engagement"] == pytest.approx(79.18, abs=0.01)
    assert nearest("M6") == "nearest in the rack: T9 5.0 mm drill, 5 mm, 92 % thread"
    assert nearest("M3").endswith("too large, the thread would strip")
    assert nearest("M8").endswith("too small, the tap would break")


def test_a_rack_without_drills_says_so(run: Run, tmp_path: Path) -> None:
    rack = tmp_path / "w.toml"
    head = WORKSHOP.read_text(encoding="utf-8").partition("[[cutter]]")[0]
    rack.write_text(
        head + '[[cutter]]\nnumber = 1\nname = "6 mm"\nkind = "end mill"\ndiameter = 6\n'
        "flutes = 2\nflute_length = 13\nstickout = 25\nshank = 6\n",
        encoding="utf-8",
    )
    assert run("thread", "M4", "--workshop", rack).out.endswith(f"{rack}: no drill in the rack\n")


def test_a_thread_typed_without_quotes(run: Run) -> None:
    text = run("thread", "1/4", "x", "40").out
    assert text.startswith("1/4 x 40, Model Engineer\n")
    assert "40 threads per inch" in text
    assert "tapping drill: 5.8 mm (0.2283 in)" in text


SPEEDS = ("speeds", "mild steel", "--cutter", "6", "--flutes", "4", "--cutter-material", "hss")


def test_speeds_as_a_document(run: Run) -> None:
    found = json.loads(run(*SPEEDS, "--json").out)
    assert list(found) == [
        "speed", "feed", "chip_load", "depth", "width", "power", "force", "deflection", "limited_by"
    ]  # fmt: skip
    # 1000 * 25 / (6 pi), and 0.005 of the diameter a tooth
    assert found["speed"] == pytest.approx(1326.29, abs=0.01)
    assert found["chip_load"] == pytest.approx(0.03)
    assert found["chip_load"] == pytest.approx(found["feed"] / (found["speed"] * 4))
    # P = ap ae vf kc; phi of 0.4 diameters is 78.46 degrees, hm = 2 fz ae / (D phi)
    chip = 2 * 0.03 * 2.4 / (6 * 1.36944)
    kc = 1350 * chip**-0.21
    watts = found["depth"] * found["width"] * found["feed"] * kc / 60e3
    assert found["power"] == pytest.approx(watts, rel=1e-4)
    assert found["force"] > 60 * watts / 25
    assert 0 < found["deflection"] <= 0.1


def test_speeds_as_text_name_the_limit_and_the_reasons(run: Run) -> None:
    ended = run(*SPEEDS)
    assert (ended.code, ended.err) == (0, "")
    limit = json.loads(run(*SPEEDS, "--json").out)["limited_by"]
    assert f"limited by: {limit}\n" in ended.out
    assert f"\n  {limit}: " in ended.out
    assert ended.out.startswith("mild steel, 6 mm hss cutter, 4 flutes: T8 ")
    assert "1326 rev/min  25.0 m/min" in ended.out


def test_a_cutter_that_the_rack_lacks_is_taken_as_usual(run: Run) -> None:
    usual = run("speeds", "brass", "--cutter", "7", "--flutes", "3").out
    assert "stick-out 28 mm, flutes 17.5 mm assumed" in usual
    near = ("speeds", "brass", "--cutter", "7", "--flutes", "3", "--stickout", "21 mm", "--json")
    far = (*near[:-2], "70", "--json")
    assert json.loads(run(*near).out)["depth"] > json.loads(run(*far).out)["depth"]


def test_what_cannot_be_brought_inside_a_limit_is_a_warning(run: Run) -> None:
    ended = run("speeds", "tool steel", "--cutter", "6", "--depth", "12", "--width", "6")
    assert ended.code == 0
    assert "-: warning: cutter deflection: " in ended.err
    assert "-: warning: machine rigidity: 12 mm deep and 6 mm wide is more than " in ended.err


def test_speeds_take_the_job_s_machine(run: Run, tmp_path: Path) -> None:
    shop = tmp_path / "w.toml"
    text = WORKSHOP.read_text(encoding="utf-8")
    shop.write_text(text.replace("max = 2500", "max = 700"), encoding="utf-8")
    job = tmp_path / "job.toml"
    job.write_text(
        'units = "mm"\nmaterial = "brass"\nworkshop = "w.toml"\n[stock]\nblock = [40, 30, 8]\n'
        '[[setup]]\nzero = { x = "left", y = "front", z = "top" }\n[setup.hold]\nboard = 12\n'
        '[[setup.feature]]\nkind = "pocket"\ndepth = 1\n'
        "outline = { rectangle = [20, 12], centre = [20, 15], round = 4 }\n",
        encoding="utf-8",
    )
    by_job = run("speeds", "brass", "--cutter", "6", "--job", job, "--json")
    assert (by_job.code, by_job.err) == (0, "")
    found = json.loads(by_job.out)
    assert (found["speed"], found["limited_by"]) == (700, "spindle range")
    assert by_job.out == run("speeds", "brass", "--cutter", "6", "--workshop", shop, "--json").out


def test_speeds_say_what_make_writes(run: Run, tmp_path: Path) -> None:
    job = tmp_path / "plate.toml"
    job.write_text(
        'units = "mm"\nmaterial = "aluminium"\n[stock]\nblock = [60, 50, 10]\n'
        '[[setup]]\nzero = { x = "left", y = "front", z = "top" }\n[setup.hold]\nboard = 12\n'
        '[[setup.feature]]\nkind = "pocket"\ndepth = 3\ncutter = 3\n'
        "outline = { rectangle = [40, 30], centre = [30, 25], round = 4 }\n",
        encoding="utf-8",
    )
    assert run("make", job, "--out", tmp_path / "out").code == 0
    (program,) = (tmp_path / "out").glob("*.nc")
    # where it enters it is a slot, as deep as the pocket
    slot = ("--cutter", "6", "--flutes", "2", "--width", "6", "--depth", "3")
    found = json.loads(run("speeds", "aluminium", *slot, "--json").out)
    words = program.read_text(encoding="ascii").split()
    assert f"S{found['speed']:g}" in words
    assert f"F{found['feed']:.1f}" in words


OWN = """\
units = "mm"
[machine]
spindle = { min = 100, max = 2500 }
[[cutter]]
number = 1
kind = "end mill"
diameter = 6
[[material]]
name = "EN24T"
like = "tool steel"
milling = { hss = 14 }
"""


def test_a_material_of_the_workshop_s_own(run: Run, tmp_path: Path) -> None:
    mill = tmp_path / "mill.toml"
    mill.write_text(OWN, encoding="utf-8")
    listed = json.loads(run("materials", "--workshop", mill, "--json").out)
    assert listed[0]["name"] == "EN24T"
    assert len(listed) == 11
    found = json.loads(run("speeds", "en24t", "--cutter", "6", "--workshop", mill, "--json").out)
    # 1000 * 14 / (6 pi)
    assert found["speed"] == pytest.approx(742.72, abs=0.01)
    unknown = run("speeds", "en24t", "--cutter", "6")
    assert unknown.code == 1
    assert unknown.err.startswith("en24t: no such material")


@pytest.mark.parametrize(
    ("options", "figures"),
    [
        pytest.param(
            ("mild steel", "--cutter", "5", "--kind", "drill", "--depth", "30"),
            # 6 diameters: 0.6 of 25 m/min, 0.8 of 0.014 a turn; pecks of 0.7
            {"speed": 954.93, "feed": 53.476, "peck": 3.5, "depth": 30, "limited_by": "hole depth"},
            id="drill",
        ),
        pytest.param(
            ("brass", "--cutter", "6", "--kind", "reamer"),
            # half of a drill's speed, twice its feed
            {"speed": 1326.29, "feed": 286.48, "deflection": None},
            id="reamer",
        ),
        pytest.param(
            ("brass", "--cutter", "6", "--kind", "tap", "--pitch", "1"),
            {"speed": 400, "feed": 400, "power": None},
            id="tap",
        ),
        pytest.param(
            ("mild steel", "--cutter", "63", "--kind", "slitting saw", "--thickness", "1.6"),
            {"width": 1.6, "depth": 3.2, "limited_by": "spindle range"},
            id="saw",
        ),
        pytest.param(
            ("brass", "--cutter", "6", "--kind", "engraving cutter", "--depth", "0.2"),
            {"speed": 2500, "width": 0.23094},
            id="engraving",
        ),
        pytest.param(
            ("brass", "--cutter", "10", "--kind", "chamfer mill", "--width", "0.6"),
            {"width": 0.6, "depth": 0.6},
            id="chamfer",
        ),
    ],
)
def test_speeds_of_other_cutters(
    run: Run, options: tuple[str, ...], figures: dict[str, object]
) -> None:
    ended = run("speeds", *options, "--json")
    assert (ended.code, ended.err) == (0, "")
    found = json.loads(ended.out)
    for name, value in figures.items():
        expected = pytest.approx(value, rel=1e-4) if isinstance(value, float | int) else value
        assert found[name] == expected, name
    text = run("speeds", *options).out
    assert f"limited by {found['limited_by']}: " in text


def test_what_a_tap_and_a_saw_must_say(run: Run) -> None:
    for kind, option in (("tap", "--pitch"), ("slitting saw", "--thickness")):
        ended = run("speeds", "brass", "--cutter", "7", "--kind", kind)
        assert ended.code == 2
        assert f"a {kind} needs its {option[2:]}: add {option} " in ended.err


def test_feed_in_an_inside_round(run: Run) -> None:
    found = json.loads(run("speeds", "brass", "--cutter", "6", "--round", "4", "--json").out)
    # (R - r) / R
    assert found["round_feed"] == pytest.approx(found["feed"] / 4)
    tight = run("speeds", "brass", "--cutter", "6", "--round", "2")
    assert tight.code == 2


@pytest.mark.parametrize(
    "options",
    [
        pytest.param(("brass", "--cutter", "1/4in"), id="end mill"),
        pytest.param(("mild steel", "--cutter", "0.2in", "--kind", "drill"), id="drill"),
        pytest.param(
            ("tool steel", "--cutter", "1/4in", "--depth", "1/2in", "--width", "1/4in"), id="warned"
        ),
    ],
)
def test_speeds_of_an_inch_cutter_are_in_inch(run: Run, options: tuple[str, ...]) -> None:
    ended = run("speeds", *options)
    found = json.loads(run("speeds", *options, "--json").out)
    assert f"{found['feed'] / 25.4:.2f} in/min" in ended.out
    assert " ft/min" in ended.out
    assert " mm" not in ended.out + ended.err
    assert " m/min" not in ended.out + ended.err


def test_tables_of_an_inch_workshop_are_in_inch(run: Run, tmp_path: Path) -> None:
    shop = tmp_path / "w.toml"
    shop.write_text(
        'units = "inch"\n[machine]\nspindle = { min = 100, max = 2500 }\n'
        '[[cutter]]\nnumber = 1\nkind = "end mill"\ndiameter = 0.25\n'
        '[[cutter]]\nnumber = 2\nkind = "end mill"\ndiameter = "1/8 in"\n',
        encoding="utf-8",
    )
    _, units, *rows = run("cutters", "--workshop", shop).out.splitlines()
    assert units.split() == ["in"] * 3
    assert [row.split()[-5] for row in rows] == ["0.250", "0.125"]
    assert run("materials", "--workshop", shop).out.splitlines()[1].split()[0] == "ft/min"
    assert " in/min" in run("speeds", "brass", "--cutter", "6", "--workshop", shop).out
