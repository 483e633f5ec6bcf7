"""DXF files written by ezdxf itself: every kind of entity comes back with the area and the length
of its closed form, arcs as arcs, in mm and in inch."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing as Document
from ezdxf.layouts import Modelspace

from gcodekit.drawing.assemble import Assembled, assembled, loose_ends
from gcodekit.drawing.drawing_model import Drawing
from gcodekit.drawing.dxf import read_dxf
from gcodekit.drawing.spline import CURVE_TOLERANCE
from gcodekit.geometry.chain import Arc, Line

Draw = Callable[[Document, Modelspace], Any]
RIM = {"layer": "Rim"}


def drawn(draw: Draw, *, units: int = 4, version: str = "R2010") -> Drawing:
    document = ezdxf.new(version, units=units)
    document.layers.add("Rim")
    draw(document, document.modelspace())
    stream = io.StringIO()
    document.write(stream)
    return read_dxf(stream.getvalue().encode(), "it.dxf")


def made(draw: Draw, *, units: int = 4, version: str = "R2010", mm: float = 1.0) -> Assembled:
    found = assembled(drawn(draw, units=units, version=version), "Rim", mm=mm)
    assert not found.errors
    return found


def square(space: Any, a: float, x: float = 0.0) -> None:
    corners = [(x, 0), (x + a, 0), (x + a, a), (x, a)]
    for start, end in zip(corners, [*corners[1:], corners[0]], strict=True):
        space.add_line(start, end, dxfattribs=RIM)


def quarter_ellipse_length(a: float, b: float) -> float:
    """By Simpson's rule, 2,000 steps."""
    n = 2000

    def speed(i: int) -> float:
        t = math.pi / 2 * i / n
        return math.hypot(a * math.sin(t), b * math.cos(t))

    odd = sum(speed(i) for i in range(1, n, 2))
    even = sum(speed(i) for i in range(2, n, 2))
    return (speed(0) + speed(n) + 4 * odd + 2 * even) * math.pi / 2 / n / 3


def half_disc(doc: Any, m: Any) -> None:
    m.add_arc((20, 0), 20, 0, 180, dxfattribs=RIM)
    m.add_line((0, 0), (40, 0), dxfattribs=RIM)


def obround(doc: Any, m: Any) -> None:
    m.add_lwpolyline(
        [(0, 0, 0), (30, 0, 1), (30, 10, 0), (0, 10, 1)],
        format="xyb",
        close=True,
        dxfattribs=RIM,
    )


def old_obround(doc: Any, m: Any) -> None:
    m.add_polyline2d(
        [(0, 0, 0), (30, 0, 1), (30, 10, 0), (0, 10, 1)],
        format="xyb",
        close=True,
        dxfattribs=RIM,
    )


def turned_over(doc: Any, m: Any) -> None:
    """A half disc to the right of x 0 in its own coordinates: to the left of it from above."""
    over = RIM | {"extrusion": (0, 0, -1)}
    m.add_lwpolyline([(0, -5, 1), (0, 5, 0)], format="xyb", close=True, dxfattribs=over)


def in_blocks(doc: Any, m: Any) -> None:
    """A disc of radius 2 in a block in a block: twice as large and mirrored, three in a row."""
    inner, outer = doc.blocks.new("inner"), doc.blocks.new("outer", base_point=(1, 0))
    inner.add_circle((3, 0), 2)
    outer.add_blockref("inner", (1, 1), dxfattribs={"rotation": 90})
    row = {"xscale": -2, "yscale": 2, "column_count": 3, "column_spacing": 20, "layer": "Rim"}
    m.add_blockref("outer", (50, 0), dxfattribs=row)


def squeezed(doc: Any, m: Any) -> None:
    doc.blocks.new("disc").add_circle((0, 0), 1)
    m.add_blockref("disc", (0, 0), dxfattribs=RIM | {"xscale": 12, "yscale": 5, "rotation": 30})


def spline_circle(doc: Any, m: Any) -> None:
    """A circle of radius 10 as a rational spline (Piegl and Tiller, 7.5: nine control points)."""
    w = math.sqrt(0.5)
    at = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
    m.add_rational_spline(
        [(10 * x, 10 * y) for x, y in at],
        weights=[1, w, 1, w, 1, w, 1, w, 1],
        degree=2,
        knots=[0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4],
        dxfattribs=RIM,
    )


def parabola(doc: Any, m: Any) -> None:
    """Under the parabola from 0, 0 by 20, 15 to 40, 0: two thirds of 40 times 7.5."""
    m.add_open_spline([(0, 0), (20, 15), (40, 0)], degree=2, dxfattribs=RIM)
    m.add_line((0, 0), (40, 0), dxfattribs=RIM)


def parabola_length() -> float:
    """Of y = 0.75 x (1 - x / 40) from 0 to 40, whose slope goes from 0.75 to -0.75."""
    c = 0.75
    return 40 * (math.sqrt(1 + c * c) + math.asinh(c) / c) / 2


SHAPES: dict[str, tuple[Draw, float, float]] = {
    "lines": (lambda d, m: square(m, 20), 400, 80),
    "circle": (
        lambda d, m: m.add_circle((5, 5), 7, dxfattribs=RIM),
        49 * math.pi,
        14 * math.pi,
    ),
    "arc and line": (half_disc, 200 * math.pi, 20 * math.pi + 40),
    "light polyline with bulges": (obround, 300 + 25 * math.pi, 60 + 10 * math.pi),
    "old polyline with bulges": (old_obround, 300 + 25 * math.pi, 60 + 10 * math.pi),
    "turned over": (turned_over, 12.5 * math.pi, 10 + 5 * math.pi),
    "blocks in blocks": (in_blocks, 3 * 16 * math.pi, 3 * 8 * math.pi),
    "circle of a squeezed block": (squeezed, 60 * math.pi, 4 * quarter_ellipse_length(12, 5)),
    "ellipse": (
        lambda d, m: m.add_ellipse((3, 4), (0, 20), 0.3, dxfattribs=RIM),
        120 * math.pi,
        4 * quarter_ellipse_length(20, 6),
    ),
    "ellipse turned over": (
        lambda d, m: m.add_ellipse(
            (3, 4), (0, 20), 0.3, dxfattribs=RIM | {"extrusion": (0, 0, -1)}
        ),
        120 * math.pi,
        4 * quarter_ellipse_length(20, 6),
    ),
    "spline that is a circle": (spline_circle, 100 * math.pi, 20 * math.pi),
    "spline that is a parabola": (parabola, 200, 40 + parabola_length()),
}


@pytest.mark.parametrize("units", [pytest.param(4, id="mm"), pytest.param(1, id="inch")])
@pytest.mark.parametrize("name", SHAPES)
def test_shapes_come_back(name: str, units: int) -> None:
    draw, area, length = SHAPES[name]
    mm = 25.4 if units == 1 else 1.0
    assert drawn(draw, units=units).unit == mm
    found = made(draw, units=units, mm=mm)
    assert found.region is not None
    assert not found.notes
    # nowhere further from the curve than the tolerance, so no more area between them than this
    assert found.region.area == pytest.approx(area * mm**2, abs=CURVE_TOLERANCE * length * mm)
    assert found.region.length == pytest.approx(length * mm, abs=1e-4 * length * mm)


@pytest.mark.parametrize(
    ("name", "lines", "arcs"),
    [
        ("circle", 0, 1),
        ("arc and line", 1, 1),
        ("light polyline with bulges", 2, 2),
        ("old polyline with bulges", 2, 2),
        ("blocks in blocks", 0, 3),
        ("spline that is a circle", 0, 4),
    ],
)
def test_arcs_are_arcs(name: str, lines: int, arcs: int) -> None:
    found = made(SHAPES[name][0])
    kinds = [type(s) for ring in found.rings for s in ring]
    assert (kinds.count(Line), kinds.count(Arc)) == (lines, arcs)


def test_places_are_kept() -> None:
    found = made(in_blocks)
    centres = sorted(s.centre for ring in found.rings for s in ring if isinstance(s, Arc))
    # the disc: at 3, 0 turned by 90 and moved by 1, 1: 1, 4; less the base, 0, 4; times -2, 2
    expected = [(50.0, 8.0), (70.0, 8.0), (90.0, 8.0)]
    for centre, place in zip(centres, expected, strict=True):
        assert centre == pytest.approx(place)
    (half,) = made(turned_over).rings
    xs = [p[0] for p in half.flattened(0.01)]
    assert min(xs) == pytest.approx(-5.0, abs=0.02)
    assert max(xs) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("version", ["R12", "R2000", "R2004", "R2007", "R2018"])
def test_every_version_is_read(version: str) -> None:
    found = made(old_obround, version=version)
    assert found.region is not None
    assert found.region.area == pytest.approx(300 + 25 * math.pi)


def test_layers_have_any_letters_and_capitals_do_not_count() -> None:
    def draw(doc: Document, m: Modelspace) -> None:
        doc.layers.add("Größe")
        m.add_circle((0, 0), 1, dxfattribs={"layer": "GRÖßE"})

    for version in ("R2000", "R2018"):
        document = ezdxf.new(version, units=4)
        draw(document, document.modelspace())
        stream = io.StringIO()
        document.write(stream)
        raw = stream.getvalue().encode(document.output_encoding)
        assert read_dxf(raw, "it.dxf").drawn_names == ("Größe",)


def test_rings_lie_in_rings() -> None:
    def draw(doc: Any, m: Any) -> None:
        square(m, 40)
        m.add_circle((20, 20), 15, dxfattribs=RIM)
        m.add_circle((20, 20), 10, dxfattribs=RIM)
        square(m, 10, x=60)

    region = made(draw).region
    assert region is not None
    assert [len(p.holes) for p in region.parts] == [1, 0, 0]
    assert region.area == pytest.approx(1600 - 225 * math.pi + 100 * math.pi + 100)


def test_no_units_is_none() -> None:
    assert drawn(half_disc, units=0).unit is None
    assert drawn(half_disc, units=5).unit == 10.0


# -- what is said -----------------------------------------------------------------------------


def said(draw: Draw) -> list[str]:
    """All that is said of a layer, in mm."""
    drawing = drawn(draw)
    found = assembled(drawing, "Rim", mm=1.0)
    remarks = [*found.errors, *loose_ends(drawing, found, mm=1.0), *found.notes]
    return [", ".join(filter(None, r)) for r in remarks]


def with_gap(gap: float) -> Draw:
    def draw(doc: Any, m: Any) -> None:
        m.add_arc((20, 0), 20, 0, 180, dxfattribs=RIM | {"handle": "A1"})
        m.add_line((40, 0), (gap, 0), dxfattribs=RIM | {"handle": "A2"})

    return draw


@pytest.mark.parametrize(
    ("gap", "text"),
    [
        (0.0009, []),
        (0.008, ["ARC A1 and LINE A2 joined at [0.004, 0] across a gap of 0.008"]),
        (
            0.02,
            [
                "LINE A2 has an open end at [0.02, 0], ARC A1 at [0, 0], 0.02 apart, "
                "join them in the drawing"
            ],
        ),
    ],
)
def test_gaps(gap: float, text: list[str]) -> None:
    assert said(with_gap(gap)) == text


def test_an_arc_joined_over_a_gap_stays_an_arc_of_its_size() -> None:
    (ring,) = made(with_gap(0.008)).rings
    (arc,) = [s for s in ring if isinstance(s, Arc)]
    assert arc.radius == pytest.approx(20)
    assert ring.area == pytest.approx(200 * math.pi)


def extras(doc: Any, m: Any) -> None:
    square(m, 20)
    for _ in range(3):
        m.add_text("note", dxfattribs=RIM)
    m.add_mtext("more", dxfattribs=RIM)
    m.add_point((1, 1), dxfattribs=RIM)
    m.add_hatch(dxfattribs=RIM)
    m.add_linear_dim(base=(0, 30), p1=(0, 0), p2=(20, 0), dxfattribs=RIM)


def test_what_is_no_shape_is_counted() -> None:
    assert said(extras) == ["ignored, not shapes: 1 DIMENSION, 1 HATCH, 1 POINT, 4 TEXT"]


def test_lines_on_top_of_one_another() -> None:
    def draw(doc: Any, m: Any) -> None:
        m.add_lwpolyline([(0, 0), (20, 0), (20, 20)], close=True, dxfattribs=RIM | {"handle": "FA"})
        m.add_line((20, 1e-9), (0, 0), dxfattribs=RIM | {"handle": "FB"})
        m.add_circle((50, 0), 3, dxfattribs=RIM | {"handle": "FC"})
        m.add_circle((50, 0), 3, dxfattribs=RIM | {"handle": "FD"})

    assert said(draw) == [
        "drawn twice, one of each ignored: LINE FB on LWPOLYLINE FA, CIRCLE FD on CIRCLE FC"
    ]


def crossing(doc: Any, m: Any) -> None:
    m.add_circle((0, 0), 5, dxfattribs=RIM | {"handle": "FA"})
    m.add_lwpolyline(
        [(0, -1), (20, -1), (20, 1), (0, 1)], close=True, dxfattribs=RIM | {"handle": "FB"}
    )


def eight(doc: Any, m: Any) -> None:
    m.add_lwpolyline(
        [(0, 0), (20, 20), (20, 0), (0, 20)], close=True, dxfattribs=RIM | {"handle": "FA"}
    )


def fork(doc: Any, m: Any) -> None:
    square(m, 20)
    m.add_line((20, 20), (30, 30), dxfattribs=RIM | {"handle": "FF"})


def tilted(doc: Any, m: Any) -> None:
    m.add_line((0, 0, 0), (10, 0, 5), dxfattribs=RIM | {"handle": "FA"})
    m.add_circle((0, 0), 4, dxfattribs=RIM | {"handle": "FB", "extrusion": (0, 1, 1)})


@pytest.mark.parametrize(
    ("draw", "text"),
    [
        (crossing, "the closed lines of CIRCLE FA and LWPOLYLINE FB cross or touch at [4.8"),
        (eight, "the closed line of LWPOLYLINE FA crosses or touches itself at [10, 10]"),
        (fork, "more than two ends meet at [20, 20]: LINE"),
        (tilted, "LINE FA rises by 5, draw it flat, in the XY plane"),
        (tilted, "CIRCLE FB is not flat, draw it flat, in the XY plane"),
    ],
)
def test_what_cannot_be_cut_is_said(draw: Draw, text: str) -> None:
    assert any(text in t for t in said(draw)), said(draw)


def test_an_open_line_goes_the_way_of_its_first_piece() -> None:
    def draw(doc: Any, m: Any) -> None:
        m.add_line((10, 0), (20, 5), dxfattribs=RIM)
        m.add_line((10, 0), (0, 0), dxfattribs=RIM)
        m.add_line((30, 5), (20, 5), dxfattribs=RIM)

    (loose,) = made(draw).loose
    assert (loose.chain.start, loose.chain.end) == ((0.0, 0.0), (30.0, 5.0))
