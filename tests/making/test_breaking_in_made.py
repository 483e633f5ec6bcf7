"""Features that break into what an earlier set-up has cut: made and proved; and errors planted in
where they break in, in how far they go on, and in the programs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from made_jobs import made_in

from gcodekit.job.model import Setup
from gcodekit.job.stock import breaking_in
from gcodekit.making.make import Report
from gcodekit.operations import cycles, hole
from gcodekit.planning import plan

# A block 60 x 40 x 20: a gallery 8 wide across it in y, a recess 6 deep in its bottom.
HEAD = """\
units = "mm"
material = "brass"
[stock]
block = [60, 40, 20]
[[setup]]
name = "across"
up = "front"
zero = { x = "centre", y = "centre", z = "top" }
hold = { board = 12 }
[[setup.feature]]
name = "gallery"
kind = "hole"
at = [5, 0]
diameter = 8
through = true
[[setup]]
name = "under"
up = "bottom"
zero = { x = "centre", y = "centre", z = "top" }
hold = { board = 12 }
[[setup.feature]]
name = "recess"
kind = "pocket"
outline = { circle = 14, centre = [-18, 0] }
depth = 6
[[setup]]
name = "top"
zero = { x = "centre", y = "centre", z = "top" }
hold = { board = 12 }
"""


def feature(*keys: str) -> str:
    return "\n".join(("[[setup.feature]]", *keys)) + "\n"


GALLERY, RECESS = 'until = "gallery"', 'until = "recess"'
HOLE = feature('kind = "hole"', "at = [5, 10]", "diameter = 5", GALLERY)
TWO = feature('kind = "hole"', "at = [[5, -10], [6, 10]]", "diameter = 5", GALLERY)
POCKET = feature('kind = "pocket"', "outline = { circle = 12, centre = [-18, 0] }", RECESS)
# a gallery hardly wider than the hole: they meet over 1.15 mm
TIGHT = HEAD.replace("diameter = 8", "diameter = 6.6").replace(
    'name = "top"', 'name = "top"\nbreakthrough = 1.5'
)
TIGHT_HOLE = HOLE.replace("diameter = 5", "diameter = 6.5")
JOBS = {
    "a drilled hole": HOLE,
    "two holes of different depths": TWO,
    "a pocket": POCKET,
    "a pocket with corners": feature(
        'kind = "pocket"', "outline = { rectangle = [8, 7], centre = [-18, 0] }", RECESS
    ),
    "a pocket as wide as what it meets": POCKET.replace("= 12", "= 14"),
    "a slot": feature('kind = "slot"', "from = [-20, 0]", "to = [-16, 0]", "width = 6", RECESS),
    "a bore": feature('kind = "bore"', "at = [-18, 0]", "diameter = 10", RECESS),
    "a reamed hole": feature(
        'kind = "hole"', "at = [-18, 0]", "diameter = 6", "ream = true", RECESS
    ),
    "a tapped hole": feature('kind = "hole"', "at = [-18, 0]", 'thread = "M5"', RECESS),
}


def made(job: str, folder: Path, head: str = HEAD) -> Report:
    return made_in(folder, head + job)


def test_a_hole_stops_half_way_to_the_far_side(tmp_path: Path) -> None:
    outcome = made(TIGHT_HOLE, tmp_path, TIGHT)
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


@pytest.mark.parametrize("job", JOBS)
def test_it_is_made(job: str, tmp_path: Path) -> None:
    outcome = made(JOBS[job], tmp_path)
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


Plant = Callable[[pytest.MonkeyPatch], None]


def broken_in(by: float) -> Plant:
    """The height at which it breaks in, off by so much."""

    def plant(patch: pytest.MonkeyPatch) -> None:
        right = breaking_in._first_within
        patch.setattr(breaking_in, "_first_within", lambda *given: right(*given) + by)

    return plant


def room(share: float) -> Plant:
    return lambda patch: patch.setattr(breaking_in, "_OF_ROOM", share)


def far_side_forgotten(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(breaking_in, "_last_within", lambda area, hollow, floor: floor - 5.0)


@pytest.mark.parametrize(
    ("job", "plant"),
    [
        pytest.param(HOLE, broken_in(0.1), id="too high"),
        pytest.param(HOLE, broken_in(-0.1), id="too low"),
        pytest.param(POCKET, broken_in(0.03), id="a pocket too high"),
        pytest.param(HOLE, room(0.0), id="no breakthrough"),
        pytest.param(POCKET, room(0.0), id="no breakthrough of a pocket"),
        pytest.param(TIGHT_HOLE, room(2.0), id="into the far side"),
        pytest.param(TIGHT_HOLE, far_side_forgotten, id="no far side"),
    ],
)
@pytest.mark.usefixtures("undrawn", "unmeasured")
def test_a_wrong_depth_is_refused(
    job: str, plant: Plant, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plant(monkeypatch)
    outcome = made(job, tmp_path, TIGHT if job == TIGHT_HOLE else HEAD)
    assert outcome.verdict == "fail"
    assert any("this is a defect of gcodekit" in f.hint for f in outcome.faults), [
        str(f) for f in outcome.faults
    ]


@pytest.mark.usefixtures("undrawn", "unmeasured")
def test_a_hole_drilled_too_short_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A foil of metal would be left, or nothing that shows in the drawing: both are found."""
    right = hole.drilled_to
    monkeypatch.setattr(hole, "drilled_to", lambda *given: right(*given) + 0.4)
    outcome = made(HOLE, tmp_path)
    assert outcome.verdict == "fail"
    assert any("does not break through into gallery" in f.message for f in outcome.faults)


@pytest.mark.usefixtures("undrawn", "unmeasured")
def test_a_pocket_without_its_breakthrough_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Planning alone sees each feature end where it breaks in."""
    right = plan.plan_setup

    def short(feature: Any) -> Any:
        return replace(feature, depth=replace(feature.depth, cut_to=feature.depth.floor))

    def wrong(job: Any, setup: Setup, *rest: Any, **more: Any) -> plan.Plan:
        seen = setup
        if setup.name == "top":
            seen = replace(setup, features=tuple(map(short, setup.features)))
        planned = right(job, seen, *rest, **more)
        return replace(planned, program=replace(planned.program, setup=setup))

    monkeypatch.setattr(plan, "plan_setup", wrong)
    outcome = made(POCKET, tmp_path)
    assert outcome.verdict == "fail"
    assert any("does not break through into recess" in f.message for f in outcome.faults)


def made_with_a_long_lead(folder: Path) -> Report:
    """A reamed hole in a gallery of 6.5, where 2.5 mm of it are as wide as the hole; the reamer
    comes to its size over 5 mm."""
    rack = files("gcodekit.job").joinpath("data", "bench_mill.toml").read_text(encoding="utf-8")
    head, _, reamer = rack.partition('name = "6 mm reamer"')
    long = reamer.replace("lead = 1.0", "lead = 5.0", 1)
    (folder / "shop.toml").write_text(f'{head}name = "6 mm reamer"{long}', encoding="utf-8")
    reamed = TIGHT_HOLE.replace("= 6.5", "= 6\nream = true")
    close = TIGHT.replace("= 6.6", "= 6.5").replace("[stock]", 'workshop = "shop.toml"\n[stock]')
    return made(reamed, folder, close)


def test_a_reamer_needs_room_for_its_lead(tmp_path: Path) -> None:
    outcome = made_with_a_long_lead(tmp_path)
    assert outcome.verdict == "fail"
    (fault,) = (f for f in outcome.faults if f.severity == "error")
    assert fault.message == (
        "the reamer's lead, 5 mm, has no room in gallery: there is 1.3 mm to its far side"
    )


@pytest.mark.usefixtures("undrawn", "unmeasured")
def test_a_lead_in_the_far_side_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Planning forgets to look."""
    for module in (cycles, hole):
        monkeypatch.setattr(module, "check_room_beyond", lambda *_: None)
    outcome = made_with_a_long_lead(tmp_path)
    assert outcome.verdict == "fail"
    assert any("cutter 35 plunges into stock" in f.message for f in outcome.faults)
