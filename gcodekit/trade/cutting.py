"""Speeds and feeds that are safe on a small mill.

Book speeds are kept at their lower half, widths and depths at what a light machine stands, and
everything is then brought inside what the spindle can turn, drive and feed. Feed per tooth comes
first: where the spindle must turn slower, the feed falls with it, so that the cutter still cuts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material

Rigidity = Literal["light", "medium", "heavy"]

# How much of a light machine's depth each machine stands: common practice, no source.
STIFFNESS: dict[Rigidity, float] = {"light": 1.0, "medium": 1.6, "heavy": 2.5}
STEPOVER: dict[Rigidity, float] = {"light": 0.4, "medium": 0.45, "heavy": 0.5}
MOTOR_SHARE = 0.6  # of the motor's power reaches the cutter through belts and bearings, and in hand
THINNEST_CUT = 0.05  # of the diameter: below it a mill rubs; never stepped down less for power
FINEST_CHIP = 0.002  # of the diameter, and
COARSEST_CHIP = 0.010  # the range that tool makers print for end mills
TOOTH_LIMIT = 16.0  # mm: above it the tables flatten; the machine, not the tooth, is the limit
FINISHING_SHARE = 0.7  # of the roughing feed per tooth, for the surface
# Reduction by depth over diameter: a drill maker's reference guide.
DEEP_HOLE = ((3, 0.90, 0.90), (4, 0.80, 0.90), (5, 0.70, 0.80), (6, 0.60, 0.80))
NO_PECK = 3.0  # diameters drilled in one go: common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class SpindleLimits:
    """rev/min and watts at the motor. `steps` are a belt's or gear head's speeds; empty: any."""

    slowest: float
    fastest: float
    steps: tuple[float, ...] = ()
    power: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """What to set: rev/min, mm/min, mm; `reason` says what held the figures back, if anything.

    `peck` is the depth of one peck, 0.0 where the hole is drilled in one go.
    """

    speed: float
    feed: float
    plunge_feed: float
    stepdown: float = 0.0
    stepover: float = 0.0
    peck: float = 0.0
    reason: str = ""

    @property
    def chip_per_turn(self) -> float:
        """Feed per turn, mm."""
        return self.feed / self.speed


def surface_speed(speed: float, diameter: float) -> float:
    """m/min at the rim, from rev/min and mm."""
    return math.pi * diameter * speed / 1000


def milling(
    material: Material,
    cutter: Cutter,
    *,
    spindle: SpindleLimits,
    feed_max: float,
    rigidity: Rigidity = "light",
) -> Rates:
    """Rates of a roughing cut at full width: what the cutter stands in a slot it stands anywhere.

    `stepdown` is for full width; `stepover` is the width a clearing pass should take.
    """
    speed, reasons = spindle_speed(material.mill.of(cutter.material), cutter.diameter, spindle)
    finest = _finest_chip(cutter) * cutter.flutes
    if finest * speed > feed_max:
        # A feed this slow would let the teeth rub: turn slower, and they cut.
        speed = min(speed, _turned(feed_max / finest, spindle))
    feed = machine_feed(chip_load(material, cutter) * cutter.flutes * speed, feed_max, reasons)
    depth = min(
        material.slot * STIFFNESS[rigidity] * _overhang(cutter) * min(cutter.diameter, TOOTH_LIMIT),
        cutter.diameter,
        cutter.flute_length,
    )
    depth, feed = _within_power(material, cutter, spindle, depth, feed, speed, reasons)
    return Rates(
        speed=speed,
        feed=feed,
        plunge_feed=feed * _plunge_share(cutter),
        stepdown=depth,
        stepover=_stepover(cutter, rigidity),
        reason="; ".join(reasons),
    )


def chip_load(material: Material, cutter: Cutter) -> float:
    """Feed per tooth of a full-width cut, mm."""
    share = min(max(material.chip, FINEST_CHIP), COARSEST_CHIP)
    return share * min(cutter.diameter, TOOTH_LIMIT)


def _finest_chip(cutter: Cutter) -> float:
    """Feed per tooth below which the teeth rub, mm."""
    return FINEST_CHIP * min(cutter.diameter, TOOTH_LIMIT)


def finishing_feed(material: Material, cutter: Cutter, *, speed: float, feed_max: float) -> float:
    """Feed of a finishing pass, mm/min, at the speed already chosen."""
    chip = max(chip_load(material, cutter) * FINISHING_SHARE, _finest_chip(cutter))
    return min(chip * cutter.flutes * speed, feed_max)


def drilling(
    material: Material,
    cutter: Cutter,
    *,
    depth: float,
    spindle: SpindleLimits,
    feed_max: float,
) -> Rates:
    """Rates of a hole of this depth (mm), with the depth of one peck."""
    ratio = depth / cutter.diameter
    slower, finer = _deep_hole(ratio)
    wanted = material.drill.of(cutter.material) * slower
    speed, reasons = spindle_speed(wanted, cutter.diameter, spindle)
    if slower < 1:
        reasons.insert(0, f"{ratio:.1f} diameters deep")
    per_turn = drill_feed(material, cutter.diameter) * finer
    per_turn = _drill_power(material, cutter, spindle, per_turn, speed, reasons)
    feed = machine_feed(per_turn * speed, feed_max, reasons)
    peck = material.peck * cutter.diameter if ratio > NO_PECK else 0.0
    return Rates(speed=speed, feed=feed, plunge_feed=feed, peck=peck, reason="; ".join(reasons))


def drill_feed(material: Material, diameter: float) -> float:
    """Feed per turn of a drill, mm: the tables flatten above 20 mm."""
    return material.drill_feed * min(diameter, 20.0)


def reaming(
    material: Material, cutter: Cutter, *, spindle: SpindleLimits, feed_max: float
) -> Rates:
    """Rates of a reamer: slow, and fed at twice a drill's feed so that it cuts instead of rubbing.

    Source: two to three times a drill's feed, from memory of machining textbooks.
    """
    speed, reasons = spindle_speed(material.ream.of(cutter.material), cutter.diameter, spindle)
    feed = machine_feed(2 * drill_feed(material, cutter.diameter) * speed, feed_max, reasons)
    return Rates(speed=speed, feed=feed, plunge_feed=feed, reason="; ".join(reasons))


def spindle_speed(
    surface: float, diameter: float, spindle: SpindleLimits
) -> tuple[float, list[str]]:
    """rev/min for a surface speed in m/min, as the spindle can turn it."""
    wanted = 1000 * surface / (math.pi * diameter)
    speed = _turned(wanted, spindle)
    if speed > wanted * (1 + 1e-9):
        actual = surface_speed(speed, diameter)
        return speed, [
            f"the spindle turns no slower than {speed:g}: {actual:.0f} m/min, not {surface:.0f}"
        ]
    fastest = max(spindle.steps) if spindle.steps else spindle.fastest
    if wanted > fastest * (1 + 1e-9):
        return speed, [f"the spindle turns no faster than {fastest:g}"]
    return speed, []


def _turned(wanted: float, spindle: SpindleLimits) -> float:
    """The nearest rev/min the spindle can turn that is not faster, or else its slowest."""
    if spindle.steps:
        below = [step for step in spindle.steps if step <= wanted * (1 + 1e-9)]
        return max(below) if below else min(spindle.steps)
    return min(max(wanted, spindle.slowest), spindle.fastest)


def machine_feed(feed: float, feed_max: float, reasons: list[str]) -> float:
    """mm/min that the machine can feed."""
    if feed > feed_max:
        reasons.append(f"the machine feeds no faster than {feed_max:g}")
        return feed_max
    return feed


def _overhang(cutter: Cutter) -> float:
    """Less depth for a cutter that stands out far: full up to 4 diameters, a quarter from 8.

    Deflection goes with the cube of the overhang, but the rest of the machine gives as well;
    common practice, no source.
    """
    ratio = cutter.stickout / cutter.diameter
    return min(1.0, max(0.25, (4.0 / ratio) ** 2)) if ratio > 0 else 1.0


def _stepover(cutter: Cutter, rigidity: Rigidity) -> float:
    """Width of a clearing pass, of what is flat at the end of the cutter."""
    if cutter.kind == "ball end mill":
        return 0.1 * cutter.diameter
    return STEPOVER[rigidity] * cutter.diameter


def _plunge_share(cutter: Cutter) -> float:
    """Straight down a mill cuts with its end only: a third; a quarter with more teeth."""
    return 1 / 3 if cutter.flutes <= 2 else 1 / 4


def _within_power(
    material: Material,
    cutter: Cutter,
    spindle: SpindleLimits,
    depth: float,
    feed: float,
    speed: float,
    reasons: list[str],
) -> tuple[float, float]:
    """Depth, then feed, brought down until the motor can drive a full-width cut.

    Source: P = ap ae vf kc / 60e6 kW; the mean chip of a full-width cut is 2 / pi of the feed
    per tooth (hm = 2 fz ae / (D phi), phi = pi). From memory of machining textbooks.
    """
    if spindle.power is None:
        return depth, feed
    chip = feed / (speed * cutter.flutes)
    force = material.specific_force(2 * chip / math.pi)
    watts_per_mm = cutter.diameter * feed * force / 60_000
    available = spindle.power * MOTOR_SHARE
    if depth * watts_per_mm <= available:
        return depth, feed
    reasons.append(f"{spindle.power:g} W drives no more")
    thinner = max(available / watts_per_mm, min(depth, THINNEST_CUT * cutter.diameter))
    share = available / (thinner * watts_per_mm)
    if share >= 1:
        return thinner, feed
    finest = _finest_chip(cutter) * cutter.flutes * speed
    feed = max(feed * share, min(feed, finest))
    force = material.specific_force(2 * feed / (speed * cutter.flutes * math.pi))
    return min(thinner, available * 60_000 / (cutter.diameter * feed * force)), feed


def _drill_power(
    material: Material,
    cutter: Cutter,
    spindle: SpindleLimits,
    per_turn: float,
    speed: float,
    reasons: list[str],
) -> float:
    """Feed per turn that the motor can drive.

    Source: Q = (pi D^2 / 4) f n; chip thickness of two lips at 118 degrees f / 2 sin 59. From
    memory of machining textbooks.
    """
    if spindle.power is None:
        return per_turn
    available = spindle.power * MOTOR_SHARE
    chip = per_turn / 2 * math.sin(math.radians(59))
    volume = math.pi * cutter.diameter**2 / 4 * per_turn * speed
    watts = volume * material.specific_force(chip) / 60_000
    if watts <= available:
        return per_turn
    reasons.append(f"{spindle.power:g} W drives no more")
    # The force rises as the chip thins: P goes with f**(1 - mc).
    exponent = 1 - material.kc[1] if material.kc else 1.0
    return float(per_turn * (available / watts) ** (1 / exponent))


def _deep_hole(ratio: float) -> tuple[float, float]:
    """Factors on speed and feed for a hole this many diameters deep."""
    factors = (1.0, 1.0)
    for deeper, slower, finer in DEEP_HOLE:
        if ratio >= deeper:
            factors = (slower, finer)
    return factors
