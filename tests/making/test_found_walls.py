"""Jobs where the planner's own cut went through a wall, into a clamp, or to and fro without end:
each is proved now, or refused by name."""

from __future__ import annotations

from pathlib import Path

import pytest

from gcodekit.making.make import make

JOB = """\
name = "Declination cheek"
units = "mm"
material = "aluminium"
[stock]
block = {block}
"""
SETUP = """\
[[setup]]
name = "{name}"
{up}zero = {{ x = "centre", y = "centre", z = "top" }}
  [setup.hold]
  board = 12
"""


def side(name: str, *features: str, up: str = "", hold: str = "") -> str:
    head = SETUP.format(name=name, up=f'up = "{up}"\n' if up else "")
    return head + hold + "".join(f"  [[setup.feature]]\n{text}\n" for text in features)


def job(block: str, *sides: str) -> str:
    return JOB.format(block=block) + "".join(sides)


def clean(folder: Path, text: str) -> list[Path]:
    """Made without a word but on cuts in air and on what comes loose; the programs."""
    path = folder / "cheek.toml"
    path.write_text(text)
    outcome = make(path, folder / "out")
    said = [str(f) for f in outcome.faults]
    assert [t for t in said if "cuts air" not in t and "comes loose" not in t] == []
    assert outcome.verdict == "pass"
    return sorted((folder / "out").glob("*.nc"))


@pytest.mark.parametrize("sides", [5, 6, 8, 12])
@pytest.mark.parametrize("turned", [0, 10])
def test_a_polygon_just_narrower_than_a_cutter(tmp_path: Path, sides: int, turned: int) -> None:
    outline = f"{{ polygon = {sides}, across_flats = 9.96, centre = [5, 14], angle = {turned} }}"
    if sides == 5:
        outline = f"{{ polygon = 5, across_corners = 12.31, centre = [5, 14], angle = {turned} }}"
    clean(
        tmp_path,
        job("[40, 48, 8]", side("Top", f'kind = "pocket"\noutline = {outline}\ndepth = 2')),
    )


@pytest.mark.parametrize(("floor", "deep"), [(10.05, 8), (12, 7), (10.05, 4)])
@pytest.mark.parametrize("y", [0, 4])
def test_an_open_slot_over_the_pocket_of_another_side(
    tmp_path: Path, floor: float, deep: float, y: float
) -> None:
    recess = (
        f'kind = "pocket"\noutline = {{ rectangle = [14, 24], centre = [-27, {y}], round = 4 }}\n'
        f"depth = {floor}"
    )
    way = (
        'kind = "slot"\nfrom = [10, 0]\nto = [-30, 0]\nwidth = 12\n'
        f'ends = {{ start = "round", end = "open" }}\ndepth = {deep}'
    )
    clean(tmp_path, job("[80, 60, 18]", side("Top", recess), side("Under", way, up="bottom")))


@pytest.mark.parametrize("under", [3, 4])
def test_an_open_slot_from_both_sides(tmp_path: Path, under: float) -> None:
    slot = (
        'kind = "slot"\nfrom = [10, -20]\nto = [10, 20]\nwidth = 8\nends = "open"\ndepth = {depth}'
    )
    sides = (
        side("Top", slot.format(depth=5)),
        side("Under", slot.format(depth=under), up="bottom"),
    )
    clean(tmp_path, job("[70, 50, 8]", *sides))


def clamped(y: float) -> str:
    step = 'kind = "pocket"\noutline = { rectangle = [30, 24], corner = [-40, -18] }\ndepth = 3'
    clamp = f"  clamps = [{{ at = [-35, {y}], size = [12, 10], height = 14 }}]\n"
    return job("[70, 60, 12]", side("Top", step, hold=clamp))


@pytest.mark.parametrize("y", [15, 12, 16])
def test_an_open_pocket_beside_a_clamp(tmp_path: Path, y: float) -> None:
    clean(tmp_path, clamped(y))


@pytest.mark.parametrize("y", [8, 0])
def test_a_clamp_in_an_open_pocket_is_refused_by_name(tmp_path: Path, y: float) -> None:
    path = tmp_path / "cheek.toml"
    path.write_text(clamped(y))
    (fault,) = make(path, tmp_path / "out").faults
    assert fault.message.startswith("clamp 1 is in the cutter's way")
    assert fault.place.line


@pytest.mark.parametrize(("bore", "y"), [(28, 0), (26, 1)])
def test_a_pockets_corner_beside_a_bore(tmp_path: Path, bore: float, y: float) -> None:
    shelf = (
        'kind = "pocket"\noutline = { minus = [{ rectangle = [24, 11], centre = [15.5, 6] },'
        " { circle = 10.7, centre = [27.5, 0.5] }] }\ndepth = 3.5"
    )
    through = f'kind = "bore"\nat = [11, {y}]\ndiameter = {bore}\nthrough = true'
    clean(tmp_path, job("[48, 84, 7]", side("Top", through, shelf)))


@pytest.mark.parametrize("size", ["[60, 60]", "[90, 40]", "[36, 70]"])
def test_a_pocket_over_two_edges_is_cleared_in_few_passes(tmp_path: Path, size: str) -> None:
    # it was thousands of passes of a hundredth of a millimetre each
    pocket = f'kind = "pocket"\noutline = {{ rectangle = {size}, centre = [0, 0] }}\ndepth = 4'
    (program,) = clean(tmp_path, job("[70, 50, 12]", side("Top", pocket)))
    assert len(program.read_text().splitlines()) < 800


BOSS_ON_A_BAR = """\
units = "mm"
material = "aluminium"
[stock]
round = {{ diameter = 20, length = 20, axis = "x" }}
[[setup]]
zero = {{ x = "left", y = "front", z = "top" }}
[setup.hold]
vise = {{ grip = 6, jaw_width = 100, jaw_depth = 25 }}
[[setup.feature]]
kind = "boss"
depth = 1
cutter = 1
outline = {{ rectangle = [3, 4], centre = [9, 10] }}
within = {{ rectangle = [5, {height}], centre = [3, {y}] }}
"""


@pytest.mark.parametrize(("height", "y"), [(6, 8.491), (5, 8.091), (8, 9.591)])
def test_the_corners_round_a_boss_on_a_bars_flank(tmp_path: Path, height: float, y: float) -> None:
    """Just past the metal's edge at the floor: the cutter runs out over it, as a pocket's does."""
    path = tmp_path / "job.toml"
    path.write_text(BOSS_ON_A_BAR.format(height=height, y=y))
    outcome = make(path, tmp_path / "out")
    assert [str(f) for f in outcome.faults] == []


ROUGHED_NECK = """\
units = "mm"
material = "acetal"
[stock]
block = [60, 50, 12]
[[setup]]
zero = {{ x = "left", y = "front", z = "top" }}
[setup.hold]
board = 15
[[setup.feature]]
kind = "boss"
depth = 1
finish = false
cutter = 3
allowance = {{ wall = 0.1 }}
limits = [-0.02, 0.01]
outlines = [{{ circle = 30, centre = [22, 25] }}, {{ rectangle = [12, 30], centre = [{x}, 25] }}]
"""


@pytest.mark.parametrize("x", [49.19, 49.15, 49.1])
def test_a_neck_that_roughing_only_just_gets_into(tmp_path: Path, x: float) -> None:
    """Half a micrometre of the cutter's radius is many along a gap that narrows slowly."""
    path = tmp_path / "job.toml"
    path.write_text(ROUGHED_NECK.format(x=x))
    outcome = make(path, tmp_path / "out")
    assert [str(f) for f in outcome.faults] == []


HOLE_OVER_A_FLANK = """\
units = "mm"
material = "cast iron"
[stock]
round = { diameter = 20, length = 20, axis = "x" }
[[setup]]
zero = { x = "left", y = "front", z = "top" }
[setup.hold]
board = 15
[[setup.feature]]
kind = "hole"
thread = "M3"
at = [4, 4]
depth = DEPTH
"""


@pytest.mark.parametrize(("depth", "made"), [(1, False), (4, True)])
def test_a_hole_no_deeper_than_the_air_over_a_flank(
    tmp_path: Path, depth: float, made: bool
) -> None:
    """Its thread would be in air; that the drill's point goes deeper makes it no hole."""
    path = tmp_path / "job.toml"
    path.write_text(HOLE_OVER_A_FLANK.replace("DEPTH", str(depth)))
    errors = [f.message for f in make(path, tmp_path / "out").faults if f.severity == "error"]
    assert errors == ([] if made else ["hole 1 cuts nothing: it lies beside the stock"])


def test_a_tab_where_no_place_is_off_the_corners(tmp_path: Path) -> None:
    """Planning and proof put it at the same place, though neither can keep it off the corners."""
    clean(
        tmp_path,
        job(
            "[40, 40, 8]",
            side(
                "Window",
                'kind = "profile"\n'
                "outline = { rectangle = [5.7, 12.7], angle = 15 }\n"
                'side = "on"\nthrough = true\n'
                "tabs = { count = 1, width = 2.3, height = 1 }",
            ),
        ),
    )


def test_marks_over_the_flank_of_a_bar_cut_nothing(tmp_path: Path) -> None:
    path = tmp_path / "bar.toml"
    path.write_text(
        'name = "Rod"\nunits = "mm"\nmaterial = "acetal"\nworkshop = "rack.toml"\n'
        '[stock]\nround = { diameter = 32, length = 20, axis = "x" }\n[[setup]]\n'
        "[setup.hold]\nboard = 15\n[[setup.feature]]\n"
        'kind = "scale"\nfrom = [2, 6]\nto = [18, 6]\ndivisions = 9\nshort = 2\n'
        "line_width = 0.2\n"
    )
    (tmp_path / "rack.toml").write_text(
        'units = "mm"\n[machine]\nspindle = { min = 100, max = 5000 }\n[[cutter]]\nnumber = 1\n'
        'kind = "engraving cutter"\ndiameter = 6\n'
    )
    outcome = make(path, tmp_path / "out")
    assert outcome.verdict == "fail"
    (fault,) = [str(f) for f in outcome.faults if f.severity == "error"]
    assert "below top" in fault or "cuts nothing" in fault


@pytest.mark.parametrize("inset", ["0", "0.00005", "0.001", "0.01", "1.5", "-0.01", "-2"])
def test_a_boss_within_the_edges_of_its_block(tmp_path: Path, inset: str) -> None:
    """Where its `within` ends on the block's edge, or a hair inside it, its corners are cut."""
    long = f'"20 - {inset}"' if not inset.startswith("-") else f'"20 + {inset[1:]}"'
    clean(
        tmp_path,
        job(
            "[40, 40, 8]",
            side(
                "Pin",
                'kind = "boss"\ndepth = 3\noutline = { circle = 8, centre = [10, 10] }\n'
                f"within = {{ rectangle = [{long}, {long}], corner = [0, 0] }}",
            ),
        ),
    )
