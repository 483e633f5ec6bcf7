"""What a round hole may have besides its diameter: limits of size, and a shaped mouth."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Limits of a size, mm: the finished one lies between `least` and `most`. `fit`: its class."""

    nominal: float
    least: float
    most: float
    fit: str = ""

    @property
    def width(self) -> float:
        """Between the limits."""
        return self.most - self.least

    @property
    def middle(self) -> float:
        """What a program aims at."""
        return (self.least + self.most) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Counterbore:
    """Flat-bottomed widening of a hole's mouth, down to `floor` (program z)."""

    diameter: float
    floor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Countersink:
    """Cone of full `angle` (radians) that is `diameter` wide at height `mouth` (program z)."""

    diameter: float
    angle: float
    mouth: float

    @property
    def tip(self) -> float:
        """z of the cone's tip."""
        return self.mouth - self.diameter / 2 / math.tan(self.angle / 2)
