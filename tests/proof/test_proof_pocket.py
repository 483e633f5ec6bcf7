"""Hand-written programs against a hand-built drawing: right ones pass, planted faults are found.

The drawing: a block 40 x 30 x 10, z 0 on top; a pocket 20 x 14 x 3 in its middle, sharp corners,
with or without a round island. All of it plain shapely boxes and discs.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.job.workshop.machine import Machine, Spindle
from gcodekit.proof.chords import FeatureLines
from gcodekit.proof.findings import Blank, Findings
from gcodekit.proof.prove import prove
from gcodekit.rs274 import read_program
from gcodekit.target.target import FeatureSlice, Slice
from gcodekit.trade.cutter import Cutter

BLOCK = shapely.box(0, 0, 40, 30)
OUTLINE = shapely.box(10, 8, 30, 22)
NOTHING = shapely.Polygon()
EVERYWHERE = shapely.box(-500, -500, 540, 530)
BLANK = Blank(at=lambda z: BLOCK if -10 <= z <= 0 else NOTHING, bottom=-10.0, top=0.0, lowest=-10.0)
MACHINE = Machine(
    name="bench mill",
    travel=(300, 160, 180),
    rapid=2400,
    feed_max=1200,
    acceleration=150,
    spindle=Spindle(slowest=100, fastest=4000),
)
CUTTERS = {
    1: Cutter(
        number=1,
        name="4 mm",
        kind="end mill",
        diameter=4,
        flute_length=11,
        stickout=25,
        shank=4,
        centre_cutting=True,
    ),
    2: Cutter(
        number=2,
        name="4 mm, no centre",
        kind="end mill",
        diameter=4,
        flute_length=11,
        stickout=25,
        shank=4,
    ),
    3: Cutter(
        number=3,
        name="4 mm stub",
        kind="end mill",
        diameter=4,
        flute_length=2,
        stickout=25,
        shank=4,
        centre_cutting=True,
    ),
}


class PocketDrawing:
    """A pocket to z -3, with what stands in it."""

    threads = ()

    def __init__(self, area: BaseGeometry, *, reach: float = 2.0, floor: float = -3.0) -> None:
        self.area, self.reach, self.floor = area, reach, floor

    @property
    def levels(self) -> tuple[float, ...]:
        return (0.0, self.floor, -10.0)

    def asks(self, z: float) -> bool:
        return not self.slice(z).required.is_empty

    def slice(self, z: float) -> Slice:
        metal = BLANK.at(z)
        required = self.area if self.floor < z <= 0 else NOTHING
        feature = FeatureSlice("pocket", required, NOTHING, NOTHING, self.reach)
        return Slice(z, EVERYWHERE.difference(metal), required, NOTHING, NOTHING, (feature,))


POCKET = PocketDrawing(OUTLINE)
ISLAND = PocketDrawing(OUTLINE.difference(shapely.Point(20, 15).buffer(3, quad_segs=200)))

HEAD = ["G21 G90 G17 G94", "T1 M6", "S3000 M3", "G0 Z5"]
TAIL = ["G0 Z5", "M5", "M2"]


def ring(x0: float, y0: float, x1: float, y1: float) -> list[str]:
    """Once round a rectangle from its lower left corner."""
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
    return [f"G1 X{x:.4f} Y{y:.4f}" for x, y in corners]


def pocket_lines(
    *, wall: float = 0.0, z: float = -3.0, rings: int = 3, cutter: int = 1, step: float = 2.0
) -> list[str]:
    """Rings from the wall inwards; `wall` moves the outermost outwards."""
    lines = [HEAD[0], f"T{cutter} M6", *HEAD[2:]]
    for n in range(rings):
        d = 2.0 + step * n - (wall if n == 0 else 0.0)
        x0, y0, x1, y1 = 10 + d, 8 + d, 30 - d, 22 - d
        lines += [f"G0 X{x0:.4f} Y{y0:.4f}", "G0 Z1", f"G1 Z{z:.4f} F100", "F300"]
        lines += [*ring(x0, y0, x1, y1), "G0 Z5"]
    return lines + TAIL


def island_lines(*, around: float = 5.0, cleared: bool = False) -> list[str]:
    """The pocket round the island: the outer ring, then circles about the island."""
    lines = [*HEAD, "G0 X12 Y10", "G0 Z1", "G1 Z-3 F100", *ring(12, 10, 28, 20), "G0 Z5"]
    lines += [f"G0 X{20 - around:.4f} Y15", "G0 Z1", "G1 Z-3 F100"]
    lines += [f"G2 X{20 - around:.4f} Y15 I{around:.4f} J0", "G0 Z5"]
    for x in (13.5, 26.5):
        lines += [f"G0 X{x} Y10", "G0 Z1", "G1 Z-3 F100", f"G1 X{x} Y20", "G0 Z5"]
    for x in (15.0, 25.0):
        lines += [f"G0 X{x} Y10", "G0 Z1", "G1 Z-3 F100", f"G1 X{x} Y11"]
        lines += ["G0 Z5", f"G0 X{x} Y19", "G0 Z1", "G1 Z-3 F100", f"G1 X{x} Y20", "G0 Z5"]
    if cleared:
        lines += ["G0 X15 Y15", "G0 Z1", "G1 Z-3 F100", "G1 X25", "G1 X15 Y15", "G0 Z5"]
        lines += ["G0 X20 Y15", "G0 Z1", "G1 Z-3 F100", "G1 Y17", "G1 Y13", "G0 Z5"]
    return lines + TAIL


def held(lines: list[str], target: PocketDrawing | None = POCKET) -> Findings:
    """The proof of a program, all its lines written for the pocket."""
    reading = read_program("\n".join(lines), "part.nc")
    return prove(
        reading,
        target=target,
        blank=BLANK,
        cutters=CUTTERS,
        machine=MACHINE,
        tolerance=0.01,
        ranges=[FeatureLines("pocket", 1, len(lines))],
    )


def errors(found: Findings) -> list[str]:
    return [p.text for p in found.problems if p.severity == "error"]


def without(text: str) -> Callable[[list[str]], list[str]]:
    return lambda lines: [line for line in lines if line != text]


def test_right_pocket_passes() -> None:
    found = held(pocket_lines())
    assert errors(found) == []
    assert found.gouge < 0.002
    assert found.reachable_uncut < 0.002
    # a sharp corner keeps the cutter's radius: (sqrt 2 - 1) r from the corner to the cut
    assert found.uncut == pytest.approx((math.sqrt(2) - 1) * 2, abs=0.01)
    assert found.features["pocket"].gouge == found.gouge


def test_right_island_passes() -> None:
    found = held(island_lines(), ISLAND)
    assert errors(found) == []
    assert found.gouge < 0.002
    assert found.reachable_uncut < 0.002


@pytest.mark.parametrize(
    ("lines", "target", "gouge", "near"),
    [
        pytest.param(pocket_lines(wall=0.03), POCKET, 0.03, 0.001, id="wall 0.03 mm outside"),
        pytest.param(island_lines(around=4.97), ISLAND, 0.03, 0.001, id="island 0.03 mm small"),
        pytest.param(island_lines(cleared=True), ISLAND, 3.0, 0.02, id="island milled away"),
        # nothing may go there at all, and upright it is 0.02 mm to where it may
        pytest.param(pocket_lines(z=-3.02), POCKET, 0.02, 0.001, id="floor 0.02 mm deep"),
        pytest.param(pocket_lines(z=-5), POCKET, 2.0, 0.02, id="floor 2 mm deep"),
    ],
)
def test_gouge_found(lines: list[str], target: PocketDrawing, gouge: float, near: float) -> None:
    found = held(lines, target)
    assert found.gouge == pytest.approx(gouge, abs=near)
    assert any(t.startswith("gouge in pocket") for t in errors(found))


@pytest.mark.parametrize(
    ("lines", "target", "standing", "near"),
    [
        # in a corner both walls stand 0.03 mm inside
        pytest.param(
            pocket_lines(wall=-0.03), POCKET, 0.03 * math.sqrt(2), 0.0015, id="wall 0.03 mm inside"
        ),
        # the ridge is widest at its corners: s from the outer cut's corner, where
        # s = (3 sqrt 2 - 2) - s sqrt 2
        pytest.param(
            pocket_lines(step=5.0, rings=2),
            POCKET,
            (3 * math.sqrt(2) - 2) / (1 + math.sqrt(2)),
            0.005,
            id="ridge 1 mm wide left",
        ),
        pytest.param(pocket_lines(z=-2.98), POCKET, 0.02, 0.001, id="floor 0.02 mm high"),
        pytest.param(island_lines(), POCKET, 3.0, 0.02, id="pillar left"),
        # all of the pocket's depth: its sides are farther apart
        pytest.param([*HEAD, *TAIL], POCKET, 3.0, 0.02, id="nothing cut"),
        pytest.param([], POCKET, 3.0, 0.02, id="empty program"),
    ],
)
def test_standing_found(
    lines: list[str], target: PocketDrawing, standing: float, near: float
) -> None:
    found = held(lines, target)
    assert found.reachable_uncut == pytest.approx(standing, abs=near)
    assert any(t.startswith("uncut in pocket") for t in errors(found))


def test_slot_exactly_as_wide_as_its_cutter_must_be_cut() -> None:
    slot = PocketDrawing(shapely.box(10, 13, 30, 17), reach=2.0)
    assert held([*HEAD, *TAIL], slot).reachable_uncut == pytest.approx(3.0, abs=0.02)
    cut = [*HEAD, "G0 X12 Y15", "G0 Z1", "G1 Z-3 F100", "G1 X28", *TAIL]
    found = held(cut, slot)
    assert errors(found) == []
    assert found.reachable_uncut < 0.002
    assert found.gouge < 0.002


def test_slot_cut_too_wide() -> None:
    slot = PocketDrawing(shapely.box(10, 13, 30, 17), reach=2.0)
    wide = [*HEAD, "G0 X12 Y15", "G0 Z1", "G1 Z-3 F100", "G1 X28", "G1 Y15.04", "G1 X12", *TAIL]
    assert held(wide, slot).gouge == pytest.approx(0.04, abs=0.001)


def test_problem_names_line_and_place() -> None:
    lines = pocket_lines(wall=0.03)
    [problem] = [p for p in held(lines).problems if p.text.startswith("gouge")]
    assert lines[problem.line - 1].startswith(("G1 X", "G1 Z"))
    assert problem.where is not None
    x, y, z = problem.where
    assert OUTLINE.exterior.distance(shapely.Point(x, y)) == pytest.approx(0.03, abs=0.002)
    assert -3 <= z <= 0


def with_line(after: str, new: list[str]) -> list[str]:
    """The right pocket with lines put in after the first `after`."""
    lines = pocket_lines()
    at = lines.index(after) + 1
    return lines[:at] + new + lines[at:]


@pytest.mark.parametrize(
    ("lines", "text"),
    [
        pytest.param(
            with_line("G0 X12.0000 Y10.0000", ["G0 Z-1"]), "rapid into stock", id="down into metal"
        ),
        pytest.param(
            with_line("G1 X12.0000 Y20.0000", ["G0 X20 Y15"]), "rapid into stock", id="across metal"
        ),
        pytest.param(
            with_line("G1 X12.0000 Y20.0000", ["G0 Z-0.1", "G0 X2"]),
            "rapid into stock",
            id="too low over the top",
        ),
        pytest.param(without("S3000 M3")(pocket_lines()), "spindle stopped", id="no spindle"),
        pytest.param(
            [line.replace("F100", "").replace("F300", "") for line in pocket_lines()],
            "no feed",
            id="no feed",
        ),
        pytest.param(
            [line.replace("F300", "F1300") for line in pocket_lines()],
            "above the machine's limit, 1200 mm/min",
            id="feed too high",
        ),
        pytest.param(
            [line.replace("S3000", "S5000") for line in pocket_lines()],
            "outside the machine's",
            id="speed too high",
        ),
        pytest.param(pocket_lines(cutter=9), "cutter 9 is not in the rack", id="unknown cutter"),
        pytest.param(pocket_lines(cutter=2), "no teeth at its centre", id="cannot plunge"),
        pytest.param(pocket_lines(cutter=3), "flutes too short", id="flutes too short"),
        pytest.param(with_line("G0 Z5", ["G0 X400"]), "X travels", id="too far"),
        pytest.param(pocket_lines(z=-10.5), "the lowest Z allowed", id="too deep"),
        pytest.param(without("M2")(pocket_lines()), "no end", id="no end"),
        pytest.param(["G90", "G0 X1 Y1", "X5 Y5", "M2"], "before Z is known", id="x, y before z"),
        pytest.param(["G90", "G0 Z-1", "M2"], "at an unknown X or Y", id="down at unknown x, y"),
        pytest.param(
            ["G90", "G0 Z1", "G1 X5 F100", "M2"], "unknown position", id="feed from unknown"
        ),
    ],
)
def test_fault_found(lines: list[str], text: str) -> None:
    found = held(lines)
    assert any(text in t for t in errors(found)), found.problems


@pytest.mark.parametrize(
    "lines",
    [
        pytest.param(
            with_line("G1 X28.0000 Y20.0000", ["G0 X28 Y10", "G0 X28 Y20", "G0 Y10"]),
            id="along its own cut",
        ),
        pytest.param(
            [*pocket_lines()[:-3], "G0 X12 Y10", "G0 Z-3", "G0 Y20", *TAIL], id="down where cut"
        ),
    ],
)
def test_rapids_in_the_open_pass(lines: list[str]) -> None:
    assert [t for t in errors(held(lines)) if "rapid" in t] == []


def test_rapid_near_the_limit() -> None:
    """2 micrometres is the limit: 5 is found, 1 is not."""
    base = [*HEAD, "G0 X12 Y15", "G0 Z1", "G1 Z-3 F100", "G1 X28"]
    for off, bad in ((0.001, False), (0.005, True)):
        found = held([*base, f"G0 X28 Y{15 + off:.3f}", *TAIL], None)
        assert any("rapid" in t for t in errors(found)) is bad
