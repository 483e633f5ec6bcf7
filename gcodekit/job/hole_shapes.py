"""What a round hole may have besides its diameter: a shaped mouth."""

from __future__ import annotations

import math
from dataclasses import dataclass


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
