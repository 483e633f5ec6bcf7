"""Edges, bosses and arcs end to end: small jobs as typed at the bench pass, planted planner
errors do not."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from gcodekit.geometry.region import Region
from gcodekit.making.make import Report, make
from gcodekit.operations import arc, wall_regions
from gcodekit.toolpath.wall_passes import PassRoom

BLOCK = "block = [80, 60, 15]"
SMALL = "block = [44, 34, 12]"
BOARD = "  [setup.hold]\n  board = 12\n"
VISE = "  [setup.hold]\n  vise = { grip = 6, jaw_width = 50, jaw_depth = 25 }\n  parallels = 20\n"
INCH_VISE = (
    "  [setup.hold]\n  vise = { grip = 0.2, jaw_width = 4, jaw_depth = 1 }\n  parallels = 0.5\n"
)


def typed(*features: str, units: str = "mm", stock: str = BLOCK, hold: str = BOARD) -> str:
    head = (
        f'name = "Trial"\nunits = "{units}"\nmaterial = "aluminium"\n[stock]\n{stock}\n'
        f'[[setup]]\nzero = {{ x = "centre", y = "centre", z = "top" }}\n{hold}'
    )
    return head + "".join(f"  [[setup.feature]]\n{f}\n" for f in features)


def edge(side: str, at: object, *more: str) -> str:
    return "\n".join((f'kind = "edge"\nside = "{side}"\nat = {at}', *more))


def boss(outline: str, *more: str) -> str:
    return "\n".join((f'kind = "boss"\noutline = {{ {outline} }}', *more))


def round_off(centre: str, radius: object, start: object, end: object, *more: str) -> str:
    said = (
        f'kind = "arc"\ncentre = {centre}\nradius = {radius}\nstart = {start}\nend = {end}',
        *more,
    )
    return "\n".join(said)


OUTSIDE, INSIDE, OPEN, DEPTH = 'side = "outside"', 'side = "inside"', 'ends = "open"', "depth = 5"
CORNERS = (("[28, 18]", 0), ("[-28, 18]", 90), ("[-28, -18]", 180), ("[28, -18]", 270))

JOBS = {
    "edge, through unless a depth is given": typed(edge("left", -39)),
    "edge overhanging a vise": typed(edge("left", -38, 'cut = "climb"'), hold=VISE),
    "four sides and the top": typed(
        'kind = "face"\ndepth = 0.5',
        edge("left", -38, "top = -0.5", DEPTH),
        edge("right", 30, "top = -0.5", DEPTH, "stepdown = 2"),
        edge("front", -28, "top = -0.5", DEPTH, "rough_with = 5", "cutter = 3"),
        edge("back", 29.9, "top = -0.5", DEPTH, "spring_passes = 1"),
    ),
    "edges of a round bar lying down": typed(
        edge("left", -38, "depth = 12"),
        edge("front", -12, "depth = 12"),
        stock='round = { diameter = 30, length = 80, axis = "x" }',
    ),
    "octagon on a round bar, in inches": typed(
        edge("right", 1, 'depth = "1/8 in"', "copies = { count = 8, angle = 45, about = [0, 0] }"),
        units="inch",
        stock="round = { diameter = 2.25, length = 0.75 }",
        hold="  [setup.hold]\n  board = 0.5\n",
    ),
    "boss, and a smaller one upon it": typed(
        boss("circle = 22, centre = [3, 2]", DEPTH, "stepdown = 2.5"),
        boss("polygon = 6, across_flats = 10, centre = [3, 2]", "depth = 2"),
        stock=SMALL,
    ),
    "two bosses of one feature, one of another": typed(
        'kind = "boss"\noutlines = [{ circle = 8, centre = [-11, 5] }, '
        "{ rectangle = [10, 8], centre = [8, -6], round = 2 }]\ndepth = 2",
        boss("circle = 6, centre = [12, 10]", "depth = 2"),
        stock=SMALL,
    ),
    "boss within a rim": typed(
        boss("circle = 10, centre = [0, 0]", "within = { circle = 30, centre = [0, 0] }", DEPTH),
    ),
    "boss in inches, in a vise": typed(
        boss("circle = 0.75, centre = [0.1, 0]", 'depth = "1/8 in"', "stepdown = 0.05"),
        units="inch",
        stock="block = [1.5, 1.25, 0.5]",
        hold=INCH_VISE,
    ),
    "boss cut free comes last, under a clamp": typed(
        boss("rectangle = [34, 24], centre = [0, 0], round = 5", "through = true"),
        'kind = "hole"\ndiameter = 4\nthrough = true\nat = [[13, 8], [-13, -8]]',
        stock=SMALL,
        hold=BOARD + "  clamps = [{ at = [0, 0], size = [12, 12], height = 10 }]\n",
    ),
    "curved end about a bore, tangent to both sides": typed(
        'kind = "bore"\ndiameter = 20\nat = [10, 0]\nthrough = true',
        round_off("[10, 0]", 30, -90, 90, OUTSIDE, "through = true"),
    ),
    "four round corners": typed(
        *(round_off(c, 12, a, a + 90, OUTSIDE, "through = true") for c, a in CORNERS)
    ),
    "hollow side": typed(round_off("[5, -45]", 30, 0, 180, INSIDE, DEPTH)),
    "two halves of one circle": typed(
        round_off("[0, 0]", 14, 20, 200, OUTSIDE, DEPTH),
        round_off("[0, 0]", 14, 200, 20, OUTSIDE, DEPTH),
        stock=SMALL,
    ),
    "groove from one radius to another": typed(
        round_off("[0, 0]", 15, 20, 130, OUTSIDE, "from_radius = 25", "depth = 3"),
    ),
    "inside arc whose open ends meet": typed(
        round_off("[3.61, -1.21]", 8.17, -71, 239.89, INSIDE, "depth = 2", OPEN), stock=SMALL
    ),
    "open end beside a boss that stays": typed(
        boss("circle = 8, centre = [12, -8]", "depth = 2"),
        round_off("[-3, 2]", 9, 13, 103, OUTSIDE, "depth = 1", "top = -0.5", OPEN),
        stock=SMALL,
    ),
    "arc in what a boss has cleared already": typed(
        boss("circle = 10, centre = [8, -6]", DEPTH),
        round_off("[-8, 4]", 9, 60, 150, OUTSIDE, "depth = 2"),
        stock=SMALL,
    ),
    "boss that runs on into a deeper arc": typed(
        boss(
            "obround = [14, 6], centre = [-8, 3]",
            "within = { rectangle = [30, 20], centre = [-9, 6], round = 4 }",
            "depth = 2",
            "rough_with = 4",
            "cutter = 3",
        ),
        round_off("[18, 0]", 7, 120, 155, OUTSIDE, DEPTH),
        stock=SMALL,
    ),
    "finished boss beside a deeper unfinished one": typed(
        boss("circle = 10, centre = [-10, -4]", DEPTH, "finish = false"),
        boss("circle = 8, centre = [9, 6]", "depth = 2"),
        stock=SMALL,
    ),
    "all round a round bar, in inches": typed(
        round_off("[0.1, 0]", 0.9, 0, 0, OUTSIDE, 'depth = "1/8 in"'),
        units="inch",
        stock="round = { diameter = 2.25, length = 0.75 }",
        hold="  [setup.hold]\n  board = 0.5\n",
    ),
}


def made(tmp_path: Path, text: str) -> tuple[Report, dict[str, dict[str, float]]]:
    job = tmp_path / "job.toml"
    job.write_text(text)
    outcome = make(job, tmp_path / "out")
    report = json.loads((tmp_path / "out" / "report.json").read_text())
    return outcome, {f["name"]: f for f in report["features"]}


@pytest.mark.parametrize("name", JOBS)
def test_jobs_as_typed_pass(tmp_path: Path, name: str) -> None:
    outcome, features = made(tmp_path, JOBS[name])
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]
    assert all(f["gouge"] < 0.005 and f["reachable_uncut"] < 0.005 for f in features.values())


@pytest.mark.parametrize(
    "keys",
    [
        pytest.param("finish = false\nallowance = { wall = 0.3, floor = 0.2 }", id="not finished"),
        pytest.param("rough = false", id="not roughed"),
        pytest.param("rough_with = 5\ncutter = 3", id="two cutters"),
    ],
)
@pytest.mark.parametrize(
    "feature",
    [
        pytest.param(edge("right", 19, DEPTH), id="edge"),
        pytest.param(boss("obround = [22, 12], centre = [0, 2], angle = 30", DEPTH), id="boss"),
        pytest.param(round_off("[5, -1]", 13, -70, 80, OUTSIDE, DEPTH), id="arc"),
    ],
)
def test_passes_may_be_left_out(tmp_path: Path, feature: str, keys: str) -> None:
    outcome, _ = made(tmp_path, typed(f"{feature}\n{keys}", stock=SMALL))
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


WALLS = {
    "edge": edge("right", 18, DEPTH),
    "boss": boss("circle = 22, centre = [2, 1]", DEPTH),
    "arc": round_off("[5, -1]", 13, -70, 80, OUTSIDE, DEPTH, OPEN),
}


@pytest.mark.parametrize(
    ("off", "said"),
    [pytest.param(-0.03, "gouge", id="too deep"), pytest.param(0.03, "uncut", id="short")],
)
@pytest.mark.parametrize("kind", WALLS)
@pytest.mark.usefixtures("undrawn")
def test_a_wall_out_of_place_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str, off: float, said: str
) -> None:
    true: Callable[[PassRoom, float], Region] = PassRoom.room
    # the proof knows nothing of the planner's rooms
    monkeypatch.setattr(PassRoom, "room", lambda self, distance: true(self, distance + off))
    outcome, features = made(tmp_path, typed(WALLS[kind], stock=SMALL))
    assert outcome.verdict == "fail"
    assert any(said in str(f) for f in outcome.faults)
    worst = features[f"{kind} 1"]["gouge" if off < 0 else "reachable_uncut"]
    assert worst == pytest.approx(0.03, abs=0.002)
    assert not list((tmp_path / "out").glob("*.nc"))


def test_an_edge_through_the_jaws_is_refused(tmp_path: Path) -> None:
    outcome, _ = made(tmp_path, typed(edge("front", -28), hold=VISE))
    assert outcome.verdict == "fail"
    assert any("front jaw" in str(f) for f in outcome.faults)


@pytest.mark.usefixtures("undrawn")
def test_another_boss_cut_down_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(wall_regions, "spared", lambda work, feature, touched: [])
    monkeypatch.setattr(wall_regions, "gone_beside", lambda work, feature: [])
    outcome, features = made(tmp_path, JOBS["two bosses of one feature, one of another"])
    assert outcome.verdict == "fail"
    assert features["boss 1"]["gouge"] > 1.0


@pytest.mark.usefixtures("undrawn")
def test_a_pass_run_on_into_the_part_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def anywhere(work: wall_regions.PlanContext, *_: object) -> Region:
        return wall_regions.run_on_regions(work, _sector(work), 200.0)[0]

    def _sector(work: wall_regions.PlanContext) -> wall_regions.Sector:
        feature = work.setup.features[0]
        assert isinstance(feature, wall_regions.Sector)
        return replace(feature, open_ends=True)

    true = arc.with_free
    monkeypatch.setattr(arc, "with_free", lambda w, f, r: true(w, f, [*r, anywhere(w)]))
    outcome, _ = made(
        tmp_path, typed(round_off("[5, -1]", 13, -70, 80, OUTSIDE, DEPTH), stock=SMALL)
    )
    assert outcome.verdict == "fail"
    assert any("gouge" in str(f) for f in outcome.faults)


def corner_left(radius: float, cutter: float) -> float:
    """How far the corner between an arc and the ray it ends on stands off a disc of the cutter's
    radius that touches both: by Pythagoras."""
    along = math.sqrt((radius + cutter) ** 2 - cutter**2)
    return math.hypot(along - radius, cutter) - cutter


def test_the_corner_at_an_end_in_the_metal_is_reported(tmp_path: Path) -> None:
    """Left standing out of reach; with open ends the cutter runs on and nothing is left."""
    stopped = round_off("[5, -1]", 13, -70, 80, OUTSIDE, DEPTH, "cutter = 3")
    outcome, features = made(tmp_path, typed(stopped, stock=SMALL))
    assert outcome.verdict == "pass"
    assert features["arc 1"]["reachable_uncut"] < 0.005
    assert features["arc 1"]["uncut"] == pytest.approx(corner_left(13, 3), rel=0.01)
    outcome, features = made(tmp_path, typed(f"{stopped}\n{OPEN}", stock=SMALL))
    assert outcome.verdict == "pass"
    assert features["arc 1"]["uncut"] < 0.005
