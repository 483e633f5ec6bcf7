"""Lengths, time, what is left and what is gouged, of programs small enough to reckon by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from engagement.metrics import Machine, Metrics, measure
from engagement.speed import DEVIATION, Pieces, seconds
from engagement.ways import read_level

R = 3.0
# 24 x 16: rooms for the centre 18 x 10
AREA = shapely.box(0, 0, 24, 16)
HEAD = "G21 G90 G17\nT1 M6\nS1000 M3\nG0 Z5\nG0 X3 Y3\nG0 Z1\nG1 Z-2 F300\n"
RING = "G1 X21 F1500\nY13\nX3\nY3\n"


def of(body: str, *, ae: float = 1.2, machine: Machine | None = None) -> Metrics:
    level = read_level(HEAD + body + "G0 Z5\nM2\n", feed=1500)
    return measure(level, AREA, radius=R, ae=ae, machine=machine)


class TestLengths:
    def test_ring_and_link(self) -> None:
        found = of(RING + "G1 X6 Y6 F3000\nG1 X18 Y6 F1500\n")
        reach = 24 * 16 - (4 - math.pi) * R**2
        assert found.cut_length == pytest.approx(2 * (18 + 10) + 12)
        assert found.link_length == pytest.approx(3 * math.sqrt(2))
        assert found.cut_ratio == pytest.approx(68 * 1.2 / reach, rel=1e-4)
        assert found.total_ratio == pytest.approx((68 + 4.2426) * 1.2 / reach, rel=1e-4)
        assert found.blocks == pytest.approx(5 / 68)
        assert (found.retracts, found.entries) == (0, 1)

    def test_retract_counts_and_a_lift_within_the_pocket_does_not(self) -> None:
        over = RING + "G0 Z5\nX10 Y8\nZ1\nG1 Z-2 F300\nX14 F1500\n"
        assert of(over).retracts == 1
        assert of(over).entries == 2
        low = RING + "G0 Z-1.5\nX10 Y3\nG1 Z-2 F300\nX14 F1500\n"
        assert of(low).retracts == 0
        assert of(low).link_length == pytest.approx(7)

    def test_link_through_metal(self) -> None:
        # from the ring's corner across the middle, where metal stands
        wide = shapely.box(0, 0, 40, 40)
        level = read_level(
            HEAD + "G1 X37 F1500\nY37\nX3\nY3\nG1 X37 Y37 F3000\nG1 X36 F1500\nG0 Z5\nM2\n",
            feed=1500,
        )
        assert measure(level, wide, radius=R, ae=1.2).links_in_metal == 1
        assert of(RING + "G1 X21 F3000\nG1 X18 F1500\n").links_in_metal == 0

    def test_air_is_what_meets_nothing(self) -> None:
        once, twice = of(RING), of(RING + RING)
        assert once.air == pytest.approx(0, abs=0.1)
        assert twice.air == pytest.approx(0.5 + once.air / 2, abs=0.02)


class TestLoad:
    def test_slot_is_over_everywhere(self) -> None:
        found = of("G1 X21 F1500\n")
        assert found.over == pytest.approx(1)
        assert found.worst_phi == pytest.approx(math.pi, abs=1e-6)
        assert found.worst == pytest.approx(math.pi / math.acos(1 - 1.2 / 3), rel=1e-6)
        assert found.high == pytest.approx(found.worst, rel=1e-6)

    def test_full_width_asked_for_is_not_over(self) -> None:
        found = of("G1 X21 F1500\n", ae=2 * R)
        assert found.over == 0
        assert found.load_s == pytest.approx(found.plain_s)
        assert found.peak_s == pytest.approx(found.plain_s)


class TestLeft:
    def test_nothing_but_corners_after_ring_and_middle(self) -> None:
        found = of(RING + "G1 X6 Y8 F1500\nG1 X18 Y8 F1500\n")
        assert found.left < 1e-5
        assert found.lump == 0
        assert found.lump_at is None
        assert found.gouge < 1e-6

    def test_middle_left_standing(self) -> None:
        found = of(RING)
        # between the ring's passes 4 x 12 stands
        reach = 24 * 16 - (4 - math.pi) * R**2
        assert found.left == pytest.approx(4 * 12 / reach, rel=1e-3)
        # a pillar is as far from what is cleared as its middle
        assert found.lump == pytest.approx(2, abs=0.002)
        assert found.lump_at is not None
        assert shapely.box(7, 7, 17, 9).covers(shapely.Point(found.lump_at))

    def test_strip_at_a_wall_left_standing(self) -> None:
        found = of("G1 X21 F1500\nY12.7\nX3\nY3\nG1 X6 Y8\nX18\n")
        # its corners' fillet is as far away as its middle
        assert found.lump == pytest.approx(0.3, abs=0.002)
        assert found.lump_at is not None
        assert found.lump_at[1] > 15

    def test_gouge_by_how_far_the_body_leaves(self) -> None:
        assert of("G1 X21 F1500\nY13\nX2.9\nY3\n").gouge == pytest.approx(0.1, abs=1e-6)
        # the centre itself leaves the area
        assert of("G1 X26 F1500\n").gouge == pytest.approx(5, abs=1e-6)


class TestTime:
    def test_line_from_standing_to_standing(self) -> None:
        # v / a to gather, v / a to stop, and the rest at 25 mm/s
        machine = Machine(acceleration=300)
        found = of("G1 X21 F1500\n", ae=2 * R, machine=machine)
        assert found.plain_s == pytest.approx(18 / 25 + 25 / 300, rel=1e-9)

    def test_load_limits(self) -> None:
        slow = Machine(acceleration=1e9)
        found = of("G1 X21 F1500\n", machine=slow)
        assert found.peak_s == pytest.approx(18 / 25 * 6 / 1.2, rel=1e-3)
        assert found.load_s == pytest.approx(found.peak_s, rel=1e-3)

    def test_corner(self) -> None:
        one = pieces([[1, 0, 0], [0, 1, 0]])
        # a quarter turn: sin(45 degrees) / (1 - sin(45 degrees)) = 1 + sqrt(2)
        v = math.sqrt(300 * DEVIATION * (1 + math.sqrt(2)))
        each = 10 / 25 + 25 / 300 / 2 + (25 - v) ** 2 / (2 * 300 * 25)
        assert seconds(one, 300) == pytest.approx(2 * each, rel=1e-9)
        straight = pieces([[1, 0, 0], [1, 0, 0]])
        assert seconds(straight, 300) == pytest.approx(20 / 25 + 25 / 300, rel=1e-9)
        back = pieces([[1, 0, 0], [-1, 0, 0]])
        assert seconds(back, 300) == pytest.approx(2 * (10 / 25 + 25 / 300), rel=1e-9)

    def test_arc_is_as_slow_as_its_radius_asks(self) -> None:
        line = pieces([[1, 0, 0]] * 3)
        bent = replace(line, bend=np.array([math.inf, 0.75, math.inf]))
        # sqrt(300 * 0.75) = 15 mm/s
        ramp = 10 / 25 + 25 / 300 / 2 + 10**2 / (2 * 300 * 25)
        assert seconds(bent, 300) == pytest.approx(2 * ramp + 10 / 15, rel=1e-9)


def pieces(units: list[list[float]]) -> Pieces:
    """10 mm each at 25 mm/s."""
    way = np.array(units, dtype=float)
    n = len(way)
    return Pieces(np.full(n, 10.0), np.full(n, 25.0), np.full(n, math.inf), way, way)
