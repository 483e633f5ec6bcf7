"""Lines and arcs drawn on top of one another: one of them is enough."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from gcodekit.geometry.chain import Arc, Points, Segment, same

# Two pieces are one when their ends and middles are this near, mm.
ON_TOP = 1e-3


def drawn_twice(segments: Sequence[Segment]) -> NDArray[np.int64]:
    """For every segment the index of the first one that lies where it lies; its own where none.

    Likeness is told on a grid, and on another shifted by half of it, so that neither the number
    of pieces in one place nor rounding matters.
    """
    first = np.arange(len(segments))
    if not len(segments):
        return first
    keys = _keys(segments)
    for shift in (0.0, 0.5):
        cells = np.floor(keys / ON_TOP + shift).astype(np.int64)
        _, at, back = np.unique(cells, axis=0, return_index=True, return_inverse=True)
        first = np.minimum(first, at[back.reshape(-1)])
    return first


def _keys(segments: Sequence[Segment]) -> Points:
    """Ends in order of place, and the middle; of a full circle its centre and radius, (n, 6)."""
    rows = []
    for s in segments:
        if isinstance(s, Arc) and same(s.start, s.end):
            rows.append((*s.centre, *s.centre, s.radius, s.radius))
        else:
            # ends alike but for rounding must not change places: compared on a coarse scale
            a, b = sorted((s.start, s.end), key=lambda p: (round(p[0], 4), round(p[1], 4)))
            rows.append((*a, *b, *s.point_at(s.length / 2)))
    return np.array(rows)
