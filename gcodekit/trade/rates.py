"""Speeds and feeds that are safe on a small mill: the rules that all cutters share, and drills.

Book speeds are kept at their lower half, widths and depths at what a light machine stands, and
everything is then brought inside what the spindle can turn, drive and feed. Feed per tooth comes
first: where the spindle must turn slower, the feed falls with it, so that the cutter still cuts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from gcodekit.trade.cutter import POINTED, Cutter
from gcodekit.trade.materials import Material
from gcodekit.trade.milling_force import surface_speed
from gcodekit.trade.rulings import Limit, Ruling

MOTOR_SHARE = 0.6  # of the motor's power reaches the cutter through belts and bearings, and in hand
# Reduction by depth over diameter: a drill maker's reference guide.
DEEP_HOLE = ((3, 0.90, 0.90), (4, 0.80, 0.90), (5, 0.70, 0.80), (6, 0.60, 0.80))
NO_PECK = 3.0  # diameters drilled in one go: common practice, no source
LIPS = 2  # of a drill,
LIP_ANGLE = math.radians(59)  # at half its point angle
# A word, or the depth in mm that the machine takes with a 10 mm end mill at full width in mild
# steel.
Rigidity = Literal["light", "medium", "heavy"] | float

# How much of a light machine's depth each machine stands, and how wide a clearing pass it takes, in
# diameters: common practice, no source.
STIFFNESS: dict[Rigidity, float] = {"light": 1.0, "medium": 1.6, "heavy": 2.5}
STEPOVER: dict[Rigidity, float] = {"light": 0.4, "medium": 0.45, "heavy": 0.5}
# What a light machine takes with a 10 mm end mill at full width in mild steel, mm: a rigidity said
# as a depth is measured by it.
LIGHT_DEPTH = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SpindleLimits:
    """The limits of a spindle: rev/min, and watts at the motor. `steps` are a belt's or gear head's
    speeds; empty: any."""

    slowest: float
    fastest: float
    steps: tuple[float, ...] = ()
    power: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingLimits:
    """The limits of a machine's cuts: what it turns and drives, the fastest feed (mm/min), and how
    stiff it is."""

    spindle: SpindleLimits
    feed_max: float
    rigidity: Rigidity = "light"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """Figures to set: rev/min, mm/min, mm; `rulings` are the limits that held them, in order.

    `engaged` is the width at which the forces were judged, `stepover` that of a clearing pass: a
    pass that begins in full metal is as wide as its cutter. `peck` is the depth of one peck, 0.0
    where the hole is drilled in one go.
    """

    speed: float
    feed: float
    plunge_feed: float
    stepdown: float = 0.0
    stepover: float = 0.0
    engaged: float = 0.0
    peck: float = 0.0
    rulings: tuple[Ruling, ...] = ()

    @property
    def within_limits(self) -> bool:
        """Tell whether every limit is met."""
        return all(r.met for r in self.rulings)

    @property
    def limited_by(self) -> Limit:
        """The limit that took most off; the first of equals."""
        if not self.rulings:
            return "cutting speed"
        return min(self.rulings, key=lambda ruling: ruling.share).limit

    @property
    def chip_per_turn(self) -> float:
        """Feed per turn, mm."""
        return self.feed / self.speed


def drilling(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    depth: float,
    wide: float | None = None,
) -> Rates:
    """The rates of a hole of this depth (mm), with the depth of one peck; `wide`: the width of a
    spot, mm, which is fed as a drill of that size."""
    ratio = depth / cutter.diameter
    slower, finer = _deep_hole(ratio)
    wanted = material.drill.of(cutter.material) * slower
    speed, rulings = spindle_speed(wanted, cutter.diameter, limits.spindle)
    if slower < 1:
        rulings.insert(0, Ruling("hole depth", f"{ratio:.1f} diameters deep", slower * finer))
    wide = cutter.diameter if wide is None else wide
    per_turn = drill_feed(material, wide) * finer
    per_turn = _drill_power(material, cutter, limits.spindle, per_turn, speed, wide, rulings)
    feed = machine_feed(per_turn * speed, limits.feed_max, rulings)
    peck = material.peck * cutter.diameter if ratio > NO_PECK else 0.0
    return Rates(speed=speed, feed=feed, plunge_feed=feed, peck=peck, rulings=tuple(rulings))


def drill_feed(material: Material, diameter: float) -> float:
    """Feed per turn of a drill, mm: the tables flatten above 20 mm."""
    return material.drill_feed * min(diameter, 20.0)


def reaming(material: Material, cutter: Cutter, limits: CuttingLimits) -> Rates:
    """The rates of a reamer: slow, and fed at twice a drill's feed so that it cuts instead of
    rubbing.

    Source: two to three times a drill's feed, from memory of machining textbooks.
    """
    surface = material.ream.of(cutter.material)
    speed, rulings = spindle_speed(surface, cutter.diameter, limits.spindle)
    per_turn = 2 * drill_feed(material, cutter.diameter)
    feed = machine_feed(per_turn * speed, limits.feed_max, rulings)
    return Rates(speed=speed, feed=feed, plunge_feed=feed, rulings=tuple(rulings))


def spindle_speed(
    surface: float, diameter: float, spindle: SpindleLimits
) -> tuple[float, list[Ruling]]:
    """Return the rev/min for a surface speed in m/min, as the spindle can turn it."""
    wanted = 1000 * surface / (math.pi * diameter)
    speed = turned(wanted, spindle)
    if speed > wanted * (1 + 1e-9):
        actual = surface_speed(speed, diameter)
        text = f"lowest speed {speed:g} rev/min, {{0:surface}} instead of {{1:surface}}"
        figures = (actual, surface)
        return speed, [Ruling("spindle range", text, wanted / speed, met=False, lengths=figures)]
    fastest = max(spindle.steps) if spindle.steps else spindle.fastest
    if wanted > fastest * (1 + 1e-9):
        text = f"highest speed {fastest:g} rev/min"
        return speed, [Ruling("spindle range", text, speed / wanted)]
    return speed, []


def turned(wanted: float, spindle: SpindleLimits) -> float:
    """The nearest rev/min the spindle can turn that is not faster, or else its slowest."""
    if spindle.steps:
        below = [step for step in spindle.steps if step <= wanted * (1 + 1e-9)]
        return max(below) if below else min(spindle.steps)
    return min(max(wanted, spindle.slowest), spindle.fastest)


def machine_feed(feed: float, feed_max: float, rulings: list[Ruling]) -> float:
    """Return the feed, mm/min, brought inside what the machine can feed."""
    if feed > feed_max:
        rulings.append(feed_limit(feed, feed_max))
        return feed_max
    return feed


def feed_limit(feed: float, feed_max: float) -> Ruling:
    """The ruling that the machine feeds at most `feed_max`, mm/min, where `feed` was wanted."""
    text = "the machine feeds at most {0:feed}"
    return Ruling("feed limit", text, feed_max / feed, lengths=(feed_max,))


def _drill_power(
    material: Material,
    cutter: Cutter,
    spindle: SpindleLimits,
    per_turn: float,
    speed: float,
    wide: float,
    rulings: list[Ruling],
) -> float:
    """Feed per turn that the motor can drive."""
    if spindle.power is None:
        return per_turn
    available = spindle.power * MOTOR_SHARE
    watts = plunging_power(material, cutter, feed=per_turn * speed, speed=speed, wide=wide)
    if watts <= available:
        return per_turn
    # The force rises as the chip thins: P goes with f**(1 - mc).
    share = (available / watts) ** (1 / (1 - material.force_exponent))
    rulings.append(Ruling("spindle power", f"{spindle.power:g} W", share))
    return float(per_turn * share)


def _deep_hole(ratio: float) -> tuple[float, float]:
    """Factors on speed and feed for a hole this many diameters deep."""
    factors = (1.0, 1.0)
    for deeper, slower, finer in DEEP_HOLE:
        if ratio >= deeper:
            factors = (slower, finer)
    return factors


def plunging_power(
    material: Material,
    cutter: Cutter,
    *,
    feed: float,
    speed: float,
    wide: float,
    inside: float = 0.0,
) -> float:
    """The power at the cutter, W, of a hole opened from `inside` to `wide`, mm, at mm/min and
    rev/min, by any cutter that is fed straight down: a drill, a reamer, a boring head, an end mill
    for a counterbore.

    Source: Q = (pi D^2 / 4) f n, of the ring that is left for a reamer likewise; the chip of each
    of a drill's two lips at 118 degrees is f / 2 sin 59. From memory of machining textbooks.
    """
    if cutter.kind in POINTED:
        chip = feed / speed / LIPS * math.sin(LIP_ANGLE)
    else:
        chip = feed / speed / cutter.flutes
    removed = math.pi / 4 * (wide**2 - inside**2) * feed
    return removed * material.specific_force(chip) / 60_000


def stiffness(rigidity: Rigidity) -> float:
    """The depth that a machine can cut, as a multiple of a light machine's.

    A depth, mm, is what it takes with a 10 mm end mill at full width in mild steel.

    Examples
    --------
    >>> stiffness("medium"), stiffness(2.0)
    (1.6, 1.0)
    """
    return rigidity / LIGHT_DEPTH if isinstance(rigidity, float) else STIFFNESS[rigidity]


def widest_pass(rigidity: Rigidity) -> float:
    """The width of a clearing pass, in diameters; for a rigidity given as a depth, that of the word
    next below it."""
    if not isinstance(rigidity, float):
        return STEPOVER[rigidity]
    words = [word for word, share in STIFFNESS.items() if share <= stiffness(rigidity) + 1e-9]
    return STEPOVER[words[-1] if words else "light"]


def called(rigidity: Rigidity) -> str:
    """Return the machine in words."""
    return "this machine" if isinstance(rigidity, float) else f"a {rigidity} machine"
