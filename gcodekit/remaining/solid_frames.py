"""Solids of the stock's frame in a set-up's coordinates, and back, mm."""

from __future__ import annotations

import math

import numpy as np
from manifold3d import Manifold
from numpy.typing import NDArray

from gcodekit.job.model import Setup

# How the block is turned about x and y, degrees, so that each of its faces comes up.
_TURNS = {
    "top": (0, 0),
    "bottom": (180, 0),
    "front": (-90, 0),
    "back": (90, 0),
    "left": (0, 90),
    "right": (0, -90),
}
Matrix = NDArray[np.float64]


def turned(up: str, turn: float = 0.0) -> Matrix:
    """The 3 by 3 matrix from the stock's axes to a set-up's; `turn` about its z, radians."""
    about_x, about_y = _TURNS[up]
    (cx, sx), (cy, sy), (cz, sz) = (_quarter(a) for a in (about_x, about_y, math.degrees(turn)))
    x = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]], dtype=np.float64)
    y = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]], dtype=np.float64)
    z = np.array([[cz, -sz, 0], [sz, cz, 0], [0, 0, 1]], dtype=np.float64)
    return np.asarray(z @ y @ x)


def _quarter(degrees: float) -> tuple[int, int]:
    """Cosine and sine of a whole number of quarter turns."""
    return ((1, 0), (0, 1), (-1, 0), (0, -1))[round(degrees / 90) % 4]


def into(setup: Setup, body: Manifold) -> Manifold:
    """A body of the stock's frame in a set-up's coordinates."""
    rows = turned(setup.up, setup.turn)
    return body.transform(np.column_stack([rows, -rows @ np.array(setup.origin)]))


def out_of(setup: Setup, body: Manifold) -> Manifold:
    """A body of a set-up's coordinates in the stock's frame."""
    back = turned(setup.up, setup.turn).T
    return body.transform(np.column_stack([back, np.array(setup.origin)]))
