"""Published cutting data that a program's cuts are held against.

Books differ by a factor of two, and the table's figures are their lower half: only twice the
table's is called too much. Where the material is not known the most forgiving of the table is
taken, so that whatever is warned of is wrong in every material.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from gcodekit.job.workshop.machine import Machine
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material, materials
from gcodekit.trade.milling import TOOTH_LIMIT, finest_chip, plunge_share
from gcodekit.trade.own_figures import FASTER, RUBBING_SHARE
from gcodekit.trade.rates import MOTOR_SHARE, STIFFNESS, drill_feed, stiffness

# Of the diameter: deeper than this no end mill goes at full width. Common practice, no source.
DEEPEST_SLOT = 1.0
# What cells and mean values may be off.
MEASURED_SLACK = 1.25


@dataclass(frozen=True)
class CuttingData:
    """Material and machine, each None where it is not known."""

    material: Material | None = None
    machine: Machine | None = None
    # what the job asks for straight down where it is more than the table's, mm/min
    plunged: float = 0.0

    @cached_property
    def _materials(self) -> tuple[Material, ...]:
        return materials() if self.material is None else (self.material,)

    @property
    def named(self) -> str:
        """The material, in words that follow a limit."""
        if self.material is not None:
            return f"in {self.material.name}"
        return "in any material (none given: judged by the softest)"

    @property
    def power(self) -> float | None:
        """W that reach the cutter."""
        power = self.machine.spindle.power if self.machine else None
        return None if power is None else MOTOR_SHARE * power

    def faster_than_machine(self, feed: float) -> bool:
        """An error of its own (`machine_limits.py`): what such a feed would cut is not judged."""
        return self.machine is not None and feed > self.machine.feed_max * MEASURED_SLACK

    def thickest_chip(self, cutter: Cutter) -> float:
        """The thickest chip that a milling cutter's teeth take, mm."""
        chip = max(m.chip for m in self._materials)
        return FASTER * chip * min(cutter.diameter, TOOTH_LIMIT)

    def thinnest_chip(self, cutter: Cutter) -> float:
        """Feed per tooth below which a milling cutter rubs, mm."""
        return finest_chip(cutter)

    def plunge_feed(self, cutter: Cutter, speed: float) -> float:
        """The greatest feed straight down of a milling cutter, mm/min."""
        chip = self.thickest_chip(cutter)
        return max(chip * cutter.flutes * speed * plunge_share(cutter), self.plunged)

    def drill_feeds(self, drill: Cutter) -> tuple[float, float]:
        """Least and greatest feed per turn of a drill, mm."""
        feeds = [drill_feed(m, drill.diameter) for m in self._materials]
        return RUBBING_SHARE * min(feeds), FASTER * max(feeds)

    def deepest_slot(self, cutter: Cutter) -> float:
        """The deepest cut at full width, mm."""
        stands = stiffness(self.machine.rigidity) if self.machine else max(STIFFNESS.values())
        share = FASTER * stands * max(m.slot for m in self._materials)
        return min(share * min(cutter.diameter, TOOTH_LIMIT), DEEPEST_SLOT * cutter.diameter)

    @property
    def steepest_ramp(self) -> float:
        """The steepest ramp or helix into stock, radians."""
        return math.radians(FASTER * max(m.ramp for m in self._materials))

    def watts(
        self, *, depth: float, width: float, feed: float, chip_load: float, diameter: float
    ) -> float:
        """At the cutter: P = ap ae vf kc / 60 000 with ap, ae in mm, vf in mm/min, kc in N/mm2 at
        the mean chip, hm = fz sqrt(ae / D). Source: from memory of machining textbooks."""
        chip = chip_load * math.sqrt(min(width / diameter, 1.0))
        kc = min(m.specific_force(chip) for m in self._materials)
        return depth * width * feed * kc / 60_000
