"""No way over all of some places can be shorter than this.

A way is a spanning tree. Its length stays the same but for the numbers given to places when every
gap is made longer by the numbers of its two ends: 2 * (sum of the numbers) less those of the way's
two ends. The shortest spanning tree of the longer gaps, less that, is a bound for any numbers (Held
and Karp 1970, for closed ways); numbers that raise it are looked for by giving more to places where
the tree has many branches.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
STEPS = 300


def least_way(points: Array) -> float:
    """A length that no way over (n, 2) points is shorter than."""
    gaps = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    number = np.zeros(len(points))
    step, best = float(gaps.mean()) / len(points), 0.0
    wanted = np.full(len(points), 2)
    for _ in range(STEPS):
        length, branches = _tree(gaps + number[:, None] + number)
        ends = np.sort(number)[:2].sum()
        best = max(best, length - 2 * number.sum() + ends)
        wanted[:] = 2
        wanted[np.argsort(number)[:2]] = 1
        number += step * (branches - wanted)
        step *= 0.985
    return best


def _tree(gaps: Array) -> tuple[float, NDArray[np.int64]]:
    """The length of the shortest spanning tree (Prim 1957), and how many branches meet at each."""
    n = len(gaps)
    to, near = gaps[0].copy(), np.zeros(n, dtype=np.int64)
    to[0] = np.inf
    branches = np.zeros(n, dtype=np.int64)
    length, out = 0.0, np.ones(n, dtype=bool)
    out[0] = False
    for _ in range(n - 1):
        k = int(np.argmin(to))
        length += float(to[k])
        branches[k] += 1
        branches[near[k]] += 1
        out[k], to[k] = False, np.inf
        closer = out & (gaps[k] < to)
        to[closer], near[closer] = gaps[k][closer], k
    return length, branches
