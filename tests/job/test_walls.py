"""Edges, bosses and arcs as they arrive in the model, and their copies."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from gcodekit.job.feature import Feature
from gcodekit.job.kinds.arc import Sector
from gcodekit.job.kinds.boss import Boss
from gcodekit.job.kinds.edge import Edge
from gcodekit.job.load import load_job

HEAD = """\
name = "Trunnion block"
units = "{units}"
material = "aluminium"
[stock]
block = [{stock}]
[[setup]]
zero = {{ x = "centre", y = "centre", z = "top" }}
[setup.hold]
board = {board}
"""
DEEP = 'depth = "5 mm"\n'


def features(text: str, folder: Path, *, inch: bool = False) -> tuple[Feature, ...]:
    head = HEAD.format(
        units="inch" if inch else "mm",
        stock="4, 2, 0.5" if inch else "101.6, 50.8, 12.7",
        board="0.5" if inch else "12.7",
    )
    path = folder / "job.toml"
    path.write_text(head + text, encoding="utf-8")
    return load_job(path).setups[0].features


def one(body: str, folder: Path) -> tuple[Feature, ...]:
    return features("[[setup.feature]]\n" + body, folder)


@pytest.mark.parametrize(
    ("side", "away"),
    [
        pytest.param("left", (-1, 0), id="left"),
        pytest.param("right", (1, 0), id="right"),
        pytest.param("front", (0, -1), id="front"),
        pytest.param("back", (0, 1), id="back"),
    ],
)
def test_an_edge_is_a_plane_and_goes_through(
    tmp_path: Path, side: str, away: tuple[float, float]
) -> None:
    (edge,) = one(f'kind = "edge"\nside = "{side}"\nat = "{sum(away)} * 20"', tmp_path)
    assert isinstance(edge, Edge)
    assert edge.away == away
    assert edge.point[0] * away[0] + edge.point[1] * away[1] == 20
    assert (edge.depth.through, edge.depth.floor, edge.depth.cut_to) == (True, -12.7, -13.2)


def test_an_edge_to_a_depth(tmp_path: Path) -> None:
    (edge,) = one('kind = "edge"\nside = "left"\nat = -40\ndepth = 3', tmp_path)
    assert (edge.depth.through, edge.depth.cut_to) == (False, -3)


BOTH = """\
[[setup.feature]]
kind = "edge"
side = "right"
at = {edge}
[[setup.feature]]
kind = "boss"
outlines = [{{ circle = {disc}, centre = [{x}, 0] }}, {{ circle = {disc}, centre = [-{x}, 0] }}]
within = {{ rectangle = [{width}, {tall}] }}
depth = {deep}
[[setup.feature]]
kind = "arc"
centre = [{x}, 0]
radius = {disc}
start = -90
end = "45 deg + 45"
side = "outside"
from_radius = {far}
ends = "open"
floor = -{deep}
"""


def test_inches_and_millimetres_say_the_same(tmp_path: Path) -> None:
    sizes = {"edge": 1.5, "disc": 0.5, "x": 0.75, "width": 3, "deep": 0.25, "far": 1}
    inch = features(BOTH.format(**sizes, tall=1), tmp_path, inch=True)
    mm = features(BOTH.format(**{k: v * 25.4 for k, v in sizes.items()}, tall=25.4), tmp_path)
    for a, b in zip(inch, mm, strict=True):
        assert (a.kind, a.name) == (b.kind, b.name)
        assert a.depth.cut_to == pytest.approx(b.depth.cut_to)
    edge, boss, arc = inch
    assert isinstance(edge, Edge)
    assert isinstance(boss, Boss)
    assert isinstance(arc, Sector)
    other = mm[1]
    assert isinstance(other, Boss)
    assert boss.kept.area == pytest.approx(other.kept.area)
    assert boss.kept.area == pytest.approx(2 * math.pi * 6.35**2)
    assert boss.within is not None
    assert boss.within.area == pytest.approx(76.2 * 25.4)
    assert edge.point == pytest.approx((38.1, 0))
    assert (arc.radius, arc.from_radius) == pytest.approx((12.7, 25.4))
    assert (arc.start, arc.end) == pytest.approx((-math.pi / 2, math.pi / 2))
    assert arc.open_ends


@pytest.mark.parametrize(
    ("start", "end", "sweep"),
    [
        pytest.param(0, 90, 90, id="as it stands"),
        pytest.param(270, 90, 180, id="end below start is a turn on"),
        pytest.param(30, 30, 360, id="end at start goes all the way round"),
        pytest.param(-45, 315, 360, id="a full turn in figures"),
        pytest.param(10, -340, 10, id="a negative end"),
    ],
)
def test_how_far_an_arc_sweeps(tmp_path: Path, start: float, end: float, sweep: float) -> None:
    (arc,) = one(
        f'kind = "arc"\ncentre = [0, 0]\nradius = 20\nstart = {start}\nend = {end}\n'
        f'side = "outside"\n{DEEP}',
        tmp_path,
    )
    assert isinstance(arc, Sector)
    assert math.degrees(arc.end - arc.start) == pytest.approx(sweep)
    assert arc.whole == (sweep == 360)


def ends(arc: Feature) -> tuple[float, ...]:
    """x and y of the points where an arc starts and ends."""
    assert isinstance(arc, Sector)
    return tuple(
        arc.centre[i] + arc.radius * f(a)
        for a in (arc.start, arc.end)
        for i, f in enumerate((math.cos, math.sin))
    )


@pytest.mark.parametrize(
    ("copy", "start", "end"),
    [
        # the arc goes from (20, 5) to (10, 15): mirrored it starts at the image of its end
        pytest.param('mirror = "x"', (10, -15), (20, -5), id="in the x axis"),
        pytest.param('mirror = "y"', (-10, 15), (-20, 5), id="in the y axis"),
        pytest.param("angle = 90", (-5, 20), (-15, 10), id="turned"),
        pytest.param("move = [-30, 1]", (-10, 6), (-20, 16), id="moved"),
        pytest.param('mirror = "y", angle = 180', (10, -15), (20, -5), id="both"),
    ],
)
def test_copies_of_an_arc(
    tmp_path: Path, copy: str, start: tuple[float, float], end: tuple[float, float]
) -> None:
    first, second = one(
        'kind = "arc"\ncentre = [10, 5]\nradius = 10\nstart = 0\nend = 90\nside = "outside"\n'
        f"{DEEP}copies = [{{ {copy} }}]",
        tmp_path,
    )
    assert ends(first) == pytest.approx((20, 5, 10, 15))
    assert ends(second) == pytest.approx((*start, *end))


def test_copies_of_an_edge_make_an_octagon(tmp_path: Path) -> None:
    edges = one(
        f'kind = "edge"\nside = "right"\nat = 20\n{DEEP}'
        "copies = { count = 8, angle = 45, about = [0, 0] }",
        tmp_path,
    )
    for n, edge in enumerate(edges):
        assert isinstance(edge, Edge)
        angle = math.radians(45 * n)
        assert edge.away == pytest.approx((math.cos(angle), math.sin(angle)))
        x, y = edge.point
        assert x * edge.away[0] + y * edge.away[1] == pytest.approx(20)


def test_a_mirrored_edge_is_on_the_other_side(tmp_path: Path) -> None:
    _, edge = one(
        f'kind = "edge"\nside = "front"\nat = -20\n{DEEP}copies = [{{ mirror = "x" }}]', tmp_path
    )
    assert isinstance(edge, Edge)
    assert edge.away == (0, 1)
    assert edge.point == pytest.approx((0, 20))


def test_copies_of_a_boss(tmp_path: Path) -> None:
    _, boss = one(
        'kind = "boss"\noutline = { circle = 10, centre = [10, 5] }\n'
        f"within = {{ circle = 20, centre = [10, 5] }}\n{DEEP}copies = [{{ move = [-20, 0] }}]",
        tmp_path,
    )
    assert isinstance(boss, Boss)
    assert boss.within is not None
    for region, radius in ((boss.kept, 5), (boss.within, 10)):
        assert region.rings[0].start == pytest.approx((-10 + radius, 5))
