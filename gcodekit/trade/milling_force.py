"""Chips, force, power and deflection of a milling cut, from its geometry and Kienzle's formula.

Source: from memory of machining textbooks, unless a line says otherwise.

Glossary
--------
chip : thickness of what a tooth takes, square to its edge; it changes along the tooth's arc
thinning : thickest chip over feed per tooth: below 1 where a cut is narrower than half the cutter
bend : how far the tip of the cutter gives way under the cut
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import accumulate

from gcodekit.trade.cutter import Cutter, ToolMaterial
from gcodekit.trade.materials import Material

# N/mm2. From memory of materials handbooks.
MODULUS: dict[ToolMaterial, float] = {"hss": 210_000.0, "carbide": 600_000.0}
# Of the diameter: the plain bar that bends as the fluted part does. Source: Kops and Vo,
# Determination of the equivalent diameter of an end mill based on its compliance, CIRP Annals 39
# (1990), abstract.
FLUTED = 0.8
# Metal left on walls for the finishing pass. Common practice, no source: thick enough to be cut
# rather than rubbed, thin enough not to bend a small cutter.
WALL_ALLOWANCE = 0.2
WALL_ALLOWANCE_SHARE = 0.05  # of the diameter, for cutters under 4 mm
# Of what is left on the wall, a roughing cut may bend the cutter by this: common practice, no
# source. More, and it leaves its mark in the finished wall.
BEND_SHARE = 0.5
FORCE_STEPS = 90  # of a turn from one tooth to the next, at which the force is looked at
SLICES = 48  # of a tooth's way through the metal
# Of end mills as they are sold: common practice, no source.
USUAL_HELIX = math.radians(30)
LEVEL_TRAIL = 1e-2  # radians that the top of a cut may trail its bottom and count as level with it


def surface_speed(speed: float, diameter: float) -> float:
    """m/min at the rim, from rev/min and mm."""
    return math.pi * diameter * speed / 1000


def engagement(width: float, diameter: float) -> float:
    """Angle over which a tooth is in the metal, radians: phi = arccos(1 - 2 ae / D).

    Examples
    --------
    >>> round(math.degrees(engagement(2, 10)), 2)
    53.13
    """
    return math.acos(1 - 2 * min(width / diameter, 1.0))


def thinning(width: float, diameter: float) -> float:
    """Thickest chip over feed per tooth: 2 sqrt((ae/D)(1 - ae/D)) for ae < D/2, else 1.

    Examples
    --------
    >>> thinning(2, 10), thinning(6, 10)
    (0.8, 1.0)
    """
    share = width / diameter
    return 2 * math.sqrt(share * (1 - share)) if share < 0.5 else 1.0


def mean_chip(chip_load: float, width: float, diameter: float) -> float:
    """Chip thickness over the arc in the middle, mm: hm = 2 fz ae / (D phi).

    Examples
    --------
    >>> round(mean_chip(0.05, 2, 10), 5)
    0.02157
    """
    width = min(width, diameter)
    return 2 * chip_load * width / (diameter * engagement(width, diameter))


def second_moment(diameter: float) -> float:
    """The second moment of area of a round bar, mm4: pi d^4 / 64."""
    return math.pi * diameter**4 / 64


def bend(cutter: Cutter, force: float) -> float:
    """The deflection of a cutter held at the end of its stick-out by a force in N at its tip, mm.

    F L^3 / (3 E I), the fluted length as a bar of 0.8 diameters, the shank above it as itself.
    """
    fluted = min(cutter.flute_length, cutter.stickout)
    compliance = (cutter.stickout**3 - fluted**3) / second_moment(cutter.shank)
    compliance += fluted**3 / second_moment(FLUTED * cutter.diameter)
    return force * compliance / (3 * MODULUS[cutter.material])


def left_on_walls(diameter: float) -> float:
    """The allowance that roughing with a cutter of this diameter leaves on walls, mm."""
    return min(WALL_ALLOWANCE, WALL_ALLOWANCE_SHARE * diameter)


def most_bend(diameter: float) -> float:
    """The deflection allowed in roughing for a cutter of this diameter, mm."""
    return BEND_SHARE * left_on_walls(diameter)


@dataclass(frozen=True, slots=True, kw_only=True)
class MillingCut:
    """A cut as it is taken: width (ae) and depth (ap) in mm, speed in rev/min, feed in mm/min;
    `helix`: how far the teeth lean, radians."""

    material: Material
    cutter: Cutter
    width: float
    depth: float
    speed: float
    feed: float
    helix: float = USUAL_HELIX

    @property
    def chip_load(self) -> float:
        """Feed per tooth, mm."""
        return self.feed / (self.speed * self.cutter.flutes)

    @property
    def removed(self) -> float:
        """Metal removed, mm3/min: Q = ap ae vf."""
        return self.depth * self.width * self.feed

    @property
    def power(self) -> float:
        """Watts at the cutter: P = ap ae vf kc, kc at the mean chip."""
        chip = mean_chip(self.chip_load, self.width, self.cutter.diameter)
        return self.removed * self.material.specific_force(chip) / 60_000

    @property
    def torque(self) -> float:
        """N m at the spindle, over a turn: M = P / (2 pi n)."""
        return self.power / (2 * math.pi * self.speed / 60)

    @property
    def force(self) -> float:
        """The greatest tangential force of a turn, N: the teeth in the metal, each with its chip.

        Along a helix each height of a tooth comes a little later than the one below it: a deep,
        narrow cut loads the cutter evenly, with a fraction of what straight teeth would feel.
        Source: slices of a tooth added up; from memory of machining textbooks.
        """
        arc = engagement(self.width, self.cutter.diameter)
        pitch = 2 * math.pi / self.cutter.flutes
        lag = self.depth * math.tan(self.helix) / self.cutter.radius
        # evenly, and where one tooth's share is greatest: its middle where chips are thickest, or
        # its foremost point about to leave, where arcs are short
        peaks = (math.pi / 2 + lag / 2, arc, lag)
        starts = [pitch * k / FORCE_STEPS for k in range(FORCE_STEPS)] + [
            peak % pitch for peak in peaks
        ]
        if lag < LEVEL_TRAIL:
            return self.depth * max(self._section(a, pitch, arc) for a in starts)
        tooth = _Sum.of(self._tooth, arc)
        return max(_turned(a, lag, pitch, tooth, arc) for a in starts) * self.depth / lag

    def _section(self, start: float, pitch: float, arc: float) -> float:
        """The tangential force for each mm of depth of teeth at `start` and every `pitch` on,
        N/mm."""
        total, angle = 0.0, start
        while angle <= arc + 1e-9:
            total += self._tooth(angle)
            angle += pitch
        return total

    def _tooth(self, angle: float) -> float:
        """The force of one tooth at an angle from where it enters, N/mm."""
        chip = self.chip_load * math.sin(angle)
        return chip * self.material.specific_force(chip) if chip > 0 else 0.0

    @property
    def bend(self) -> float:
        """How far the cutter's tip gives way under the greatest force, mm."""
        return bend(self.cutter, self.force)


@dataclass(frozen=True, slots=True)
class _Sum:
    """A tooth's force, added up over the angle from where it enters, by Simpson's rule: `values` at
    the ends and middles of even slices of an arc, `upto` the sum at their ends, N rad / mm."""

    step: float
    values: list[float]
    upto: list[float]

    @classmethod
    def of(cls, force: Callable[[float], float], arc: float) -> _Sum:
        step = arc / SLICES
        v = [force(k * step / 2) for k in range(2 * SLICES + 1)]
        slices = (step / 6 * (v[k] + 4 * v[k + 1] + v[k + 2]) for k in range(0, 2 * SLICES, 2))
        return cls(step, v, [0.0, *accumulate(slices)])

    def at(self, angle: float) -> float:
        """Up to an angle within the arc."""
        low = min(int(angle / self.step), SLICES - 1)
        t = angle / self.step - low
        first, middle, last = self.values[2 * low : 2 * low + 3]
        slope = (4 * middle - 3 * first - last) * t / 2
        curve = 2 * (first - 2 * middle + last) * t * t / 3
        return self.upto[low] + self.step * t * (first + slope + curve)


def _turned(start: float, lag: float, pitch: float, tooth: _Sum, arc: float) -> float:
    """The force of all teeth, their lowest points at `start` and every `pitch` on; each trails by
    `lag`."""
    total, angle = 0.0, start
    while angle < arc + lag:
        total += tooth.at(min(angle, arc)) - tooth.at(max(angle - lag, 0.0))
        angle += pitch
    return total


def feed_share(material: Material, share: float) -> float:
    """Share of the feed that brings the force to a share; by Kienzle it goes with feed^(1 - mc)."""
    return float(share ** (1 / (1 - material.force_exponent)))
