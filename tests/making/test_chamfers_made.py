"""Chamfers made end to end: the leg in plan in plane sections, errors that the proof must see, and
what is refused with its reason."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from made_jobs import made_in, told

from gcodekit.geometry.region import Shift
from gcodekit.job.kinds.chamfer import Chamfer, Side
from gcodekit.making.make import Report, make
from gcodekit.operations.chamfer import ChamferCutting
from gcodekit.rs274 import read_program
from gcodekit.rs274.program_read import Move

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
# The corners of this pocket are the 6 mm end mill's.
SQUARE = """\
  [[setup.feature]]
  kind = "pocket"
  outline = { rectangle = [30, 20], centre = [0, 0] }
  depth = 5
"""
SQUARE_RIM = EDGE.replace("outside", "inside")
STEP = """\
  [[setup.feature]]
  kind = "profile"
  path = [[-40, -10], [40, -10]]
  side = "right"
  depth = 5
"""
STEP_EDGE = """\
  [[setup.feature]]
  name = "step edge"
  kind = "chamfer"
  path = [[-30, -10], [12, -10]]
  side = "right"
  width = 0.5
"""
HOLES = """\
  [[setup.feature]]
  kind = "hole"
  diameter = 5
  at = [[-15, 0], [15, 0]]
  through = true
"""
HOLE_RIMS = """\
  [[setup.feature]]
  name = "rims"
  kind = "chamfer"
  diameter = 5
  at = [[-15, 0], [15, 0]]
  width = 0.5
"""
BORES = HOLES.replace("hole", "bore").replace("= 5", "= 14")
BORE_RIMS = HOLE_RIMS.replace("= 5", "= 14")
JOBS = {
    "inside": SEAT + RIM,
    "outside": BOSS + EDGE,
    "corners": SQUARE + SQUARE_RIM,
    "path": STEP + STEP_EDGE,
    "plunged": HOLES + HOLE_RIMS,
    "round bores": BORES + BORE_RIMS,
}
MORE = """
[[cutter]]
number = 3
name = "10 mm spot drill"
kind = "spot drill"
diameter = 10
tip_angle = 90
stickout = 35

[[cutter]]
number = 4
name = "5 mm drill"
kind = "drill"
diameter = 5
flute_length = 40
stickout = 50

[[cutter]]
number = 5
name = "1 mm end mill"
kind = "end mill"
diameter = 1
flute_length = 4
stickout = 12
material = "carbide"
"""


def made(text: str, folder: Path, shop: str = SHOP, *, setup: str = "") -> Report:
    head = HEAD.replace("  [setup.hold]", f"{setup}\n  [setup.hold]")
    return made_in(folder, head + text, shop + MORE)


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


def flank(folder: Path, cutter: int) -> list[Move]:
    """The feeds of a cutter in the one program, as read back."""
    (program,) = (folder / "out").glob("*.nc")
    reading = read_program(program.read_text("utf-8"), program.name)
    return [m for m in reading.moves if m.cutter == cutter and m.kind != "rapid"]


@pytest.mark.parametrize("inch", [False, True], ids=["mm", "inch"])
@pytest.mark.parametrize("slope", [45, 30, 60])
def test_the_leg_along_a_path(slope: int, inch: bool, tmp_path: Path) -> None:
    """In the plane across the path the cone's flank is the line x = h tan(slope) from its tip at
    height h: with the centre c off the wall it is on the wall at h = c / tan(slope), and c + leg
    out at the leg's height above that. Plane trigonometry, no source needed."""
    shop = SHOP.replace("tip_angle = 90", f"tip_angle = {2 * slope}")
    text = STEP + STEP_EDGE.replace("width = 0.5", f"width = 0.7\n  angle = {slope}")
    if inch:
        # bare numbers of the drawing in inch: 25.4 of them are one
        text = text.replace("0.7", '"0.7 mm"')
        text = text.replace("[[-40, -10], [40, -10]]", "[[-1.5, -0.4], [1.5, -0.4]]")
        text = text.replace("[[-30, -10], [12, -10]]", "[[-1.2, -0.4], [0.5, -0.4]]")
        text = text.replace("depth = 5", "depth = 0.2")
    y = -0.4 * 25.4 if inch else -10.0
    (tmp_path / "shop.toml").write_text(shop + MORE, encoding="utf-8")
    head = HEAD.replace('units = "mm"', 'units = "inch"') if inch else HEAD
    head = head.replace("[60, 50, 12]", '["60 mm", "50 mm", "12 mm"]').replace("= 12", '= "12 mm"')
    (tmp_path / "job.toml").write_text(head + text, encoding="utf-8")
    outcome = make(tmp_path / "job.toml", tmp_path / "out")
    assert outcome.verdict == "pass", told(outcome)
    along = [m for m in flank(tmp_path, 2) if abs(m.end[0] - m.start[0]) > 10]
    assert along
    spread = math.tan(math.radians(slope))
    for move in along:
        off, tip = y - move.end[1], move.end[2]
        assert (-0.7 / spread - tip) * spread == pytest.approx(off, abs=0.003)
        assert (0.0 - tip) * spread == pytest.approx(off + 0.7, abs=0.003)


def test_a_plunge_is_as_wide_as_the_leg_asks(tmp_path: Path) -> None:
    """A cone of half angle a is 2 h tan(a) wide at a height h above its tip."""
    outcome = made(JOBS["plunged"], tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    deepest = min(m.end[2] for m in flank(tmp_path, 2))
    assert 2 * -deepest * math.tan(math.radians(45)) == pytest.approx(5 + 2 * 0.5, abs=0.001)


@pytest.mark.parametrize("job", ["path", "outside", "plunged"])
def test_a_spot_drill_of_its_angle_does_it(job: str, tmp_path: Path) -> None:
    outcome = made(JOBS[job].replace("width = 0.5", "width = 0.5\n  cutter = 3"), tmp_path)
    assert outcome.verdict == "pass", told(outcome)


def test_a_path_runs_off_where_there_is_room(tmp_path: Path) -> None:
    made(JOBS["path"], tmp_path)
    wall = next(m.end[1] for m in flank(tmp_path, 2) if abs(m.end[0] - m.start[0]) > 10)
    reach = sorted(m.end[0] for m in flank(tmp_path, 2) if abs(m.end[1] - wall) < 0.01)
    # off the stock's left side at -30 by more than its flank is wide; abreast of the end in it
    assert reach[0] < -30 - (0.8 + 0.5)
    assert reach[-1] == pytest.approx(12, abs=0.001)


def test_a_corner_too_sharp_is_left_and_told(tmp_path: Path) -> None:
    """A cutter's centre keeps a tenth of its diameter off both walls: in a right corner it stays as
    far from the wall's own round as two circles in that corner differ, (0.8 - 0.5) (sqrt 2 - 1)."""
    fine = SQUARE.replace("depth = 5", "depth = 3\n  cutter = 5\n  rough_with = 1")
    outcome = made(fine + SQUARE_RIM, tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    (said,) = (str(f) for f in outcome.faults if "sharper than the cutter" in str(f))
    assert "uncut in edge" in said
    left = float(said.split("uncut in edge: ")[1].split()[0])
    assert left == pytest.approx(0.3 * (math.sqrt(2) - 1), abs=0.005)
    (row,) = (f for f in outcome.document["features"] if f["name"] == "edge")
    assert row["reachable_uncut"] < 0.01 < row["uncut"]


def test_a_corner_as_round_as_its_wall_needs_no_word(tmp_path: Path) -> None:
    outcome = made(JOBS["corners"], tmp_path)
    assert (outcome.verdict, told(outcome)) == ("pass", "")


def test_an_edge_that_is_lower_in_part_is_told(tmp_path: Path) -> None:
    notch = SQUARE.replace("[30, 20], centre = [0, 0]", "[8, 12], centre = [15, 0]")
    outcome = made(BOSS + notch.replace("depth = 5", "depth = 2") + EDGE, tmp_path)
    assert outcome.verdict == "pass", told(outcome)
    assert "a part of its edge is already cut down to z -2 mm" in told(outcome)
    assert "top = -2" in told(outcome)


@pytest.mark.parametrize("job", JOBS)
def test_a_flat_tip_stays_clear_of_the_wall(job: str, tmp_path: Path) -> None:
    shop = SHOP.replace("tip_angle = 90", "tip_angle = 90\ntip_diameter = 0.6")
    outcome = made(JOBS[job], tmp_path, shop)
    assert outcome.verdict == "pass", told(outcome)


Change = Callable[[Chamfer], Chamfer]


def wider(by: float) -> Change:
    """The same slope begun lower."""

    def wrong(chamfer: Chamfer) -> Chamfer:
        low = chamfer.depth.floor - by
        depth = replace(chamfer.depth, floor=low, cut_to=low)
        return replace(chamfer, width=chamfer.width + by, depth=depth)

    return wrong


def deeper(by: float) -> Change:
    """The whole of it lower, or higher."""

    def wrong(chamfer: Chamfer) -> Chamfer:
        at = chamfer.depth
        depth = replace(at, top=at.top - by, floor=at.floor - by, cut_to=at.cut_to - by)
        return replace(chamfer, depth=depth)

    return wrong


OTHER: dict[str, Side] = {
    "inside": "outside",
    "outside": "inside",
    "left": "right",
    "right": "left",
}


def other_side(chamfer: Chamfer) -> Chamfer:
    return replace(chamfer, side=OTHER[chamfer.side])


def aside(chamfer: Chamfer) -> Chamfer:
    return chamfer.moved(Shift(move=(0.07, 0.07)))


def rim(by: float) -> Change:
    """The rim of a wider hole."""

    def wrong(chamfer: Chamfer) -> Chamfer:
        return replace(chamfer, diameter=chamfer.diameter + by)

    return wrong


WIDE, NARROW = (wider(0.05), "gouge"), (wider(-0.05), "uncut")
DEEP, HIGH = (deeper(0.05), "gouge"), (deeper(-0.05), "uncut")
# Each error in forms of the edge that have a code of their own for it.
PLANTED = [
    pytest.param(job, *error, id=f"{job}: {name}")
    for job, name, error in (
        ("inside", "leg 0.05 too wide", WIDE),
        ("inside", "the other side", (other_side, "gouge")),
        ("inside", "0.1 aside", (aside, "gouge")),
        ("outside", "leg 0.05 too wide", WIDE),
        ("outside", "leg 0.05 too narrow", NARROW),
        ("outside", "the other side", (other_side, "gouge")),
        ("corners", "0.05 too deep", DEEP),
        ("corners", "leg 0.05 too narrow", NARROW),
        ("path", "leg 0.05 too wide", WIDE),
        ("path", "0.05 too high", HIGH),
        ("path", "the other side", (other_side, "gouge")),
        ("path", "0.1 aside", (aside, "gouge")),
        ("plunged", "leg 0.05 too wide", WIDE),
        ("plunged", "0.05 too high", HIGH),
        ("plunged", "0.1 too wide a hole", (rim(0.1), "gouge")),
        ("plunged", "0.1 aside", (aside, "gouge")),
        ("round bores", "leg 0.05 too narrow", NARROW),
        ("round bores", "0.05 too deep", DEEP),
        ("round bores", "0.1 too narrow a hole", (rim(-0.1), "uncut")),
    )
]


@pytest.mark.parametrize(("job", "change", "said"), PLANTED)
@pytest.mark.usefixtures("undrawn", "unmeasured")
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
            STEP + STEP_EDGE.replace('"right"', '"outside"'),
            '"outside" does not go with an open path, use "left" or "right"',
            id="a path outside",
        ),
        pytest.param(
            BOSS + EDGE.replace('side = "outside"', ""),
            'side: is missing, write side = "outside" or side = "inside"',
            id="no side",
        ),
        pytest.param(
            HOLES + HOLE_RIMS.replace("diameter = 5", ""),
            "diameter: is missing, add the diameter of the hole",
            id="no diameter",
        ),
        pytest.param(
            HOLES + HOLE_RIMS + '  side = "inside"\n',
            "the edge of a hole has one side only",
            id="a hole's side",
        ),
        pytest.param(
            BOSS + EDGE + "  diameter = 5\n",
            "is only for holes, and outline is given too",
            id="an outline's diameter",
        ),
        pytest.param(
            SQUARE
            + STEP_EDGE.replace("[[-30, -10], [12, -10]]", "[[-15, -10], [15, -10]]").replace(
                '"right"', '"left"'
            ),
            "or end the path before the wall",
            id="a path up to a wall",
        ),
        pytest.param(
            HOLES.replace("through = true", "depth = 1") + HOLE_RIMS,
            "would cut into the work beside or below the edge",
            id="a shallow hole",
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


PART = """\
  [[setup.feature]]
  name = "plate"
  kind = "profile"
  outline = { rectangle = [46, 36], centre = [0, 0], round = 4 }
  side = "outside"
  through = true
  tabs = { count = 4, width = 5, height = 1 }
"""
SLIT = """\
  [[setup.feature]]
  name = "slit"
  kind = "slot"
  from = [-10, 14]
  to = [10, 14]
  width = 1.2
  depth = 2
"""
ALL = "break_edges = 0.3"


def names(outcome: Report) -> set[str]:
    return {f["name"] for f in outcome.document["features"]}


def test_every_edge_is_broken(tmp_path: Path) -> None:
    outcome = made(PART + SEAT + HOLES.replace("15", "18"), tmp_path, setup=ALL)
    assert (outcome.verdict, told(outcome)) == ("pass", "")
    assert names(outcome) >= {"edge of plate", "edge of pocket 1", "edge of hole 1"}


def test_an_edge_out_of_reach_is_named(tmp_path: Path) -> None:
    outcome = made(PART + SLIT, tmp_path, setup=ALL)
    assert outcome.verdict == "pass", told(outcome)
    (said,) = (str(f) for f in outcome.faults if "left out" in str(f))
    assert "edge of slit is left out: cutter 2 (8 mm chamfer mill) does not fit" in said
    assert "edge of slit" not in names(outcome)


def test_edges_that_nobody_can_break_are_named(tmp_path: Path) -> None:
    loose = PART.replace("tabs = { count = 4, width = 5, height = 1 }", "")
    along = STEP.replace('"right"', '"on"')
    outcome = made(along + loose, tmp_path, setup=ALL)
    assert outcome.verdict == "pass", told(outcome)
    text = told(outcome)
    assert "an edge of profile 1 is not broken: its kerf is as wide as its cutter" in text
    assert "an edge of plate is not broken: the part is loose once it is cut" in text


def test_an_edge_broken_by_hand_is_left(tmp_path: Path) -> None:
    outcome = made(JOBS["inside"], tmp_path, setup=ALL)
    assert (outcome.verdict, told(outcome)) == ("pass", "")
    operations = [o for f in outcome.document["features"] for o in f["operations"]]
    assert [o["label"] for o in operations].count("chamfer") == 1


def test_a_rack_without_a_point_cannot(tmp_path: Path) -> None:
    shop = SHOP.replace('kind = "chamfer mill"', 'kind = "ball-nose end mill"')
    shop = shop.replace("tip_angle = 90\n", "")
    (tmp_path / "shop.toml").write_text(shop, encoding="utf-8")
    head = HEAD.replace("  [setup.hold]", f"{ALL}\n  [setup.hold]")
    (tmp_path / "job.toml").write_text(head + SEAT, encoding="utf-8")
    outcome = make(tmp_path / "job.toml", tmp_path / "out")
    assert "break_edges: the rack has no chamfer mill" in told(outcome)


@pytest.mark.parametrize(
    ("module", "name", "wrong", "said"),
    [
        pytest.param(
            "gcodekit.operations.chamfer", "gone", lambda *_: True, "uncut", id="an edge forgotten"
        ),
        pytest.param(
            "gcodekit.operations.chamfer_clearance",
            "wall_round",
            lambda *_: 0.0,
            "gouge",
            id="into the round of a corner",
        ),
        pytest.param(
            "gcodekit.operations.chamfer_clearance",
            "wall_round",
            lambda *_: 4.0,
            "uncut",
            id="a corner forgotten",
        ),
    ],
)
@pytest.mark.usefixtures("undrawn", "unmeasured")
def test_a_planted_error_in_all_edges_is_refused(
    module: str,
    name: str,
    wrong: Callable[..., object],
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(f"{module}.{name}", wrong)
    outcome = made(SQUARE, tmp_path, setup=ALL)
    assert outcome.verdict == "fail"
    assert said in told(outcome)
