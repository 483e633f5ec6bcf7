"""Sizes with limits, made end to end: where the program's cutter goes is held against the middle
of the limits, and a program that is off it is refused."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from gcodekit.geometry.resizing import resized
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.making.make import Report, make
from gcodekit.rs274 import read_program
from gcodekit.trade.size_limits import FINEST_PROOF

CUTTER = 6.0
WORKSHOP = """
units = "mm"
[machine]
feed_max = 1200
spindle = { min = 100, max = 5000, power = 500 }
[[cutter]]
number = 1
kind = "end mill"
diameter = 6
flutes = 2
material = "carbide"
flute_length = 18
centre_cutting = true
"""
JOB = """
units = "mm"
material = "aluminium"
workshop = "workshop.toml"
[stock]
block = [60, 50, 8]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 20
[[setup.feature]]
"""
POCKET = 'kind = "pocket"\noutline = { circle = 20 }\ndepth = 2\n'
BOSS = 'kind = "boss"\noutline = { circle = 20 }\nwithin = { circle = 40 }\ndepth = 2\n'
INSIDE = 'kind = "profile"\noutline = { circle = 20 }\nside = "inside"\ndepth = 2\n'
OUTSIDE = 'kind = "profile"\noutline = { circle = 20 }\nside = "outside"\ndepth = 2\n'
SLOT = 'kind = "slot"\nfrom = [-15, 0]\nto = [15, 0]\nwidth = 10\ndepth = 2\n'
KINDS = {"pocket": POCKET, "boss": BOSS, "inside": INSIDE, "outside": OUTSIDE, "slot": SLOT}


def made(folder: Path, feature: str) -> tuple[Report, str, dict[str, Any]]:
    """The outcome, the program's text ("" where none was left) and the report."""
    folder.mkdir(exist_ok=True)
    (folder / "workshop.toml").write_text(WORKSHOP, encoding="utf-8")
    job = folder / "job.toml"
    job.write_text(JOB + feature, encoding="utf-8")
    outcome = make(job, folder / "out")
    programs = list((folder / "out").glob("*.nc"))
    report = folder / "out" / "report.json"
    return (
        outcome,
        programs[0].read_text(encoding="utf-8") if programs else "",
        json.loads(report.read_text(encoding="utf-8")) if report.exists() else {},
    )


def told(outcome: Report) -> str:
    return "\n".join(str(f) for f in outcome.faults)


def places(text: str) -> list[tuple[float, float]]:
    """Ends of all strokes at the floor."""
    return [
        (m.end[0], m.end[1])
        for m in read_program(text, "program").moves
        if m.kind != "rapid" and abs(m.end[2] + 2) < 1e-6
    ]


# ISO 286 limits of these sizes: 20 H7 +0.021 0, 20 G7 +0.028 +0.007, 20 P7 -0.014 -0.035,
# 20 h7 0 -0.021, 20 f7 -0.020 -0.041, 20 k6 +0.015 +0.002, 10 H9 +0.036 0, 10 P9 -0.015 -0.051.
@pytest.mark.parametrize(
    ("kind", "how", "size"),
    [
        ("pocket", 'fit = "H7"', 20.0105),
        ("pocket", 'fit = "P7"', 19.9755),
        ("pocket", "limits = [0.1, 0.2]", 20.15),
        ("inside", 'fit = "G7"', 20.0175),
        ("inside", "limits = [-0.02, 0]", 19.99),
        ("boss", 'fit = "h7"', 19.9895),
        ("boss", 'fit = "f7"', 19.9695),
        # so narrow that once along would leave the walls as far out as the cutter is bent
        ("outside", 'fit = "k6"\nspring_passes = 1', 20.0085),
        ("outside", "limits = [-0.4, -0.3]", 19.65),
        ("slot", 'fit = "H9"', 10.018),
        ("slot", 'fit = "P9"', 9.967),
        ("slot", "limits = [0.02, 0.05]", 10.035),
    ],
)
def test_the_cutter_goes_to_the_middle(tmp_path: Path, kind: str, how: str, size: float) -> None:
    outcome, text, report = made(tmp_path, KINDS[kind] + how)
    assert (outcome.verdict, told(outcome)) == ("pass", "")
    at = places(text)
    if kind == "slot":
        reached = max(abs(y) for _, y in at) + CUTTER / 2
    elif kind in ("pocket", "inside"):
        reached = max(math.hypot(*p) for p in at) + CUTTER / 2
    else:
        reached = min(math.hypot(*p) for p in at) - CUTTER / 2
    assert 2 * reached == pytest.approx(size, abs=2e-4)
    (row,) = report["features"]
    (across,) = row["sizes"]
    assert across["aim"] == pytest.approx(size, abs=1e-6)
    assert row["limits"] == [across["lower"], across["upper"]]
    assert f"aimed at {size:g} mm" in text.replace(")\n(", " ")


def off_by(by: float) -> Callable[[Feature], Feature]:
    """A feature with its walls so much further out than its limits ask."""

    def wrong(feature: Feature) -> Feature:
        if isinstance(feature, Slot):
            return replace(feature, width=feature.width + 2 * by)
        if isinstance(feature, Boss):
            return replace(feature, kept=resized(feature.kept, by))
        assert isinstance(feature, Pocket | Profile)
        assert feature.outline is not None
        outline = resized(feature.outline, by)
        if isinstance(feature, Pocket):
            return replace(feature, outline=outline, area=outline)
        return replace(feature, outline=outline)

    return wrong


def planned_as(patch: pytest.MonkeyPatch, kind: str, seen: Callable[[Any], Any]) -> None:
    """Operations of a kind, and nothing else, see each feature changed."""
    name = "profile" if kind in ("inside", "outside") else kind
    cutting = type(import_module(f"gcodekit.operations.{name}").CUTTING)
    true = cutting.drafts

    def wrong(self: Any, work: Any, feature: Any, *rest: Any) -> Any:
        return true(self, work, seen(feature), *rest)

    patch.setattr(cutting, "drafts", wrong)


@pytest.mark.parametrize("kind", list(KINDS))
@pytest.mark.parametrize(
    ("limits", "by", "verdict"),
    [
        pytest.param("[0, 0.03]", 0.02, "fail", id="far too large"),
        pytest.param("[0, 0.03]", -0.02, "fail", id="far too small"),
        pytest.param("[0, 0.03]", 0.005, "fail", id="large, and within the tolerance"),
        pytest.param("[0, 0.03]", -0.005, "fail", id="small, and within the tolerance"),
        pytest.param("[0, 0.03]", 0.002, "pass", id="within a tenth of the limits"),
        pytest.param("[0, 0.06]", 0.005, "pass", id="wide limits: the tolerance holds"),
        pytest.param("[0, 0.06]", 0.02, "fail", id="wide limits: too large"),
        pytest.param("[0, 0.06]", -0.02, "fail", id="wide limits: too small"),
    ],
)
def test_a_wall_off_its_size_is_refused(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    kind: str,
    limits: str,
    by: float,
    verdict: str,
) -> None:
    planned_as(monkeypatch, kind, off_by(by))
    outcome, text, _ = made(tmp_path, f"{KINDS[kind]}limits = {limits}")
    assert outcome.verdict == verdict, told(outcome)
    assert bool(text) == (verdict == "pass")
    if verdict == "fail":
        # what is cut out is larger, what stays is smaller, when too much is cut
        cut_out = kind in ("pocket", "inside", "slot")
        assert ("gouge" if (by > 0) == cut_out else "uncut") in told(outcome)


@pytest.mark.parametrize("kind", list(KINDS))
@pytest.mark.usefixtures("undrawn")
def test_a_program_of_the_nominal_size_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    """The drawing's size, with the limits forgotten: 0.00525 off on each wall of 20 H7."""
    planned_as(monkeypatch, kind, lambda feature: off_by(-feature.band.wall)(feature))
    fit = "h7" if kind in ("boss", "outside") else "H7"
    outcome, _, _ = made(tmp_path, f'{KINDS[kind]}fit = "{fit}"')
    assert outcome.verdict == "fail"


def features(folder: Path, feature: str) -> list[dict[str, Any]]:
    outcome, _, report = made(folder, feature)
    assert (outcome.verdict, told(outcome)) == ("pass", "")
    found: list[dict[str, Any]] = report["features"]
    return found


def test_narrow_limits_are_proved_to_a_tenth(tmp_path: Path) -> None:
    (row,) = features(tmp_path, POCKET + "limits = [0, 0.004]\nspring_passes = 1")
    assert row["gouge"] <= FINEST_PROOF
    assert row["reachable_uncut"] <= FINEST_PROOF


def test_islands_keep_their_size(tmp_path: Path) -> None:
    """A ring 20 H7 round an island of 6: where the cutter goes round it, it is as drawn."""
    outcome, text, _ = made(
        tmp_path, POCKET.replace("20", "30") + 'islands = [{ circle = 6 }]\nfit = "H7"'
    )
    assert (outcome.verdict, told(outcome)) == ("pass", "")
    far = [math.hypot(*p) for p in places(text)]
    assert 2 * (min(far) - CUTTER / 2) == pytest.approx(6, abs=2e-4)
    assert 2 * (max(far) + CUTTER / 2) == pytest.approx(30.0105, abs=2e-4)


def test_what_surrounds_a_boss_keeps_its_size(tmp_path: Path) -> None:
    outcome, text, _ = made(tmp_path, BOSS + 'fit = "f7"')
    assert (outcome.verdict, told(outcome)) == ("pass", "")
    far = [math.hypot(*p) for p in places(text)]
    assert 2 * (max(far) + CUTTER / 2) == pytest.approx(40, abs=2e-4)


def test_copies_have_the_size(tmp_path: Path) -> None:
    small = POCKET.replace("circle = 20", "obround = [16, 9], centre = [-15, 12], angle = 30")
    rows = features(
        tmp_path, f'{small}fit = "H8"\ncopies = [{{ mirror = "y" }}, {{ angle = 180 }}]'
    )
    assert len(rows) == 3
    # 9 H8: +0.022 0
    assert all(r["sizes"][0]["aim"] == pytest.approx(9.011) for r in rows)
    assert all(r["reachable_uncut"] < 0.0022 for r in rows)


MORE = {
    "a tabbed part of a stack": (
        'kind = "profile"\noutline = { rectangle = [40, 30], round = 3 }\nside = "outside"\n'
        "through = true\nlimits = [-0.04, -0.01]\ntabs = { count = 4, width = 5, height = 1 }\n"
    ),
    "a window with tabs where asked": (
        'kind = "profile"\noutline = { rectangle = [40, 30] }\nside = "inside"\nthrough = true\n'
        "limits = [0, 0.03]\ntabs = { at = [[20, 0], [-20, 0]], width = 5, height = 1 }\n"
    ),
    "a part on a skin": (
        'kind = "profile"\noutline = { polygon = 8, across_flats = 36 }\nside = "outside"\n'
        'through = true\nfit = "js7"\nskin = 0.3\n'
    ),
    "sharp corners that are left": (
        'kind = "pocket"\noutline = { rectangle = [24, 20] }\ncorner = 3\ndepth = 2\nfit = "H7"\n'
    ),
    "the cutter's own round, larger": (
        'kind = "pocket"\noutline = { rectangle = [24, 20], round = 3 }\ndepth = 2\nfit = "H7"\n'
    ),
    "roughed alone": POCKET + "finish = false\nlimits = [0, 0.03]\n",
    "an open slot": (
        'kind = "slot"\nfrom = [-40, 0]\nto = [0, 0]\nwidth = 8\ndepth = 2\nfit = "H8"\n'
        'ends = { start = "open", end = "round" }\n'
    ),
    "a slot round": (
        'kind = "slot"\npath = { circle = 30 }\nwidth = 7\ndepth = 2\nlimits = [0.01, 0.04]\n'
    ),
    "several bosses": (
        'kind = "boss"\noutlines = [{ circle = 10, centre = [-14, 0] }, '
        '{ polygon = 6, across_flats = 8, centre = [14, 0] }]\ndepth = 2\nfit = "h8"\n'
    ),
    "a shape of any kind": (
        'kind = "boss"\noutline = { path = [[-15, -10], [15, -10], { to = [8, 10], round = 4 }, '
        "{ to = [-15, 10], bevel = 3 }] }\ndepth = 2\nlimits = [-0.03, -0.01]\n"
    ),
    "a pocket out over the edge": (
        'kind = "pocket"\noutline = { rectangle = [40, 20], centre = [-25, 0], round = 4 }\n'
        "depth = 2\nlimits = [0.01, 0.03]\n"
    ),
    "a bush as measured": (
        'kind = "bore"\nat = [0, 0]\nthrough = true\n'
        "bush = { diameter = 20.034, interference = [0.01, 0.03] }\n"
    ),
}


@pytest.mark.parametrize("name", list(MORE))
def test_it_is_made_and_proved(tmp_path: Path, name: str) -> None:
    stack = "stacked = 2\n" if "stack" in name else ""
    text = MORE[name]
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "workshop.toml").write_text(WORKSHOP, encoding="utf-8")
    whole = JOB.replace("block = [60, 50, 8]", f"block = [60, 50, {4 if stack else 8}]\n{stack}")
    (folder / "job.toml").write_text(whole + text, encoding="utf-8")
    outcome = make(folder / "job.toml", folder / "out")
    errors = [str(f) for f in outcome.faults if f.severity == "error"]
    assert (outcome.verdict, errors) == ("pass", [])


# What a bush leaves: ISO 286, 20 r6 is +0.041 +0.028, H7 +0.021 0.
def test_a_bore_for_a_bush(tmp_path: Path) -> None:
    (row,) = features(
        tmp_path,
        'kind = "bore"\nat = [0, 0]\nthrough = true\nbush = { diameter = 20, fit = "r6" }',
    )
    assert row["fit"] == "H7"
    assert row["bush"] == {"outside": [20.028, 20.041], "interference": [0.007, 0.041]}
    assert row["sizes"][0]["aim"] == pytest.approx(20.0105)


def test_a_bore_for_a_bush_that_varies(tmp_path: Path) -> None:
    """The largest bush, 20.035, is no more than 0.05 larger than the smallest bore, and the
    smallest, 20.022, no less than 0.012 larger than the largest."""
    (row,) = features(
        tmp_path,
        'kind = "bore"\nat = [0, 0]\nthrough = true\n'
        "bush = { diameter = 20, limits = [0.022, 0.035], interference = [0.012, 0.05] }",
    )
    assert row["limits"] == [-0.015, 0.01]
    assert row["bush"] == {"outside": [20.022, 20.035], "interference": [0.012, 0.05]}


def test_a_feature_without_limits_says_so(tmp_path: Path) -> None:
    (row,) = features(tmp_path, POCKET)
    assert (row["fit"], row["limits"], row["sizes"], row["bush"]) == (None, None, [], None)
