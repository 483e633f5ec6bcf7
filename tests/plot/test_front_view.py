"""The front view: where heights lie on the paper, how the views share it, and its bounds."""

from __future__ import annotations

import math
import re
import tracemalloc
import xml.etree.ElementTree as ET
from itertools import pairwise
from typing import Any

import pytest
import shapely

from gcodekit.errors import GcodekitError, Place
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Cutting, Depth
from gcodekit.job.features.tabs import Tabs
from gcodekit.job.holdings import Clamp, Hold, Vise
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.plot import paper
from gcodekit.plot.depth_labels import spread
from gcodekit.plot.front import front_bodies, front_metal, held_by
from gcodekit.plot.front_strokes import MOST_SLOPES, strokes_seen
from gcodekit.plot.paper import FINE, FRAME, VIEW
from gcodekit.plot.plan_view import plan_view
from gcodekit.plot.scale import STANDARD_SCALES, Scale
from gcodekit.plot.tab_marks import TouchOff, tab_shapes, touched
from gcodekit.plot.traces import RAPID, traces_of
from gcodekit.plot.views import Contents, Views, contents, laid_out
from gcodekit.rs274 import Problem, read_program
from gcodekit.target.target import build_target
from gcodekit.trade.cutter import Cutter

SVG = "{http://www.w3.org/2000/svg}"
START = "G21 G90 G17\nT1 M6\nS2000 M3\nG0 Z5\nG0 X10 Y10\n"
PROGRAM = START + "G1 Z-1 F100\nX30 F200\nZ-3\nX10\nG2 X10 Y10 Z-6 I5 J0\nG0 Z5\nX40\nM2\n"
RACK = {
    1: Cutter(
        number=1, name="6 mm slot drill", kind="end mill", diameter=6, flute_length=20,
        stickout=40, shank=6,
    )
}  # fmt: skip


def base(name: str, floor: float = -8) -> Any:
    depth = Depth(top=0, floor=floor, through=floor <= -8, cut_to=floor)
    return {"name": name, "place": Place("part.toml", 9), "depth": depth, "cutting": Cutting()}


def make_setup(**more: Any) -> Setup:
    values: dict[str, Any] = {
        "name": "Top",
        "place": Place("part.toml", 5),
        "raw": RawStock(shape="block", low=(0, 0, -8), high=(50, 40, 0)),
        "zero_text": "x left, y front, z top",
        "clearance": 5.0,
        "breakthrough": 0.5,
        "work_offset": 1,
        "hold": Hold(),
        "features": (),
    }
    return Setup(**values | more)


def picture(program: str = PROGRAM, **more: Any) -> str:
    values: dict[str, Any] = {"title": "Plate", "units": "mm", "cutters": RACK}
    setup = more.pop("setup", None) or make_setup()
    moves = read_program(program, "plate.nc").moves
    return plan_view(moves, setup=setup, **values | more).text()


def texts(svg: str) -> list[str]:
    return ["".join(t.itertext()) for t in ET.fromstring(svg).iter(f"{SVG}text")]


def seen(program: str, scale: Scale) -> dict[tuple[int, int], list[str]]:
    moves = read_program(program).moves
    return strokes_seen(moves, traces_of(moves, scale).bands, scale)[0]


UNIT = Scale(1.0, 0.0, 0.0, VIEW)


def strokes(data: list[str]) -> set[tuple[float, ...]]:
    """x0, z0, x1, z1 of the strokes of path data drawn at a millimetre for a millimetre."""
    found = set()
    for x, y, kind, rest in re.findall(r"M([-\d.]+) ([-\d.]+)([HVL])([^M]*)", "".join(data)):
        end = {"H": [rest, y], "V": [x, rest], "L": rest.split()}[kind]
        a, b = (float(x), -float(y)), (float(end[0]), -float(end[1]))
        found.add((*min(a, b), *max(a, b)))
    return found


def test_cuts_lie_at_their_heights() -> None:
    found = [s for group, d in seen(PROGRAM, UNIT).items() if group != RAPID for s in strokes(d)]
    assert (10, -1, 30, -1) in found
    assert (10, -3, 30, -3) in found
    assert (30, -3, 30, -1) in found
    # a helix about x 15 comes out at x 20 half-way down
    assert any(math.dist(s[2:], (20, -4.5)) < 0.02 for s in found)
    assert min(min(s[1], s[3]) for s in found) == -6


def test_rapids_lie_apart() -> None:
    assert strokes(seen(PROGRAM, UNIT)[RAPID]) == {(10, -6, 10, 5), (10, 5, 40, 5)}


def test_level_strokes_over_one_another_are_one() -> None:
    rows = "".join(f"Y{n}\nX{30 if n % 2 else 10}\n" for n in range(10, 40))
    found = seen(START + "G1 Z-2 F100\n" + rows + "M2\n", UNIT)
    level = [s for g, d in found.items() if g != RAPID for s in strokes(d) if s[1] == s[3]]
    assert level == [(10, -2, 30, -2)]


def test_a_level_arc_is_as_wide_as_it_is() -> None:
    found = seen(START + "G1 Z-2 F100\nG2 X10 Y10 I7 J0 F200\nM2\n", UNIT)
    assert (10, -2, 24, -2) in {s for g, d in found.items() if g != RAPID for s in strokes(d)}


SIZES = {
    "flat plate": (150.0, 100.0, 8.0),
    "tall block": (30.0, 30.0, 80.0),
    "bar along x": (300.0, 20.0, 20.0),
    "bar along y": (20.0, 270.0, 20.0),
    "sheet": (400.0, 300.0, 1.5),
    "cube": (50.0, 50.0, 50.0),
    "speck": (1.0, 1.0, 1.0),
}


def views_of(name: str) -> Views:
    x, y, z = SIZES[name]
    low, high = (-x / 2, 0.0, -z), (x / 2, y, 5.0)
    return laid_out(Contents(low, high, low, high, thick=z))


@pytest.mark.parametrize("name", SIZES)
def test_views_have_room_and_keep_apart(name: str) -> None:
    x, y, z = SIZES[name]
    views = views_of(name)
    plan, front = views.plan.box, views.front.box
    assert plan.bottom + 10 <= front.top or plan.right + 10 <= front.left
    u0, u1 = ((-x / 2, x / 2), (0.0, y))[views.axis]
    corners = [
        (views.plan, (-x / 2, 0.0)), (views.plan, (x / 2, y)),
        (views.front, (u0, -z)), (views.front, (u1, 5.0)),
    ]  # fmt: skip
    for scale, corner in corners:
        px, py = scale.point(*corner)
        assert scale.box.left - 0.01 <= px <= scale.box.right + 0.01
        assert scale.box.top - 0.01 <= py <= scale.box.bottom + 0.01
    for box in (plan, front):
        assert VIEW.left - 0.01 <= box.left < box.right <= VIEW.right + 0.01
        assert VIEW.top - 0.01 <= box.top < box.bottom <= VIEW.bottom + 0.01


@pytest.mark.parametrize(
    ("name", "under", "plan", "note"),
    [
        pytest.param("flat plate", True, 1.0, "", id="plate"),
        pytest.param("tall block", True, 1.0, "", id="tall"),
        pytest.param("bar along x", True, 0.5, "", id="bar"),
        pytest.param("bar along y", False, 0.5, "", id="bar-away"),
        pytest.param("sheet", True, 0.2, "Z scale 2:1", id="sheet"),
        pytest.param("cube", True, 1.0, "", id="cube"),
        pytest.param("speck", True, 10.0, "", id="speck"),
    ],
)
def test_scales_are_those_of_iso_5455(name: str, under: bool, plan: float, note: str) -> None:
    """ISO 5455: 1:1, and 2, 5 or 10 to 1, or 1 to those, times powers of ten."""
    views = views_of(name)
    assert (views.plan.box.bottom < views.front.box.top) is under
    assert views.plan.factor == views.front.factor == plan
    heights = views.front.factor * views.front.stretch
    for factor in (plan, heights):
        assert min(abs(factor / s - 1) for s in STANDARD_SCALES) < 1e-9
    assert views.note == note
    # what is above or beside one another on the paper is the same place of the work
    if under:
        assert views.plan.point(3, 0)[0] == pytest.approx(views.front.point(3, 0)[0])
    else:
        assert views.plan.point(0, 3)[1] == pytest.approx(views.front.point(3, 0)[1])
        # third angle: seen from the right, the top lies towards the plan
        assert views.front.point(0, 5)[0] < views.front.point(0, 0)[0]


def test_says_what_it_shows() -> None:
    found = texts(picture())
    assert {"PLAN", "FRONT", "X", "Y", "Z", "clearance", "−1", "−3", "−6"} <= set(found)
    assert "clearance" not in texts(picture(setup=make_setup(clearance=0.0)))
    assert "clearance" not in texts(picture(metal=False))


@pytest.mark.parametrize("name", ["flat plate", "tall block", "bar along x", "bar along y"])
def test_lettering_is_on_the_sheet_and_apart(name: str) -> None:
    x, y, z = SIZES[name]
    raw = RawStock(shape="block", low=(0, 0, -z), high=(x, y, 0))
    wrong = [
        Problem("error", n, 0, (x / 2 + n / 5, y / 2, -1.0), f"fault {n}") for n in range(11, 16)
    ]
    svg = picture(setup=make_setup(raw=raw), problems=wrong)
    places = []
    for text in ET.fromstring(svg).iter(f"{SVG}text"):
        px, py = (float(text.get(k, "0")) for k in "xy")
        assert FRAME.left < px < FRAME.right
        assert FRAME.top < py < FRAME.bottom - 1
        if text.get("stroke") and (text.text or "").startswith("line"):
            places.append((px, py))
    assert len(places) == 10
    for i, (x0, y0) in enumerate(places):
        for x1, y1 in places[:i]:
            assert abs(x0 - x1) > 10 or abs(y0 - y1) >= FINE - 0.01


def test_jaws_board_and_clamps_are_boxes_at_their_heights() -> None:
    held = make_setup(hold=Hold(vise=Vise(grip=3, jaw_width=60, jaw_depth=20, centre=(25, 20))))
    seen = contents((), held, 0.0, metal=True)
    assert seen.span(2, 1.0)[0] < -8
    wide = Scale(1.0, 100.0, 100.0, VIEW)
    tops = {round(100 - b.top, 6) for b in front_bodies(held, wide)}
    assert tops == {-5.0, -8.0}  # both jaws; the bed the work stands on
    assert held_by(held) == "vise jaws"
    board = make_setup(hold=Hold(board=10, clamps=(Clamp(at=(5, 5), size=(8, 8), height=6),)))
    assert {round(100 - b.top, 6) for b in front_bodies(board, wide)} == {-18, 6, -8}
    assert held_by(board) == "spoil board, clamps"


def test_a_lying_bar_is_round_from_the_front() -> None:
    raw = RawStock(shape="round", low=(-10, 0, -20), high=(10, 60, 0), axis="y")
    data = front_metal(make_setup(raw=raw), UNIT, 0)
    found = [tuple(map(float, p.split())) for p in data.strip("MZ").split("L")]
    middle = [sum(c) / len(found) for c in zip(*found, strict=True)]
    assert all(math.dist(p, middle) == pytest.approx(10, abs=0.01) for p in found)
    # and a rectangle from the side
    assert front_metal(make_setup(raw=raw), UNIT, 1).count("L") == 3


def test_many_moves_make_a_bounded_picture_in_bounded_memory() -> None:
    rows = [
        f"X{(i * 7919) % 50000 / 1000:.3f} Y{(i * 104729) % 40000 / 1000:.3f} "
        f"Z{-(i * 15485863) % 8000 / 1000:.3f}"
        for i in range(MOST_SLOPES + 10_000)
    ]
    moves = read_program(START + "G1 Z-1 F99\n" + "\n".join(rows) + "\nM2\n").moves
    bands = traces_of(moves, UNIT).bands
    tracemalloc.start()
    try:
        found, left_out = strokes_seen(moves, bands, UNIT)
        assert tracemalloc.get_traced_memory()[1] < 60e6
    finally:
        tracemalloc.stop()
    assert sum(len(s) for data in found.values() for s in data) < 100 * MOST_SLOPES
    assert left_out > 5_000


def test_an_endless_helix_is_bounded() -> None:
    text = START + "G1 Z0 F99\nG2 X10 Y10 Z-5 I5 J0 P100000\nM2\n"
    assert sum(len(s) for data in seen(text, UNIT).values() for s in data) < 60_000


def test_touch_off_places_are_marked() -> None:
    said = [
        "cutter 1: 6 mm slot drill, touch the raw top at X20.0 Y-3.5 and set Z to 0.000",
        "cutter 7: 2 mm drill, touch the raw top at X20.0 Y-3.5 and set Z to 0.000",
        "cutter 8: drill, touch it off at z 0 of this set-up",
        "touch me at X1 Y1",
    ]
    assert touched(said, "mm") == {TouchOff((20.0, -3.5), 0.0): [1, 7]}
    (touch,) = touched(said[:1], "inch")
    assert touch.place == pytest.approx((508.0, -88.9))
    found = texts(picture(messages=[said[0].replace("-3.5", "3.5").replace("0.000", "-1.250")]))
    assert {"T1: Z −1.25", "touch off"} <= set(found)
    assert "touch off" not in texts(picture())


def test_tabs_bridge_the_kerf() -> None:
    ring = Chain.of_points([(8, 8), (42, 8), (42, 32), (8, 32)], closed=True)
    rim = Profile(
        outline=Region.of(ring), side="outside", tabs=Tabs(count=4, width=5, height=2),
        **base("rim"),
    )  # fmt: skip
    setup = make_setup(features=(rim,))
    job: Any = type("OneSetup", (), {"setups": (setup,)})()
    cutters = (RACK[1],)
    target = build_target(job, setup, {"rim": cutters})
    found = [p for shape in tab_shapes(setup, target, UNIT) for p in shapely.get_parts(shape)]
    assert len(found) == 4
    for shape in found:  # as wide as asked for, and across the whole kerf
        assert shape.area == pytest.approx(5 * 6, abs=0.2)
    assert "tab" in texts(picture(setup=setup, target=target))
    assert tab_shapes(setup, None, UNIT) == []


def test_depths_are_said_under_names() -> None:
    area = Region.of(Chain.of_points([(4, 4), (46, 4), (46, 36), (4, 36)], closed=True))
    tray = Pocket(outline=area, area=area, **base("tray", -3))
    assert {"tray", "3 deep"} <= set(texts(picture("M2\n", setup=make_setup(features=(tray,)))))


def test_dots_are_of_the_same_picture() -> None:
    data = paper.png(picture(), name="p.png")
    # PNG (ISO/IEC 15948), 5.2 the signature, 11.2.2 width and height
    assert data.startswith(b"\x89PNG\r\n\x1a\n")
    wide, high = (int.from_bytes(data[at : at + 4]) for at in (16, 20))
    assert (wide, high) == (paper.ACROSS, round(paper.ACROSS * 210 / 297))
    assert data != paper.png(picture("M2\n"), name="p.png")


def test_what_hinders_dots_is_said_in_a_line(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(GcodekitError, match=r"^p\.png: cannot be drawn: .*draw it as \.svg$"):
        paper.png("<svg", name="p.png")
    monkeypatch.setattr(paper, "_lettered", lambda: False)
    with pytest.raises(GcodekitError, match=r"^p\.png: cannot be lettered: no sans-serif face"):
        paper.png(picture(), name="p.png")
    monkeypatch.undo()
    monkeypatch.setitem(__import__("sys").modules, "resvg_py", None)
    with pytest.raises(GcodekitError, match=r"^p\.png: cannot be drawn here: "):
        paper.png(picture(), name="p.png")


def test_both_halves_of_a_circle_are_drawn_and_a_way_back_is_not() -> None:
    circle = "G1 Z-2 F100\nG2 X30 Y10 I10 J0 F200\nX10 Y10 I-10 J0\n"
    back = "G3 X30 Y10 I10 J0\nX10 Y10 I-10 J0\n"
    for text in (circle, circle + back):
        moves = read_program(START + text + "M2\n").moves
        (data,) = (d for g, d in traces_of(moves, UNIT).strokes.items() if g != RAPID)
        assert "".join(data).count("A") == 2


def test_depths_are_spread_evenly_and_in_sequence() -> None:
    assert spread([5.0, 50.0], [3.0, 3.0]) == [5.0, 50.0]
    found = spread([10.0, 10.5, 11.0, 40.0], [3.5] * 4)
    assert found == pytest.approx([7.0, 10.5, 14.0, 40.0])
    found = spread([0.0, 1.0, 2.0, 3.0], [2.0, 6.0, 2.0, 4.0])
    for (a, wide), (b, other) in pairwise(zip(found, [2.0, 6.0, 2.0, 4.0], strict=True)):
        assert b - a >= (wide + other) / 2 - 1e-9
    assert spread([], []) == []
