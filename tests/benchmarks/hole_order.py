"""How long the way over many holes is, and how long finding it takes.

    python tests/benchmarks/hole_order.py [COUNT ...]

Beside the length of the way what it is longer than a bound that no way can be shorter than: of a
grid (n - 1) pitches, of random places the bound of tests/toolpath/least_way.py.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

from gcodekit.toolpath.shortest_way import shortest_way, way_length

sys.path.insert(0, str(Path(__file__).parents[1] / "toolpath"))
from least_way import least_way


def main() -> None:
    """Random places, and a grid of them in any order."""
    for count in map(int, sys.argv[1:] or ("50", "200", "1000")):
        random = np.random.default_rng(count)
        across = max(1, round(count**0.5))
        grid = [(10.0 * (i % across), 10.0 * (i // across)) for i in range(count)]
        places = {
            "random": [tuple(p) for p in random.uniform(0, 100, (count, 2)).tolist()],
            "grid": [grid[i] for i in random.permutation(count)],
        }
        for name, some in places.items():
            began = time.perf_counter()
            length = way_length(shortest_way(some))
            took = time.perf_counter() - began
            least = 10.0 * (count - 1) if name == "grid" else least_way(np.array(some))
            print(f"{count} {name}: {length:.0f} mm, {length / least - 1:.1%} over, {took:.2f} s")


if __name__ == "__main__":
    main()
