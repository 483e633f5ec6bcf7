"""Chamfers made end to end: the leg in plan in plane sections, errors that the proof must see, and
what is refused with its reason."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from gcodekit.job.kinds.chamfer import Chamfer
from gcodekit.making.make import Report, make
from gcodekit.operations.chamfer import ChamferCutting
from gcodekit.rs274 import read_program

SHOP = (Path(__file__).parent / "kind_jobs" / "shop" / "cap-shop.toml").read_text("utf-8")
HEAD = """\
name = "Cap"
units = "mm"
workshop = "shop.toml"
material = "aluminium"
[stock]
block = [60, 50, 12]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
"""
SEAT = """\
  [[setup.feature]]
  kind = "pocket"
  outline = { circle = 24, centre = [0, 0] }
  depth = 5
"""
BOSS = """\
  [[setup.feature]]
  kind = "boss"
  outline = { rectangle = [30, 20], centre = [0, 0] }
  depth = 4
"""
RIM = """\
  [[setup.feature]]
  name = "rim"
  kind = "chamfer"
  outline = { circle = 24, centre = [0, 0] }
  side = "inside"
  width = 0.5
"""
EDGE = """\
  [[setup.feature]]
  name = "edge"
  kind = "chamfer"
  outline = { rectangle = [30, 20], centre = [0, 0] }
  side = "outside"
  width = 0.5
"""
JOBS = {"inside": SEAT + RIM, "outside": BOSS + EDGE}


def made(text: str, folder: Path, shop: str = SHOP) -> Report:
    (folder / "shop.toml").write_text(shop, encoding="utf-8")
    job = folder / "job.toml"
    job.write_text(HEAD + text, encoding="utf-8")
    return make(job, folder / "out")


def told(outcome: Report) -> str:
    return "\n".join(str(fault) for fault in outcome.faults)


@pytest.mark.parametrize("job", JOBS)
def test_proved(job: str, tmp_path: Path) -> None:
    outcome = made(JOBS[job], tmp_path)
    assert outcome.verdict == "pass", told(outcome)


@pytest.mark.parametrize("slope", [45, 30, 60])
@pytest.mark.parametrize("width", [0.3, 1.9])
def test_the_flank_passes_through_both_ends_of_the_leg(
    slope: int, width: float, tmp_path: Path
) -> None:
    """The cone's radius at a height h over its tip is h tan(slope): where its centre goes round at
    c from the middle, it reaches c + h tan(slope) outward. Closed form, no source needed."""
    shop = SHOP.replace("tip_angle = 90", f"tip_angle = {2 * slope}")
    rim = RIM.replace("width = 0.5", f"width = {width}\n  angle = {slope}")
    outcome = made(SEAT + rim, tmp_path, shop)
    assert outcome.verdict == "pass", told(outcome)
    (program,) = (tmp_path / "out").glob("*.nc")
    reading = read_program(program.read_text("utf-8"), program.name)
    deepest = min(m.end[2] for m in reading.moves if m.cutter == 2)
    (round_,) = {
        round(math.hypot(*m.end[:2]), 3)
        for m in reading.moves
        if m.cutter == 2 and m.curve is not None and m.end[2] == deepest
    }
    spread = math.tan(math.radians(slope))
    foot = -width / spread
    assert round_ + (0.0 - deepest) * spread == pytest.approx(12 + width, abs=0.003)
    assert round_ + (foot - deepest) * spread == pytest.approx(12.0, abs=0.003)


Change = Callable[[Chamfer], Chamfer]


def wider(by: float) -> Change:
    """The same slope begun lower."""

    def wrong(chamfer: Chamfer) -> Chamfer:
        low = chamfer.depth.floor - by
        depth = replace(chamfer.depth, floor=low, cut_to=low)
        return replace(chamfer, width=chamfer.width + by, depth=depth)

    return wrong


def other_side(chamfer: Chamfer) -> Chamfer:
    return replace(chamfer, side="inside" if chamfer.side == "outside" else "outside")


def aside(chamfer: Chamfer) -> Chamfer:
    return replace(chamfer, outline=chamfer.outline.moved(0.1, 0.0))


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize(
    ("change", "said"),
    [
        pytest.param(wider(0.05), "gouge", id="leg 0.05 too wide"),
        pytest.param(wider(-0.05), "uncut", id="leg 0.05 too narrow"),
        pytest.param(other_side, "gouge", id="the other side"),
        pytest.param(aside, "gouge", id="0.1 aside"),
    ],
)
def test_a_planted_error_is_refused(
    job: str, change: Change, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = ChamferCutting.drafts

    def wrong(self, work, feature, *rest):  # type: ignore[no-untyped-def]  # as the one it stands for
        return true(self, work, change(feature), *rest)

    monkeypatch.setattr(ChamferCutting, "drafts", wrong)
    outcome = made(JOBS[job], tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param(
            EDGE, "would cut into the work beside or below the edge", id="no wall beside the edge"
        ),
        pytest.param(
            BOSS.replace("depth = 4", "depth = 0.8") + EDGE,
            "would cut into the work beside or below the edge",
            id="a floor too near",
        ),
        pytest.param(
            BOSS + EDGE.replace("width", "top = -1\n  width"),
            "stock lies above the edge, up to z 0 mm",
            id="an edge in the metal",
        ),
        pytest.param(
            SEAT.replace("circle = 24", "rectangle = [30, 20]") + EDGE.replace("outside", "inside"),
            "cannot reach its inside corner at",
            id="a sharp inside corner",
        ),
        pytest.param(BOSS + EDGE.replace("0.5", "5"), "wide enough", id="too wide for the rack"),
        pytest.param(
            BOSS + EDGE + "  angle = 30\n", "the rack has no chamfer mill of 60", id="no such angle"
        ),
        pytest.param(
            BOSS + EDGE + "  cutter = 1\n",
            "has no point to cut a chamfer with",
            id="an end mill",
        ),
        pytest.param(BOSS + EDGE + "  depth = 1\n", "does not apply to a chamfer", id="a depth"),
        pytest.param(
            BOSS + EDGE.replace("centre = [0, 0]", "centre = [0, 80]"),
            "is outside the stock",
            id="off the metal",
        ),
    ],
)
def test_refused_with_its_reason(text: str, said: str, tmp_path: Path) -> None:
    outcome = made(text, tmp_path)
    assert outcome.verdict == "fail"
    assert said in told(outcome), told(outcome)


def test_a_later_set_up_finds_the_stock_as_it_is(tmp_path: Path) -> None:
    turned = """\
[[setup]]
up = "bottom"
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
  [[setup.feature]]
  kind = "pocket"
  outline = { circle = 10, centre = [0, 0] }
  depth = 3
"""
    outcome = made(BOSS + EDGE + turned, tmp_path)
    assert outcome.verdict == "pass", told(outcome)
