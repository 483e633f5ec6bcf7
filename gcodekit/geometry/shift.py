"""Where a copy of something drawn lies: mirrored, turned and moved in plan."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gcodekit.geometry.chain import Chain, Point, distance
from gcodekit.geometry.region import Region


@dataclass(frozen=True, slots=True)
class Shift:
    """One copy: mirrored, then turned, both about `about`, then moved."""

    mirror: str | None = None
    angle: float = 0.0
    about: Point = (0.0, 0.0)
    move: Point = (0.0, 0.0)

    @property
    def still(self) -> bool:
        """Whether the copy would lie on the original."""
        return not self.mirror and not self.angle and distance(self.move, (0.0, 0.0)) == 0

    def chain(self, chain: Chain) -> Chain:
        """A chain, walked in the same order."""
        if self.mirror:
            chain = chain.mirrored(self.mirror, self.about)
        if self.angle:
            chain = chain.turned(self.angle, self.about)
        return chain.moved(*self.move)

    def region(self, region: Region) -> Region:
        """A region."""
        if self.mirror:
            region = region.mirrored(self.mirror, self.about)
        if self.angle:
            region = region.turned(self.angle, self.about)
        return region.moved(*self.move)

    def point(self, point: Point) -> Point:
        """A point."""
        return self.chain(Chain.of_points([point, point], closed=False)).start

    def direction(self, direction: Point) -> Point:
        """A unit vector."""
        dx, dy = direction
        if self.mirror:
            dx, dy = (dx, -dy) if self.mirror == "x" else (-dx, dy)
        c, s = math.cos(self.angle), math.sin(self.angle)
        return (c * dx - s * dy, s * dx + c * dy)

    def span(self, start: float, end: float) -> tuple[float, float]:
        """From which angle to which a counter-clockwise arc goes."""
        if self.mirror:
            half_turn = 0.0 if self.mirror == "x" else math.pi
            start, end = half_turn - end, half_turn - start
        return start + self.angle, end + self.angle
