"""One set-up's plane as another with the same face up sees it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely import affinity
from shapely.geometry.base import BaseGeometry

from gcodekit.job.frames import along, seen_axes
from gcodekit.job.model import Setup


@dataclass(frozen=True, slots=True)
class Seen:
    """Turned by (cos, sin) about z, then moved by `shift`; mm."""

    cos: float
    sin: float
    shift: tuple[float, float, float]

    def area(self, shape: BaseGeometry) -> BaseGeometry:
        """A plane shape of the other set-up."""
        dx, dy, _ = self.shift
        if shape.is_empty:
            return shape
        return affinity.affine_transform(shape, [self.cos, -self.sin, self.sin, self.cos, dx, dy])

    def z(self, own: float) -> float:
        """A height of the other set-up."""
        return own + self.shift[2]

    def own_z(self, z: float) -> float:
        """A height as the other set-up has it."""
        return z - self.shift[2]


def seen_from(other: Setup, setup: Setup) -> Seen:
    """How `other`'s coordinates turn into `setup`'s. Both have the same face up."""
    assert other.up == setup.up
    mine = seen_axes(setup.up, round(setup.turn / (math.pi / 2)))
    theirs = seen_axes(other.up, round(other.turn / (math.pi / 2)))
    (ox, oy, oz), (sx, sy, sz) = other.origin, setup.origin
    between = (ox - sx, oy - sy, oz - sz)
    x, y, z = (along(axis, between) for axis in mine)
    # where the other's x axis points here
    return Seen(along(mine[0], theirs[0]), along(mine[1], theirs[0]), (x, y, z))
