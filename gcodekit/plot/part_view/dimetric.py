"""The dimetric projection: two axes true to scale, the third at half of it.

ISO 5456-3 (axonometric representations) has it with two axes at 7° and 42° to the horizontal, for
a body of which one face counts most. Those angles are rounded: here the projection is the true
one, square to the paper, at 7.18° and 41.42°, enlarged by 3/(2√2) so that the two axes measure
true. The face that counts most lies between those two.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
MainFace = Literal["top", "front"]
# Shares of the direction towards the eye, of which the squares add up to 1: along the two true
# axes 1/3, along the halved one √7/3. A true axis is then seen √(1 - 1/9) as long as it is.
_TRUE, _HALVED = 1 / 3, math.sqrt(7) / 3
_ENLARGED = 1 / math.sqrt(1 - _TRUE**2)
# Towards the eye, which is in front of the body, to its right and above it.
_TOWARDS: dict[MainFace, tuple[float, float, float]] = {
    "top": (_TRUE, -_TRUE, _HALVED),
    "front": (_TRUE, -_HALVED, _TRUE),
}
# A face nearer to edge-on than this (sine of the angle) has no width to show.
EDGE_ON = 1e-5


@dataclass(frozen=True, slots=True)
class Dimetric:
    """A view: unit vectors to the right and up on the paper, and towards the eye; z is upright."""

    right: Array
    up: Array
    towards: Array

    @staticmethod
    def of(main: MainFace) -> Dimetric:
        """The view in which this face counts most."""
        towards = np.array(_TOWARDS[main])
        right = np.array([-towards[1], towards[0], 0.0])
        right /= np.linalg.norm(right)
        return Dimetric(right, np.cross(towards, right), towards)

    def flat(self, points: Array) -> Array:
        """Places (n, 3) as they lie on the picture (n, 2), up being positive; mm at 1:1."""
        return np.asarray(_ENLARGED * (points @ np.column_stack([self.right, self.up])))

    def nearness(self, points: Array) -> Array:
        """How far towards the eye places (n, 3) lie, mm."""
        return np.asarray(points @ self.towards)

    def plane(self, normals: Array, points: Array) -> tuple[Array, Array]:
        """Planes (n, 3), each through a point (n, 3), as the picture has them: nearness is
        `slope` (n, 2) times the place on the picture plus `start` (n,)."""
        square = (normals @ self.towards)[:, None]
        slope = -(normals @ np.column_stack([self.right, self.up])) / (square * _ENLARGED)
        start = self.nearness(points) - np.sum(slope * self.flat(points), axis=1)
        return slope, start


def main_face(size: Array) -> MainFace:
    """The face that counts most of a body of this size: the top, where cutters come from, unless
    the body stands much taller than it is deep."""
    return "front" if size[2] > _TALL * size[1] else "top"


# From this many times as tall as deep its front says more of a body; common practice, no source.
_TALL = 1.5
