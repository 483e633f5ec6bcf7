"""What the set-ups before have cut, as the set-up at hand sees it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.job.frames import Vector, along, seen_axes
from gcodekit.job.model import Setup
from gcodekit.part.asked import Asked

_QUARTER = math.pi / 2


@dataclass(frozen=True, slots=True)
class Earlier:
    """An earlier set-up with the same face up and what its features asked for, by their names.
    `setup` is the one at hand."""

    cut_in: Setup
    asked: Mapping[str, Asked]
    setup: Setup

    @property
    def _offset(self) -> Vector:
        """The earlier program zero in the coordinates at hand."""
        gap = [a - b for a, b in zip(self.cut_in.origin, self.setup.origin, strict=True)]
        x, y, z = (along(row, (gap[0], gap[1], gap[2])) for row in _axes(self.setup))
        return (x, y, z)

    def z_here(self, z: float) -> float:
        """A height of the earlier set-up in the coordinates at hand."""
        return z + self._offset[2]

    def placed(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape of the earlier set-up's plane in the coordinates at hand."""
        now, then, (dx, dy, _) = _axes(self.setup), _axes(self.cut_in), self._offset
        (a, b), (c, d) = ([along(row, old) for old in then[:2]] for row in now[:2])
        turn, move = np.array([[a, c], [b, d]]), np.array([dx, dy])
        return shapely.transform(shape, lambda points: points @ turn + move)

    def cut_at(self, z: float) -> list[BaseGeometry]:
        """All that was cut there, at a height of the coordinates at hand."""
        then = z - self._offset[2]
        shapes = (s for a in self.asked.values() for s in (a.must_at(then), a.may_at(then)))
        return [self.placed(s) for s in shapes]


def _axes(setup: Setup) -> tuple[Vector, Vector, Vector]:
    return seen_axes(setup.up, round(setup.turn / _QUARTER))
