"""Errors planted one at a time in what planning uses: a run of the whole job refuses each of them.

Two ways. In a room that planning works with, a function is put wrong. Or planning alone is given
the set-up with its drawing read wrongly, as if any place that reads it there were wrong.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.model import Setup
from gcodekit.making.make import Report, make
from gcodekit.operations import (
    closed_profile,
    face,
    kerf_roughing,
    open_profile,
    pocket,
    profile,
    wall_clearing,
    wall_regions,
    wide_kerf,
)
from gcodekit.part import planned_profile, profile_side, tab_cores, tab_places
from gcodekit.planning import plan

Patch = pytest.MonkeyPatch
Plant = Callable[[Patch], None]

HEAD = """\
name = "Cheek"
units = "mm"
material = "aluminium"
[stock]
block = [60, 46, 8]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
"""
RECTANGLE = "outline = { rectangle = [34, 22], centre = [0, 0], round = 5 }\n"
PATH = 'kind = "profile"\npath = [[-31, -12], { to = [10, -12], round = 8 }, [10, 24]]\n'
TABS = "tabs = { count = 4, width = 5, height = 2 }\n"
JOBS = {
    "outside": 'kind = "profile"\nside = "outside"\nthrough = true\n' + RECTANGLE + TABS,
    "inside": 'kind = "profile"\nside = "inside"\nthrough = true\n' + RECTANGLE + TABS,
    "on": 'kind = "profile"\nside = "on"\nthrough = true\n' + RECTANGLE + TABS,
    "at": 'kind = "profile"\nside = "outside"\nthrough = true\n'
    + RECTANGLE
    + "tabs = { at = [[16, 0], [-17, 2], [0, 12]], width = 5, height = 2 }\n",
    "path with tabs": PATH + 'side = "left"\nthrough = true\n' + TABS.replace("4", "2"),
    "even, with tabs": 'kind = "profile"\nside = "outside"\nthrough = true\n'
    'rough = "constant engagement"\n' + RECTANGLE + TABS,
    "even": 'kind = "profile"\nside = "outside"\ndepth = 3\nrough = "constant engagement"\n'
    + RECTANGLE,
    "left": PATH + 'side = "left"\ndepth = 3\n',
    "right": PATH + 'side = "right"\ndepth = 3\n',
    "skin": 'kind = "profile"\nside = "outside"\nthrough = true\nskin = 0.3\n' + RECTANGLE,
    "top": 'kind = "face"\ndepth = 1\ncutter = 3\n',
    "edge": 'kind = "edge"\nside = "left"\ndepth = 3\nat = -28\n',
    "edge, evenly": 'kind = "edge"\nside = "left"\ndepth = 3\nat = -26\n'
    'rough = "constant engagement"\n',
    "slot": 'kind = "slot"\npath = [[-10, 3], [25, 3]]\nwidth = 8\ndepth = 3\n'
    'ends = { start = "round", end = "open" }\n',
    "pocket": 'kind = "pocket"\nislands = [{ circle = 7, centre = [4, 1] }]\ndepth = 3\n'
    + RECTANGLE,
    "step": 'kind = "pocket"\noutline = { rectangle = [30, 60], centre = [25, 0] }\ndepth = 3\n',
    "window over the edge": 'kind = "profile"\nside = "inside"\ndepth = 2\n'
    "outline = { rectangle = [20, 20], centre = [16.2, 0], angle = 45 }\n",
    "screw": 'kind = "hole"\ndiameter = 5\nat = [[0, 0]]\nthrough = true\n'
    "counterbore = { diameter = 10, depth = 4 }\n",
    "bore": 'kind = "bore"\ndiameter = 14\nat = [[0, 0]]\ndepth = 4\n',
    "copies": 'name = "one"\nkind = "slot"\npath = [[10, 0], [18, 0]]\nwidth = 6\ndepth = 2\n'
    "copies = { count = 3, angle = 120, about = [0, 0] }\n",
    "mirrored": 'name = "one"\nkind = "pocket"\n'
    "outline = { path = [[6, -10], [24, -10], [6, 8]] }\n"
    'depth = 2\ncopies = { mirror = "y", about = [0, 0] }\n',
}


def made(job: str, folder: Path) -> Report:
    path = folder / "job.toml"
    path.write_text(HEAD + "  [[setup.feature]]\n" + JOBS[job])
    return make(path, folder / "out")


@pytest.mark.parametrize("job", JOBS)
def test_without_a_planted_error_it_passes(job: str, tmp_path: Path) -> None:
    outcome = made(job, tmp_path)
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


def tab_width(share: float) -> Plant:
    def plant(patch: Patch) -> None:
        def wrong(*given: Any, half: float, **more: Any) -> Any:
            return tab_cores.core_of(*given, half=half * share, **more)

        for room in (kerf_roughing, planned_profile):
            patch.setattr(room, "core_of", wrong)

    return plant


def tab_height(share: float) -> Plant:
    def plant(patch: Patch) -> None:
        def wrong(work: Any, feature: Profile) -> float:
            assert feature.tabs is not None
            return float(work.setup.left.low[2] + share * feature.tabs.height)

        for room in (kerf_roughing, closed_profile, open_profile):
            patch.setattr(room, "top_of_tabs", wrong)

    return plant


def spread(change: Callable[[list[float], float], list[float]]) -> Plant:
    """Where tabs stand along an outline."""

    def plant(patch: Patch) -> None:
        right = tab_places._spread

        def wrong(profile: Profile, chain: Any, *rest: Any) -> list[float]:
            return change(right(profile, chain, *rest), chain.length)

        patch.setattr(tab_places, "_spread", wrong)

    return plant


def off(by: float) -> Plant:
    return spread(lambda at, length: sorted((s + by) % length for s in at))


def asked_places_off(patch: Patch) -> None:
    right = tab_places._place
    patch.setattr(tab_places, "_place", lambda chain, s, half: right(chain, s + 3.0, half))


def run_off(room: Any, by: float = 30.0, *, name: str = "RUN_OFF") -> Plant:
    def plant(patch: Patch) -> None:
        patch.setattr(room, name, by)

    return plant


def misread(change: Callable[[Any], Any]) -> Plant:
    """Planning, and nothing else, sees each feature changed."""

    def plant(patch: Patch) -> None:
        right = plan.plan_setup

        def wrong(job: Any, setup: Setup, *rest: Any, **more: Any) -> plan.Plan:
            seen = replace(setup, features=tuple(map(change, setup.features)))
            made = right(job, seen, *rest, **more)
            return replace(made, program=replace(made.program, setup=setup))

        patch.setattr(plan, "plan_setup", wrong)

    return plant


OTHER = {"outside": "inside", "inside": "outside", "left": "right", "right": "left"}


def other_side(feature: Profile) -> Profile:
    return replace(feature, side=OTHER[feature.side])  # type: ignore[arg-type]  # one of the sides


def band_mirrored(patch: Patch) -> None:
    """What lies beside a profile, wherever it is asked for."""
    right = profile_side.beside
    for room in (kerf_roughing, wide_kerf, planned_profile, profile):
        patch.setattr(room, "beside", lambda feature: right(other_side(feature)))


def path_sides_changed(patch: Patch) -> None:
    right = profile_side.sided
    patch.setattr(profile_side, "sided", lambda line, far, *, left: right(line, far, left=not left))


def lower(feature: Any, by: float) -> Any:
    depth = feature.depth
    return replace(feature, depth=replace(depth, floor=depth.floor - by, cut_to=depth.cut_to - by))


def skin(share: float) -> Plant:
    def wrong(feature: Profile) -> Profile:
        assert feature.skin is not None
        return replace(lower(feature, (1 - share) * feature.skin), skin=share * feature.skin)

    return misread(wrong)


def no_skin(feature: Profile) -> Profile:
    assert feature.skin is not None
    return replace(lower(feature, feature.skin + 0.2), skin=None)


def no_island(pocket: Pocket) -> Pocket:
    return replace(pocket, islands=(), area=pocket.outline)


def allowance_kept(feature: Any) -> Any:
    return replace(feature, cutting=replace(feature.cutting, finish=False))


def round_end(slot: Slot) -> Slot:
    return replace(slot, ends=("round", "round"))


def deeper_counterbore(hole: Hole) -> Hole:
    assert hole.counterbore is not None
    return replace(hole, counterbore=replace(hole.counterbore, floor=hole.counterbore.floor - 0.2))


def wider_counterbore(hole: Hole) -> Hole:
    assert hole.counterbore is not None
    return replace(hole, counterbore=replace(hole.counterbore, diameter=10.4))


def last_copy_turned(slot: Slot) -> Slot:
    turned = math.radians(2.0) if slot.name.endswith("3") else 0.0
    return replace(slot, path=slot.path.turned(turned))


def copy_not_mirrored(pocket: Pocket) -> Pocket:
    """A copy is only moved to the other side."""
    if not pocket.copy_of:
        return pocket
    area = pocket.area.mirrored("y", (-15.0, 0.0))
    return replace(pocket, outline=area, area=area)


def not_run_out(patch: Patch) -> None:
    """In what is cleared alone: what is looked at beforehand would refuse it by name."""
    right = pocket.pocket_area

    def wrong(*given: Any) -> Any:
        with patch.context() as inner:
            inner.setattr(pocket, "run_out", lambda region, *_: region)
            return right(*given)

    patch.setattr(pocket, "pocket_area", wrong)


PLANTED: list[tuple[str, str, Plant]] = [
    *(("tabs a quarter as wide", job, tab_width(0.25)) for job in ("outside", "inside", "on")),
    ("tabs a quarter as wide", "at", tab_width(0.25)),
    ("tabs a quarter as wide", "path with tabs", tab_width(0.25)),
    ("tabs a quarter as wide", "even, with tabs", tab_width(0.25)),
    *(("tabs twice as wide", job, tab_width(2.0)) for job in ("outside", "on", "at")),
    ("tabs half as wide again", "inside", tab_width(1.5)),
    *(("tabs half as high", job, tab_height(0.5)) for job in ("outside", "on", "path with tabs")),
    ("tabs twice as high", "outside", tab_height(2.0)),
    *(("tabs 11 mm off", job, off(11.0)) for job in ("outside", "inside", "on")),
    ("tabs 0.1 mm off", "outside", off(0.1)),
    ("tabs 3 mm from where they are asked for", "at", asked_places_off),
    ("a tab too few", "outside", spread(lambda at, _: at[1:])),
    ("a tab too few", "path with tabs", spread(lambda at, _: at[1:])),
    ("a tab too many", "outside", spread(lambda at, far: [*at, (at[0] + at[1]) / 2])),
    ("a run-off of 30 mm", "top", run_off(face)),
    ("a run-off of 30 mm", "edge", run_off(wall_clearing)),
    ("a run-off of 30 mm", "edge, evenly", run_off(wall_clearing)),
    ("a run-off of 30 mm", "step", run_off(wall_regions, 15.0, name="LOWERED_BESIDE")),
    ("not run out over the edge", "step", not_run_out),
    ("the other side", "outside", misread(other_side)),
    ("the other side", "inside", misread(other_side)),
    ("the other side", "left", misread(other_side)),
    ("the other side", "right", misread(other_side)),
    ("the band beside it mirrored", "even", band_mirrored),
    ("the band beside it mirrored", "path with tabs", path_sides_changed),
    ("half the skin", "skin", skin(0.5)),
    ("twice the skin", "skin", skin(2.0)),
    ("no skin", "skin", misread(no_skin)),
    ("the island forgotten", "pocket", misread(no_island)),
    ("the allowance left on", "pocket", misread(allowance_kept)),
    ("the allowance left on", "outside", misread(allowance_kept)),
    ("the allowance left on", "window over the edge", misread(allowance_kept)),
    ("the allowance left on", "left", misread(allowance_kept)),
    ("the allowance left on", "bore", misread(allowance_kept)),
    ("too deep", "slot", misread(lambda f: lower(f, 0.05))),
    ("an open end too short", "slot", misread(round_end)),
    ("a counterbore too deep", "screw", misread(deeper_counterbore)),
    ("a counterbore too wide", "screw", misread(wider_counterbore)),
    ("a copy's angle wrong", "copies", misread(last_copy_turned)),
    ("a copy not mirrored", "mirrored", misread(copy_not_mirrored)),
]


@pytest.mark.parametrize(
    ("job", "plant"),
    [pytest.param(job, plant, id=f"{what}: {job}") for what, job, plant in PLANTED],
)
@pytest.mark.usefixtures("undrawn")
def test_a_planted_error_is_refused(
    job: str, plant: Plant, tmp_path: Path, monkeypatch: Patch
) -> None:
    plant(monkeypatch)
    outcome = made(job, tmp_path)
    assert outcome.verdict == "fail"
    # a program was made, and the proof found what is wrong with it
    assert (tmp_path / "out" / "report.json").is_file(), [str(f) for f in outcome.faults]
    found = [f.message for f in outcome.faults if f.severity == "error"]
    assert any(m.startswith(("gouge", "uncut", "run-off")) for m in found), found
