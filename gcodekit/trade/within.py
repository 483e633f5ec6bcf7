"""A cutter in a material on a machine: the rates of any cut it may take."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.cutting import Rates, SpindleLimits
from gcodekit.trade.materials import Material
from gcodekit.trade.milling import milling
from gcodekit.trade.stiffness import Rigidity


@dataclass(frozen=True, slots=True)
class Within:
    """All that the rates of a roughing cut depend on, but for its width and depth."""

    material: Material
    cutter: Cutter
    spindle: SpindleLimits
    feed_max: float
    rigidity: Rigidity

    def rates(self, width: float | None, depth: float | None) -> Rates:
        """As `milling` finds them, mm."""
        return milling(
            self.material,
            self.cutter,
            spindle=self.spindle,
            feed_max=self.feed_max,
            rigidity=self.rigidity,
            width=width,
            depth=depth,
        )


def equal_passes(size: float, step: float) -> int:
    """How many equal passes no larger than a step make a size, mm; one at least."""
    return max(1, math.ceil(size / step - 1e-6))
