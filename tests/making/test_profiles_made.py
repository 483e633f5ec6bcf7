"""Profiles of every sort end to end: tabs where they are asked for, skins, open lines, spring
passes, roughing or finishing left out; and errors planted in them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from gcodekit.job.kinds.profile import Profile
from gcodekit.job.load import load_job
from gcodekit.making.make import Report, make
from gcodekit.operations import closed_profile, kerf_roughing
from gcodekit.part.tab_places import tab_places
from gcodekit.planning.plan import plan_setup

HEAD = """
name = "Trial"
units = "mm"
material = "aluminium"
[stock]
block = [60, 50, 6]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
"""
PROFILE = '[[setup.feature]]\nkind = "profile"\n'
RIM = "outline = { rectangle = [40, 30], centre = [0, 0], round = 3 }\n"
SHARP = "outline = { rectangle = [34, 26], centre = [0, 0] }\n"
OUT, IN = 'side = "outside"\nthrough = true\n', 'side = "inside"\nthrough = true\n'
ACROSS = "path = [[-40, -5], [0, -5], { to = [12, 7], round = 5 }, [40, 7]]\n"
WITHIN = "path = [[-12, -6], [8, -4]]\n"
COUNTED = "tabs = { count = 3, width = 5, height = 1 }\n"

JOBS = {
    "tabs in and near sharp corners, outside": SHARP
    + OUT
    + "tabs = { at = [[-17, -13], [16, -13], [17, 12], [2, 13]], width = 4, height = 1 }\n",
    "tabs in and near sharp corners, inside": SHARP
    + IN
    + "tabs = { at = [[-17, -13], [15.5, -13], [17, 9], [2, 13]], width = 4, height = 1 }\n",
    "tabs over all of a small round": RIM
    + OUT
    + "tabs = { at = [[-20, -15], [20, 15]], width = 6, height = 1 }\n",
    "tabs left by roughing alone": RIM + OUT + COUNTED + "finish = false\n",
    "tabs without roughing": RIM + OUT + COUNTED + "rough = false\nspring_passes = 1\n",
    "tabs on the line itself": 'outline = { circle = 30, centre = [0, 0] }\nside = "on"\n'
    "through = true\nspring_passes = 1\n" + COUNTED,
    "tabs along an open line": ACROSS + 'side = "right"\nthrough = true\ntabs = '
    "{ at = [[-20, -5], [20, 7]], width = 4, height = 1 }\n",
    "tabs along an open line by roughing alone": 'path = [[-40, -5], [40, 0]]\nside = "left"\n'
    "through = true\nfinish = false\n" + COUNTED.replace("3", "2"),
    "a skin, roughed with a larger cutter": RIM.replace("round = 3", "round = 2.5")
    + IN
    + "skin = 0.1\nrough_with = 4\ncutter = 2\nspring_passes = 1\n",
    "an open line, left": ACROSS + 'side = "left"\ndepth = 3\ncut = "climb"\nspring_passes = 2\n',
    "an open line, left, in an inside corner, finishing left out": "path = [[-25, -5], "
    '{ to = [0, -5], round = 3 }, [0, 20]]\nside = "left"\ndepth = 2\nfinish = false\ncutter = 3\n',
    "an open line itself": "path = [[-20, 5], { to = [20, 5], via = [0, 15] }]\n"
    'side = "on"\ndepth = 2\nspring_passes = 1\n',
    "a groove within a part": WITHIN
    + 'side = "left"\ndepth = 2\n'
    + PROFILE
    + "outline = { circle = 8, centre = [12, 6] }\nside = 'outside'\ndepth = 1\n"
    + PROFILE
    + RIM
    + OUT
    + COUNTED,
}


def made(tmp_path: Path, body: str) -> Report:
    job = tmp_path / "job.toml"
    job.write_text(HEAD + PROFILE + body)
    return make(job, tmp_path / "out")


@pytest.mark.parametrize("name", JOBS)
def test_passes(tmp_path: Path, name: str) -> None:
    outcome = made(tmp_path, JOBS[name])
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


@pytest.mark.usefixtures("undrawn")
def test_a_skin_cut_through_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    true = closed_profile.depth_steps

    def deep(top: float, floor: float, stepdown: float) -> list[float]:
        return true(top, floor - 0.05, stepdown)

    monkeypatch.setattr(closed_profile, "depth_steps", deep)
    outcome = made(tmp_path, RIM + OUT + "skin = 0.1\n")
    assert outcome.verdict == "fail"
    assert any("gouge" in str(f) for f in outcome.faults)


def _thinner(true: Callable[..., Any]) -> Callable[..., Any]:
    def core(*args: Any, half: float, **more: Any) -> Any:
        return true(*args, half=half - 0.02, **more)

    return core


def _none(true: Callable[..., Any]) -> Callable[..., Any]:
    return lambda *args, **more: ()


@pytest.mark.parametrize(
    ("what", "wrong"),
    [
        pytest.param("core_of", _thinner, id="0.04 mm narrower"),
        pytest.param("spans_beside", _none, id="cut away"),
    ],
)
@pytest.mark.parametrize(
    "name",
    ["tabs in and near sharp corners, outside", "tabs along an open line"],
)
@pytest.mark.usefixtures("undrawn")
def test_a_tab_not_as_wide_as_asked_is_refused(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    what: str,
    wrong: Callable[..., Any],
) -> None:
    monkeypatch.setattr(kerf_roughing, what, wrong(getattr(kerf_roughing, what)))
    outcome = made(tmp_path, JOBS[name])
    assert outcome.verdict == "fail"
    assert any("gouge" in str(f) for f in outcome.faults)


def test_tabs_too_near_one_another_are_refused(tmp_path: Path) -> None:
    outcome = made(
        tmp_path, RIM + OUT + "tabs = { at = [[0, -15], [8, -15]], width = 5, height = 1 }\n"
    )
    file = tmp_path / "job.toml"
    assert [str(f) for f in outcome.faults] == [
        f"{file}:11: setup 1.feature 1.tabs: the tab at [8, -15] is 8 mm from another along the "
        "outline, space them at least 11 mm apart: 5 mm of tab and a 6 mm cutter"
    ]


def test_an_inch_job_says_the_same(tmp_path: Path) -> None:
    """Lengths of a job in inches arrive as those in mm: the moves are the same."""
    inch = (HEAD + PROFILE + JOBS["tabs along an open line"]).replace('"mm"', '"inch"')
    inch = inch.replace("[60, 50, 6]", '["60 mm", "50 mm", "6 mm"]').replace(
        "board = 12", 'board = "12 mm"'
    )
    inch = inch.replace("zero =", 'clearance = "5 mm"\nbreakthrough = "0.5 mm"\nzero =')
    line = '[["-40 mm", "-5 mm"], ["0 mm", "-5 mm"], { to = ["12 mm", "7 mm"], round = "5 mm" }, '
    inch = inch.replace(ACROSS, f'path = {line}["40 mm", "7 mm"]]\n')
    tabs = 'at = [["-20 mm", "-5 mm"], ["20 mm", "7 mm"]], width = "4 mm", height = "1 mm"'
    inch = inch.replace("at = [[-20, -5], [20, 7]], width = 4, height = 1", tabs)
    (tmp_path / "inch.toml").write_text(inch)
    (tmp_path / "mm.toml").write_text(HEAD + PROFILE + JOBS["tabs along an open line"])
    jobs = [load_job(tmp_path / name) for name in ("inch.toml", "mm.toml")]
    one, two = (plan_setup(job, job.setups[0]).program.operations for job in jobs)
    assert [repr(o.moves) for o in one] == [repr(o.moves) for o in two]


def test_a_spring_pass_is_one_more_round(tmp_path: Path) -> None:
    def moves(passes: int) -> int:
        job = tmp_path / "job.toml"
        body = JOBS["tabs on the line itself"]
        body = body.replace("spring_passes = 1", f"spring_passes = {passes}\nfeed = 100")
        job.write_text(HEAD + PROFILE + body.replace(COUNTED, ""))
        loaded = load_job(job)
        (operation,) = plan_setup(loaded, loaded.setups[0]).program.operations
        return len(operation.moves)

    assert moves(2) - moves(1) == moves(1) - moves(0) > 0


def _with_tabs(path: Path, before: str, count: int) -> Report:
    tabs = f"tabs = {{ count = {count}, width = 5, height = 1 }}\n"
    path.write_text(f"{HEAD}{before}{PROFILE}{RIM}{OUT}{tabs}", encoding="utf-8")
    return make(path, path.parent / "out")


def test_tabs_spread_by_count_keep_off_holes(tmp_path: Path) -> None:
    """A drilled hole in the kerf where a tab would stand moves the tab, not the hole."""
    path = tmp_path / "job.toml"
    assert _with_tabs(path, "", 4).verdict == "pass"
    job = load_job(path)
    (rim,) = job.setups[0].features
    assert isinstance(rim, Profile)
    x, y = tab_places(rim, 3.0)[0].point
    away = 1.0 if y > 0 else -1.0
    hole = '[[setup.feature]]\nkind = "hole"\ndiameter = 3\nthrough = true\n'
    made = _with_tabs(path, f"{hole}at = [{x:.4f}, {y + away:.4f}]\n", 4)
    assert made.verdict == "pass", [str(f) for f in made.faults]


def test_a_cut_tab_is_refused_with_the_count_that_fits(tmp_path: Path) -> None:
    slot = (
        '[[setup.feature]]\nkind = "slot"\nfrom = [0, 5]\nto = [0, 30]\nwidth = 8\nthrough = true\n'
    )
    path, counts = tmp_path / "job.toml", {}
    for count in (3, 4, 5, 6, 7):
        made = _with_tabs(path, slot, count)
        counts[count] = [f.hint for f in made.faults if "cuts through its tab" in f.message]
    assert any(counts.values())
    for said in counts.values():
        for hint in said:
            fits = int(hint.split("count = ")[1].split(",")[0])
            assert _with_tabs(path, slot, fits).verdict == "pass"
