"""Leaders that cross one another: a reader takes one for the other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

_Points = NDArray[np.float64]


def which_cross(a: _Points, b: _Points, c: _Points, d: _Points) -> NDArray[np.bool_]:
    """Which of the lines from `a` to `b` crosses which of those from `c` to `d`."""

    def turn(p: _Points, q: _Points, r: _Points) -> _Points:
        to_q, to_r = q - p, r - p
        turned: _Points = to_q[..., 0] * to_r[..., 1] - to_q[..., 1] * to_r[..., 0]
        return turned

    a, b, c, d = a[:, None], b[:, None], c[None], d[None]
    cross: NDArray[np.bool_] = (turn(a, b, c) * turn(a, b, d) < 0) & (
        turn(c, d, a) * turn(c, d, b) < 0
    )
    return cross
