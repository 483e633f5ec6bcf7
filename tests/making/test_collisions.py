"""A collision with each thing that holds or carries the work, and of shank and holder with the work
itself: planted in a program, refused by name on its line; a little farther off it is clean."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.making.dryrun import dry_run

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


def said(folder: Path, hold: str, lines: tuple[str, ...]) -> list[tuple[int, str]]:
    """What is wrong with a program run on the second set-up, but for its drawing."""
    (folder / "job.toml").write_text(JOB.format(hold=hold), encoding="utf-8")
    (folder / "shop.toml").write_text(SHOP, encoding="utf-8")
    program = folder / "work.nc"
    text = ["G21 G90 G17 G94 G54", "S1000 F100 M3", *lines, "G0 Z60", "M5", "M2"]
    program.write_text("\n".join(text) + "\n", encoding="utf-8")
    run = dry_run(program, job=folder / "job.toml", setup="Work")
    found = [p for p in run.findings.problems if p.severity == "error"]
    drawing = ("gouge", "metal left", "more than")
    return [(p.line, p.text) for p in found if not p.text.startswith(drawing)]


CASES = [
    # the jaws' top is 18 below the work's; y 50 is the back of the work
    pytest.param(
        VISE, ("T1 M6", "G0 Z20", "G0 X90 Y60", "G1 Z-18.1", "G1 X100"), 6,
        "cutter 1 runs into the back jaw (fixed)", ("-18.1", "-17.9"), id="jaw",
    ),
    pytest.param(
        CLAMP + "\nboard = 20", ("T1 M6", "G0 Z20", "G0 X22.9 Y25", "G1 Z10", "G0 Z20"), 6,
        "cutter 1 runs into clamp 1", ("X22.9", "X23.1"), id="clamp",
    ),
    # a parallel stands under each jaw's edge of the work, 12 thick
    pytest.param(
        VISE, ("T2 M6", "G0 Z20", "G0 X40 Y5", "G1 Z-30.1", "G0 Z20"), 6,
        "cutter 2 runs into the front parallel", ("-30.1", "-29.9"), id="parallel",
    ),
    pytest.param(
        VISE, ("T2 M6", "G0 Z20", "G0 X40 Y25", "G1 Z-34.1", "G0 Z20"), 6,
        "cutter 2 runs into the vise's bed", ("-34.1", "-33.9"), id="bed",
    ),
    pytest.param(
        "board = 20", ("T2 M6", "G0 Z20", "G0 X40 Y25", "G1 Z-48.1", "G0 Z20"), 6,
        "cutter 2 runs into the spoil board's last 2 mm", ("-48.1", "-30.1"), id="board",
    ),
    pytest.param(
        CLAMP, ("T2 M6", "G0 Z20", "G0 X40 Y25", "G1 Z-30.1", "G0 Z20"), 6,
        "cutter 2 runs into the table", ("-30.1", "-29.9"), id="table",
    ),
    pytest.param(
        "rotary = { centre = [40, 25] }",
        ("T2 M6", "G0 Z20", "G0 X40 Y25", "G1 Z-30.1", "G0 Z20"), 6,
        "cutter 2 runs into the rotary table", ("-30.1", "-29.9"), id="rotary table",
    ),
    pytest.param(
        CHUCK, ("T1 M6", "G0 Z40", "G0 X88 Y25", "G1 Z-20.1", "G0 Z40"), 6,
        "cutter 1 runs into chuck jaw 1", ("-20.1", "-19.9"), id="chuck jaw",
    ),
    pytest.param(
        CHUCK, ("T2 M6", "G0 Z20", "G0 X40 Y25", "G1 Z-36.1", "G0 Z20"), 6,
        "cutter 2 runs into the chuck", ("-36.1", "-30.4"), id="chuck",
    ),
    pytest.param(
        'board = 20\nbolts = "bolt holes"',
        ("T1 M6", "G0 Z40", "G0 X20 Y34.5", "G1 Z5", "G0 Z40"), 6,
        "cutter 1 runs into bolt 1 through bolt holes", ("Y34.5", "Y34.7"), id="bolt",
    ),
    pytest.param(
        CLAMP + "\nboard = 20", ("T1 M6", "G0 Z20", "G0 X34 Y25", "G1 Z-17.1", "G0 Z60"), 6,
        "the holder of cutter 1 runs into clamp 1", ("-17.1", "-16.9"), id="holder over a clamp",
    ),
    pytest.param(
        "board = 20", ("T1 M6", "G0 Z40", "G0 X94.5 Y25", "G1 Z-34", "G0 Z40"), 6,
        "the holder of cutter 1 runs into metal", ("X94.5", "X95.1"), id="holder",
    ),
    pytest.param(
        "board = 20", (*RECESSED, "G0 Z20", "T3 M6", "G0 X31.5 Y25", "G1 Z-14", "G0 Z20"), 16,
        "the shank of cutter 3 runs into metal", ("X31.5", "X33.5"), id="shank",
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
