"""A collision with each thing that holds or carries the work, and of shank and holder with the work
itself: planted in a program, refused by name on its line; a little farther off it is clean."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.making.dryrun import dry_run

# The drawing's faults are left out of what is looked at.
pytestmark = pytest.mark.usefixtures("unmeasured")

JOB = """\
name = "Worm block"
units = "mm"
workshop = "shop.toml"
material = "aluminium"
[stock]
block = [80, 50, 30]
[[setup]]
name = "Holes"
zero = {{ x = "left", y = "front", z = "top" }}
[setup.hold]
board = 20
[[setup.feature]]
name = "bolt holes"
kind = "hole"
at = [[20, 25], [60, 25]]
diameter = 6
through = true
[[setup]]
name = "Work"
zero = {{ x = "left", y = "front", z = "top" }}
[setup.hold]
{hold}
[[setup.feature]]
name = "recess"
kind = "pocket"
outline = {{ rectangle = [30, 20], centre = [40, 25], round = 4 }}
depth = 20
"""
SHOP = """\
units = "mm"
[machine]
spindle = { min = 100, max = 5000 }
[[cutter]]
number = 1
kind = "end mill"
diameter = 6
flute_length = 24
stickout = 32
shank = 6
centre_cutting = true
holder = { diameter = 30, length = 40 }
[[cutter]]
number = 2
kind = "drill"
diameter = 6
flute_length = 60
stickout = 70
shank = 6
[[cutter]]
number = 3
name = "4 mm, thick shank"
kind = "end mill"
diameter = 4
flute_length = 10
stickout = 50
shank = 10
centre_cutting = true
"""
VISE = "vise = { grip = 12, jaw_width = 100, jaw_depth = 25 }\nparallels = 4"
CHUCK = "chuck = { diameter = 120, jaws = 4, grip = 10, jaw_height = 16 }"
CLAMP = "clamps = [{ at = [10, 25], size = [20, 20], height = 15 }]"
RECESSED = (
    *("T1 M6", "G0 Z20", "G0 X30 Y20", "G0 Z1", "G1 Z-8", "G1 X50", "G1 Y30", "G1 X30"),
    *("G1 Y25", "G1 X50"),
)


def said(
    folder: Path, hold: str, lines: tuple[str, ...], shop: str = SHOP
) -> list[tuple[int, str]]:
    """What is wrong with a program run on the second set-up, but for its drawing."""
    (folder / "job.toml").write_text(JOB.format(hold=hold), encoding="utf-8")
    (folder / "shop.toml").write_text(shop, encoding="utf-8")
    program = folder / "work.nc"
    text = ["G21 G90 G17 G94 G54", "S1000 F100 M3", *lines, "G0 Z60", "M5", "M2"]
    program.write_text("\n".join(text) + "\n", encoding="utf-8")
    run = dry_run(program, job=folder / "job.toml", setup="Work")
    found = [p for p in run.findings.problems if p.severity == "error"]
    drawing = ("gouge", "uncut", "more than")
    return [(p.line, p.full_text) for p in found if not p.text.startswith(drawing)]


CASES = [
    # the jaws' top is 18 below the work's; y 50 is the back of the work
    pytest.param(
        VISE, ("T1 M6", "G0 Z20", "G0 X90 Y60", "G1 Z-18.1", "G1 X100"), 6,
        "collision: cutter 1 into the back jaw (fixed)", ("-18.1", "-17.9"), id="jaw",
    ),
    pytest.param(
        CLAMP + "\nboard = 20", ("T1 M6", "G0 Z20", "G0 X22.9 Y25", "G1 Z10", "G0 Z20"), 6,
        "collision: cutter 1 into clamp 1", ("X22.9", "X23.1"), id="clamp",
    ),
    # a parallel stands under each jaw's edge of the work, 12 thick
    pytest.param(
        VISE, ("T2 M6", "G0 Z20", "G0 X40 Y5", "G1 Z-30.1", "G0 Z20"), 6,
        "collision: cutter 2 into the front parallel", ("-30.1", "-29.9"), id="parallel",
    ),
    pytest.param(
        VISE, ("T2 M6", "G0 Z20", "G0 X40 Y25", "G1 Z-34.1", "G0 Z20"), 6,
        "collision: cutter 2 into the vise's bed", ("-34.1", "-33.9"), id="bed",
    ),
    pytest.param(
        "board = 20", ("T2 M6", "G0 Z20", "G0 X40 Y25", "G1 Z-48.1", "G0 Z20"), 6,
        "cutter 2 into the underside of the spoil board", ("-48.1", "-30.1"), id="board",
    ),
    pytest.param(
        CLAMP, ("T2 M6", "G0 Z20", "G0 X40 Y25", "G1 Z-30.1", "G0 Z20"), 6,
        "collision: cutter 2 into the table", ("-30.1", "-29.9"), id="table",
    ),
    pytest.param(
        "rotary = { centre = [40, 25] }",
        ("T2 M6", "G0 Z20", "G0 X40 Y25", "G1 Z-30.1", "G0 Z20"), 6,
        "collision: cutter 2 into the rotary table", ("-30.1", "-29.9"), id="rotary table",
    ),
    pytest.param(
        CHUCK, ("T1 M6", "G0 Z40", "G0 X88 Y25", "G1 Z-20.1", "G0 Z40"), 6,
        "collision: cutter 1 into chuck jaw 1", ("-20.1", "-19.9"), id="chuck jaw",
    ),
    pytest.param(
        CHUCK, ("T2 M6", "G0 Z20", "G0 X40 Y25", "G1 Z-36.1", "G0 Z20"), 6,
        "collision: cutter 2 into the chuck", ("-36.1", "-30.4"), id="chuck",
    ),
    pytest.param(
        'board = 20\nbolts = "bolt holes"',
        ("T1 M6", "G0 Z40", "G0 X20 Y34.5", "G1 Z5", "G0 Z40"), 6,
        "collision: cutter 1 into bolt 1 through bolt holes", ("Y34.5", "Y34.7"), id="bolt",
    ),
    pytest.param(
        CLAMP + "\nboard = 20", ("T1 M6", "G0 Z20", "G0 X34 Y25", "G1 Z-17.1", "G0 Z60"), 6,
        "holder of cutter 1 into clamp 1", ("-17.1", "-16.9"), id="holder over a clamp",
    ),
    pytest.param(
        "board = 20", ("T1 M6", "G0 Z40", "G0 X94.5 Y25", "G1 Z-34", "G0 Z40"), 6,
        "holder of cutter 1 into stock", ("X94.5", "X95.1"), id="holder",
    ),
    pytest.param(
        "board = 20", (*RECESSED, "G0 Z20", "T3 M6", "G0 X31.5 Y25", "G1 Z-14", "G0 Z20"), 16,
        "shank of cutter 3 into stock", ("X31.5", "X33.5"), id="shank",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("hold", "lines", "line", "text", "clear"), CASES)
def test_a_collision_is_refused_by_name(
    tmp_path: Path,
    hold: str,
    lines: tuple[str, ...],
    line: int,
    text: str,
    clear: tuple[str, str],
) -> None:
    found = said(tmp_path, hold, lines)
    hits = [(n, t) for n, t in found if text in t]
    assert [n for n, _ in hits] == [line], found
    farther = tuple(one.replace(*clear) for one in lines)
    assert [t for _, t in said(tmp_path, hold, farther) if text in t] == []


def changed(text: str, *pairs: tuple[str, str]) -> str:
    """A text with some parts replaced, each of which must be there once."""
    for was, now in pairs:
        assert text.count(was) == 1, was
        text = text.replace(was, now)
    return text


DRILLED = ("T2 M6", "G0 Z20", "G0 X40 Y25")
BY_CLAMP = ("T1 M6", "G0 Z20", "G0 X18 Y5", "G1 Z-1", "G1 Y45", "G0 Z20")
REMEDIES = [
    pytest.param(
        VISE, ("T1 M6", "G0 Z20", "G0 X90 Y60", "G1 Z-20", "G1 X100"),
        "lower the grip by 2 mm", (("grip = 12", "grip = 10"),), (), id="grip",
    ),
    pytest.param(
        CLAMP + "\nboard = 20", BY_CLAMP,
        "move clamp 1 by 5 mm to the left", (("at = [10, 25]", "at = [5, 25]"),), (), id="clamp",
    ),
    # a second cut behind it: to the left it would still meet that one
    pytest.param(
        CLAMP + "\nboard = 20", (*BY_CLAMP, "G0 X-2 Y40", "G1 Z1", "G1 Y36", "G0 Z20"),
        "move clamp 1 by 21 mm to the right", (("at = [10, 25]", "at = [31, 25]"),), (),
        id="clamp between two cuts",
    ),
    pytest.param(
        VISE, (*DRILLED, "G1 Z-35.5", "G0 Z20"),
        "use parallels 1.5 mm higher", (("parallels = 4", "parallels = 5.5"),), (),
        id="parallels",
    ),
    pytest.param(
        VISE, ("T2 M6", "G0 Z20", "G0 X40 Y12", "G1 Z-33", "G0 Z20"),
        "use parallels 9 mm thick or less",
        (("parallels = 4", "parallels = { height = 4, thick = 9 }"),), (),
        id="thinner parallels",
    ),
    pytest.param(
        "board = 20", (*DRILLED, "G1 Z-49", "G0 Z20"),
        "use a spoil board 1 mm thicker", (("board = 20", "board = 21"),), (), id="board",
    ),
    pytest.param(
        CLAMP, (*DRILLED, "G1 Z-33", "G0 Z20"),
        "put a spoil board at least 5 mm thick under the work",
        ((CLAMP, CLAMP + "\nboard = 5"),), (), id="no board",
    ),
    pytest.param(
        CHUCK, ("T1 M6", "G0 Z40", "G0 X88 Y25", "G1 Z-23", "G0 Z40"),
        "lower the grip by 3 mm", (("grip = 10", "grip = 7"),), (), id="chuck",
    ),
    pytest.param(
        CLAMP + "\nboard = 20", ("T1 M6", "G0 Z20", "G0 X34 Y25", "G1 Z-19", "G0 Z60"),
        "give 2 mm more stick-out", (), (("stickout = 32", "stickout = 34"),), id="over a clamp",
    ),
    pytest.param(
        "board = 20", ("T1 M6", "G0 Z40", "G0 X94.5 Y25", "G1 Z-34", "G0 Z40"),
        "give 2 mm more stick-out", (), (("stickout = 32", "stickout = 34"),), id="over the stock",
    ),
    pytest.param(
        "board = 20", (*RECESSED, "G0 Z20", "T3 M6", "G0 X31.5 Y25", "G1 Z-14", "G0 Z20"),
        "use a cutter that is 4 mm longer below its shank", (),
        (("flute_length = 10", "flute_length = 14"), ("stickout = 50", "stickout = 54")),
        id="shank in the stock",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("hold", "lines", "hint", "job", "shop"), REMEDIES)
def test_the_remedy_named_clears_the_collision(
    tmp_path: Path,
    hold: str,
    lines: tuple[str, ...],
    hint: str,
    job: tuple[tuple[str, str], ...],
    shop: tuple[tuple[str, str], ...],
) -> None:
    found = [t for _, t in said(tmp_path, hold, lines) if t.startswith("collision")]
    assert found
    assert all(hint in t for t in found), found
    mended = said(tmp_path, changed(hold, *job), lines, changed(SHOP, *shop))
    assert [t for _, t in mended if t.startswith("collision")] == []


def test_the_remedy_of_a_rapid_is_to_retract_higher(tmp_path: Path) -> None:
    lines = ("T1 M6", "G0 Z20", "G0 X-10 Y25", "G0 Z11", "G0 X40", "G0 Z20")
    hold = CLAMP + "\nboard = 20"
    (found,) = [t for _, t in said(tmp_path, hold, lines) if "into clamp 1" in t]
    assert "retract 4 mm higher" in found
    higher = tuple(line.replace("Z11", "Z15") for line in lines)
    assert [t for _, t in said(tmp_path, hold, higher) if "into clamp 1" in t] == []


def test_a_clamp_is_not_moved_off_the_work(tmp_path: Path) -> None:
    """Cuts so close that it fits between none of them."""
    cuts = [
        line for x in (10, 30, 50, 70) for line in (f"G0 X{x} Y60", "G1 Z-1", "G1 Y-10", "G0 Z20")
    ]
    lines = ("T1 M6", "G0 Z20", *cuts)
    found = [t for _, t in said(tmp_path, CLAMP + "\nboard = 20", lines) if "into clamp 1" in t]
    assert found
    assert not any("move clamp" in t for t in found)


def test_a_grip_is_not_lowered_until_nothing_is_held(tmp_path: Path) -> None:
    lines = ("T1 M6", "G0 Z20", "G0 X90 Y60", "G1 Z-26", "G1 X100", "G0 Z20")
    found = [t for _, t in said(tmp_path, VISE, lines) if "into the back jaw" in t]
    assert found
    assert not any("grip" in t for t in found)


def test_a_collision_names_its_feature(tmp_path: Path) -> None:
    lines = ("(recess: rough)", "T1 M6", "G0 Z20", "G0 X18 Y25", "G1 Z-1", "G0 Z20")
    (found,) = [t for _, t in said(tmp_path, CLAMP + "\nboard = 20", lines) if "clamp" in t]
    assert found.startswith("collision in recess: cutter 1 into clamp 1, 3 mm deep")


def test_an_inch_job_is_told_in_inches(tmp_path: Path) -> None:
    job = JOB.format(
        hold="clamps = [{ at = [0.4, 1], size = [0.8, 0.8], height = 0.6 }]\nboard = 1"
    )
    inch = (
        ('units = "mm"', 'units = "inch"'), ("[80, 50, 30]", "[3.2, 2, 1.2]"),
        ("board = 20", "board = 1"),
        ("[[20, 25], [60, 25]]", "[[0.8, 1], [2.4, 1]]"), ("diameter = 6", 'diameter = "6 mm"'),
        ("[30, 20], centre = [40, 25], round = 4", "[1.2, 0.8], centre = [1.6, 1], round = 0.2"),
        ("depth = 20", "depth = 0.8"),
    )  # fmt: skip
    (tmp_path / "job.toml").write_text(changed(job, *inch), encoding="utf-8")
    (tmp_path / "shop.toml").write_text(SHOP, encoding="utf-8")
    program = tmp_path / "work.nc"
    lines = ("G20 G90 G17 G94 G54", "T1 M6", "S1000 F4 M3", "G0 Z1", "G0 X0.8 Y1", "G1 Z-0.1", "M2")
    program.write_text("\n".join(lines) + "\n", encoding="utf-8")
    run = dry_run(program, job=tmp_path / "job.toml", setup="Work")
    (found,) = [str(f) for f in run.faults if "collision" in str(f)]
    assert (
        "into clamp 1, 0.1181 in deep at X0.8 Y1 Z-0.1, move clamp 1 by 0.12 in to the left"
        in found
    )
    assert not [f for f in run.faults if " mm" in str(f)]
    (row,) = [p for p in run.document()["problems"] if "collision" in p["text"]]
    assert row["where"] == pytest.approx([20.32, 25.4, -2.54])
