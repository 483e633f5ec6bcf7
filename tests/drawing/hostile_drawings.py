"""Broken and hostile drawings: how each is made, and what must be said of it.

Used by the tests, and by tests/benchmarks/hostile_drawings.py, which measures time and memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

HEAD = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n0\nENDSEC\n"
TAIL = "0\nENDSEC\n0\nEOF\n"
LIGHT = "0\nLWPOLYLINE\n100\nAcDbEntity\n8\nRIM\n100\nAcDbPolyline\n"
LINE = "0\nLINE\n8\nRIM\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n"


class Hostile(NamedTuple):
    """A file's ending, its bytes, and a part of what is said: of the file, or of its layer."""

    ending: str
    make: Callable[[], bytes]
    said: str


def entities(text: str, *, blocks: str = "") -> bytes:
    """A DXF of the oldest sort, as small as they come; of a later one where entities need it."""
    if blocks:
        blocks = f"0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n"
    head = HEAD.replace("AC1009", "AC1015") if "AcDbEntity" in text else HEAD
    return f"{head}{blocks}0\nSECTION\n2\nENTITIES\n{text}{TAIL}".encode()


def block(name: str, inside: str) -> str:
    head = f"0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n0\n20\n0\n3\n{name}\n"
    return f"{head}{inside}0\nENDBLK\n8\n0\n"


def insert(name: str, more: str = "") -> str:
    return f"0\nINSERT\n8\nRIM\n2\n{name}\n10\n0\n20\n0\n{more}"


def nested(depth: int, each: int) -> bytes:
    """Blocks in blocks, each put into the next so many times."""
    found = block("B0", LINE.format(0, 0, 1, 1))
    found += "".join(block(f"B{i}", insert(f"B{i - 1}") * each) for i in range(1, depth))
    return entities(insert(f"B{depth - 1}"), blocks=found)


def spline(knots: int) -> bytes:
    text = "0\nSPLINE\n100\nAcDbEntity\n8\nRIM\n100\nAcDbSpline\n70\n8\n71\n3\n"
    text += f"72\n{knots}\n73\n{knots - 4}\n74\n0\n"
    text += "".join(f"40\n{i}\n" for i in range(knots))
    return entities(text + "".join(f"10\n{i}\n20\n0\n30\n0\n" for i in range(knots - 4)))


def svg(inside: str, *, head: str = "", size: str = 'width="50mm" height="40mm"') -> bytes:
    """An SVG of so much inside."""
    xlink = 'xmlns:xlink="http://www.w3.org/1999/xlink"'
    return f'{head}<svg xmlns="http://www.w3.org/2000/svg" {xlink} {size}>{inside}</svg>'.encode()


def laughs() -> bytes:
    lines = '<!ENTITY a0 "ha">' + "".join(
        f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 10)
    )
    return svg("<text>&a9;</text>", head=f"<!DOCTYPE svg [{lines}]>")


def uses(depth: int, each: int) -> bytes:
    inside = '<path id="u0" d="M0 0 L1 1"/>'
    for i in range(1, depth):
        inside += f'<g id="u{i}">' + f'<use href="#u{i - 1}"/>' * each + "</g>"
    return svg(f"<defs>{inside}</defs><use href='#u{depth - 1}'/>")


def deep_uses(uses: int, depth: int) -> bytes:
    inside = '<path id="u0" d="M0 0 L1 1"/>'
    for i in range(1, uses):
        use = f'<use href="#u{i - 1}"/>'
        inside += f'<g id="u{i}">{"<g>" * depth}{use}{"</g>" * depth}</g>'
    return svg(f"<defs>{inside}</defs><use href='#u{uses - 1}'/>")


def star(n: int) -> bytes:
    ends = ((math.cos(i), math.sin(i)) for i in range(n))
    return entities("".join(LINE.format(0, 0, f"{50 * x:.6f}", f"{50 * y:.6f}") for x, y in ends))


def circles(n: int, step: float) -> bytes:
    one = "0\nCIRCLE\n8\nRIM\n10\n0\n20\n0\n40\n{}\n"
    return entities("".join(one.format(1 + i * step) for i in range(n)))


def ellipses(n: int) -> bytes:
    made = "0\nELLIPSE\n100\nAcDbEntity\n8\nRIM\n100\nAcDbEllipse\n10\n{}\n20\n0\n30\n0\n"
    made += "11\n900\n21\n0\n31\n0\n40\n0.1\n"
    return entities("".join((made + "41\n0\n42\n6.283185\n").format(i) for i in range(n)))


def scribble(n: int) -> bytes:
    """One closed polyline that crosses itself everywhere."""
    text = f"{LIGHT}90\n{n}\n70\n1\n"
    places = ((50 * math.cos(2.4 * i), 50 * math.sin(2.4 * i)) for i in range(n))
    return entities(text + "".join(f"10\n{x:.5f}\n20\n{y:.5f}\n" for x, y in places))


LINES = "more than 500000 lines"
HOSTILE: dict[str, Hostile] = {
    # DXF: the file
    "empty file": Hostile(".dxf", bytes, "is not a DXF drawing"),
    "a letter": Hostile(".dxf", lambda: b"Dear all,\n" * 50, "is not a DXF drawing"),
    "rubbish": Hostile(".dxf", lambda: bytes(range(256)) * 4000, "is not a DXF drawing"),
    "binary dxf": Hostile(".dxf", lambda: b"AutoCAD Binary DXF\r\n\x1a\x00", "is a binary DXF"),
    "cut off": Hostile(
        ".dxf",
        lambda: entities(LINE.format(0, 0, 1, 1) * 100)[:900],
        "is cut short",
    ),
    "words for numbers": Hostile(
        ".dxf", lambda: entities(LINE.format(0, "two", 1, 1)), "is a broken DXF"
    ),
    "group codes that are none": Hostile(
        ".dxf", lambda: entities("zero\nLINE\n"), "is a broken DXF"
    ),
    "a million lines": Hostile(
        ".dxf", lambda: entities(LINE.format(0, 0, 1, 1) * 1_000_000)[:-7], "is larger than 16 MB"
    ),
    "a hundred thousand lines": Hostile(
        ".dxf", lambda: entities(LINE.format(0, 0, 1, 1) * 100_000), "at most 500000"
    ),
    "larger than may be": Hostile(".dxf", lambda: b"0\n" * 8_100_000, "is larger than 16 MB"),
    "units of light years": Hostile(
        ".dxf",
        lambda: entities("").replace(b"AC1009\n", b"AC1009\n9\n$INSUNITS\n70\n19\n"),
        "its units",
    ),
    # DXF: blocks
    "a block that holds itself": Hostile(
        ".dxf",
        lambda: entities(insert("A"), blocks=block("A", insert("B")) + block("B", insert("A"))),
        "a block contains itself: A -> B -> A",
    ),
    "blocks forty deep": Hostile(".dxf", lambda: nested(40, 1), "too deeply"),
    "blocks ten to the ninth": Hostile(".dxf", lambda: nested(10, 10), "more than 20000 blocks"),
    "a million rows": Hostile(
        ".dxf",
        lambda: entities(
            insert("A", "70\n30000\n71\n30000\n"), blocks=block("A", LINE.format(0, 0, 1, 1))
        ),
        "more than 20000 blocks",
    ),
    "a block of many lines in many places": Hostile(
        ".dxf",
        lambda: entities(
            insert("A", "70\n100\n71\n100\n"), blocks=block("A", LINE.format(0, 0, 1, 1) * 100)
        ),
        "more than 40000 lines and arcs",
    ),
    # DXF: entities
    "no number": Hostile(
        ".dxf", lambda: entities(LINE.format("nan", 0, 1, 1)), "reaches further than 10000 mm"
    ),
    "infinity": Hostile(
        ".dxf", lambda: entities(LINE.format(0, "inf", 1, 1)), "reaches further than 10000 mm"
    ),
    "as far as the stars": Hostile(
        ".dxf", lambda: entities(LINE.format(0, 0, 1e300, 1)), "reaches further than 10000 mm"
    ),
    "a bulge without end": Hostile(
        ".dxf",
        lambda: entities(f"{LIGHT}90\n2\n70\n1\n10\n0\n20\n0\n42\ninf\n10\n1\n20\n0\n"),
        "a bulge is not a number",
    ),
    "no length": Hostile(
        ".dxf", lambda: entities(LINE.format(3, 3, 3, 3) * 50), "has no line of any length"
    ),
    "a spline of a hundred thousand knots": Hostile(
        ".dxf", lambda: spline(60_000), "at most 10000"
    ),
    "a spline of a million knots": Hostile(".dxf", lambda: spline(1_000_000), "is larger than"),
    "a spline whose knots are wrong": Hostile(
        ".dxf",
        lambda: spline(50).replace(b"40\n30\n", b"40\n3\n"),
        "knots of a spline are not in rising",
    ),
    "lines that all meet": Hostile(".dxf", lambda: star(14_000), "more than two ends meet"),
    "one line over and over": Hostile(
        ".dxf", lambda: entities(LINE.format(0, 0, 1, 1) * 14_000), "has an open end at [0, 0]"
    ),
    "circles in circles": Hostile(".dxf", lambda: circles(9_000, 0.1), "at most 1000"),
    "circles that touch": Hostile(".dxf", lambda: circles(900, 0.0011), "cross or touch"),
    "ellipses": Hostile(".dxf", lambda: ellipses(15_000), "more than 15000 lines and arcs"),
    "a scribble": Hostile(".dxf", lambda: scribble(3_000), "crosses or touches itself"),
    # SVG: the file
    "not xml": Hostile(".svg", lambda: b"<svg><path</svg>", "is not valid XML"),
    "another vocabulary": Hostile(".svg", lambda: b"<html/>", "is not an SVG drawing"),
    "packed": Hostile(".svg", lambda: b"\x1f\x8b\x08\x00" * 100, "is a compressed SVG"),
    "rubbish svg": Hostile(".svg", lambda: bytes(range(256)) * 4000, "is not valid XML"),
    "no such encoding": Hostile(
        ".svg", lambda: svg("", head='<?xml version="1.0" encoding="klingon"?>'), "cannot be read"
    ),
    "a billion laughs": Hostile(".svg", laughs, "has a document type of its own"),
    "an entity from elsewhere": Hostile(
        ".svg",
        lambda: svg(
            "<text>&x;</text>", head='<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>'
        ),
        "has a document type of its own",
    ),
    "groups a thousand deep": Hostile(
        ".svg", lambda: svg("<g>" * 1000 + "</g>" * 1000), "too deeply"
    ),
    "a million elements": Hostile(
        ".svg", lambda: svg("<g/>" * 1_000_000), "more than 100000 elements"
    ),
    # SVG: what it draws
    "a use of itself": Hostile(
        ".svg", lambda: svg('<g id="a"><use href="#a"/></g>'), "uses itself"
    ),
    "uses that use one another": Hostile(
        ".svg",
        lambda: svg('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'),
        "uses itself",
    ),
    "uses ten to the ninth": Hostile(
        ".svg", lambda: uses(10, 10), "more than 40000 lines and arcs"
    ),
    "uses forty deep": Hostile(".svg", lambda: uses(40, 1), "more than 30 levels"),
    "deep groups that use deep groups": Hostile(
        ".svg", lambda: deep_uses(29, 90), "groups are nested too deeply"
    ),
    "names that a terminal would obey": Hostile(
        ".svg", lambda: svg('<circle id="a\x9b2J" r="-1"/>'), 'circle "a?2J": its radius'
    ),
    "a use of another file": Hostile(
        ".svg", lambda: svg('<use href="http://example.org/a.svg#b"/>'), "outside the file"
    ),
    "path data of two million figures": Hostile(
        ".svg",
        lambda: svg('<path d="M0 0' + " 1 1 2 2" * 500_000 + '"/>'),
        "more than 120000 figures",
    ),
    "path data with words": Hostile(
        ".svg", lambda: svg('<path d="M0 0 L nan 5"/>'), "has 'n' in it"
    ),
    "path data that stops": Hostile(
        ".svg", lambda: svg('<path d="M0 0 C 1 2 3"/>'), "cannot be read"
    ),
    "path data too big": Hostile(
        ".svg", lambda: svg('<path d="M0 0 L 1e400 5"/>'), "reaches further than 10000 mm"
    ),
    "curves to and fro": Hostile(
        ".svg",
        lambda: svg('<path d="M0 0' + " C 9000 9000 -9000 9000 1 0" * 15_000 + '"/>'),
        "more than 15000 lines and arcs",
    ),
    "a transform of nothing": Hostile(
        ".svg", lambda: svg('<rect width="1" height="1" transform="scale(0)"/>'), "leaves nothing"
    ),
    "a transform that is none": Hostile(
        ".svg",
        lambda: svg('<rect width="1" height="1" transform="matrix(1 2 3)"/>'),
        "is not known",
    ),
    "transforms without end": Hostile(
        ".svg",
        lambda: svg(f'<rect width="1" height="1" transform="{"rotate(1)" * 9_000}"/>'),
        "a transform of 81000 characters",
    ),
    "a size that is none": Hostile(
        ".svg", lambda: svg("", size='width="-5mm" height="5mm"'), "the page has no size"
    ),
    "letters for points": Hostile(
        ".svg", lambda: svg('<polygon points="0,0 a,b 5,5"/>'), "is not a list of numbers"
    ),
}
