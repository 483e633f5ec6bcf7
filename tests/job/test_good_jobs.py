"""Good jobs: what arrives in the model, and that inches and millimetres say the same."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path

import pytest

from gcodekit.geometry.chain import Arc
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.face import Face
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.kinds.slot import Slot
from gcodekit.job.load import load_job
from gcodekit.job.model import Job

HALF = math.sqrt(0.5)

WORKSHOP = """\
units = "mm"
[machine]
spindle = {{ min = 100, max = 2800 }}
backlash = {{ x = {backlash}, y = 0.01 }}
[[cutter]]
number = 1
name = "6 mm slot drill"
kind = "end mill"
diameter = 6
flute_length = 20
[[cutter]]
number = 2
name = "4 mm drill"
kind = "drill"
diameter = 4
"""


def plate(*, inch: bool) -> str:
    """The same job in either unit; U turns a figure in mm into the file's unit."""

    def u(mm: float) -> str:
        return repr(mm / 25.4) if inch else repr(mm)

    def p(x: float, y: float) -> str:
        return f"[{u(x)}, {u(y)}]"

    return f"""\
name = "Altitude bearing plate"
units = "{"inch" if inch else "mm"}"
workshop = "mill.toml"
material = "aluminium"
tolerance = {u(0.02)}

[dimensions]
pitch = {u(12.5)}
wall = "1/16 in"

[stock]
block = [{u(130)}, {u(70)}, {u(12)}]

[outlines]
arm = {{ path = [{p(0, 0)}, {p(112, 0)}, {{ to = {p(112, 44)}, round = {u(6)} }},
  {{ to = {p(0, 44)}, bevel = {u(3)} }}] }}
window = {{ obround = [{u(30)}, {u(12)}], centre = {p(56, 22)}, angle = 90 }}

[[setup]]
name = "Top"
zero = {{ x = "left + {u(5)}", y = "front + 10 mm", z = "top - {u(0.5)}" }}
clearance = {u(8)}
breakthrough = {u(0.4)}
work_offset = 2
order = "as written"
against = "the sawn edge"

  [setup.hold]
  board = {u(10)}
  clamps = [{{ at = {p(3, -5)}, size = [{u(20)}, {u(30)}], height = {u(15)}, angle = 45 }}]

  [[setup.feature]]
  kind = "face"
  top = {u(0.5)}
  depth = {u(0.5)}

  [[setup.feature]]
  kind = "pocket"
  outline = "window"
  islands = [{{ circle = {u(4)}, centre = {p(56, 22)} }}]
  depth = {u(4)}
  cutter = "6 mm slot drill"
  corner = {u(3.5)}
  allowance = {{ wall = {u(0.2)}, floor = {u(0.1)} }}
  stepdown = {u(1)}
  stepover = "wall"
  speed = 1500
  feed = {u(200)}
  cut = "climb"

  [[setup.feature]]
  kind = "slot"
  from = {p(10, 10)}
  to = {p(10, 30)}
  width = {u(7)}
  floor = {u(-3)}
  ends = {{ start = "open" }}

  [[setup.feature]]
  name = "dowels"
  kind = "hole"
  diameter = {u(4)}
  through = true
  ream = false
  peck = {u(2)}
  row = {{ start = {p(20, 6)}, pitch = "pitch", count = 4, skip = [2] }}

  [[setup.feature]]
  kind = "bore"
  diameter = {u(16)}
  through = true
  at = {p(90, 22)}
  copies = [{{ move = {p(0, 12)} }}]

  [[setup.feature]]
  name = "rim"
  kind = "profile"
  outline = "arm"
  side = "outside"
  through = true
  tabs = {{ count = 4, width = {u(6)}, height = {u(0.8)} }}
"""


def load(text: str, folder: Path, *, backlash: float = 0.02) -> Job:
    (folder / "mill.toml").write_text(WORKSHOP.format(backlash=backlash), encoding="utf-8")
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    return load_job(path)


@pytest.fixture
def job(tmp_path: Path) -> Job:
    return load(plate(inch=False), tmp_path)


# Words about files and units.
NOT_FIGURES = ("units", "zero_text", "place", "path", "file", "warnings", "fingerprint")


def figures(value: object, path: str = "") -> dict[str, object]:
    """Every leaf of a model by its path; words about files and units are left out."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        leaves: dict[str, object] = {}
        for field in dataclasses.fields(value):
            if field.name not in (
                "units",
                "zero_text",
                "place",
                "path",
                "file",
                "warnings",
                "fingerprint",
            ):
                leaves |= figures(getattr(value, field.name), f"{path}.{field.name}")
        return leaves
    if isinstance(value, tuple | list):
        leaves = {f"{path}.len": len(value)}
        for i, item in enumerate(value):
            leaves |= figures(item, f"{path}.{i}")
        return leaves
    return {path: value}


def test_inches_and_millimetres_say_the_same(tmp_path: Path) -> None:
    metric = figures(load(plate(inch=False), tmp_path))
    inch = figures(load(plate(inch=True), tmp_path))
    assert metric.keys() == inch.keys()
    for path, value in metric.items():
        if isinstance(value, float):
            # 1e-7 mm is one point everywhere in the geometry
            assert inch[path] == pytest.approx(value, abs=1e-7), path
        else:
            assert inch[path] == value, path


def test_the_set_up_arrives(job: Job) -> None:
    (setup,) = job.setups
    assert (job.name, job.material.name, job.tolerance) == (
        "Altitude bearing plate",
        "aluminium",
        0.02,
    )
    assert setup.raw.low == (-5, -10, -11.5)
    assert setup.raw.high == (125, 60, 0.5)
    assert setup.origin == (5, 10, 11.5)
    assert (setup.clearance, setup.breakthrough, setup.work_offset) == (8, 0.4, 2)
    assert (setup.order, setup.against, setup.down) == ("as written", "the sawn edge", None)
    (clamp,) = setup.hold.clamps
    assert (clamp.at, clamp.size, clamp.height) == ((3, -5), (20, 30), 15)
    assert clamp.angle == pytest.approx(math.pi / 4)
    assert [f.name for f in setup.features] == [
        "face 1",
        "pocket 1",
        "slot 1",
        "dowels",
        "bore 1",
        "bore 1 copy 2",
        "rim",
    ]
    assert [str(w) for w in job.warnings] == []


def test_the_features_arrive(job: Job) -> None:
    face, pocket, slot, dowels, bore, second, rim = job.setups[0].features
    assert isinstance(face, Face)
    assert (face.depth.top, face.depth.floor) == (0.5, 0)
    assert isinstance(pocket, Pocket)
    assert pocket.depth.floor == -4
    # an obround 30 x 12 less a 4 mm disc
    assert pocket.area.area == pytest.approx(18 * 12 + math.pi * 36 - math.pi * 4, abs=1e-3)
    cutting = pocket.cutting
    assert cutting.cutter is not None
    assert cutting.cutter.number == 1
    assert (cutting.wall_allowance, cutting.floor_allowance) == (0.2, 0.1)
    assert (cutting.stepdown, cutting.stepover) == (1, 1.5875)
    assert (cutting.speed, cutting.feed, cutting.direction) == (1500, 200, "climb")
    assert isinstance(slot, Slot)
    assert (slot.path.start, slot.path.end) == ((10, 10), (10, 30))
    assert (slot.width, slot.ends, slot.depth.floor) == (7, ("open", "round"), -3)
    assert isinstance(dowels, Hole)
    assert dowels.places == ((20, 6), (45, 6), (57.5, 6))
    assert (dowels.peck, dowels.depth.through) == (2, True)
    assert (dowels.depth.floor, dowels.depth.cut_to) == (-11.5, pytest.approx(-11.9))
    assert isinstance(bore, Bore)
    assert isinstance(second, Bore)
    assert second.places == ((90, 34),)
    assert isinstance(rim, Profile)
    assert rim.tabs is not None
    assert (rim.tabs.count, rim.tabs.width, rim.tabs.height) == (4, 6, 0.8)
    assert rim.outline is not None
    # the arm's rectangle less what a round of 6 and a bevel of 3 take off
    assert rim.outline.area == pytest.approx(112 * 44 - (36 - 9 * math.pi) - 4.5)
    arcs = [s for s in rim.outline.rings[0] if isinstance(s, Arc)]
    assert [a.centre for a in arcs] == [pytest.approx((106, 38))]


# The contract: climb where backlash is stated and at most 0.02 mm on both axes.
@pytest.mark.parametrize(("backlash", "way"), [(0.02, "climb"), (0.03, "conventional")])
def test_usual_direction(backlash: float, way: str, tmp_path: Path) -> None:
    job = load(plate(inch=False), tmp_path, backlash=backlash)
    assert job.setups[0].features[-1].cutting.direction == way


BLOCK = """\
units = "mm"
material = "brass"
[stock]
block = [100, 60, 10]
[[setup]]
hold = { board = 12 }
"""


def one(body: str, folder: Path, *, base: str = BLOCK) -> Job:
    path = folder / "job.toml"
    path.write_text(base + "[[setup.feature]]\n" + body, encoding="utf-8")
    return load_job(path)


def places_of(job: Job) -> list[tuple[float, float]]:
    return [p for f in job.setups[0].features if isinstance(f, Hole) for p in f.places]


@pytest.mark.parametrize(
    ("body", "places"),
    [
        pytest.param("at = [10, 20]", [(10, 20)], id="one"),
        pytest.param("at = [[10, 20], [30, 20]]", [(10, 20), (30, 20)], id="list"),
        pytest.param(
            "row = { start = [10, 10], pitch = 10, count = 3, angle = 90 }",
            [(10, 10), (10, 20), (10, 30)],
            id="row",
        ),
        pytest.param(
            "row = { centre = [50, 30], pitch = 10, count = 2 }",
            [(45, 30), (55, 30)],
            id="row about its middle",
        ),
        pytest.param(
            "grid = { start = [10, 10], pitch = [10, 20], count = [2, 2], skip = [2] }",
            [(10, 10), (10, 30), (20, 30)],
            id="grid less its second",
        ),
        pytest.param(
            "grid = { start = [50, 10], pitch = [10, 20], count = [2, 2], angle = 90 }",
            [(50, 10), (50, 20), (30, 10), (30, 20)],
            id="grid turned about its start",
        ),
        pytest.param(
            "pitch_circle = { centre = [50, 30], diameter = 20, count = 4, start = 90 }",
            [(50, 40), (40, 30), (50, 20), (60, 30)],
            id="pitch circle",
        ),
        pytest.param(
            "pitch_circle = { centre = [50, 30], diameter = 20, count = 3, sweep = 180 }",
            [(60, 30), (50, 40), (40, 30)],
            id="half a pitch circle has a place at both ends",
        ),
        pytest.param(
            "polar = { centre = [50, 30], points = [[10, 0], [20, 90]] }",
            [(60, 30), (50, 50)],
            id="polar",
        ),
        pytest.param(
            "at = [10, 20]\ncopies = [{ move = [5, 0] }, { mirror = 'x', about = [0, 30] }]",
            [(10, 20), (15, 20), (10, 40)],
            id="copies besides the first",
        ),
        pytest.param(
            "at = [60, 30]\ncopies = { count = 4, angle = 90, about = [50, 30] }",
            [(60, 30), (50, 40), (40, 30), (50, 20)],
            id="counted copies",
        ),
    ],
)
def test_places(body: str, places: list[tuple[float, float]], tmp_path: Path) -> None:
    found = places_of(one(f'kind = "hole"\ndiameter = 4\ndepth = 3\n{body}', tmp_path))
    assert [c for p in found for c in p] == pytest.approx([c for p in places for c in p])


def test_a_mirrored_path_keeps_its_metal_side(tmp_path: Path) -> None:
    body = (
        'kind = "profile"\n'
        'path = [[10, 10], [40, 10], { to = [50, 20], radius = 10, turn = "ccw" }]\n'
        'side = "left"\ndepth = 3\ncut = "climb"\ncopies = [{ mirror = "y", about = [50, 0] }]'
    )
    first, second = one(body, tmp_path).setups[0].features
    assert isinstance(first, Profile)
    assert isinstance(second, Profile)
    assert first.path is not None
    assert second.path is not None
    assert (first.side, second.side) == ("left", "right")
    assert second.path.start == pytest.approx((90, 10))
    assert second.path.end == pytest.approx((50, 20))
    assert second.cutting.direction == "climb"
    arc = second.path.segments[1]
    assert isinstance(arc, Arc)
    assert not arc.ccw


def test_a_set_up_is_copied_whole_but_its_top_is_faced_once(tmp_path: Path) -> None:
    body = (
        'kind = "face"\ndepth = 1\n[[setup.feature]]\nkind = "hole"\nat = [20, 30]\n'
        'diameter = 4\nfloor = -4\n[[setup.copy]]\nmirror = "y"\nabout = [50, 0]\n'
    )
    job = one(body, tmp_path)
    assert [f.name for f in job.setups[0].features] == ["face 1", "hole 1", "hole 1 copy 2"]
    assert places_of(job) == [(20, 30), (80, 30)]


def test_a_stack_is_as_high_as_its_plates(tmp_path: Path) -> None:
    base = BLOCK.replace("[100, 60, 10]", "[100, 60, 3]\nstacked = 4")
    job = one('kind = "hole"\nat = [9, 9]\ndiameter = 4\nthrough = true\n', tmp_path, base=base)
    assert job.stock.size == (100, 60, 12)
    assert job.setups[0].raw.plates == 4
    assert job.setups[0].features[0].depth.floor == -12


def test_a_round_bar_turned_about(tmp_path: Path) -> None:
    base = BLOCK.replace(
        "block = [100, 60, 10]", 'round = { diameter = 30, length = 80, axis = "x" }'
    ).replace("hold =", 'turn = 90\nzero = { x = "centre", y = "centre" }\nhold =')
    job = one('kind = "hole"\nat = [0, 0]\ndiameter = 4\ndepth = 4\n', tmp_path, base=base)
    raw = job.setups[0].raw
    assert (raw.low, raw.high, raw.axis) == ((-15, -40, -30), (15, 40, 0), "y")
    assert job.setups[0].turn == pytest.approx(math.pi / 2)


@pytest.mark.parametrize(
    ("keys", "depth"),
    [
        pytest.param("depth = 3", (0, -3, -3), id="depth from z 0"),
        pytest.param("top = 'faced'\ndepth = 3", (-1, -4, -4), id="depth from the face"),
        pytest.param("top = 'top'\ndepth = 3", (-1, -4, -4), id="depth from the metal's top"),
        pytest.param("top = 'bottom + 5'\ndepth = 3", (-5, -8, -8), id="depth over the bottom"),
        pytest.param("floor = -6", (0, -6, -6), id="floor"),
        pytest.param("through = true", (0, -10, -10.5), id="through"),
    ],
)
def test_depths_after_a_face(keys: str, depth: tuple[float, ...], tmp_path: Path) -> None:
    body = (
        'kind = "face"\nleave = 9\n[[setup.feature]]\nkind = "pocket"\n'
        f"outline = {{ circle = 20, centre = [50, 30] }}\n{keys}\n"
    )
    found = one(body, tmp_path).setups[0].features[1].depth
    assert (found.top, found.floor, found.cut_to) == pytest.approx(depth)


def test_a_hole_without_depth_is_spotted_only(tmp_path: Path) -> None:
    (hole,) = one('kind = "hole"\nat = [9, 9]\ndiameter = 4\n', tmp_path).setups[0].features
    assert isinstance(hole, Hole)
    assert hole.spot
    assert not hole.drilled


@pytest.mark.parametrize(
    ("outline", "area", "box"),
    [
        pytest.param(
            "{ rectangle = [20, 10], corner = [30, 20] }", 200, (30, 20, 50, 30), id="corner"
        ),
        pytest.param(
            "{ rectangle = [20, 10], centre = [30, 20], round = 2 }",
            200 - 4 * (4 - math.pi),
            (20, 15, 40, 25),
            id="rounded",
        ),
        pytest.param(
            "{ rectangle = [20, 10], corner = [40, 20], angle = 90 }",
            200,
            (30, 20, 40, 40),
            id="turned about its corner",
        ),
        pytest.param(
            "{ rectangle = [20, 10], centre = [40, 30], angle = 90 }",
            200,
            (35, 20, 45, 40),
            id="turned about its centre",
        ),
        pytest.param(
            "{ circle = 10, centre = [30, 30] }", 25 * math.pi, (25, 25, 35, 35), id="circle"
        ),
        pytest.param(
            "{ obround = [30, 10], centre = [50, 30] }",
            200 + 25 * math.pi,
            (35, 25, 65, 35),
            id="obround",
        ),
        pytest.param(
            "{ polygon = 6, across_flats = 20, centre = [50, 30] }",
            # area of a hexagon: sqrt(3)/2 times across flats squared
            math.sqrt(3) / 2 * 400,
            (50 - 20 / math.sqrt(3), 20, 50 + 20 / math.sqrt(3), 40),
            id="hexagon, one flat at the bottom",
        ),
        pytest.param(
            "{ polygon = 4, across_corners = 20, centre = [50, 30] }",
            200,
            (50 - 10 * HALF, 30 - 10 * HALF, 50 + 10 * HALF, 30 + 10 * HALF),
            id="square by its corners",
        ),
        pytest.param(
            "{ circle = 10, centre = [10, 20], mirror = 'x', angle = 90, move = [10, 20] }",
            25 * math.pi,
            # (10, 20) to (10, -20) to (20, 10) to (30, 30)
            (25, 25, 35, 35),
            id="mirrored, turned, moved",
        ),
        pytest.param(
            "{ circle = 10, centre = [30, 30], grow = 2 }",
            49 * math.pi,
            (23, 23, 37, 37),
            id="grown",
        ),
        pytest.param(
            "{ minus = [{ circle = 20, centre = [30, 30] }, { circle = 10, centre = [30, 30] }] }",
            75 * math.pi,
            (20, 20, 40, 40),
            id="less another",
        ),
        pytest.param(
            "{ union = [{ rectangle = [10, 10], corner = [10, 10] }, "
            "{ rectangle = [10, 10], corner = [15, 10] }] }",
            150,
            (10, 10, 25, 20),
            id="together",
        ),
        pytest.param(
            "{ common = [{ rectangle = [10, 10], corner = [10, 10] }, "
            "{ rectangle = [10, 10], corner = [15, 10] }] }",
            50,
            (15, 10, 20, 20),
            id="in common",
        ),
        pytest.param(
            "{ path = [[10, 10], [30, 10], { to = [10, 10], centre = [20, 10], turn = 'ccw' }] }",
            50 * math.pi,
            (10, 10, 30, 20),
            id="half a disc",
        ),
        pytest.param(
            "{ path = [[10, 10], [30, 10], { to = [10, 10], via = [20, 20] }] }",
            50 * math.pi,
            (10, 10, 30, 20),
            id="half a disc through three points",
        ),
        pytest.param(
            "{ path = [{ to = [10, 10], bevel = 2 }, [30, 10], [30, 20], [10, 20], [10, 10]] }",
            198,
            (10, 10, 30, 20),
            id="a corner at the start, the last point repeated",
        ),
    ],
)
def test_outlines(
    outline: str, area: float, box: tuple[float, float, float, float], tmp_path: Path
) -> None:
    (pocket,) = (
        one(f'kind = "pocket"\noutline = {outline}\ndepth = 2\n', tmp_path).setups[0].features
    )
    assert isinstance(pocket, Pocket)
    # recovered arcs are within 0.5 micrometre, so areas within that along the rim
    assert pocket.outline.area == pytest.approx(area, abs=0.05)
    points = [p for r in pocket.outline.rings for p in r.flattened(1e-3).tolist()]
    xs, ys = zip(*points, strict=True)
    assert (min(xs), min(ys), max(xs), max(ys)) == pytest.approx(box, abs=2e-3)
