"""What passes with and without flutes, plane by plane, against each plane worked out by itself."""

from __future__ import annotations

import math
from collections.abc import Collection

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, union
from gcodekit.proof.chords import Segments, segments_of
from gcodekit.proof.findings import Blank
from gcodekit.proof.prove import prove
from gcodekit.proof.reach import reach
from gcodekit.proof.sections import ONE_HEIGHT, section
from gcodekit.proof.swept_sections import SweptSections
from gcodekit.rs274 import read_program
from gcodekit.trade.cutter import Cutter

STUB = Cutter(
    number=1, name="4 mm stub", kind="end mill", diameter=4, flute_length=2, stickout=25, shank=4,
    centre_cutting=True,
)  # fmt: skip
BALL = Cutter(
    number=2, name="6 mm ball", kind="ball-nose end mill", diameter=6, flute_length=4, stickout=25,
    shank=6,
)  # fmt: skip
DRILL = Cutter(
    number=3, name="5 mm", kind="drill", diameter=5, flute_length=3, stickout=50, shank=5,
    tip_angle=math.radians(118),
)  # fmt: skip
CUTTERS = {c.number: c for c in (STUB, BALL, DRILL)}
BLOCK = shapely.box(0, 0, 40, 30)
BLANK = Blank(at=lambda z: BLOCK if -9 <= z <= 0 else EMPTY, bottom=-9.0, top=0.0, lowest=-9.0)


def by_itself(
    segments: tuple[Segments, ...], z: float, *, cutter: int | None = None
) -> BaseGeometry:
    """With a cutter what its bare part sweeps, without what the fluted parts of all do."""
    pieces: list[BaseGeometry] = []
    for s in segments:
        bare = np.minimum(s.start[:, 2], s.end[:, 2]) < z - s.cutter.flute_length - ONE_HEIGHT
        if cutter in (None, s.cutter.number):
            pieces += section(s.rows(bare if cutter else ~bare), z)
    return union(pieces)


places = st.integers(0, 20).map(lambda v: v / 2)
heights = st.integers(-18, 2).map(lambda v: v / 2)
passes = st.tuples(
    st.sampled_from([1, 2, 3]), st.lists(st.tuples(places, places, heights), max_size=5)
)


@settings(max_examples=8, deadline=None)
@given(
    st.lists(passes, min_size=1, max_size=3),
    st.lists(st.integers(-85, 10).map(lambda v: v / 10), min_size=1, max_size=3, unique=True),
)
def test_every_plane_is_as_by_itself(
    program: list[tuple[int, list[tuple[float, float, float]]]], planes: list[float]
) -> None:
    lines = []
    for number, path in program:
        lines += [f"T{number} M6", "G0 Z5", "G0 X0 Y0"]
        lines += [f"G1 X{x} Y{y} Z{z} F100" for x, y, z in path]
    segments = segments_of(read_program("\n".join([*lines, "M2"])).moves, CUTTERS, (), top=2.0)
    passed = SweptSections(segments, planes)
    for plane, z in enumerate(sorted(planes)):
        pairs = [(passed.fluted(plane), by_itself(segments, z))]
        for number, cutter in CUTTERS.items():
            bare = by_itself(segments, z, cutter=number)
            pairs.append((passed.above_flutes(plane, cutter), bare))
        for got, want in pairs:
            # the chords of a disc lie as the run they are swept with
            assert reach(got, want).distance < 0.0008
            assert reach(want, got).distance < 0.0008


def steps(*walls: tuple[float, float]) -> list[str]:
    """Once round at each depth, `wall` mm inside the block's edge: (depth, wall)."""
    lines = ["T1 M6", "S3000 M3", "G0 Z5"]
    for z, wall in walls:
        x0, y0, x1, y1 = 2 + wall, 2 + wall, 38 - wall, 28 - wall
        lines += [f"G0 X{x0} Y{y0}", f"G1 Z{z} F100", f"X{x1}", f"Y{y1}", f"X{x0}", f"Y{y0}"]
        lines += ["G0 Z5"]
    return [*lines, "M5", "M2"]


@pytest.mark.parametrize(
    ("walls", "lines"),
    [
        pytest.param([(-2, 0), (-4, 0), (-6, 0)], (), id="straight down its own wall"),
        pytest.param([(-2, 0), (-2, 0.5), (-4, 0.5)], (), id="steps inwards"),
        pytest.param([(-2, 0.5), (-4, 0.5), (-6, 0)], range(19, 24), id="undercut by its shank"),
        pytest.param([(-2, 0.004), (-4, 0)], (), id="no more than rubs"),
        pytest.param([(-4, 0)], range(5, 10), id="twice the flutes at once"),
    ],
)
def test_flutes_too_short(walls: list[tuple[float, float]], lines: Collection[int]) -> None:
    reading = read_program("\n".join(steps(*walls)))
    found = prove(reading, target=None, blank=BLANK, cutters=CUTTERS)
    said = [p for p in found.problems if p.text.startswith("flutes too short")]
    assert len(said) == bool(lines)
    assert all(p.line in lines for p in said)
