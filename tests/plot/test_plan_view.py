"""The plan view's text: well formed, safe, true arcs, bounded; one small picture kept whole."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from random_sheets import letterings

from gcodekit.errors import Place
from gcodekit.geometry.chain import Chain
from gcodekit.geometry.region import Region
from gcodekit.job.feature import Cutting, Depth
from gcodekit.job.holdings import Clamp, Hold
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.kinds.hole import Hole
from gcodekit.job.kinds.profile import Profile
from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.plot.depth_colours import MOST_INKS, band_at, bands_of
from gcodekit.plot.letters import fitted, plain, text_width, wrapped
from gcodekit.plot.line_types import RAPID, WIDE
from gcodekit.plot.paper import FINE, FRAME, LEGEND, SWEPT, WARNING, PaperBox
from gcodekit.plot.plan_view import plan_view
from gcodekit.plot.scale import Scale, round_length, said
from gcodekit.plot.traces import MOST_DRAWN
from gcodekit.rs274 import Problem, read_program
from gcodekit.trade.cutter import Cutter

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "<script>alert(1)</script> & \"quoted\" 'name' ]]> \x00\x1b\ud800 %s {0}"
PROGRAM = """G21 G90 G17
T1 M6
S2000 M3
G0 Z5
G0 X10 Y10
G1 Z-1 F100
G1 X30 F200
G3 X40 Y20 I0 J10
G1 Y30
G0 Z5
G0 X25 Y20
G1 Z-2 F100
G2 X25 Y20 I-5 J0 F200
G0 Z5
T2 M6
G0 X45 Y8
G1 Z-5 F50
G0 Z5
M2
"""
START = "G21\nT1 M6\nG0 Z5\nG0 X10 Y10\nG1 Z-1 F99\n"


def cutter(number: int, name: str, diameter: float, kind: Any = "end mill") -> Cutter:
    return Cutter(
        number=number, name=name, kind=kind, diameter=diameter, flute_length=20, stickout=40,
        shank=diameter, tip_angle=math.radians(118),
    )  # fmt: skip


RACK = {1: cutter(1, "6 mm slot drill", 6), 2: cutter(2, "4 mm drill", 4, "drill")}


def base(name: str) -> Any:
    depth = Depth(top=0, floor=-8, through=True, cut_to=-8.5)
    return {"name": name, "place": Place("part.toml", 9), "depth": depth, "cutting": Cutting()}


def make_setup(**more: Any) -> Setup:
    ring = Chain.of_points([(8, 6), (44, 6), (44, 34), (8, 34)], closed=True)
    values: dict[str, Any] = {
        "name": "Top",
        "place": Place("part.toml", 5),
        "raw": RawStock(shape="block", low=(0, 0, -8), high=(50, 40, 0)),
        "zero_text": "x left, y front, z top",
        "clearance": 5.0,
        "breakthrough": 0.5,
        "work_offset": 1,
        "hold": Hold(),
        "features": (
            Profile(outline=Region.of(ring), side="outside", **base("rim")),
            Bore(places=((20, 20),), diameter=16, **base("bore")),
            Hole(places=((45, 8),), diameter=4, **base("hole")),
        ),
    }
    return Setup(**values | more)


def picture(program: str = PROGRAM, **more: Any) -> str:
    values: dict[str, Any] = {"title": "Plate", "units": "mm", "cutters": RACK}
    setup = more.pop("setup", None) or make_setup()
    moves = read_program(program, "plate.nc").moves
    return plan_view(moves, setup=setup, **values | more).text()


def texts(svg: str) -> list[str]:
    return ["".join(t.itertext()) for t in ET.fromstring(svg).iter(f"{SVG}text")]


def paths(svg: str) -> list[str]:
    return [p.get("d", "") for p in ET.fromstring(svg).iter(f"{SVG}path")]


def points(data: str) -> list[tuple[float, float]]:
    """The places of path data: the last two figures of each step."""
    steps = re.findall(r"[MLA][^MLAZ]*", data)
    return [(float(s.split()[-2].lstrip("ML")), float(s.split()[-1])) for s in steps]


def metal_corner(svg: str) -> tuple[float, float, float]:
    """Left and lower edge of the metal on the paper, and mm of paper for a mm of work."""
    # the first path: what the stock's sweeps are clipped to
    metal = points(next(d for d in paths(svg) if d.endswith("Z")))
    left, right = min(p[0] for p in metal), max(p[0] for p in metal)
    return left, max(p[1] for p in metal), (right - left) / 50


def test_golden(golden: Callable[[str, str], None]) -> None:
    wrong = Problem("error", 8, 0, (40.0, 20.0, -1.0), "gouge in rim: cut 0.310 mm into the part")
    golden("plot/plate.svg", picture(problems=[wrong]))


def test_says_what_it_must() -> None:
    found = texts(picture())
    for wanted in (
        "Plate", "Top", "50 × 40 × 8 mm", "x left, y front, z top", "rapid move", "end mill",
        "drill", "−1 to −5", "5 mm", "X", "Y", "program zero", "SCALE 2:1", "Ø16 through", "50",
        "40", "8", "X 50", "Y 40", "Z −8", "DRY RUN", "nothing wrong found",
    ):  # fmt: skip
        assert wanted in found, wanted


def test_inches() -> None:
    found = texts(picture(units="inch"))
    for wanted in (
        "1.9685 × 1.5748 × 0.315 in", "−0.039 to −0.197", "Ø0.6299 through", "0.2362", "X 1.9685",
        "CUTTERS, IN RUNNING ORDER (feed in/min)", "3.9–7.9",
    ):  # fmt: skip
        assert wanted in found, wanted


def test_arcs_are_arcs() -> None:
    """Anticlockwise in the program is anticlockwise on paper: sweep flag 0, y being turned over."""
    svg = picture()
    cuts = [p.get("d", "") for p in ET.fromstring(svg).iter(f"{SVG}path") if p.get("stroke")]
    arcs = re.findall(r"A([\d.]+) [\d.]+ 0 (\d) (\d) ", "".join(cuts))
    scale = metal_corner(svg)[2]
    quarter = [a for a in arcs if abs(float(a[0]) - 10 * scale) < 0.02]
    assert {q[1:] for q in quarter} == {("0", "0")}
    # a whole turn, clockwise, is two halves; it is drawn twice, once as wide as the cutter
    assert [a[1:] for a in arcs if abs(float(a[0]) - 5 * scale) < 0.02] == [("0", "1")] * 4


@pytest.mark.parametrize("place", [(10, 10), (30, 10), (40, 20), (40, 30), (15, 20)])
def test_cuts_lie_where_the_program_says(place: tuple[float, float]) -> None:
    svg = picture()
    left, bottom, scale = metal_corner(svg)
    x, y = left + place[0] * scale, bottom - place[1] * scale
    cuts = [p.get("d", "") for p in ET.fromstring(svg).iter(f"{SVG}path") if p.get("stroke")]
    found = [p for d in cuts if not re.search("[a-zHV]", d) for p in points(d)]
    assert min(math.dist(p, (x, y)) for p in found) < 0.03


def test_rapids_are_dashed_and_cuts_are_not() -> None:
    dashed = [
        p for p in ET.fromstring(picture()).iter(f"{SVG}path") if p.get("stroke-dasharray") == RAPID
    ]
    assert len(dashed) == 2  # on the plan and from the front
    assert all("A" not in d.get("d", "") for d in dashed)


HOSTILE_PLACES: dict[str, Callable[[], dict[str, Any]]] = {
    "title": lambda: {"title": HOSTILE},
    "set-up": lambda: {"setup": make_setup(name=HOSTILE)},
    "zero": lambda: {"setup": make_setup(zero_text=HOSTILE)},
    "cutter": lambda: {"cutters": {1: cutter(1, HOSTILE, 6)}},
    "problem": lambda: {"problems": [Problem("error", 3, 0, (1, 1, 0), HOSTILE)]},
}


@pytest.mark.parametrize("where", HOSTILE_PLACES)
def test_hostile_text_is_only_text(where: str) -> None:
    svg = picture(**HOSTILE_PLACES[where]())
    root = ET.fromstring(svg.encode("utf-8"))
    assert not list(root.iter(f"{SVG}script"))
    # of a cutter its kind and sizes are shown, which are no free text
    assert any("<script>" in (t.text or "") for t in root.iter()) is (where != "cutter")
    assert not re.search("[\x00-\x08\x0b-\x1f]", svg)


def test_nothing_is_run_or_fetched() -> None:
    svg = picture(title=HOSTILE, problems=[Problem("error", 1, 0, None, HOSTILE)])
    known = {"svg", "title", "rect", "defs", "clipPath", "g", "path", "line", "circle", "text"}
    for element in ET.fromstring(svg).iter():
        assert element.tag.removeprefix(SVG) in known
        for name, value in element.attrib.items():
            assert not name.startswith("on")
            assert "href" not in name
            assert "url(" not in value or re.fullmatch(r"url\(#\w+\)", value)


def test_lettering_is_large_enough_and_on_the_sheet() -> None:
    many = [
        Problem("error", n, 0, (n / 2, 20, -1), "metal left: " + "word " * 30) for n in range(60)
    ]
    rack = {n: cutter(n, "long name " * 20, 3) for n in range(1, 30)}
    program = PROGRAM.replace("M2\n", "") + "".join(
        f"T{n} M6\nG0 Z5\nG0 X{n} Y5\nG1 Z{-n / 10} F100\nG1 Y9\nG0 Z5\n" for n in range(3, 25)
    )
    svg = picture(program, problems=many, cutters=rack, title="Very long title " * 20)
    for text in ET.fromstring(svg).iter(f"{SVG}text"):
        size = float(text.get("font-size", "0"))
        x, y = float(text.get("x", "0")), float(text.get("y", "0"))
        assert size >= FINE
        assert FRAME.left < x < FRAME.right
        assert FRAME.top < y < FRAME.bottom - 1
        if text.get("text-anchor") is None and x > LEGEND.left:
            assert x + len(text.text or "") * size * 0.5 <= FRAME.right


def test_problems_are_marked_with_their_line() -> None:
    wrong = [
        Problem("error", 8, 0, (40.0, 20.0, -1.0), "gouge"),
        Problem("warning", 0, 0, (10.0, 10.0, -1.0), "thin"),
        Problem("error", 19, 0, None, "no end"),
    ]
    found = texts(picture(problems=wrong))
    assert found.count("line 8") == 2  # beside its ring in both views
    assert found.count("error, line 8:") == found.count("error, line 19:") == 1
    assert {"gouge", "thin", "no end"} <= set(found)


def test_problems_without_a_line_have_a_number_of_their_own() -> None:
    wrong = [Problem("error", 0, 0, (n, 10.0, -1.0), "left") for n in (10, 30)]
    wrong.append(Problem("warning", 0, 0, None, "thin"))
    found = texts(picture(problems=wrong))
    assert [found.count(t) for t in ("error 1", "error 2", "warning 3")] == [2, 2, 0]
    assert {"error 1:", "error 2:", "warning 3:"} <= set(found)


def test_labels_of_neighbouring_problems_keep_off_one_another() -> None:
    wrong = [Problem("error", 100 + n, 0, (25 + n / 10, 20, 0), "x") for n in range(4)]
    found = [
        t for t in ET.fromstring(picture(problems=wrong)).iter(f"{SVG}text") if t.get("stroke")
    ]
    places = [
        (float(t.get("x", "")), float(t.get("y", "")))
        for t in found
        if (t.text or "").startswith("line 10")
    ]
    assert len(places) == 8  # four in each view
    for i, (x0, y0) in enumerate(places):
        for x1, y1 in places[:i]:
            assert abs(x0 - x1) > 10 or abs(y0 - y1) >= FINE


def test_clamps_are_drawn() -> None:
    held = make_setup(hold=Hold(clamps=(Clamp(at=(5, 5), size=(10, 20), height=8),)))
    assert "table, clamps" in texts(picture(setup=held))
    assert "table, clamps" not in texts(picture())


@pytest.mark.parametrize(
    "raw",
    [
        pytest.param(RawStock(shape="round", low=(-20, -20, -5), high=(20, 20, 0)), id="disc"),
        pytest.param(
            RawStock(shape="round", low=(0, -10, -20), high=(50, 10, 0), axis="x"), id="lying-bar"
        ),
    ],
)
def test_other_metal(raw: RawStock) -> None:
    said_size = {-20: "Ø40 × 5 mm", 0: "Ø20 × 50 mm"}[int(raw.low[0])]
    how = {-20: "bar, axis Z, top up", 0: "bar, axis X, top up"}[int(raw.low[0])]
    assert {said_size, how} <= set(texts(picture(setup=make_setup(raw=raw))))


def test_a_stack_is_said_as_its_plates() -> None:
    raw = RawStock(shape="block", low=(0, 0, -6), high=(50, 40, 0), plates=2)
    found = texts(picture(setup=make_setup(raw=raw)))
    assert {"50 × 40 mm", "2 × 3 mm stacked, top up"} <= set(found)


def test_no_moves_at_all() -> None:
    assert "no cuts" in texts(picture("M2\n"))


def test_passes_over_one_another_are_drawn_once() -> None:
    lap = "G1 X40 F200\nG1 Y30\nG1 X10\nG1 Y10\n"
    once, often = (picture(START + lap * n + "M2\n") for n in (1, 50))
    assert len(often) == len(once)


def test_a_large_program_makes_a_bounded_picture() -> None:
    """More strokes than are drawn: the rest is left out, and the sheet says so."""
    rows = [
        f"G1 X{(i * 7919) % 50000 / 1000:.3f} Y{(i * 104729) % 40000 / 1000:.3f}"
        for i in range(MOST_DRAWN + 5000)
    ]
    svg = picture(START + "\n".join(rows) + "\nM2\n")
    assert len(svg) < 4_000_000
    assert any(re.fullmatch(r"\d+ moves not drawn", t) for t in texts(svg))


def test_steps_too_small_to_see_are_joined() -> None:
    turns = [a / 2000 * math.tau for a in range(20001)]
    circle = [f"G1 X{25 + 10 * math.cos(a):.4f} Y{20 + 10 * math.sin(a):.4f}" for a in turns]
    svg = picture(START + "\n".join(circle) + "\nM2\n")
    assert len(svg) < 200_000


@pytest.mark.parametrize("count", [1, 2, 5, 7, 8, 100])
def test_the_ramp_darkens_with_depth(count: int) -> None:
    depths = [-0.37 * i for i in range(count)]
    bands = bands_of(depths)
    assert len(bands) == min(count, MOST_INKS)
    grey = [lightness(b.ink) for b in bands]
    assert all(a > b + 4 for a, b in pairwise(grey))
    for z in depths:
        band = bands[band_at(bands, z)]
        assert band.low - 0.0011 <= z <= band.high + 0.0011


def lightness(ink: str) -> float:
    """CIE L* of an sRGB colour (IEC 61966-2-1 and CIE 15)."""
    channels = [int(ink[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y


@pytest.mark.parametrize(
    ("about", "units", "length"),
    [(24, "mm", 20), (10, "mm", 10), (9.99, "mm", 5), (0.3, "mm", 0.2), (30, "inch", 25.4)],
)
def test_round_lengths(about: float, units: Any, length: float) -> None:
    assert round_length(about, units) == pytest.approx(length)


@pytest.mark.parametrize(
    ("value", "units", "text"),
    [(-1.5, "mm", "−1.5"), (-0.0001, "mm", "0"), (25.4, "inch", "1"), (100.0, "mm", "100")],
)
def test_figures(value: float, units: Any, text: str) -> None:
    assert said(value, units) == text


def test_texts_that_fit() -> None:
    assert fitted("short", 40, FINE) == "short"
    assert fitted("x" * 100, 40, FINE).endswith("…")
    assert text_width(fitted("x" * 100, 40, FINE), FINE) <= 40
    assert wrapped("one two three four", 12, FINE, lines=2)[-1].endswith("…")
    assert plain("a\tb\n\x00c") == "a b \ufffdc"


def test_scale_keeps_proportions() -> None:
    scale = Scale.centred((0, 0, 100, 10), FRAME, 2.0)
    (x0, y0), (x1, y1) = scale.point(0, 0), scale.point(100, 10)
    assert (x1 - x0) / (y0 - y1) == pytest.approx(10)


def test_names_of_features_stand_apart() -> None:
    """Twelve holes half a millimetre apart are all named, on the drawing or in the key."""
    places = tuple((20 + i / 2, 20.0) for i in range(12))
    holes = tuple(Hole(places=(p,), diameter=4, **base(f"dowel {i}")) for i, p in enumerate(places))
    svg = picture(setup=make_setup(features=holes))
    shown = [t for t in letterings(svg) if t.text.startswith("dowel")]
    assert len({t.text.partition(":")[0] for t in shown}) == 12
    for i, one in enumerate(shown):
        assert not any(one.box.meets(other.box) for other in shown[:i])
    assert {"rim", "bore", "hole"} <= set(texts(picture()))


def test_a_problem_keeps_its_number_off_the_next_ring() -> None:
    near = [Problem("error", n, 0, (20.0 + 3 * i, 20.0, -1.0), "x") for i, n in enumerate((7, 9))]
    svg = picture(problems=near)
    rings = [
        (float(c.get("cx", 0)), float(c.get("cy", 0)))
        for c in ET.fromstring(svg).iter(f"{SVG}circle")
        if c.get("fill") == WARNING
    ]
    labels = [t for t in letterings(svg) if t.text in ("line 7", "line 9")]
    assert len(labels) == len(rings[:4]) == 4
    for label in labels:
        for x, y in rings:
            assert not label.box.meets(PaperBox(x, y, x, y).grown(2.0)) or label.frame == "key"


def test_without_metal_none_is_drawn() -> None:
    svg = picture(setup=make_setup(features=(), name=""), metal=False, file="plate.nc")
    found = texts(svg)
    assert {"not given", "dry run, no job given", "plate.nc"} <= set(found)
    assert not {"stock", "edge of the part"} & set(found)
    # what the cutter sweeps is not cut off at metal that is not there
    assert "url(#metal)" not in svg


def test_a_cone_sweeps_what_it_has_at_the_metals_top() -> None:
    """Of a point of 118 degrees 1 mm deep: twice tan 59 degrees. In the air, all it has."""
    rack, program = {1: cutter(1, "chamfer mill", 6, "chamfer mill")}, START + "X20\nM2\n"
    for metal, wide in ((True, 2 * math.tan(math.radians(59))), (False, 6.0)):
        svg = picture(program, cutters=rack, metal=metal)
        (swept,) = (p for p in ET.fromstring(svg).iter(f"{SVG}path") if p.get("stroke") == SWEPT)
        start, end = points(swept.get("d", ""))
        factor = (end[0] - start[0]) / 10
        assert float(swept.get("stroke-width", "0")) / factor == pytest.approx(wide, abs=0.02)


@pytest.mark.parametrize(
    ("kind", "goes_on", "crosses"),
    [("end mill", True, 1), ("engraving cutter", True, 0), ("engraving cutter", False, 1)],
)
def test_a_point_that_goes_on_along_a_line_leaves_no_cross(
    kind: str, goes_on: bool, crosses: int
) -> None:
    """A cross is a stroke across and one up, 1.8 mm each; one more explains it in the key."""
    rack, bare = {1: cutter(1, kind, 6, kind)}, make_setup(features=(), name="")
    svg = picture(START + ("X20\nM2\n" if goes_on else "M2\n"), cutters=rack, setup=bare)
    drawn = [path for path in paths(svg) if re.search(r"h1\.8M[-\d. ]+v1\.8", path)]
    assert len(drawn) == crosses


@pytest.mark.parametrize(("step", "drawn"), [(0.5, False), (10, True)])
def test_a_rapid_too_short_for_a_dash_is_left_out(step: float, drawn: bool) -> None:
    program = START + f"X20\nG0 Z5\nY{10 + step}\nG1 Z-1\nX10\nG0 Z5\nM2\n"
    svg = picture(program, setup=make_setup(features=(), name=""))
    dashed = [
        path
        for path in ET.fromstring(svg).iter(f"{SVG}path")
        if path.get("stroke-dasharray") == RAPID
    ]
    shown = picture(START + "X20\nG0 Z5\nM2\n", setup=make_setup(features=(), name=""))
    others = [
        path
        for path in ET.fromstring(shown).iter(f"{SVG}path")
        if path.get("stroke-dasharray") == RAPID
    ]
    assert (len(dashed) > len(others)) == drawn


WALLS = {
    "edge": (Edge(point=(45, 0), away=(1, 0), **base("side")), [(45, 0), (45, 40)]),
    "edge aslant": (
        Edge(point=(50, 30), away=(0.5**0.5, 0.5**0.5), **base("corner")),
        [(50, 30), (40, 40)],
    ),
    "arc": (
        Sector(centre=(20, 20), radius=10, start=0, end=math.pi / 2, side="outside", **base("end")),
        [(30, 20), (20, 30)],
    ),
    "boss": (
        Boss(
            kept=Region.of(Chain.of_points([(9, 9), (19, 9), (9, 19)], closed=True)),
            within=Region.of(Chain.of_points([(5, 5), (35, 5), (5, 35)], closed=True)),
            **base("boss"),
        ),
        [(9, 9), (19, 9), (9, 19), (9, 9), (5, 5), (35, 5), (5, 35), (5, 5)],
    ),
}


@pytest.mark.parametrize("kind", WALLS)
def test_walls_are_drawn_where_they_are(kind: str) -> None:
    feature, corners = WALLS[kind]
    svg = picture(setup=make_setup(features=(feature,)))
    left, low, size = metal_corner(svg)
    drawn = [
        p.get("d", "")
        for p in ET.fromstring(svg).iter(f"{SVG}path")
        if p.get("stroke-width") == f"{WIDE:g}"
    ]
    # the stock's outline lies under it, those of the front view and of the key are drawn later
    found = points(drawn[1 if kind != "boss" else 0])
    wanted = [(left + x * size, low - y * size) for x, y in corners]
    for some, others in ((found, wanted), (wanted, found)):
        assert all(min(math.dist(p, q) for q in others) < 0.1 for p in some)
