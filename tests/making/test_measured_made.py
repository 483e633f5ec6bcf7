"""Features corrected by what was measured of them, made end to end: sizes come out, errors in the
correction are refused, and roughing stays as it was."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from made_jobs import made_in, told

from gcodekit.handwheel import hand_plan
from gcodekit.job.feature import Feature
from gcodekit.job.load import load_job
from gcodekit.making.hand_sheets import leave_handwheel_sheet
from gcodekit.making.make import Report, make
from gcodekit.making.setup_sheets import PostChoice
from gcodekit.operations import area, closed_profile, measured_correction, wall_clearing
from gcodekit.operations.measured_correction import Correction
from gcodekit.proof.chords import segments_of
from gcodekit.proof.sections import ProgramCut
from gcodekit.rs274 import read_program
from gcodekit.target import measured_walls

HEAD = """\
name = "Seat"
units = "mm"
material = "aluminium"
[stock]
block = [90, 70, 12]
[[setup]]
name = "Top"
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  name = "it"
"""
RECTANGLE = "outline = { rectangle = [40, 26], centre = [0, 0], round = 5 }\n"
TABS = "tabs = { count = 4, width = 6, height = 1 }\n"
SQUARE = "outline = { rectangle = [30, 20], centre = [0, 0] }\n"
SEAT = 'kind = "bore"\ndiameter = 20\nat = [[-15, 0], [20, 3]]\ndepth = 6\n'
SHORT = "nominal = 20, measured = 19.94"
SHALLOW = "depth_nominal = 3, depth_measured = 2.95"
LARGE = "nominal = 40, measured = 40.06"
SMALL = "nominal = 40, measured = 39.94"
# Each with what was measured of it, and how far it is moved at its walls and its floor, mm.
JOBS: dict[str, tuple[str, str]] = {
    "bore": (SEAT, f"{SHORT}, depth_nominal = 6, depth_measured = 5.95"),
    "bore to limits": (
        'kind = "bore"\ndiameter = 20\nfit = "H7"\nat = [0, 0]\nthrough = true\n',
        "nominal = 20.0105, measured = 19.9505",
    ),
    "pocket": (
        'kind = "pocket"\nislands = [{ circle = 8, centre = [4, 1] }, '
        "{ rectangle = [5, 5], centre = [-9, 0] }]\ndepth = 3\n" + RECTANGLE,
        f"{SMALL}, {SHALLOW}",
    ),
    "sharp corners": ('kind = "pocket"\ndepth = 3\n' + SQUARE, "nominal = 30, measured = 29.7"),
    "open to both sides": (
        'kind = "pocket"\ndepth = 3\noutline = { rectangle = [30, 80], centre = [0, 0] }\n',
        "nominal = 30, measured = 29.9",
    ),
    "not roughed": (
        'kind = "pocket"\nrough = false\ndepth = 3\n' + RECTANGLE,
        f"{SMALL}, {SHALLOW}",
    ),
    "no allowance": (
        'kind = "pocket"\nallowance = { wall = 0, floor = 0 }\ndepth = 3\n' + RECTANGLE,
        f"{SMALL}, {SHALLOW}",
    ),
    "boss": ('kind = "boss"\ndepth = 3\n' + RECTANGLE, f"{LARGE}, {SHALLOW}"),
    "boss over the edge": (
        'kind = "boss"\ndepth = 3\noutline = { rectangle = [40, 80], centre = [0, 0] }\n',
        LARGE,
    ),
    "boss within": (
        'kind = "boss"\ndepth = 3\nwithin = { rectangle = [70, 56], centre = [0, 0], round = 8 }\n'
        + RECTANGLE,
        LARGE,
    ),
    "slot": (
        'kind = "slot"\nfrom = [-45, 0]\nto = [20, 3]\nwidth = 10\ndepth = 3\n'
        'ends = { start = "open", end = "round" }\n',
        f"nominal = 10, measured = 9.94, {SHALLOW}",
    ),
    "outside": ('kind = "profile"\nside = "outside"\nthrough = true\n' + TABS + RECTANGLE, LARGE),
    "inside": ('kind = "profile"\nside = "inside"\nthrough = true\n' + TABS + RECTANGLE, SMALL),
    "outside, one pass": (
        'kind = "profile"\nside = "outside"\nrough = false\ndepth = 3\n' + RECTANGLE,
        f"{LARGE}, {SHALLOW}",
    ),
    "outside, evenly": (
        'kind = "profile"\nside = "outside"\nthrough = true\nrough = "constant engagement"\n'
        + TABS
        + RECTANGLE,
        LARGE,
    ),
    "along a path": (
        'kind = "profile"\npath = [[-40, -12], { to = [10, -12], round = 8 }, [10, 40]]\n'
        'side = "left"\ndepth = 3\n',
        SHALLOW,
    ),
    "edge": ('kind = "edge"\nside = "left"\nat = -40\ndepth = 3\n', SHALLOW),
    "arc": (
        'kind = "arc"\ncentre = [0, 0]\nradius = 30\nstart = 0\nend = 90\nside = "outside"\n'
        "depth = 3\n",
        SHALLOW,
    ),
    "face": ('kind = "face"\ndepth = 3\n', SHALLOW),
    "face, zigzag": ('kind = "face"\nrough = "zigzag"\ndepth = 3\n', SHALLOW),
}


def written(what: str) -> str:
    """The job's text."""
    feature, measured = JOBS[what]
    return f'{HEAD}{feature}[measured]\n"it" = {{ {measured} }}\n'


def made(folder: Path, what: str) -> Report:
    return made_in(folder, written(what))


@pytest.mark.parametrize("what", JOBS)
def test_what_was_measured_is_made_up_for(what: str, tmp_path: Path) -> None:
    outcome = made(tmp_path, what)
    assert outcome.verdict == "pass", told(outcome)
    (row,) = outcome.document["features"]
    assert max(row["gouge"], row["reachable_uncut"]) < 0.002


def cut_with(folder: Path, smaller: float, z: float) -> float:
    """Area that the first program of a folder cuts at a height, mm2, with every cutter's radius
    smaller than its workshop has it."""
    (file,) = folder.glob("out/*.nc")
    reading = read_program(file.read_text("utf-8"), file.name)
    job = load_job(folder / "job.toml")
    cutters = {
        c.number: replace(c, diameter=c.diameter - 2 * smaller) for c in job.workshop.cutters
    }
    segments = segments_of(reading.moves, cutters, (), top=0.0, settings={})
    return float(sum(s.area for s in ProgramCut(segments).by_owner(z).values()))


@pytest.mark.parametrize(("measured", "size"), [("", 19.94), (SHORT, 20.0)])
def test_a_bore_comes_out_to_size(measured: str, size: float, tmp_path: Path) -> None:
    """With a cutter that is 0.03 mm smaller at its radius than its workshop says: first as the
    machinist found it, then as corrected by that reading."""
    entry = f'[measured]\n"it" = {{ {measured} }}\n' if measured else ""
    outcome = made_in(tmp_path, HEAD + SEAT.replace("[[-15, 0], [20, 3]]", "[0, 0]") + entry)
    assert outcome.verdict == "pass", told(outcome)
    found = cut_with(tmp_path, 0.03, -3.0)
    assert 2 * math.sqrt(found / math.pi) == pytest.approx(size, abs=0.001)


def test_what_is_corrected_is_told(tmp_path: Path) -> None:
    outcome = made(tmp_path, "bore")
    (file,) = tmp_path.glob("out/*.nc")
    head = " ".join(file.read_text("utf-8").replace(")\n(", " ").splitlines()[:40])
    assert "corrected: it: 19.94 mm measured, 20 mm aimed at" in head
    assert "0.03 mm farther at each wall" in head
    assert any("corrected: it" in line and "0.05 mm deeper" in line for line in outcome.summary)
    assert outcome.document["features"][0]["corrected"] == {
        "nominal": 20.0,
        "measured": 19.94,
        "wall": 0.03,
        "depth_nominal": 6.0,
        "depth_measured": 5.95,
        "floor": 0.05,
    }
    sheet = (tmp_path / "out" / "set-up-sheet.html").read_text("utf-8")
    assert "Corrected: it: 19.94 mm measured" in sheet


def roughing(folder: Path) -> list[str]:
    """The lines of all that is not finishing, without their numbers."""
    (file,) = folder.glob("out/*.nc")
    found, rough = [], False
    for line in file.read_text("utf-8").splitlines():
        if line.startswith("(it: "):
            rough = "rough" in line or "face" in line
        if rough:
            found.append(line)
    return found


@pytest.mark.parametrize("what", ["bore", "pocket", "boss", "slot", "outside", "edge", "face"])
def test_roughing_stays_as_it_is(what: str, tmp_path: Path) -> None:
    one, other = tmp_path / "as drawn", tmp_path / "corrected"
    for folder in (one, other):
        folder.mkdir()
    assert made_in(one, written(what).partition("[measured]")[0]).verdict == "pass"
    assert made(other, what).verdict == "pass"
    assert same_roughing(one, other)


def same_roughing(one: Path, other: Path) -> bool:
    """But for the way on to what comes next."""
    drawn, corrected = roughing(one)[:-4], roughing(other)
    return drawn == corrected[: len(drawn)]


def test_roughing_that_is_corrected_too_is_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Planted: the finished part is the same, so only the program shows it."""
    one, other = tmp_path / "as drawn", tmp_path / "corrected"
    for folder in (one, other):
        folder.mkdir()
    assert made_in(one, written("pocket").partition("[measured]")[0]).verdict == "pass"
    for way, clear in area.CLEARING_WAYS.items():
        planted: Any = partial(corrected_roughing, clear)
        monkeypatch.setitem(area.CLEARING_WAYS, way, planted)
    assert made(other, "pocket").verdict == "pass"
    assert not same_roughing(one, other)


def corrected_roughing(clear: area.Clear, work: Any, piece: Any, *rest: Any) -> Any:
    return clear(work, measured_correction.corrected_area(work, piece), *rest)


# -- planted --------------------------------------------------------------------------------------

Worked = Callable[[Feature], Correction]


def of_other_sign(worked: Worked) -> Worked:
    def found(feature: Feature) -> Correction:
        by = worked(feature)
        return Correction(-by.wall, -by.floor)

    return found


def whole(worked: Worked) -> Worked:
    return lambda feature: replace(worked(feature), wall=2 * worked(feature).wall)


def none(worked: Worked) -> Worked:
    del worked
    return lambda _: Correction(0.0, 0.0)


def half_depth(worked: Worked) -> Worked:
    return lambda feature: replace(worked(feature), floor=worked(feature).floor / 2)


def plant(patch: pytest.MonkeyPatch, wrong: Callable[[Worked], Worked]) -> None:
    """Put the planner's correction wrong, wherever it is used."""
    planted = wrong(measured_correction.correction_of)
    for module in (measured_correction, area, wall_clearing, closed_profile):
        patch.setattr(module, "correction_of", planted)


@pytest.mark.parametrize(
    ("what", "wrong"),
    [
        *((what, wrong) for what in ("bore", "pocket", "boss", "slot", "outside", "inside")
          for wrong in (of_other_sign, whole, none)),
        *((what, half_depth) for what in ("bore", "pocket", "boss", "edge", "arc")),
    ],
)  # fmt: skip
def test_a_wrong_correction_is_refused(
    what: str,
    wrong: Callable[[Worked], Worked],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    plant(monkeypatch, wrong)
    outcome = made(tmp_path, what)
    assert outcome.verdict == "fail"
    assert "gouge" in told(outcome) or "uncut" in told(outcome)
    assert not list(tmp_path.glob("out/*.nc"))


@pytest.mark.parametrize("what", ["bore", "boss"])
def test_a_proof_that_goes_the_other_way_refuses(
    what: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Planner and proof have each their own idea of which way a wall is moved."""
    half = measured_walls._half_lacking
    monkeypatch.setattr(measured_walls, "_half_lacking", lambda feature: -half(feature))
    assert made(tmp_path, what).verdict == "fail"


def test_the_proof_does_not_ask_the_planner() -> None:
    text = Path(measured_walls.__file__).read_text("utf-8")
    assert "operations" not in text
    assert "across()" not in text


# -- refused --------------------------------------------------------------------------------------


def test_a_slot_as_wide_as_its_cutter_has_no_pass_to_move(tmp_path: Path) -> None:
    slot = 'kind = "slot"\nfrom = [-10, 0]\nto = [20, 3]\nwidth = 6\ndepth = 3\ncutter = 8\n'
    text = f'{HEAD}{slot}[measured]\n"it" = {{ nominal = 6, measured = 5.96 }}\n'
    said = told(made_in(tmp_path, text))
    assert "is as wide as the slot, so no finishing pass can make up for what was measured" in said


def test_handwheel_sheets_go_by_the_drawing(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(written("bore"), "utf-8")
    with pytest.raises(Exception, match="not by what was measured") as refused:
        leave_handwheel_sheet(tmp_path / "job.toml", tmp_path / "hand.txt", PostChoice())
    assert ":18: measured.it: " in str(refused.value)
    assert hand_plan.__doc__


def test_copies_are_corrected_too(tmp_path: Path) -> None:
    text = HEAD + (
        'kind = "bore"\ndiameter = 20\nat = [-25, 0]\ndepth = 6\ncopies = [{ move = [50, 0] }]\n'
        f'[measured]\n"it" = {{ {SHORT} }}\n'
    )
    (tmp_path / "job.toml").write_text(text, "utf-8")
    found: list[Any] = [f.measured for f in load_job(tmp_path / "job.toml").setups[0].features]
    assert found[0] == found[1]
    assert found[0].size.found == 19.94
    outcome = make(tmp_path / "job.toml", tmp_path / "out")
    assert outcome.verdict == "pass"
    assert sum("corrected: it" in line for line in outcome.summary) == 1


def test_the_sheet_says_what_to_do_with_a_reading(tmp_path: Path) -> None:
    """Of a corrected program too: its aim is then what the next reading is held against."""
    for what, aim in (("bore to limits", "20.0705"), ("boss", "25.94")):
        assert made(tmp_path, what).verdict == "pass"
        sheet = (tmp_path / "out" / "set-up-sheet.html").read_text("utf-8")
        assert f"nominal = {aim}, measured = your reading" in sheet
        assert "--finish-only" in sheet
    assert made_in(tmp_path, HEAD + 'kind = "hole"\ndiameter = 5\nat = [0, 0]\ndepth = 4\n').files
    assert "--finish-only" not in (tmp_path / "out" / "set-up-sheet.html").read_text("utf-8")
