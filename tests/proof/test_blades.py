"""A slitting saw in programs typed by hand: what it takes at which height, and what its arbor, nut
and blade may not do in the stock."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely

from gcodekit.geometry.overlay import EMPTY, union
from gcodekit.proof.chords import segments_of
from gcodekit.proof.findings import Blank, Findings
from gcodekit.proof.prove import prove
from gcodekit.proof.sections import ProgramCut, section
from gcodekit.rs274 import read_program
from gcodekit.trade.cutter import Cutter, Holder, Nut

SAW = Cutter(
    number=1, name="50 mm saw", kind="slitting saw", diameter=50, flutes=40, flute_length=2,
    thickness=2, stickout=40, shank=12, nut=Nut(10.0, 3.0), holder=Holder(20.0, 30.0),
)  # fmt: skip
MILL = Cutter(
    number=2, name="6 mm", kind="end mill", diameter=6, flute_length=20, stickout=30, shank=6,
    centre_cutting=True,
)  # fmt: skip
CUTTERS = {1: SAW, 2: MILL}
BLOCK = shapely.box(0, 0, 60, 40)
BLANK = Blank(at=lambda z: BLOCK if -20 <= z <= 0 else EMPTY, bottom=-20.0, top=0.0, lowest=-20.0)
HEAD = "G21 G90 G17 G94 G40 G49 G80 G54\nG0 Z10\nT1 M6\nS200 M3\n"
# 12 mm deep from the front at Z-10: the axis 13 mm before the face.
KERF = "G0 X-30 Y-40\nG1 Z-10 F100\nY-13\nX90\nY-40\nG0 Z10\n"


def proved(text: str) -> Findings:
    reading = read_program(HEAD + text + "M5\nM2\n", "hand.nc")
    return prove(reading, target=None, blank=BLANK, cutters=CUTTERS)


def errors(text: str) -> list[str]:
    return [p.text for p in proved(text).problems if p.severity == "error"]


def test_a_kerf_is_as_high_as_the_blade() -> None:
    """12 x 60 x 2 by arithmetic, and the stock over it is still there."""
    moves = read_program(HEAD + KERF, "hand.nc").moves
    cut = ProgramCut(segments_of(moves, CUTTERS, (), top=0.0))
    for z, deep in ((-10.1, 0.0), (-9.9, 12.0), (-8.1, 12.0), (-7.9, 0.0), (-1.0, 0.0)):
        taken = union(cut.by_owner(z).values()).intersection(BLOCK)
        assert taken.area == pytest.approx(60 * deep, abs=0.05), z
    found = proved(KERF)
    assert found.passed, found.problems
    assert found.stock is not None
    assert found.stock.before - found.stock.left == pytest.approx(60 * 12 * 2, rel=0.01)


def test_a_blade_on_a_slope_is_where_its_tip_is() -> None:
    """From Z-10 at X10 to Z-6 at X50 the underside is at -8 at X30: closed form."""
    path = read_program(HEAD + "G0 X10 Y-60\nG1 Z-10 F100\nX50 Z-6\n", "hand.nc").moves[-1:]
    (segments,) = segments_of(path, CUTTERS, (), top=0.0)
    (swept,) = section(segments, -8.0)
    x0, _, x1, _ = swept.bounds
    assert (x0, x1) == pytest.approx((10 - 25, 30 + 25), abs=0.01)
    (swept,) = section(segments, -5.0)
    x0, _, x1, _ = swept.bounds
    assert (x0, x1) == pytest.approx((40 - 25, 50 + 25), abs=0.01)


def test_the_heights_that_tell_of_every_kerf() -> None:
    """A program of thousands of heights is looked at so finely that no blade lies between two."""
    rows = "".join(f"G0 X-30 Y-40\nG1 Z{-0.013 * k:.3f} F100\nY-13\nY-40\n" for k in range(1, 1200))
    moves = read_program(HEAD + rows, "hand.nc").moves
    found = ProgramCut(segments_of(moves, CUTTERS, (), top=0.0)).undercuts
    assert len(found) < 100
    assert max(b - a for a, b in pairwise(found)) <= SAW.flute_length / 2 + 1e-9


WITHIN_KERF = "G0 X-30 Y-40\nG1 Z-10 F100\nY-13\nX90\nG0 X-30\nY-40\nZ10\n"
OVER_KERF = "G0 X-30 Y-40\nG1 Z-10 F100\nY-13\nX90\nY-40\nG0 Z-9\nY-13\nX-30\nY-40\nZ10\n"


def test_a_rapid_back_in_the_kerf_is_clear_and_one_above_it_is_not() -> None:
    assert errors(WITHIN_KERF) == []
    assert any("rapid into stock" in e for e in errors(OVER_KERF))


def test_a_mill_finds_stock_over_the_kerf() -> None:
    """A rapid of an end mill down to the kerf's height is through what stands above it."""
    text = KERF + "T2 M6\nS1000 M3\nG0 X30 Y6\nG0 Z-9\nG0 Z10\n"
    assert any("rapid into stock" in e for e in errors(text))
    under = KERF + "T2 M6\nS1000 M3\nG0 X30 Y6\nG1 Z-7.5 F50\nG0 Z10\n"
    assert not any("rapid" in e for e in errors(under))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param(
            "G0 X-30 Y-40\nG1 Z-10 F100\nY-5\nX90\n", "arbor of cutter 1 into stock, 1 mm deep",
            id="arbor",
        ),
        pytest.param(
            "G0 X-30 Y-40\nG1 Z-2 F100\nY-4\nX90\n", "nut of cutter 1 into stock, 1 mm deep",
            id="nut under the blade",
        ),
        pytest.param(
            "G0 X-30 Y-40\nG1 Z-10 F100\nY-13\nX30\nZ-7\n", "goes up or down in the stock", id="up"
        ),
        pytest.param(
            "G0 X-30 Y-40\nG1 Z-10 F100\nY-13\nX30 Z-11\n", "goes up or down in the stock",
            id="on a slope",
        ),
        pytest.param(
            "G0 X30 Y-13\nG1 Z-10 F100\n", "cuts only at its rim", id="straight down"
        ),
        pytest.param(
            "G0 X-30 Y-40\nG1 Z-10 F100\nY-13\nX30\nG0 Z10\n", "rapid into stock", id="rapid up"
        ),
        pytest.param("G0 X30 Y20 Z2\n", "nut of cutter 1 into stock", id="nut over the top"),
    ],
)  # fmt: skip
def test_refused(text: str, said: str) -> None:
    found = errors(text)
    assert any(said in e for e in found), found


def test_the_arbor_is_clear_by_what_the_blade_stands_out() -> None:
    """The blade reaches 25, the arbor 6: 18.9 mm deep is clear, 19.1 is not."""
    for deep, clear in ((18.9, True), (19.1, False)):
        found = errors(f"G0 X-30 Y-60\nG1 Z-10 F100\nY{deep - 25:.3f}\nX90\nY-60\nG0 Z10\n")
        assert (found == []) is clear, found


def test_its_profile() -> None:
    assert SAW.body_radius_at(-1.0) == 5.0
    assert SAW.body_radius_at(0.0) == 25.0
    assert SAW.body_radius_at(2.0) == 6.0
    assert SAW.body_radius_at(40.0) == 10.0
    assert SAW.body_radius_at(-3.5) < 0
    assert math.isclose(SAW.lowest, -3.0)
