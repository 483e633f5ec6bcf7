"""Distances to walls against plane geometry worked out by hand, and which lines are named."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.overlay import EMPTY, common, union
from gcodekit.proof.chords import FeatureLines, segments_of, segments_of_path
from gcodekit.proof.findings import Blank, Findings
from gcodekit.proof.prove import prove
from gcodekit.proof.reach import reach
from gcodekit.proof.sections import section
from gcodekit.proof.walls import depths
from gcodekit.rs274 import read_program
from gcodekit.target.target import FeatureSlice, Slice
from gcodekit.trade.cutter import Cutter

MILL = Cutter(
    number=1, name="4 mm", kind="end mill", diameter=4, flute_length=12, stickout=25, shank=4,
    centre_cutting=True,
)  # fmt: skip
CONE = Cutter(
    number=2, name="90 deg", kind="chamfer mill", diameter=6, flute_length=12, stickout=25,
    shank=6, tip_angle=math.pi / 2,
)  # fmt: skip
HALF = shapely.box(-100, -100, 100, 0)
POST = shapely.box(0, 0, 10, 10)

Point3 = tuple[float, float, float]


def deep(path: list[Point3], kept: BaseGeometry, *, cutter: Cutter = MILL, z: float = 0.0) -> float:
    return float(depths(segments_of_path(path, cutter), kept, z).max())


@pytest.mark.parametrize(
    ("path", "cutter", "want"),
    [
        pytest.param([(0, 2, -1), (9, 2, -1)], MILL, 0.0, id="along the wall"),
        pytest.param([(0, 1.97, -1), (9, 1.97, -1)], MILL, 0.03, id="0.03 mm into it"),
        pytest.param([(0, 5, -1), (9, 1.5, -1)], MILL, 0.5, id="with its end"),
        pytest.param([(3, 1.5, -1), (3, 1.5, -1)], MILL, 0.5, id="straight down"),
        pytest.param([(0, -3, -1), (0, -3, 1)], MILL, 5.0, id="inside"),
        pytest.param([(0, 1, -1), (0, -3, -1)], MILL, 5.5, id="straight in"),
        pytest.param([(0, 1, 0.1), (9, 1, 0.1)], MILL, 0.0, id="above"),
        pytest.param([(0, 1, 1), (0, 3, -1)], MILL, 0.0, id="above where it is near"),
        pytest.param([(0, 0.7, -1), (9, 0.7, -1)], CONE, 0.3, id="a cone, 1 mm at that height"),
        pytest.param([(0, 1.2, -1), (9, 1.2, -1)], CONE, 0.0, id="a cone beside it"),
    ],
)
def test_depth_beside_a_straight_wall(path: list[Point3], cutter: Cutter, want: float) -> None:
    assert deep(path, HALF, cutter=cutter) == pytest.approx(want, abs=1e-9)


def test_an_arc_is_right_to_half_a_micrometre() -> None:
    """The tip's path comes to 1.9 mm from the wall in the middle of a quarter circle."""
    text = "T1 M6\nG0 X-20 Y21.9\nG0 Z1\nG1 Z-1 F9\nG3 X20 Y21.9 I20\nM2"
    (segments,) = segments_of(read_program(text).moves, {1: MILL}, (), top=0.0)
    found = depths(segments, HALF, -0.5)
    assert found.max() == pytest.approx(0.1, abs=0.0005)
    # 0.02 mm and more: within acos(1 - 0.08 / 20) of the middle
    far = np.abs(segments.start[found > 0.02, 0]).max()
    assert far == pytest.approx(20 * math.sin(math.acos(1 - 0.08 / 20)), abs=0.2)


def test_what_is_allowed_is_no_depth() -> None:
    path = segments_of_path([(0, 1.991, -1), (9, 1.991, -1), (9, 1.98, -1)], MILL)
    assert depths(path, HALF, 0.0, allowed=0.01) == pytest.approx([0.0, 0.02])


near = st.integers(-60, 160).map(lambda v: v / 10)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(near, near, st.integers(-3, 2).map(float)), min_size=2, max_size=6))
def test_never_less_than_the_comparison_finds(path: list[Point3]) -> None:
    """Held against the growing and bisecting of `reach`, segment by segment."""
    for tool in (MILL, CONE):
        segments = segments_of_path(path, tool)
        found = depths(segments, POST, 0.0, allowed=0.01)
        beyond = shapely.box(-50, -50, 60, 60).difference(POST)
        for i, got in enumerate(found):
            cut = union(section(segments.rows(np.array([i])), 0.0))
            true = reach(common(cut, POST), beyond).distance
            # a section is short of the truth by half a micrometre, `reach` off by half a percent
            assert got >= true - 0.001 - 0.006 * true or true <= 0.011


def test_a_post_milled_over_is_told_from_one_beside() -> None:
    assert deep([(-5, 5, -1), (15, 5, -1)], POST) >= 5.0
    assert deep([(-3, -3, -1), (13, -3, -1)], POST) == 0.0


# A pocket 60 x 40 in a block, 3 mm deep, with a deeper half; z 0 on top.
BLOCK = shapely.box(0, 0, 80, 60)
AREA, DEEP = shapely.box(10, 10, 70, 50), shapely.box(10, 10, 40, 50)
BLANK = Blank(at=lambda z: BLOCK if -10 <= z <= 0 else EMPTY, bottom=-10.0, top=0.0, lowest=-10.0)


class Drawing:
    threads = ()
    levels = (0.0, -3.0, -5.0, -10.0)

    def asks(self, z: float) -> bool:
        return not self.slice(z).required.is_empty

    def slice(self, z: float) -> Slice:
        required = AREA if -3 < z <= 0 else DEEP if -5 < z <= -3 else EMPTY
        feature = FeatureSlice("pocket", required, EMPTY, EMPTY, 2.0)
        air = shapely.box(-99, -99, 199, 199).difference(BLANK.at(z))
        return Slice(z, air, required, EMPTY, EMPTY, (feature,))


def wall_pass(x1: float, z: float, *, every: float = 2.0) -> list[str]:
    """Once round at a depth in short lines, each corner and each point between on its own."""
    ring = shapely.box(12, 12, x1, 48).exterior.segmentize(every)
    (x, y), *rest = shapely.get_coordinates(ring).tolist()
    down = ["G0 Z5", f"G0 X{x:.3f} Y{y:.3f}", "G0 Z1", f"G1 Z{z} F100", "F300"]
    return [*down, *(f"G1 X{x:.3f} Y{y:.3f}" for x, y in rest)]


def program() -> list[str]:
    lines = ["G21 G90 G17", "T1 M6", "S3000 M3"]
    return [*lines, *wall_pass(68, -3), *wall_pass(38, -5), "G0 Z5", "M2"]


def told(lines: list[str]) -> tuple[Findings, list[tuple[int, str]]]:
    """The proof, and the gouges it names."""
    found = prove(
        read_program("\n".join(lines)), target=Drawing(), blank=BLANK, cutters={1: MILL},
        ranges=[FeatureLines("pocket", 1, len(lines))],
    )  # fmt: skip
    said = [(p.line, p.text) for p in found.problems if p.text.startswith("gouge in pocket: ")]
    return found, [(line, text.removeprefix("gouge in pocket: ")) for line, text in said]


def moved(lines: list[str], old: str, new: str) -> int:
    """Change the one line that reads `old`; its number."""
    (at,) = (i for i, line in enumerate(lines) if line == old)
    lines[at] = new
    return at + 1


def test_the_right_program_goes_in_nowhere() -> None:
    assert told(program())[1] == []


def test_every_line_that_goes_in_is_named_with_how_deep() -> None:
    lines = program()
    low = moved(lines, "G1 X48.000 Y12.000", "G1 X48.000 Y11.970")
    right = moved(lines, "G1 X68.000 Y30.000", "G1 X68.250 Y30.000")
    found, said = told(lines)
    into = "mm into the finished part"
    assert sorted(said) == sorted(
        [
            (right, f"0.25 {into} (lines {right} to {right + 1})"),
            (low, f"0.03 {into} (lines {low} to {low + 1})"),
        ]
    )
    assert found.gouge == pytest.approx(0.25, abs=0.002)


def test_a_floor_too_deep_is_told_by_its_depth_at_the_line_that_goes_down() -> None:
    lines = program()
    line = moved(lines, "G1 Z-3 F100", "G1 Z-3.02 F100")
    found, said = told(lines)
    # over the deeper half the same pass does no harm
    assert [text.partition(" (")[0] for _, text in said] == [
        "0.02 mm too deep, the floor is at Z-3"
    ] * 2
    assert said[0][0] == line
    assert said[1][0] > lines.index("G1 X38.000 Y48.000") + 1
    assert found.gouge == pytest.approx(0.02, abs=0.001)


def test_a_wall_and_a_floor_in_one_program() -> None:
    lines = program()
    right = moved(lines, "G1 X68.000 Y30.000", "G1 X68.250 Y30.000")
    at = lines.index("G1 X50.000 Y48.000")
    lines[at] += " Z-3.1"
    lines[at + 1] += " Z-3"
    _, said = told(lines)
    assert said == [
        (right, f"0.25 mm into the finished part (lines {right} to {right + 1})"),
        (at + 1, f"0.1 mm too deep, the floor is at Z-3 (lines {at + 1} to {at + 2})"),
    ]


def test_a_later_line_over_the_same_place_is_not_named_for_it() -> None:
    """A chamfer mill whose tip is hardly below the top cuts little there, whatever its diameter."""
    lines = [
        "T2 M6", "S3000 M3", "G0 Z5", "G0 X10.2 Y20", "G0 Z1", "G1 Z-0.05 F100", "G1 Y40",
        "G0 Z5", "G0 X10.5 Y20", "G0 Z1", "G1 Z-1 F100", "G1 Y40", "G0 Z5", "M2",
    ]  # fmt: skip
    found = prove(
        read_program("\n".join(lines)), target=Drawing(), blank=BLANK, cutters={2: CONE},
        ranges=[FeatureLines("pocket", 1, len(lines))], complete=False,
    )  # fmt: skip
    (gouge,) = (p for p in found.problems if p.text.startswith("gouge in pocket"))
    assert gouge.line in (11, 12)
    assert gouge.text.endswith("(lines 11 to 13)")


def test_many_stretches_are_counted() -> None:
    lines = program()
    sides = ("G1 X68.000 Y", "G1 X12.000 Y")
    deeper = lines.index("G1 Z-5 F100")
    picked = [i for i, line in enumerate(lines[:deeper]) if line.startswith(sides)][2:-2:3]
    shown = random.Random(1).sample([0.05 * (k + 1) for k in range(len(picked))], len(picked))
    for at, out in zip(picked, shown, strict=True):
        for x, outwards in ((68, out), (12, -out)):
            lines[at] = lines[at].replace(f"X{x}.000", f"X{x + outwards:.3f}")
    by_line = dict(told(lines)[1])
    left = []
    for at, out in zip(picked, shown, strict=True):
        if out > 0.05 * (len(picked) - 8) + 0.01:
            assert by_line.pop(at + 1).startswith(f"{out:g} mm into the finished part")
        else:
            left.append(at + 1)
    more = f"{len(left)} more places, the last on line {left[-1]}"
    assert len(left) > 1
    assert by_line == {left[0]: more}
