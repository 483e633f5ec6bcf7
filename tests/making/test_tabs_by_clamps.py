"""Tabs spread by count beside clamps: off them where there is room, else a warning that says what
would help; and errors planted in where they are put."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from gcodekit.job.kinds.profile import Profile
from gcodekit.job.load import load_job
from gcodekit.making.make import Report, make
from gcodekit.part import tab_obstacles, tab_places

HEAD = """
name = "Trial"
units = "mm"
material = "aluminium"
[stock]
block = [120, 80, 4]
[[setup]]
zero = { x = "left", y = "front", z = "top" }
  [setup.hold]
  board = 10
"""
RIM = """
  [[setup.feature]]
  kind = "profile"
  outline = { rectangle = [80, 40], corner = [20, 20] }
  side = "outside"
  cutter = 3
  through = true
"""
STOP = """
  [[setup.feature]]
  kind = "stop"
  text = "move the clamps on to the part"
  hold = { board = 10, clamps = [{ at = [90, 12], size = [16, 30], height = 8 }] }
  [[setup.feature]]
  kind = "hole"
  diameter = 5
  at = [30, 40]
  through = true
"""
# all of the part but 0.5 mm beside the kerf; the cutter passes it
ON_PART = "  clamps = [{ at = [86, 32], size = [24, 23], height = 8 }]\n"
AT_SIDES = (
    "  clamps = [{ at = [6, 40], size = [12, 20], height = 8 }, "
    "{ at = [114, 40], size = [12, 20], height = 8 }]\n"
)
JOBS = {
    "on the part, beside its kerf": (ON_PART, ""),
    "across the kerf, after a stop": (AT_SIDES, STOP),
}


def written(folder: Path, clamps: str, after: str = "", *, count: int = 4) -> Path:
    path = folder / "job.toml"
    tabs = f"  tabs = {{ count = {count}, width = 5, height = 1 }}\n"
    path.write_text(HEAD + clamps + RIM + tabs + after, encoding="utf-8")
    return path


def made(path: Path) -> Report:
    return make(path, path.parent / "out")


def rim(path: Path) -> Profile:
    found = load_job(path).setups[0].features[0]
    assert isinstance(found, Profile)
    return found


@pytest.mark.parametrize("job", JOBS)
def test_tabs_are_shifted_off_a_clamp(job: str, tmp_path: Path) -> None:
    alone = tab_places.tab_places(rim(written(tmp_path, "")), 3.0)
    path = written(tmp_path, *JOBS[job])
    feature = rim(path)
    assert feature.tabs is not None
    ((clamp, name),) = (c for c in feature.tabs.clamps if c[0].at[0] > 80 and c[0].at[0] < 95)
    assert name == "clamp 1"
    # half a tab, a cutter, 5 mm for a hand tool
    room = 2.5 + 6 + 5
    assert any(tab_obstacles.clamp_distance(clamp, p.point) < room for p in alone)
    places = tab_places.tab_places(feature, 3.0)
    assert all(tab_obstacles.clamp_distance(clamp, p.point) > room for p in places)
    outcome = made(path)
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    assert not [f for f in outcome.faults if "clamp" in f.message]


def no_clamps(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(tab_places, "by_clamps", lambda *_: [])


def farther_on(patch: pytest.MonkeyPatch) -> None:
    """Clamps 4 mm farther along the line than they are."""
    right = tab_places.by_clamps

    def wrong(*given: Any) -> list[tuple[float, float]]:
        return [(low + 4.0, high + 4.0) for low, high in right(*given)]

    patch.setattr(tab_places, "by_clamps", wrong)


def less_room(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(tab_obstacles, "HAND_TOOL", 2.0)


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("plant", [no_clamps, farther_on, less_room])
@pytest.mark.usefixtures("undrawn")
def test_tabs_put_elsewhere_are_refused(
    job: str,
    plant: Callable[[pytest.MonkeyPatch], None],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    plant(monkeypatch)
    outcome = made(written(tmp_path, *JOBS[job]))
    assert outcome.verdict == "fail"
    assert any(f.message.startswith(("gouge", "uncut")) for f in outcome.faults)


def test_a_clamp_that_is_gone_before_the_tabs_are_cut_is_no_matter(tmp_path: Path) -> None:
    first = 'kind = "hole"\ndiameter = 5\nat = [30, 40]\nthrough = true\n'
    stop = 'kind = "stop"\ntext = "move the clamp"\nhold = { board = 10 }\n'
    before = "".join(f"[[setup.feature]]\n{feature}" for feature in (first, stop))
    path = tmp_path / "job.toml"
    tabs = "  tabs = { count = 4, width = 5, height = 1 }\n"
    path.write_text(HEAD + ON_PART + before + RIM + tabs, encoding="utf-8")
    profile = load_job(path).setups[0].features[1]
    assert isinstance(profile, Profile)
    assert profile.tabs is not None
    assert profile.tabs.clamps == ()


def test_tabs_without_room_are_warned_of_with_a_count_that_fits(tmp_path: Path) -> None:
    """A clamp over both long sides leaves room for three tabs on each short one."""
    wide = "  clamps = [{ at = [60, 40], size = [50, 39], height = 8 }]\n"
    path = written(tmp_path, wide, count=8)
    outcome = made(path)
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    (warning,) = (f for f in outcome.faults if "clamp" in f.message)
    assert warning.severity == "warning"
    assert str(warning).startswith(f"{path}:13: warning: setup 1.feature 1.tabs: its tab at [")
    assert "is too near clamp 1 to be cut off with the work in place" in warning.message
    fits = int(warning.hint.split("count = ")[1].split(",")[0])
    assert fits == 6
    again = made(written(tmp_path, wide, count=fits))
    assert again.verdict == "pass"
    assert not [f for f in again.faults if "clamp" in f.message]


def test_a_clamp_over_all_of_the_part_gets_no_count(tmp_path: Path) -> None:
    path = written(tmp_path, "  clamps = [{ at = [60, 40], size = [79, 39], height = 8 }]\n")
    (warning,) = (f for f in made(path).faults if "clamp" in f.message)
    assert warning.hint == "move the clamp, or place the tabs with at"


def test_tabs_placed_with_at_are_where_they_are_wanted(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    tabs = "  tabs = { at = [[60, 20], [60, 60]], width = 5, height = 1 }\n"
    path.write_text(
        HEAD + "  clamps = [{ at = [60, 40], size = [20, 39], height = 8 }]\n" + RIM + tabs,
        encoding="utf-8",
    )
    outcome = made(path)
    assert outcome.verdict == "pass"
    assert not [f for f in outcome.faults if "clamp" in f.message]
