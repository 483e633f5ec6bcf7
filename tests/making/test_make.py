"""The main job end to end: shipped jobs pass, planted planner errors do not."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gcodekit.geometry.region import Region
from gcodekit.making.make import Report, make
from gcodekit.operations import area

ROOT = Path(__file__).parents[2]
JOBS, README = ROOT / "jobs", ROOT / "README.md"
STARTER = ROOT / "gcodekit" / "cli" / "starter.toml"
SHIPPED = sorted(f.stem for f in JOBS.glob("*.toml") if f.stem != "workshop")

HEAD = """
units = "mm"
material = "aluminium"
[stock]
block = [60, 50, 6]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
"""
POCKET = """
  [[setup.feature]]
  kind = "pocket"
  outline = { rectangle = [38, 31], centre = [0, 0], round = 4 }
  islands = [{ circle = 8, centre = [0, 0] }]
  depth = 3
"""
FEATURES = {
    "pocket with an island": POCKET,
    "slot": '  [[setup.feature]]\n  kind = "slot"\n  from = [-15, 0]\n  to = [15, 5]\n'
    "  width = 7\n  depth = 2\n",
    "bore": '  [[setup.feature]]\n  kind = "bore"\n  diameter = 16\n  at = [0, 0]\n'
    "  through = true\n",
    "holes": '  [[setup.feature]]\n  kind = "hole"\n  diameter = 4\n  through = true\n'
    "  row = { start = [-15, 0], pitch = 10, count = 4 }\n",
    "profile with tabs": '  [[setup.feature]]\n  kind = "profile"\n  through = true\n'
    "  outline = { rectangle = [40, 30], centre = [0, 0], round = 5 }\n"
    '  side = "outside"\n  tabs = { count = 3, width = 5, height = 1 }\n',
    "disc with tabs on its bends": '  [[setup.feature]]\n  kind = "profile"\n  through = true\n'
    "  outline = { circle = 36, centre = [0, 0] }\n"
    '  side = "outside"\n  tabs = { count = 3, width = 5, height = 1 }\n',
    "slot drawn to the edge": '  [[setup.feature]]\n  kind = "slot"\n  from = [0, 0]\n'
    '  to = [30, 0]\n  width = 7\n  ends = { start = "round", end = "open" }\n  depth = 2\n',
    "pocket with sharp corners, left rough": '  [[setup.feature]]\n  kind = "pocket"\n'
    "  outline = { rectangle = [30, 20], centre = [0, 0] }\n  depth = 2\n  finish = false\n",
    "window with sharp corners, left rough": '  [[setup.feature]]\n  kind = "profile"\n'
    '  outline = { rectangle = [30, 20], centre = [0, 0] }\n  side = "inside"\n  depth = 2\n'
    "  finish = false\n",
    "neck as wide as the cutter": POCKET.replace("[38, 31]", "[30, 24]") + "  cutter = 4\n",
    "slot into a pocket cut before": POCKET + '  [[setup.feature]]\n  kind = "slot"\n'
    "  from = [-26, 10]\n  to = [-19, 10]\n  width = 5\n  depth = 3\n"
    '  ends = { start = "open", end = "open" }\n',
    "face": '  [[setup.feature]]\n  kind = "face"\n  depth = 0.5\n',
}


def made(tmp_path: Path, text: str) -> tuple[Report, dict[str, object]]:
    job = tmp_path / "job.toml"
    job.write_text('name = "Trial"\n' + text)
    outcome = make(job, tmp_path / "out")
    report = tmp_path / "out" / "report.json"
    return outcome, json.loads(report.read_text()) if report.exists() else {}


def readme_job() -> str:
    """The job that the README has a new user type."""
    return README.read_text(encoding="utf-8").split("```toml")[1].split("```")[0]


@pytest.mark.parametrize("name", [*SHIPPED, "starter", "readme"])
def test_every_shipped_job_passes(tmp_path: Path, name: str) -> None:
    job = JOBS / f"{name}.toml"
    if name in ("starter", "readme"):
        job = tmp_path / "job.toml"
        job.write_text(STARTER.read_text("utf-8") if name == "starter" else readme_job(), "utf-8")
    outcome = make(job, tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    assert outcome.faults == ()
    report = json.loads((tmp_path / "out" / "report.json").read_text())
    assert report["features"]
    assert all(f["gouge"] < 0.01 and f["reachable_uncut"] < 0.01 for f in report["features"])


@pytest.mark.parametrize("name", FEATURES)
def test_small_jobs_pass(tmp_path: Path, name: str) -> None:
    outcome, report = made(tmp_path, HEAD + FEATURES[name])
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    assert report["verdict"] == "pass"


@pytest.mark.usefixtures("undrawn")
def test_a_wall_out_of_place_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    true = area.room_for

    def off(region: Region, distance: float, **rest: object) -> Region:
        return true(region, distance - 0.03, **rest)  # type: ignore[arg-type]  # passed through

    monkeypatch.setattr(area, "room_for", off)
    outcome, report = made(tmp_path, HEAD + POCKET)
    assert outcome.verdict == "fail"
    assert any("gouge" in str(f) for f in outcome.faults)
    assert not list((tmp_path / "out").glob("*.nc"))
    assert report["verdict"] == "fail"


@pytest.mark.usefixtures("undrawn")
def test_a_floor_too_high_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    true = area.depth_steps

    def high(top: float, floor: float, stepdown: float) -> list[float]:
        return true(top, floor + 0.02, stepdown)

    monkeypatch.setattr(area, "depth_steps", high)
    outcome, _ = made(tmp_path, HEAD + POCKET)
    assert outcome.verdict == "fail"
    assert any("uncut" in str(f) for f in outcome.faults)


@pytest.mark.usefixtures("undrawn")
def test_a_missed_island_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    true = area.area_drafts
    from gcodekit.operations import pocket

    def blind(work: area.PlanContext, what: area.Area) -> list[area.PlannedOperation]:
        outer = Region.of(what.region.parts[0].outer)
        return true(work, area._with_region(what, outer, ""))

    monkeypatch.setattr(pocket, "area_drafts", blind)
    outcome, _ = made(tmp_path, HEAD + POCKET)
    assert outcome.verdict == "fail"
    assert any("gouge" in str(f) for f in outcome.faults)


@pytest.mark.usefixtures("undrawn")
def test_a_rapid_too_low_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from gcodekit.planning import cutter_assignment

    monkeypatch.setattr(cutter_assignment, "safe_height", lambda setup: setup.raw.high[2] - 0.5)
    outcome, _ = made(tmp_path, HEAD + POCKET)
    assert outcome.verdict == "fail"
    assert any("rapid" in str(f) for f in outcome.faults)


def test_a_cutter_into_a_clamp_is_refused(tmp_path: Path) -> None:
    clamp = "  board = 12\n  clamps = [{ at = [0, 12], size = [8, 8], height = 10 }]\n"
    outcome, _ = made(tmp_path, HEAD.replace("  board = 12\n", clamp) + POCKET)
    assert outcome.verdict == "fail"
    assert any("clamp" in str(f) for f in outcome.faults)
