"""The finished part on its sheet, and in its set-ups' stock: what is said, and where it lies."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from typing import Any

import numpy as np
import pytest
from manifold3d import Manifold
from numpy.typing import NDArray

from gcodekit.errors import Place
from gcodekit.job.holdings import Hold
from gcodekit.job.model import Setup
from gcodekit.job.raw_stock import RawStock
from gcodekit.plot.paper import FRAME, PaperBox, png
from gcodekit.plot.part_view.body_view import body_view, drawable
from gcodekit.plot.part_view.dimetric import Dimetric
from gcodekit.plot.part_view.part_sheet import PartFacts, iso_scale, part_sheet, ratio
from gcodekit.plot.part_view.setup_view import in_setup, setup_view, stock_mesh
from gcodekit.plot.part_view.surface_mesh import SurfaceMesh
from gcodekit.plot.part_view.tones import TONES
from gcodekit.plot.part_view.view_drawing import (
    PHANTOM_DASH,
    SHEET_LINES,
    SMALL_LINES,
    Drawing,
    Placed,
    free_corner,
)

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "<script>alert(1)</script> & \"quoted\" 'name' ]]> \x00\x1b\ud800 %s {0}"
# ISO 5455, table 1, with 100:1 and 1:20000 as far as anybody needs.
RECOMMENDED = {
    "50:1", "20:1", "10:1", "5:1", "2:1", "1:1", "1:2", "1:5", "1:10", "1:20", "1:50", "1:100",
    "1:200", "1:500", "1:1000", "1:2000", "1:5000", "1:10000",
}  # fmt: skip


def surface(body: Manifold) -> SurfaceMesh:
    mesh = body.to_mesh64()
    return drawable(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts))


def pocketed() -> SurfaceMesh:
    body = Manifold.cube((60, 40, 20)) - Manifold.cube((30, 20, 9)).translate((10, 10, 12))
    return surface(body - Manifold.cylinder(30, 5, 5, 90).translate((50, 20, -1)))


def facts(**more: Any) -> PartFacts:
    values: dict[str, Any] = {
        "name": "Worm cradle",
        "material": "aluminium",
        "mass": 81.2,
        "units": "mm",
        "size": (60.0, 40.0, 20.0),
        "file": "cradle.toml",
    }
    return PartFacts(**values | more)


def setup(**more: Any) -> Setup:
    values: dict[str, Any] = {
        "name": "Top",
        "place": Place("part.toml", 5),
        "raw": RawStock(shape="block", low=(-5.0, -5.0, -22.0), high=(65.0, 45.0, 0.0)),
        "zero_text": "",
        "clearance": 5.0,
        "breakthrough": 0.0,
        "work_offset": 1,
        "hold": Hold(),
        "features": (),
        "origin": (0.0, 0.0, 20.0),
    }
    return Setup(**values | more)


def texts(svg: str) -> list[str]:
    return ["".join(t.itertext()) for t in ET.fromstring(svg).iter(f"{SVG}text")]


def places(svg: str) -> NDArray[np.float64]:
    """The corners of all paths."""
    data = "".join(f" {d}" for d in re.findall(r' d="([^"]*)"', svg))
    return np.array(re.findall(r"(-?[\d.]+) (-?[\d.]+)", data), dtype=float)


def test_the_sheet_says_what_the_part_is() -> None:
    said = texts(part_sheet(pocketed(), facts()))
    named = {"Worm cradle", "Finished part, cradle.toml", "60 × 40 × 20 mm", "aluminium"}
    drawn = {"81.2 g", "2:1", "dimetric view (ISO 5456-3), Z at half scale", "X", "Y", "Z"}
    assert named | drawn <= set(said)
    inch = texts(part_sheet(pocketed(), facts(units="inch", mass=453.59237, pieces=2)))
    assert {"2.362 × 1.575 × 0.787 in", "1.000 lb", "overall, 2 pieces", "together"} <= set(inch)


def test_the_picture_lies_within_its_frame_and_is_to_its_scale() -> None:
    """Along the front edge of the top, 60 mm at 2:1."""
    svg = part_sheet(pocketed(), facts())
    at = places(svg)
    inside = (at >= (FRAME.left, FRAME.top)) & (at <= (FRAME.right, FRAME.bottom))
    assert np.all(inside)
    edge = np.array([120 / math.sqrt(2) * 3 / (2 * math.sqrt(2)), 0.0])
    edge[1] = edge[0] * math.tan(math.acos(edge[0] / 120))
    steps = at[:, None] - at[None]
    assert np.min(np.linalg.norm(steps - edge, axis=2)) < 0.03


def test_few_elements_each_of_a_known_tone_or_line() -> None:
    svg = part_sheet(pocketed(), facts())
    paths = list(ET.fromstring(svg).iter(f"{SVG}path"))
    assert len(paths) < 20
    fills = [p.get("fill") for p in paths if p.get("fill") in TONES]
    assert 3 <= len(fills) == len(set(fills))
    widths = {p.get("stroke-width") for p in paths}
    assert {str(SHEET_LINES.wide), str(SHEET_LINES.narrow)} <= widths
    assert SHEET_LINES.wide == 2 * SHEET_LINES.narrow  # ISO 128-2


def test_words_of_unknown_origin_are_only_words() -> None:
    svg = part_sheet(pocketed(), facts(name=HOSTILE, material=HOSTILE, file=HOSTILE))
    assert "<script" not in svg
    assert not list(ET.fromstring(svg).iter(f"{SVG}script"))
    assert png(svg, name="part.png").startswith(b"\x89PNG")


def test_the_same_part_is_the_same_sheet() -> None:
    assert part_sheet(pocketed(), facts()) == part_sheet(pocketed(), facts())


@pytest.mark.parametrize("size", [0.5, 3, 11, 40, 160, 161, 999, 20_000])
def test_scales_are_those_of_the_standard_and_the_largest_that_fits(size: float) -> None:
    box = PaperBox(10, 10, 170, 110)
    scale = iso_scale((0.0, 0.0, size, size / 2), box)
    assert ratio(scale) in RECOMMENDED | {"100:1", "200:1"}
    assert scale * size <= 160.0001
    assert scale * 2.5 * size > 159.9  # the next is 2 or 2.5 times as large


@pytest.mark.parametrize(
    ("raw", "count"),
    [
        (RawStock(shape="block", low=(-1.0, -2.0, -3.0), high=(9.0, 8.0, 7.0)), 9),
        (RawStock(shape="round", low=(-5.0, -5.0, 0.0), high=(5.0, 5.0, 20.0), axis="z"), None),
        (RawStock(shape="round", low=(0.0, -5.0, -5.0), high=(20.0, 5.0, 5.0), axis="x"), None),
        (RawStock(shape="round", low=(-5.0, 0.0, -5.0), high=(5.0, 20.0, 5.0), axis="y"), None),
    ],
)
def test_stock_is_as_large_as_it_is(raw: RawStock, count: int | None) -> None:
    mesh = stock_mesh(raw)
    assert mesh.low == pytest.approx(raw.low)
    assert mesh.high == pytest.approx(raw.high)
    a, b, c = (mesh.points[mesh.triangles[:, i]] for i in range(3))
    volume = float(np.sum(a * np.cross(b, c)) / 6)
    block = float(np.prod(np.array(raw.high) - raw.low))
    assert volume == pytest.approx(block if raw.shape == "block" else block * math.pi / 4, rel=1e-3)
    if count is not None:
        seen = body_view(mesh, Dimetric.of("top"), shaded=False)
        assert len(seen.rims) + len(seen.corners) == count
        assert not seen.areas


@pytest.mark.parametrize(
    ("up", "turn", "seen"),
    [
        ("top", 0.0, (12.0, 3.0, -15.0)),
        ("top", math.pi / 2, (-3.0, 12.0, -15.0)),
        ("bottom", 0.0, (12.0, -3.0, 15.0)),
        ("front", 0.0, (12.0, -15.0, -3.0)),
        ("right", 0.0, (15.0, 3.0, 12.0)),
    ],
)
def test_a_part_lies_in_its_set_up_as_its_stock_does(
    up: str, turn: float, seen: tuple[float, float, float]
) -> None:
    """A place 12 to the right, 3 back and 15 below program zero, by the faces that come up."""
    mesh = SurfaceMesh.of(np.array([[12.0, 3.0, 5.0], [0, 0, 0], [1, 0, 0]]), np.array([[0, 1, 2]]))
    there = in_setup(mesh, setup(up=up, turn=turn)).points
    assert np.min(np.linalg.norm(there - seen, axis=1)) < 1e-9


@pytest.mark.parametrize("box", [(10, 20, 97, 80), (50, 50, 92, 190), (0, 0, 280, 45)])
@pytest.mark.parametrize("origin", [(0.0, 0.0, 20.0), (60.0, 40.0, 0.0), (500.0, 0.0, 20.0)])
def test_a_set_up_view_stays_in_its_box(
    box: tuple[float, ...], origin: tuple[float, float, float]
) -> None:
    corners = ((-5.0, -5.0, -2.0), (65.0, 45.0, 20.0))
    low, high = (tuple(c - o for c, o in zip(p, origin, strict=True)) for p in corners)
    raw = RawStock(shape="block", low=low, high=high)  # type: ignore[arg-type]
    room = PaperBox(*box)
    found = setup_view(pocketed(), setup(raw=raw, origin=origin), room)
    at = places(found.group)
    line = SMALL_LINES.wide
    for frame in (found.room.grown(line), room.grown(line)):
        assert np.all((at >= (frame.left, frame.top)) & (at <= (frame.right, frame.bottom)))
    assert found.room.width > 0.9 * room.width or found.room.height > 0.9 * room.height
    ET.fromstring(found.group)


def test_stock_is_drawn_in_phantom_lines_round_the_part() -> None:
    """ISO 128-2, line 05.1: dashes of 24 line widths, gaps of 3, dots of half of one."""
    assert [float(d) / 0.25 for d in PHANTOM_DASH.split()] == pytest.approx(
        [24, 3, 0.5, 3, 0.5, 3], abs=0.05
    )
    found = setup_view(pocketed(), setup(), PaperBox(0, 0, 90, 70))
    dashed = [p for p in ET.fromstring(found.group).iter("path") if p.get("stroke-dasharray")]
    assert len(dashed) == 1
    at = places(f' d="{dashed[0].get("d")}"')
    view = Dimetric.of("top")
    corners = np.array([[x, y, z] for x in (-5, 65) for y in (-5, 45) for z in (-22, 0)])
    flat = view.flat(corners.astype(float)) * found.scale * (1, -1)
    hidden = np.argmin(view.nearness(corners.astype(float)))  # behind all else
    seen = np.delete(flat, hidden, axis=0)
    extent = seen.max(axis=0) - seen.min(axis=0)
    assert at.max(axis=0) - at.min(axis=0) == pytest.approx(extent, abs=0.03)
    assert len({tuple(p) for p in at.tolist()}) == 7


def test_axes_stand_in_a_corner_that_the_part_leaves_free() -> None:
    """A bar along y runs from the lower left to the upper right, one along x the other way."""
    view, box = Dimetric.of("top"), PaperBox(0, 0, 100, 90)
    for size, free in (((80, 4, 4), "low"), ((4, 80, 4), "high")):
        drawing = Drawing(body_view(surface(Manifold.cube(size)), view))
        x0, y0, x1, y1 = drawing.view.bounds
        placed = Placed.centred(drawing.view.bounds, 50, 45, min(100 / (x1 - x0), 90 / (y1 - y0)))
        x, y = free_corner(view, box, drawing.covered(placed))
        assert x < 50
        assert (y > 45) == (free == "low")


def test_a_box_too_small_for_axes_shows_the_part_without_them() -> None:
    found = setup_view(pocketed(), setup(), PaperBox(5, 5, 25, 20))
    assert "<text" not in found.group
    assert found.room.height == pytest.approx(15)
    assert "<text" in setup_view(pocketed(), setup(), PaperBox(5, 5, 65, 55)).group
