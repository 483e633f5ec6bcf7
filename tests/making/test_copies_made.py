"""Copies of every kind of feature, mirrored, turned and moved: proved, and cut the same way round
as the first."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from gcodekit.geometry.chain import Arc, Chain, Line, Segment
from gcodekit.geometry.flattening import nearest
from gcodekit.geometry.offset import grow_chain
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.load import load_job
from gcodekit.making.make import make
from gcodekit.planning.plan import plan_setup
from gcodekit.planning.program import Operation
from gcodekit.toolpath.moves import ArcFeed, Feed, Rapid

HEAD = """
name = "Both hands"
units = "mm"
material = "aluminium"
[stock]
block = [100, 80, 5]
[[setup]]
zero = { x = "centre", y = "centre", z = "top" }
  [setup.hold]
  board = 12
"""
COPIES = 'copies = [{ mirror = "y" }, { angle = 180 }, { move = [2, 44] }]\n'
FEATURES = {
    "pocket with an island": 'kind = "pocket"\ndepth = 2\n'
    "outline = { path = [[-45, -35], [-20, -35], [-20, -14], { to = [-45, -8], round = 5 }] }\n"
    "islands = [{ rectangle = [6, 3], centre = [-34, -22], angle = 20 }]\n",
    "curved slot": 'kind = "slot"\nwidth = 7\ndepth = 2\npath = [[-42, -30], [-30, -30], '
    '{ to = [-22, -22], centre = [-30, -22], turn = "ccw" }]\n',
    "open line": 'kind = "profile"\nside = "left"\ndepth = 2\n'
    "path = [[-42, -34], [-34, -34], { to = [-28, -16], round = 2 }, [-18, -12]]\n",
    "window on tabs": 'kind = "profile"\nside = "inside"\nthrough = true\n'
    "outline = { rectangle = [20, 16], centre = [-30, -22], angle = 10, round = 4 }\n"
    "tabs = { at = [[-40, -24], [-28, -14]], width = 4, height = 1 }\n",
    "rim on tabs": 'kind = "profile"\nside = "outside"\nthrough = true\n'
    "outline = { path = [[-40, -32], [-14, -32], [-14, -20], { to = [-40, -12], bevel = 4 }] }\n"
    "tabs = { at = [[-40, -32], [-20, -32], [-27, -16]], width = 4, height = 1 }\n",
    "bores": 'kind = "bore"\ndiameter = 9\nthrough = true\n'
    "pitch_circle = { centre = [-30, -20], diameter = 18, count = 3, start = 20, skip = [2] }\n",
}
HOLES = {
    "at": "at = [[-30, -20], [-20, -30]]",
    "row": "row = { start = [-40, -20], pitch = 6, count = 3, angle = 30 }",
    "grid": "grid = { start = [-40, -30], pitch = [6, 7], count = [2, 2], angle = 15 }",
    "pitch circle": "pitch_circle = { centre = [-30, -20], diameter = 16, count = 5, start = 10 }",
    "polar": "polar = { centre = [-30, -20], points = [[5, 10], [9, 80], [11, 190]] }",
}
PART_FACE = 'kind = "face"\noutline = { rectangle = [20, 16], corner = [-50, -40] }\ndepth = 0.5\n'


def job(folder: Path, body: str) -> Path:
    file = folder / "job.toml"
    file.write_text(HEAD + "[[setup.feature]]\n" + body)
    return file


@pytest.mark.parametrize("name", FEATURES)
def test_copies_are_proved(tmp_path: Path, name: str) -> None:
    outcome = make(job(tmp_path, FEATURES[name] + COPIES), tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


def both_hands(folder: Path, holes: str) -> Path:
    """Holes twice and a face off the middle, and the whole set-up again as its other hand."""
    first = f'kind = "hole"\ndiameter = 3\ndepth = 2\n{holes}\n'
    first += "copies = { count = 2, move = [5, 33] }\n"
    return job(folder, f'{first}[[setup.feature]]\n{PART_FACE}[[setup.copy]]\nmirror = "y"\n')


def test_both_hands_off_one_blank_are_proved(tmp_path: Path) -> None:
    outcome = make(both_hands(tmp_path, HOLES["at"]), tmp_path / "out")
    assert outcome.verdict == "pass", [str(f) for f in outcome.faults]


@pytest.mark.parametrize("name", HOLES)
def test_every_way_of_giving_places_is_mirrored(tmp_path: Path, name: str) -> None:
    features = load_job(both_hands(tmp_path, HOLES[name])).setups[0].features
    assert [f.name for f in features] == [
        "hole 1",
        "hole 1 copy 2",
        "face 1",
        "hole 1 copy 3",
        "hole 1 copy 2 copy 2",
        "face 1 copy 2",
    ]
    for first, other in ((features[0], features[3]), (features[1], features[4])):
        assert isinstance(first, Hole)
        assert isinstance(other, Hole)
        assert list(other.places) == [pytest.approx((-x, y)) for x, y in first.places]


def walls(feature: Feature) -> list[Chain]:
    """What the finishing cutter's side follows."""
    match feature:
        case Pocket():
            return list(feature.area.rings)
        case Slot():
            return list(grow_chain(feature.path, feature.width / 2).rings)
        case Bore():
            return [Chain.circle(p, feature.diameter / 2) for p in feature.places]
        case Profile(path=None, outline=region) if region is not None:
            return list(region.rings)
        case Profile(path=path) if path is not None:
            return [path]
    raise AssertionError(feature)


def segments(operation: Operation) -> list[Segment]:
    """The level feeds at the operation's lowest z."""
    found: list[tuple[float, Segment]] = []
    x = y = z = 0.0
    for move in operation.moves:
        if isinstance(move, Rapid):
            x, y, z = (a if b is None else b for a, b in ((x, move.x), (y, move.y), (z, move.z)))
        elif isinstance(move, Feed | ArcFeed):
            start, end = (x, y), (move.x, move.y)
            if abs(move.z - z) < 1e-9:
                if isinstance(move, ArcFeed):
                    found.append((z, Arc(start, end, (move.cx, move.cy), move.ccw)))
                elif start != end:
                    found.append((z, Line(start, end)))
            x, y, z = move.x, move.y, move.z
    floor = min(z for z, _ in found)
    return [s for z, s in found if z < floor + 1e-6]


def wall_on_left(operation: Operation, feature: Feature) -> float:
    """The share of the way along walls that has the wall on its left."""
    left = whole = 0.0
    radius = operation.cutter.radius
    for s in segments(operation):
        (x, y), (tx, ty) = s.point_at(s.length / 2), s.tangent_at(s.length / 2)
        wall, at, gap = min(
            ((w, *nearest(w, (x, y))) for w in walls(feature)), key=lambda found: found[2]
        )
        if abs(gap - radius) < 0.005:  # on the wall, not on a lead
            px, py = wall.point_at(at)
            left += s.length if tx * (py - y) - ty * (px - x) > 0 else 0.0
            whole += s.length
    assert whole > 2 * math.pi
    return left / whole


@pytest.mark.parametrize(
    ("name", "cut"),
    [*((name, "climb") for name in FEATURES), ("open line", "conventional")],
)
def test_copies_are_cut_the_same_way_round(tmp_path: Path, name: str, cut: str) -> None:
    """With the spindle turning clockwise a climbing cutter has the wall on its right: it goes
    clockwise round an outside. Common practice, no source; the job file's contract says so."""
    loaded = load_job(job(tmp_path, f'{FEATURES[name]}cut = "{cut}"\n{COPIES}'))
    (setup,) = loaded.setups
    features = {f.name: f for f in setup.features}
    assert len(features) == 4
    finished = [o for o in plan_setup(loaded, setup).program.operations if o.label == "finish"]
    assert {o.feature for o in finished} == set(features)
    for operation in finished:
        share = wall_on_left(operation, features[operation.feature])
        assert share == (0.0 if cut == "climb" else 1.0)


def test_a_mirrored_line_keeps_its_metal(tmp_path: Path) -> None:
    """Walked the same way it lies on the other hand, so that the cutter's side changes."""
    features = load_job(job(tmp_path, FEATURES["open line"] + COPIES)).setups[0].features
    assert [f.side for f in features if isinstance(f, Profile)] == ["left", "right", "left", "left"]


def test_tabs_go_with_their_copies(tmp_path: Path) -> None:
    features = load_job(job(tmp_path, FEATURES["rim on tabs"] + COPIES)).setups[0].features
    tabs = [f.tabs.at for f in features if isinstance(f, Profile) and f.tabs]
    first = tabs[0]
    assert list(tabs[1]) == [pytest.approx((-x, y)) for x, y in first]
    assert list(tabs[2]) == [pytest.approx((-x, -y)) for x, y in first]
    assert list(tabs[3]) == [pytest.approx((x + 2, y + 44)) for x, y in first]
