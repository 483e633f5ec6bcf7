"""Whole programs by feature: holes, tabs, several cutters; and what the machine makes of them.

Targets are plain shapely shapes: a plate 60 x 40 x 6 with z 0 on top.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from gcodekit.job.workshop.machine import Machine, Spindle
from gcodekit.proof.chords import FeatureLines
from gcodekit.proof.findings import Blank, Findings
from gcodekit.proof.keepout import Holding
from gcodekit.proof.prove import prove
from gcodekit.proof.time import box_of, travel
from gcodekit.rs274 import read_program
from gcodekit.target.target import FeatureSlice, Slice
from gcodekit.trade.cutter import Cutter, Holder

NOTHING = shapely.Polygon()
PLATE = shapely.box(0, 0, 60, 40)
BLANK = Blank(at=lambda z: PLATE if -6 <= z <= 0 else NOTHING, bottom=-6, top=0, lowest=-6.5)
MACHINE = Machine(
    name="bench mill",
    rapid=3000,
    feed_max=1200,
    acceleration=200,
    spindle=Spindle(slowest=100, fastest=4000, reverse=True),
)
POINT = math.radians(118)
MILL = Cutter(
    number=1, name="4 mm", kind="end mill", diameter=4, flute_length=12, stickout=25, shank=4,
    centre_cutting=True,
)  # fmt: skip
DRILL = Cutter(
    number=2, name="5 mm", kind="drill", diameter=5, flute_length=40, stickout=50, shank=5,
    tip_angle=POINT,
)  # fmt: skip
REAMER = Cutter(
    number=3, name="5.2 mm", kind="reamer", diameter=5.2, flute_length=30, stickout=50, shank=5,
    lead=1,
)  # fmt: skip
CUTTERS = {c.number: c for c in (MILL, DRILL, REAMER)}
TIP = 2.5 / math.tan(POINT / 2)


class Drawing:
    """Features given as (name, reach, [(floor, top, must, may, stay), ...])."""

    threads = ()

    def __init__(
        self,
        *features: tuple[
            str, float, list[tuple[float, float, BaseGeometry, BaseGeometry, BaseGeometry]]
        ],
    ) -> None:
        self.features = features

    @property
    def levels(self) -> tuple[float, ...]:
        found = {
            z for _, _, bands in self.features for floor, top, *_ in bands for z in (floor, top)
        }
        return tuple(sorted(found | {0.0, -6.0}, reverse=True))

    def asks(self, z: float) -> bool:
        return not self.slice(z).required.is_empty

    def slice(self, z: float) -> Slice:
        metal = BLANK.at(z)
        slices = []
        for name, reach, bands in self.features:
            asked: Iterable[BaseGeometry] = next(
                (areas for floor, top, *areas in bands if floor < z <= top), (NOTHING,) * 3
            )
            required, allowed, kept = (a.intersection(metal) for a in asked)
            slices.append(FeatureSlice(name, required, allowed, kept, reach))
        return Slice(
            z,
            shapely.box(-300, -300, 360, 340).difference(metal),
            shapely.union_all([s.required for s in slices]),
            shapely.union_all([s.allowed for s in slices]),
            shapely.union_all([s.kept for s in slices]),
            tuple(slices),
        )


def disc(x: float, y: float, d: float) -> BaseGeometry:
    return shapely.Point(x, y).buffer(d / 2, quad_segs=300)


def hole(name: str, x: float, y: float, depth: float) -> tuple[str, float, list]:  # type: ignore[type-arg]  # as Drawing takes it
    """A blind 5 mm hole; the point's cone below it may be cut."""
    cone = disc(x, y, 5)
    return (
        name,
        2.5,
        [
            (-depth, 0.0, disc(x, y, 5), NOTHING, NOTHING),
            (-depth - TIP, -depth, NOTHING, cone, NOTHING),
        ],
    )


def held(lines: list[str], target: Drawing, ranges: dict[str, tuple[str, str]]) -> Findings:
    """The proof; `ranges` names for a feature the first and last line of its own."""
    of = [FeatureLines(f, lines.index(a) + 1, lines.index(b) + 1) for f, (a, b) in ranges.items()]
    return prove(
        read_program("\n".join(lines)), target=target, blank=BLANK, cutters=CUTTERS,
        machine=MACHINE, tolerance=0.01, ranges=of,
    )  # fmt: skip


def errors(found: Findings) -> list[str]:
    return [p.text for p in found.problems if p.severity == "error"]


TWO_HOLES = Drawing(hole("left", 15, 20, 3), hole("right", 45, 20, 4))


def drilled(*, second: float = 45.0, depth: float = 4.0) -> list[str]:
    return [
        "G21 G90 G98",
        "T2 M6",
        "S1500 M3",
        "G0 Z10",
        f"G81 X15 Y20 Z{-3 - TIP:.4f} R1 F100",
        f"G83 X{second} Y20 Z{-depth - TIP:.4f} R1 Q1.5 F100",
        "G80",
        "M30",
    ]


def both(lines: list[str]) -> dict[str, tuple[str, str]]:
    return {"left": (lines[4], lines[4]), "right": (lines[5], lines[5])}


def test_right_holes_pass() -> None:
    found = held(drilled(), TWO_HOLES, both(drilled()))
    assert errors(found) == []
    assert max(found.gouge, found.uncut) < 0.002
    assert set(found.features) == {"left", "right"}


def test_a_hole_out_of_place_is_the_fault_of_its_feature() -> None:
    lines = drilled(second=45.05)
    found = held(lines, TWO_HOLES, both(lines))
    assert found.features["right"].gouge == pytest.approx(0.05, abs=0.002)
    assert found.features["right"].uncut == pytest.approx(0.05, abs=0.002)
    assert max(found.features["left"].gouge, found.features["left"].uncut) < 0.002
    [gouge] = [p for p in found.problems if p.text.startswith("gouge in right")]
    assert gouge.line == 6


def test_a_hole_drilled_short_stands() -> None:
    lines = drilled(depth=3.95)
    found = held(lines, TWO_HOLES, both(lines))
    # just above the floor, by the tolerance, the point is 0.05 - 0.01 mm short of its diameter
    short = 0.04 * math.tan(POINT / 2)
    assert found.features["right"].uncut == pytest.approx(short, abs=0.002)
    assert any("uncut in right" in t for t in errors(found))


def test_a_hole_drilled_deep_gouges() -> None:
    lines = drilled(depth=4.3)
    found = held(lines, TWO_HOLES, both(lines))
    assert any("gouge in right" in t for t in errors(found))


def test_pecks_go_back_into_their_own_hole() -> None:
    assert not [t for t in errors(held(drilled(), TWO_HOLES, {})) if "rapid" in t]


def test_reamer_needs_a_hole() -> None:
    reamed = ["T3 M6", "S300 M3", "G0 Z10", "G98 G85 X15 Y20 Z-3 R1 F60", "M2"]
    assert any("needs a hole first" in t for t in errors(held(reamed, TWO_HOLES, {})))
    after = [*drilled()[:-2], *reamed]
    assert not any("needs a hole" in t for t in errors(held(after, TWO_HOLES, {})))


# A profile round a 40 x 20 plate, through, with a tab 6 mm wide and 2 mm high on its lower side.
PART = shapely.box(10, 10, 50, 30)
KERF = PART.buffer(4, quad_segs=300).difference(PART)
TAB = shapely.box(27, 0, 33, 10).intersection(KERF)
TABBED = Drawing(
    (
        "rim",
        2.0,
        [
            (-4.0, 0.0, KERF, NOTHING, NOTHING),
            (-6.0, -4.0, KERF.difference(shapely.box(25, 0, 35, 10)), KERF, TAB),
        ],
    )
)


def around(*, tab_z: float, half: float = 5.0) -> list[str]:
    """Once at z -4, once through, lifting over the tab: its width and the cutter's radius."""
    lines = ["T1 M6", "S3000 M3", "G0 Z10", "G0 X20 Y8", "G0 Z1"]
    for z in (-4.0, -6.5):
        lines += [f"G1 Z{z} F100", f"G1 X{30 - half} F300"]
        lines += [f"G1 Z{max(z, tab_z)}", f"G1 X{30 + half}", f"G1 Z{z}"]
        lines += ["G1 X50", "G3 X52 Y10 J2", "G1 Y30", "G3 X50 Y32 I-2", "G1 X10"]
        lines += ["G3 X8 Y30 J-2", "G1 Y10", "G3 X10 Y8 I2", "G1 X20"]
    return [*lines, "G0 Z11", "M2"]


def test_right_tab_passes() -> None:
    lines = around(tab_z=-4.0)
    found = held(lines, TABBED, {"rim": (lines[4], lines[-2])})
    assert errors(found) == []
    assert max(found.gouge, found.reachable_uncut) < 0.002


@pytest.mark.parametrize(
    ("lines", "gouge"),
    [
        # all of its 2 mm: from its middle to its sides it is 3
        pytest.param(around(tab_z=-6.5), 2.0, id="tab milled away"),
        pytest.param(around(tab_z=-4.05), 0.05, id="tab too low"),
        pytest.param(around(tab_z=-4.0, half=4.9), 0.1, id="tab too narrow"),
    ],
)
def test_tab_cut_into(lines: list[str], gouge: float) -> None:
    found = held(lines, TABBED, {"rim": (lines[4], lines[-2])})
    assert found.gouge == pytest.approx(gouge, rel=0.02, abs=0.002)
    assert any("gouge in rim" in t for t in errors(found))


def test_cutter_under_the_lowest_allowed_but_a_point_may() -> None:
    deep = ["T1 M6", "S3000 M3", "G0 Z10", "X-10 Y-10", "G1 Z-7 F100", "M2"]
    assert any("the lowest Z allowed" in t for t in errors(held(deep, TWO_HOLES, {})))
    point = [deep[0].replace("T1", "T2"), *deep[1:]]
    assert not any("the lowest Z allowed" in t for t in errors(held(point, TWO_HOLES, {})))


def test_first_moves_count_as_from_above() -> None:
    lines = ["G21", "T1 M6", "S3000 M3", "G0 X15 Y20", "Z1", "G1 Z-1 F100", "G0 Z10", "M2"]
    found = prove(read_program("\n".join(lines)), target=None, blank=BLANK, cutters=CUTTERS)
    assert errors(found) == []
    assert [p.text for p in found.problems] == [
        "X and Y move before Z is known; assumed clear of the work"
    ]


CLAMPED = shapely.box(50, 30, 60, 40)


@dataclass(frozen=True)
class Clamp:
    """A clamp 10 mm square, standing 8 mm above the plate."""

    name: str = "the clamp"
    outline: BaseGeometry = CLAMPED
    bottom: float = -6.0
    top: float = 8.0
    remedy: str = "move"
    spare: float = 0.0


@pytest.mark.parametrize(
    ("lines", "hit"),
    [
        # the 4 mm cutter has 12 mm of flutes; its holder, 20 mm wide, begins 25 mm above the tip
        pytest.param(["G0 X55 Y35", "G0 Z9"], False, id="over it"),
        pytest.param(["G0 X55 Y35", "G0 Z7"], True, id="down on it"),
        pytest.param(["G0 X47 Y20", "G0 Z2", "G0 Y35"], False, id="past it"),
        pytest.param(["G0 X48.1 Y20", "G0 Z2", "G0 Y35"], True, id="into its side"),
        pytest.param(["G0 X41 Y35", "G0 Z-16.9"], False, id="holder just over it"),
        pytest.param(["G0 X41 Y35", "G0 Z-17.1"], True, id="holder into it"),
    ],
)
def test_keep_out_bodies(lines: list[str], hit: bool) -> None:
    mill = replace(MILL, holder=Holder(diameter=20, length=40))
    text = "\n".join(["T1 M6", "G0 Z20", *lines, "M2"])
    held = [Holding(0, (Clamp(),))]
    found = prove(read_program(text), target=None, blank=BLANK, cutters={1: mill}, holdings=held)
    assert any("into the clamp, " in t for t in errors(found)) is hit


def test_nothing_asked_is_nothing_proved() -> None:
    found = held(["G0 Z10", "M2"], Drawing(), {})
    assert any("nothing to cut" in t for t in errors(found))


def test_reading_problems_are_findings() -> None:
    found = held([*drilled()[:-1], "G1 X1 R5", "M30"], TWO_HOLES, {})
    assert not found.passed
    assert any("R needs an arc" in t for t in errors(found))


@pytest.mark.parametrize(
    ("lines", "count"),
    [
        pytest.param(["G0 X5 Z2", "Z10"], 0, id="nothing cut"),
        pytest.param(["G1 Z-1 F100", "X9", "G0 Z10", "X20", "Z12"], 1, id="cut, up, and up again"),
        pytest.param(["G1 Z-1 F100", "G0 Z2", "G1 Z-2", "X3", "G0 Z10"], 2, id="two cuts"),
        pytest.param(["G1 Z-1 F100", "G1 Z10", "G0 X9"], 0, id="up at the feed is no rapid"),
        pytest.param(["G81 X1 Y1 Z-5 R2 F100", "X9", "X20", "G80", "G0 Z10"], 3, id="holes"),
        pytest.param(["G83 X1 Y1 Z-9 R2 Q2 F100", "X9", "G80", "G0 Z10"], 2, id="pecked holes"),
        pytest.param(["G91 G81 X9 Z-5 R-1 F100 L3", "G80"], 3, id="three holes of one line"),
    ],
)
def test_retracts(lines: list[str], count: int) -> None:
    reading = read_program("\n".join(["T1 M6", "S500 M3 G99", "G0 X0 Y0 Z10", *lines, "M2"]))
    assert not reading.problems
    assert travel(reading, MACHINE).retracts == count


def test_time_lengths_and_box() -> None:
    text = "T1 M6\nG61 G0 X0 Y0 Z10\nX30\nG1 Z5 F300\nG2 X30 Y0 I-5 F600\nG4 P2\nM2"
    reading = read_program(text)
    found = prove(reading, target=None, blank=BLANK, cutters=CUTTERS, machine=MACHINE)
    way = travel(reading, MACHINE)
    assert way.rapid_length == 30
    assert way.cut_length == pytest.approx(5 + 10 * math.pi)
    # run up and down at 200 mm/s2: length / speed + speed / acceleration
    rapid, down, circle = 30 / 50 + 50 / 200, 5 / 5 + 5 / 200, 10 * math.pi / 10 + 10 / 200
    assert way.time_s == pytest.approx(rapid + down + circle + 2)
    assert found.blocks == 7
    assert found.cutters == (1,)
    # the circle's front and back, exact
    assert box_of(reading.moves) == found.box
    assert found.box is not None
    low, high = found.box
    assert low == pytest.approx((0, -5, 5))
    assert high == pytest.approx((30, 5, 10))


def test_any_program_is_proved_or_refused() -> None:
    """Kilometre arcs are refused before their chords fill the memory."""
    huge = ["G0 X0 Y0 Z-1", *["G2 X0 Y0 I900000 F100"] * 30, "M2"]
    found = held(["T1 M6", *huge], TWO_HOLES, {})
    assert any("too long to check" in t for t in errors(found))
    assert any("uncut" in t for t in errors(found))


number = st.one_of(st.integers(-9, 60).map(str), st.floats(-9, 60).map(lambda v: f"{v:.3f}"))
word = st.tuples(st.sampled_from(["X", "Y", "Z", "X", "Y", "Z-", "I", "J", "R", "F"]), number)
block = st.tuples(
    st.sampled_from(["G0 ", "G1 ", "G2 ", "G3 ", "", "G18 ", "G91 ", "G90 ", "G53 ", "T2 M6 "]),
    st.lists(word.map("".join), min_size=1, max_size=4).map(" ".join),
).map("".join)


@settings(max_examples=30, deadline=None)
@given(st.lists(block, max_size=12))
def test_no_program_breaks_the_proof_or_passes_by_chance(lines: list[str]) -> None:
    program = ["T1 M6", "S1000 M3 F100", "G0 X0 Y0 Z9", *lines, "M2"]
    found = held(program, TWO_HOLES, {})
    time_s = travel(read_program("\n".join(program)), MACHINE).time_s
    assert all(math.isfinite(v) and v >= 0 for v in (found.gouge, found.uncut, time_s))
    assert not found.passed
