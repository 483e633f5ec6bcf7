"""Maps of the plane: moved, turned, scaled, mirrored, sheared."""

from __future__ import annotations

import math
from typing import NamedTuple

from gcodekit.geometry.chain import Point


class Affine(NamedTuple):
    """x' = a x + c y + e, y' = b x + d y + f, the figures in the order that SVG writes them.

    Examples
    --------
    >>> Affine.moved(1, 2).after(Affine.scaled(3, 3)).point((1, 1))
    (4.0, 5.0)
    """

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    @staticmethod
    def moved(x: float, y: float) -> Affine:
        """Moved by x, y."""
        return Affine(e=x, f=y)

    @staticmethod
    def scaled(x: float, y: float) -> Affine:
        """Scaled about 0, 0."""
        return Affine(a=x, d=y)

    @staticmethod
    def turned(angle: float) -> Affine:
        """Turned counter-clockwise about 0, 0, radians."""
        c, s = math.cos(angle), math.sin(angle)
        return Affine(c, s, -s, c)

    def after(self, first: Affine) -> Affine:
        """`first`, then this."""
        return Affine(
            self.a * first.a + self.c * first.b,
            self.b * first.a + self.d * first.b,
            self.a * first.c + self.c * first.d,
            self.b * first.c + self.d * first.d,
            self.a * first.e + self.c * first.f + self.e,
            self.b * first.e + self.d * first.f + self.f,
        )

    def point(self, p: Point) -> Point:
        """Find where a point goes."""
        return (
            float(self.a * p[0] + self.c * p[1] + self.e),
            float(self.b * p[0] + self.d * p[1] + self.f),
        )

    def vector(self, v: Point) -> Point:
        """Find what becomes of a direction with its length."""
        return (self.a * v[0] + self.c * v[1], self.b * v[0] + self.d * v[1])

    @property
    def flat(self) -> bool:
        """Whether it squeezes the plane onto a line, or is not finite."""
        size = abs(self.a * self.d - self.b * self.c)
        return not (math.isfinite(size) and math.isfinite(self.e + self.f) and size > 1e-18)
