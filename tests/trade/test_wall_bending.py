"""Thin walls under a force, against the formulas of beams and plates."""

from __future__ import annotations

import math

import pytest

from gcodekit.trade.wall_bending import WallShape, ring_shape, thick_enough

FORCE, MODULUS = 30.0, 70_000.0


def inertia(width: float, thickness: float) -> float:
    return width * thickness**3 / 12


@pytest.mark.parametrize(("height", "thickness", "length"), [(10, 1, 8), (20, 2, 30)])
def test_a_short_wall_is_a_cantilever(height: float, thickness: float, length: float) -> None:
    # Source: F L^3 / (3 E I), any book on beams.
    wall = WallShape(height, thickness, length)
    plain = FORCE * height**3 / (3 * MODULUS * inertia(length, thickness))
    assert wall.deflection(FORCE, height, MODULUS) == pytest.approx(plain)


def test_a_load_between_foot_and_top() -> None:
    # Source: Roark, cantilever with a load at a distance a from its foot: the end moves by the
    # deflection there, F a^3 / 3EI, and by its slope, F a^2 / 2EI, times the rest.
    wall, a = WallShape(20, 2, 10), 8.0
    stiff = MODULUS * inertia(10, 2)
    end = FORCE * a**3 / (3 * stiff) + FORCE * a**2 / (2 * stiff) * (20 - a)
    assert wall.deflection(FORCE, a, MODULUS) == pytest.approx(end)


def test_a_long_wall_is_a_cantilever_plate() -> None:
    # Source: Jaramillo 1950, in Timoshenko and Woinowsky-Krieger: 0.168 P c^2 / D at the load.
    plate = MODULUS * 1.5**3 / (12 * (1 - 0.3**2))
    wall = WallShape(15, 1.5, 1000)
    expected = 0.168 * FORCE * 15**2 / plate
    assert wall.deflection(FORCE, 15, MODULUS) == pytest.approx(expected, rel=2e-3)


def test_a_strip_between_two_ends_and_with_nothing_under_it() -> None:
    # Source: F L^3 / (192 E I), fixed at both ends; F L^3 / (3 E I) where one is free.
    stiff = MODULUS * inertia(6, 2)
    between = WallShape(6, 2, 50, rooted=False, ends=2)
    out = WallShape(6, 2, 50, rooted=False, ends=1)
    assert between.deflection(FORCE, 6, MODULUS) == pytest.approx(FORCE * 50**3 / (192 * stiff))
    assert out.deflection(FORCE, 6, MODULUS) == pytest.approx(FORCE * 50**3 / (3 * stiff))
    assert WallShape(6, 2, 50, rooted=False).deflection(FORCE, 6, MODULUS) == 0.0


def test_foot_and_ends_together_hold_better_than_either() -> None:
    foot = WallShape(20, 1, 12).deflection(FORCE, 20, MODULUS)
    ends = WallShape(20, 1, 12, ends=2).deflection(FORCE, 20, MODULUS)
    long = WallShape(20, 1, 500, ends=2).deflection(FORCE, 20, MODULUS)
    assert ends < foot / 2
    assert long == pytest.approx(WallShape(20, 1, 500).deflection(FORCE, 20, MODULUS), rel=0.01)


def test_a_ring() -> None:
    # Source: Roark, ring under two opposite forces: 0.1488 F R^3 / (E I) nearer to one another.
    radius, stiff = 25.0, MODULUS * inertia(8, 1)
    ring = ring_shape(8, 1, 2 * math.pi * radius, rooted=False)
    expected = 0.1488 / 2 * FORCE * radius**3 / stiff
    assert ring.deflection(FORCE, 8, MODULUS) == pytest.approx(expected, rel=0.01)


def test_thick_enough() -> None:
    thin = WallShape(20, 1, 100).deflection(FORCE, 20, MODULUS)
    thick = thick_enough(1, thin, 0.02)
    assert WallShape(20, thick, 100).deflection(FORCE, 20, MODULUS) == pytest.approx(0.02)
