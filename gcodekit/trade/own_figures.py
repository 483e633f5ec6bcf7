"""Warnings of speeds, feeds and depths that a job sets itself, with figures that would work.

Books differ by a factor of two, and our own figures are in their lower half: a speed or a chip is
too high only from twice ours on. The limits of machine and cutter hold as they are.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material
from gcodekit.trade.milling import (
    COARSEST_CHIP,
    TOOTH_LIMIT,
    bent_less,
    chip_load,
    finest_chip,
    milling,
)
from gcodekit.trade.milling_force import MillingCut, feed_share, most_bend, surface_speed
from gcodekit.trade.rates import MOTOR_SHARE, CuttingLimits, Rates, plunging_power
from gcodekit.trade.rulings import DEPTH_LIMITS, feed_text, length_text, surface_text
from gcodekit.units import Units

# Of our own figures: common practice, no source.
FASTER = 2.0
RUBBING_SHARE = 0.25  # of a drill's feed a turn
SHORTEST_PECK = 0.1  # of the drill's diameter: shorter, and it is in and out for nothing
WIDEST_PASS = 0.95  # of the diameter: a wider one leaves ridges where the cutter's corners wear
# A ruling is of consequence from a thousandth on.
RULING_SLACK = 1.001

Figure = Literal["speed", "feed", "plunge_feed", "stepdown", "stepover", "peck"]


@dataclass(frozen=True, slots=True)
class RateWarning:
    """A figure that is too high or too low: the reason, and one that would work, in rev/min, mm/min
    or mm. `least`: or anything more, else anything less; `exact`: not to be rounded."""

    key: Figure
    text: str
    would_do: float
    least: bool = False
    exact: bool = False


def speed_warnings(
    speed: float,
    surface: float,
    diameter: float,
    limits: CuttingLimits,
    *,
    what: str,
    units: Units,
) -> Iterator[RateWarning]:
    """Warn of a speed, rev/min, where `surface` is our m/min for `what`, cutter and material."""
    steps, turned = limits.spindle.steps, surface_speed(speed, diameter)
    slowest = min(steps) if steps else limits.spindle.slowest
    if turned > FASTER * surface * RULING_SLACK and speed > slowest:
        most = max(FASTER * 1000 * surface / (math.pi * diameter), slowest)
        most = max(s for s in steps if s <= most) if steps else most
        fast, usual = surface_text(turned, units), surface_text(surface, units)
        text = f"{fast} is more than twice the usual {usual} for {what}"
        yield RateWarning("speed", text, most, exact=most == slowest or bool(steps))
    elif steps and all(abs(speed - step) > 1e-6 for step in steps):
        near = min(steps, key=lambda step: abs(step - speed))
        text = f"the spindle has no speed of {speed:g} rev/min"
        yield RateWarning("speed", text, near, exact=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenCut:
    """A roughing cut to be judged, as it would be taken; `given`: the figures that the job sets;
    `units`: the job's."""

    cut: MillingCut
    rates: Rates
    limits: CuttingLimits
    given: frozenset[str]
    units: Units

    def say(self, mm: float) -> str:
        """Return a length in the job's units."""
        return length_text(mm, self.units)


def milling_warnings(asked: GivenCut) -> Iterator[RateWarning]:
    """Warn of the figures of a milling cut other than its speed."""
    given, deep = asked.given, []
    if "stepdown" in given:
        deep = list(_too_deep(asked))
        yield from deep
    if (
        "stepover" in given
        and asked.rates.stepover > RULING_SLACK * WIDEST_PASS * asked.cut.cutter.diameter
    ):
        text = f"passes {asked.say(asked.rates.stepover)} wide leave ridges between them"
        yield RateWarning("stepover", text, WIDEST_PASS * asked.cut.cutter.diameter)
    if given & {"speed", "feed"}:
        chips = list(_chips(asked))
        yield from chips
        if not chips and not deep:
            yield from _too_strong(asked)
    if "plunge_feed" in given:
        yield from _plunged(asked)


def _too_deep(asked: GivenCut) -> Iterator[RateWarning]:
    """Warn of a depth that machine, cutter or motor cannot take at this width."""
    cut = asked.cut
    stands = milling(cut.material, cut.cutter, asked.limits, width=cut.width)
    if cut.depth > stands.stepdown * RULING_SLACK:
        why = "; ".join(r.named(asked.units) for r in stands.rulings if r.limit in DEPTH_LIMITS)
        full = cut.width >= cut.cutter.diameter
        wide = "at full width" if full else f"{asked.say(cut.width)} wide"
        text = f"{asked.say(cut.depth)} deep {wide} is too deep (limited by {why})"
        yield RateWarning("stepdown", text, stands.stepdown)


def _chips(asked: GivenCut) -> Iterator[RateWarning]:
    """Warn of chips too thin to be cut, or too thick for the teeth."""
    cut, turned = asked.cut, asked.cut.speed * asked.cut.cutter.flutes
    finest = finest_chip(cut.cutter)
    coarsest = COARSEST_CHIP * min(cut.cutter.diameter, TOOTH_LIMIT)
    say, chip, fastest = (
        asked.say,
        f"a chip of {asked.say(cut.chip_load)} per tooth",
        asked.limits.feed_max,
    )
    if cut.chip_load < finest / RULING_SLACK:
        if finest * turned <= fastest:
            text = f"{chip} rubs; it takes at least {say(finest)} to cut"
            yield RateWarning("feed", text, finest * turned, least=True)
        else:
            text = f"{chip} rubs, and the machine feeds at most {feed_text(fastest, asked.units)}"
            slow = fastest / finest / cut.cutter.flutes
            yield RateWarning("speed", text, slow)
    elif cut.chip_load > coarsest * RULING_SLACK:
        text = f"{chip} is too thick: the teeth take at most {say(coarsest)}"
        yield RateWarning("feed", text, coarsest * turned)


def _too_strong(asked: GivenCut) -> Iterator[RateWarning]:
    """Warn of a feed that overloads the motor or deflects the cutter too far."""
    cut, power = asked.cut, asked.limits.spindle.power
    most, bent = most_bend(cut.cutter.diameter), cut.bend
    available = math.inf if power is None else power * MOTOR_SHARE
    if cut.power > available * RULING_SLACK:
        text = f"takes {cut.power:.0f} W, but only {available:.0f} W reach the cutter"
    elif bent > most * RULING_SLACK:
        text = f"deflects the cutter by {asked.say(bent)}, {asked.say(most)} allowed"
    else:
        return
    share = min(most / bent, available / cut.power)
    slower = cut.feed * feed_share(cut.material, share)
    if slower >= finest_chip(cut.cutter) * cut.speed * cut.cutter.flutes:
        yield RateWarning("feed", f"a cut {asked.say(cut.depth)} deep {text}", slower)
        return
    text = f"a cut {asked.say(cut.depth)} deep at this feed {text}"
    deep = min(bent_less(cut, most).depth, cut.depth * min(available / cut.power, 1.0))
    yield RateWarning("stepdown", text, deep)


def _plunged(asked: GivenCut) -> Iterator[RateWarning]:
    cut = asked.cut
    most = chip_load(cut.material, cut.cutter) * cut.speed * cut.cutter.flutes
    if asked.rates.plunge_feed > most * RULING_SLACK:
        text = "faster than the feed for milling, though a plunging cutter cuts with its end only"
        yield RateWarning("plunge_feed", text, most)


def drilling_warnings(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    ours: Rates,
    speed: float,
    feed: float,
    wide: float,
    units: Units,
    inside: float = 0.0,
) -> Iterator[RateWarning]:
    """Warn of a drilling feed, mm/min at rev/min, against our own rates."""
    a_turn, usual = feed / speed, ours.chip_per_turn
    per_turn, as_usual = f"{length_text(a_turn, units)} per turn", length_text(usual, units)
    if a_turn > FASTER * usual * RULING_SLACK:
        text = f"{per_turn} is more than twice the usual {as_usual}"
        yield RateWarning("feed", text, FASTER * usual * speed)
        return
    if a_turn < RUBBING_SHARE * usual / RULING_SLACK:
        text = f"{per_turn} rubs; {as_usual} is usual"
        yield RateWarning("feed", text, RUBBING_SHARE * usual * speed, least=True)
        return
    if limits.spindle.power is None:
        return
    available = limits.spindle.power * MOTOR_SHARE
    watts = plunging_power(material, cutter, feed=feed, speed=speed, wide=wide, inside=inside)
    if watts > available * RULING_SLACK:
        slower = feed * feed_share(material, available / watts)
        text = f"it takes {watts:.0f} W, but only {available:.0f} W reach the cutter"
        yield RateWarning("feed", text, slower)


def peck_warnings(
    material: Material, drill: Cutter, peck: float, *, units: Units
) -> Iterator[RateWarning]:
    """Warn of the depth of one peck, mm."""
    usual, least = material.peck * drill.diameter, SHORTEST_PECK * drill.diameter
    if peck > FASTER * usual * RULING_SLACK:
        text = (
            f"chips pack: a peck of {length_text(peck, units)} is more than twice the usual "
            f"{length_text(usual, units)} in {material.name}"
        )
        yield RateWarning("peck", text, FASTER * usual)
    elif peck < least / RULING_SLACK:
        text = f"a peck of {length_text(peck, units)} rubs more than it drills"
        yield RateWarning("peck", text, least, least=True)
