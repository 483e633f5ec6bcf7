"""SVG text by hand: units, view boxes, transforms and shapes, against their closed forms."""

from __future__ import annotations

import math

import pytest

from gcodekit.drawing.assemble import Assembled, assembled
from gcodekit.drawing.drawing_model import Drawing
from gcodekit.drawing.svg import read_svg
from gcodekit.errors import DrawingError
from gcodekit.geometry.chain import Arc, Line

PAGE = 'width="100mm" height="80mm" viewBox="0 0 100 80"'


def drawing(inside: str, page: str = PAGE) -> Drawing:
    xmlns = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    return read_svg(f"<svg {xmlns} {page}>{inside}</svg>".encode(), "it.svg")


def made(inside: str, page: str = PAGE, name: str | None = None) -> Assembled:
    found = drawing(inside, page)
    shape = assembled(found, name, mm=found.unit or 1.0)
    assert not shape.errors, shape.errors
    return shape


def box(inside: str, page: str = PAGE, name: str | None = None) -> list[float]:
    """Left, bottom, right and top over all."""
    found = made(inside, page, name)
    chains = [*found.rings, *(x.chain for x in found.loose)]
    points = [p for c in chains for p in c.flattened(1e-5).tolist()]
    xs, ys = zip(*points, strict=True)
    return [min(xs), min(ys), max(xs), max(ys)]


RECT = '<rect x="10" y="20" width="30" height="40"/>'


@pytest.mark.parametrize(
    ("page", "expected"),
    [
        pytest.param(PAGE, [10, 20, 40, 60], id="mm"),
        pytest.param('width="10cm" height="8cm" viewBox="0 0 100 80"', [10, 20, 40, 60], id="cm"),
        pytest.param('width="100mm" viewBox="0 0 100 80"', [10, 20, 40, 60], id="one side"),
        pytest.param(
            'width="2in" height="2in"',
            [10 * 25.4 / 96, 132 * 25.4 / 96, 40 * 25.4 / 96, 172 * 25.4 / 96],
            id="px of inch",
        ),
        pytest.param("", [10 * 25.4 / 96, -15.875, 40 * 25.4 / 96, -20 * 25.4 / 96], id="no page"),
        pytest.param(
            'width="100mm" height="80mm" viewBox="-10 -10 100 80"', [20, 10, 50, 50], id="moved"
        ),
        pytest.param(
            'width="200mm" height="80mm" viewBox="0 0 100 80"', [60, 20, 90, 60], id="in the middle"
        ),
        pytest.param(
            'width="200mm" height="80mm" viewBox="0 0 100 80" preserveAspectRatio="xMinYMin"',
            [10, 20, 40, 60],
            id="to the left",
        ),
        pytest.param(
            'width="200mm" height="80mm" viewBox="0 0 100 80" preserveAspectRatio="none"',
            [20, 20, 80, 60],
            id="stretched",
        ),
        pytest.param(
            'width="200mm" height="80mm" viewBox="0 0 100 80" preserveAspectRatio="xMidYMax slice"',
            [20, 40, 80, 120],
            id="cut to fill",
        ),
    ],
)
def test_units_and_view_boxes(page: str, expected: list[float]) -> None:
    assert box(RECT, page) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("inside", "expected"),
    [
        ('<g transform="translate(5 6)">{}</g>', [15, 14, 45, 54]),
        ('<g transform="translate(5)"><g transform="scale(2,1)">{}</g></g>', [25, 20, 85, 60]),
        ('<g transform="rotate(90 10 20)">{}</g>', [-30, 30, 10, 60]),
        ('<g transform="matrix(0 1 -1 0 60 0)">{}</g>', [0, 40, 40, 70]),
        # the last is applied first: 2 x + 5, not 2 (x + 5)
        ('<g transform="translate(5,0), scale(2 1)">{}</g>', [25, 20, 85, 60]),
        ('<g transform="skewX(45)">{}</g>', [30, 20, 100, 60]),
        (
            '<svg x="10" y="10" width="50" height="40" viewBox="0 0 100 80">{}</svg>',
            [15, 40, 30, 60],
        ),
        ("<defs><g id='s'>{}</g></defs><use href='#s' x='1' y='2'/>", [11, 18, 41, 58]),
        (
            "<symbol id='s' viewBox='0 0 100 80'>{}</symbol>"
            "<use xlink:href='#s' width='50' height='40'/>",
            [5, 50, 20, 70],
        ),
    ],
)
def test_transforms(inside: str, expected: list[float]) -> None:
    assert box(inside.format(RECT)) == pytest.approx(expected, abs=1e-9)


TURN = 'transform="translate(50,40) rotate(33) scale(1,-1) translate(-7 3)"'


@pytest.mark.parametrize(
    ("inside", "area", "length", "arcs"),
    [
        ('<rect width="30" height="20"/>', 600, 100, 0),
        ('<rect width="30" height="20" rx="4"/>', 600 - (4 - math.pi) * 16, 68 + 8 * math.pi, 4),
        ('<rect width="30" height="20" ry="4"/>', 600 - (4 - math.pi) * 16, 68 + 8 * math.pi, 4),
        # both radii are cut down to half a side: an ellipse of 15 by 10
        ('<rect width="30" height="20" ry="90"/>', 150 * math.pi, None, None),
        ('<circle cx="3" cy="4" r="5"/>', 25 * math.pi, 10 * math.pi, 1),
        ('<ellipse cx="3" cy="4" rx="5" ry="5"/>', 25 * math.pi, 10 * math.pi, 1),
        ('<polygon points="0,0 30,0 30 40"/>', 600, 120, 0),
        ('<polyline points="0 0 30 0 30 40 0 0"/>', 600, 120, 0),
        ('<path d="M0 0h30v40z"/>', 600, 120, 0),
        ('<path d="M0,0 a10 10 0 0 1 20 0z"/>', 50 * math.pi, 10 * math.pi + 20, 1),
        ('<path d="M0,0 A4 4 0 1 0 20 0z"/>', 50 * math.pi, 10 * math.pi + 20, 1),
        ('<path d="M-5 0a5 5 0 1010 0 5,5 0 10-10 0"/>', 25 * math.pi, 10 * math.pi, 2),
        # a parabola: two thirds of 40 times 7.5 high, as in the DXF tests
        (
            '<path d="M0 0Q20 15 40 0z"/>',
            200,
            40 + 20 * (math.sqrt(1.5625) + math.asinh(0.75) / 0.75),
            None,
        ),
        ('<path d="M0 0C0 0 10 0 30 0 30 0 30 9 30 40L0 0"/>', 600, 120, 0),
        # the integral of the cubic's y over x, by hand: 0.6 of 30 x 20
        ('<path d="M0 0C0 20 30 20 30 0z"/>', 360, None, None),
    ],
)
@pytest.mark.parametrize("around", [pytest.param("", id="plain"), pytest.param(TURN, id="turned")])
def test_shapes(
    inside: str, area: float, length: float | None, arcs: int | None, around: str
) -> None:
    found = made(f"<g {around}>{inside}</g>")
    assert found.region is not None
    assert found.region.area == pytest.approx(area, rel=2e-5)
    if length is not None:
        assert found.region.length == pytest.approx(length, rel=2e-5)
    if arcs is not None:
        kinds = [type(s) for ring in found.rings for s in ring]
        assert kinds.count(Arc) == arcs
        assert kinds.count(Line) + arcs == len(kinds)


def test_a_path_with_holes_and_parts() -> None:
    found = made('<path d="M0 0h40v40h-40z M10 10h10v10h-10z M50 0h5v5h-5z"/>')
    assert found.region is not None
    assert [len(p.holes) for p in found.region.parts] == [1, 0]
    assert found.region.area == pytest.approx(1600 - 100 + 25)


def test_ids_hold_what_stands_in_them() -> None:
    inside = (
        f'<g id="plate">{RECT}<g id="holes"><circle id="a" cx="20" cy="30" r="3"/></g></g>'
        '<defs><g id="unused"><circle r="1"/></g></defs>'
        '<g id="off" style="fill:none; display: none"><circle r="1"/></g><g id="empty"/>'
    )
    found = drawing(inside)
    assert found.drawn_names == ("plate", "holes", "a")
    assert len(found.under("plate")) == 5
    assert [d.what for d in found.under("holes")] == ['circle "a"']
    assert box(inside, name="a") == pytest.approx([17, 47, 23, 53], abs=1e-4)


def test_a_used_shape_goes_by_the_names_of_its_use() -> None:
    found = drawing('<defs><circle id="c" r="3"/></defs><g id="g"><use id="u" href="#c"/></g>')
    assert [(d.names, d.what) for d in found.pieces] == [(("g", "u"), 'circle "c" in use "u"')]


def test_what_is_no_shape_is_counted_and_what_is_wrong_is_said() -> None:
    inside = (
        '<g id="g"><text id="t">a</text></g><text>b</text><image/><title>t</title>'
        '<circle id="c" r="-3"/>\n<path d="M0 0 L 5"/>'
        '<rect width="3em" height="2"/><g style="transform: scale(2)"/>'
    )
    found = assembled(drawing(inside), None, mm=1.0)
    assert found.notes == [("ignored, not shapes: 1 image, 2 text", "")]
    assert found.errors == [
        ('circle "c": its radius is negative', "draw it again"),
        ("path on line 2: its path data cannot be read", "draw it again"),
        ('rect on line 2: width = "3em" has no unit of length', "draw it again"),
        (
            "g on line 2: a transform in its style is not read: make it an attribute",
            "draw it again",
        ),
    ]


def test_a_page_without_a_size_is_told() -> None:
    found = drawing(RECT, 'viewBox="0 0 100 80" width="100%"')
    assert found.notes == (
        ("its size is in percent: one unit is read as 1 px = 1/96 in", "correct it with scale"),
    )


def test_a_document_type_without_declarations_is_read() -> None:
    text = (
        '<?xml version="1.0" encoding="ISO-8859-1"?>\n'
        '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN"'
        ' "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">\n'
        '<svg xmlns="http://www.w3.org/2000/svg"><circle id="\u00df" r="3"/></svg>'
    )
    assert read_svg(text.encode("latin-1"), "it.svg").drawn_names == ("\u00df",)


def test_faults_of_the_file_name_their_line() -> None:
    with pytest.raises(DrawingError, match=r"it\.svg:2: is not valid XML \(mismatched tag\)"):
        read_svg(b"<svg>\n<g></svg>", "it.svg")
