"""Whole programs, of every cutter's shape, cut in the virtual stock and by an independent solid
library (manifold3d): the volumes agree within 0.1 %.

There each straight piece of the way is the hull of the cutter's body at both of its ends: bodies of
revolution that are convex, reaching up past the metal, so that the hull is exactly what is swept.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import manifold3d
import numpy as np
import pytest
import shapely

from gcodekit.proof.findings import Blank
from gcodekit.proof.stock_findings import take_stock
from gcodekit.rs274 import read_program
from gcodekit.rs274.program_read import Move, ProblemList
from gcodekit.trade.cutter import Cutter

WIDE, DEEP, THICK = 50.0, 36.0, 12.0
BLANK = Blank(at=lambda z: shapely.box(0, 0, WIDE, DEEP), bottom=-THICK, top=0.0, lowest=-THICK)
RACK = {
    1: Cutter(
        number=1, name="", kind="end mill", diameter=6, flute_length=20, stickout=40, shank=6,
        centre_cutting=True,
    ),
    2: Cutter(
        number=2, name="", kind="ball-nose end mill", diameter=5, flute_length=20, stickout=40,
        shank=5, centre_cutting=True,
    ),
    3: Cutter(
        number=3, name="", kind="bull-nose end mill", diameter=8, corner_radius=1.5,
        flute_length=20, stickout=40, shank=8, centre_cutting=True,
    ),
    4: Cutter(
        number=4, name="", kind="drill", diameter=5, tip_angle=math.radians(118), flute_length=40,
        stickout=60, shank=5,
    ),
    5: Cutter(
        number=5, name="", kind="chamfer mill", diameter=10, tip_angle=math.radians(90),
        flute_length=10, stickout=40, shank=10,
    ),
}  # fmt: skip
# Sides of a turned body, and degrees of an arc to a chord.
SIDES, CHORD = 60, math.radians(7.5)

PROGRAMS = {
    "pocket with a helix down and rounds in its corners": """
        T1 M6
        G0 X25 Y18 Z1
        G1 Z0
        G3 X25 Y18 I2 J0 Z-1.5
        G3 X25 Y18 I2 J0 Z-3
        G3 X25 Y18 I2 J0
        G1 X38
        G3 X42 Y22 I0 J4
        G1 Y26
        G3 X38 Y30 I-4 J0
        G1 X12
        G3 X8 Y26 I0 J-4
        G1 Y10
        G3 X12 Y6 I4 J0
        G1 X38
        G3 X42 Y10 I0 J4
        G1 Y22
        """,
    "ramps to and fro over the edge": """
        T1 M6
        G0 X-4 Y8 Z1
        G1 Z0
        G1 X54 Y12 Z-4
        G1 X-4 Y20 Z-6.5
        G1 X30 Y30 Z-1
        """,
    "ball on slopes, rounds and a climb out": """
        T2 M6
        G0 X6 Y6 Z1
        G1 Z-1
        G1 X30 Y10 Z-5
        G1 X44 Y10 Z-2
        G3 X44 Y26 I0 J8
        G1 X10 Y26 Z-2
        G3 X4 Y20 I0 J-6 Z-4
        """,
    "bull on a level round and on a slope": """
        T3 M6
        G0 X10 Y10 Z1
        G1 Z-3
        G1 X30
        G3 X30 Y26 I0 J8
        G1 X12 Y28 Z-6
        G1 Z2
        """,
    "holes, chamfers and a slot": """
        T4 M6
        G0 X8 Y8 Z2
        G98 G81 X8 Y8 Z-9 R1
        X42
        Y28
        X8 Z-14
        G80
        T5 M6
        G0 X8 Y8 Z2
        G1 Z-3
        G0 Z2
        G0 X20 Y18
        G1 Z-2
        G1 X34
        G1 Y24 Z-4
        G0 Z2
        """,
}


def body(cutter: Cutter, tip: tuple[float, float, float]) -> Iterator[tuple[float, float, float]]:
    """Points of a turned body whose sides stand for the circle of the same area."""
    fair = math.sqrt(math.tau / (SIDES * math.sin(math.tau / SIDES)))
    angles = np.arange(SIDES) * (math.tau / SIDES)
    full = cutter.point_length
    # by equal angles of a rounded corner, so that the profile's chords are even
    heights = full * (1.0 - np.cos(np.linspace(0.0, math.pi / 2, 21))) if full else [0.0]
    rims = [(float(h), cutter.radius_at(float(h))) for h in heights]
    for height, radius in [*rims, (1.0 - tip[2] + full, cutter.radius)]:
        for angle in angles:
            yield (
                tip[0] + fair * radius * math.cos(angle),
                tip[1] + fair * radius * math.sin(angle),
                tip[2] + height,
            )


def way(move: Move) -> list[tuple[float, float, float]]:
    """The tip's way by chords; a level or rising arc about an upright axis."""
    if move.curve is None:
        return [move.start, move.end]
    (x, y, _), sweep, radius = move.curve.centre, move.curve.sweep, move.curve.radius
    count = math.ceil(abs(sweep) / CHORD)
    first = math.atan2(move.start[1] - y, move.start[0] - x)
    rise = move.end[2] - move.start[2]
    # on a circle a little wider, so that the chords' polygon has the circle's area
    step = abs(sweep) / count
    fair = radius * math.sqrt(step / math.sin(step))
    inner = [
        (
            x + fair * math.cos(first + sweep * k / count),
            y + fair * math.sin(first + sweep * k / count),
            move.start[2] + rise * k / count,
        )
        for k in range(1, count)
    ]
    return [move.start, *inner, move.end]


@pytest.mark.parametrize("name", PROGRAMS)
def test_volumes_agree_with_a_solid_librarys(name: str) -> None:
    lines = [line.strip() for line in PROGRAMS[name].strip().splitlines()]
    reading = read_program("\n".join(["G21 G90 G17 M3 S1000 F100", *lines, "M2"]))
    assert not reading.problems
    swept = [
        manifold3d.Manifold.hull_points(
            np.array([*body(RACK[m.cutter], a), *body(RACK[m.cutter], b)])
        )
        for m in reading.moves
        if m.known_before == "XYZ"
        for a, b in pairwise(way(m))
        if min(a[2], b[2]) < 0.0
    ]
    block = manifold3d.Manifold.cube((WIDE, DEEP, THICK)).translate((0.0, 0.0, -THICK))
    gone = manifold3d.Manifold.batch_boolean([block, *swept], manifold3d.OpType.Subtract)
    solid = block.volume() - gone.volume()

    stock = take_stock(
        reading.moves, RACK, BLANK, tolerance=0.01, problems=ProblemList(), cell=0.05
    )
    assert stock is not None
    assert stock.before == pytest.approx(WIDE * DEEP * THICK, rel=1e-6)
    assert stock.before - stock.left == pytest.approx(solid, rel=1e-3)
