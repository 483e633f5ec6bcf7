"""The way over many places: against every order, closed forms, and a bound from below.

How long it takes is measured by tests/benchmarks/hole_order.py.
"""

from __future__ import annotations

import importlib.util
import itertools
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gcodekit.toolpath.shortest_way import ALL_ORDERS, MOST_MENDED, shortest_way, way_length


def _beside() -> Any:
    path = Path(__file__).parent / "least_way.py"
    spec = importlib.util.spec_from_file_location("least_way", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


least_way = _beside().least_way


def scattered(count: int, seed: int) -> list[tuple[float, float]]:
    points = np.random.default_rng(seed).uniform(0, 100, (count, 2)).round(3)
    return [(x, y) for x, y in points.tolist()]


def shuffled(places: list[tuple[float, float]], seed: int = 5) -> list[tuple[float, float]]:
    order = np.random.default_rng(seed).permutation(len(places))
    return [places[i] for i in order]


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("count", [3, 5, 7])
def test_few_places_in_the_shortest_of_all_orders(count: int, seed: int) -> None:
    places = scattered(count, seed)
    best = min(map(way_length, itertools.permutations(places)))
    assert way_length(shortest_way(places)) == pytest.approx(best, rel=1e-12)


@pytest.mark.parametrize("count", [ALL_ORDERS, ALL_ORDERS + 1, 50, 200])
def test_random_places_within_a_twentieth_of_a_bound(count: int) -> None:
    places = scattered(count, count)
    found = way_length(shortest_way(places))
    assert least_way(np.array(places)) <= found * (1 + 1e-9)
    assert found <= 1.05 * least_way(np.array(places))


@pytest.mark.parametrize(("across", "up"), [(4, 4), (12, 9), (40, 25)])
def test_grid(across: int, up: int) -> None:
    """No step is shorter than the pitch, and to and fro every one is as short: (n - 1) pitches."""
    grid = [(2.5 * i, 2.5 * j) for j in range(up) for i in range(across)]
    least = (len(grid) - 1) * 2.5
    assert way_length(shortest_way(grid)) <= 1.05 * least
    assert way_length(shortest_way(shuffled(grid))) <= 1.05 * least


def test_pitch_circle() -> None:
    """Round the circle, leaving out one chord."""
    ring = [(math.cos(k * math.tau / 24), math.sin(k * math.tau / 24)) for k in range(24)]
    found = way_length(shortest_way(shuffled(ring)))
    assert found == pytest.approx(23 * 2 * math.sin(math.pi / 24), rel=1e-9)


def test_row_runs_from_the_end_written_first() -> None:
    row = [(5.0 * k, 1.0) for k in range(30)]
    assert shortest_way(row) == tuple(row)
    assert shortest_way(row[::-1]) == tuple(row[::-1])


def test_more_than_can_be_mended_go_to_and_fro() -> None:
    grid = [(i % 200, i // 200) for i in range(MOST_MENDED + 200)]
    found = shortest_way(shuffled([(float(x), float(y)) for x, y in grid]))
    assert sorted(found) == sorted(grid)
    assert way_length(found) < 1.5 * len(grid)


@given(
    st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), min_size=1, max_size=40),
    st.sampled_from([1.0, 0.3]),
)
def test_every_place_comes_once(cells: list[tuple[int, int]], pitch: float) -> None:
    """Places that lie on each other too."""
    places = [(x * pitch, y * pitch) for x, y in cells]
    found = shortest_way(places)
    assert sorted(found) == sorted(places)
    assert math.dist(found[0], places[0]) <= math.dist(found[-1], places[0])
