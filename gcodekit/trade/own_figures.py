"""What is wrong with figures that somebody gives for a cut, and the figures that would do.

Books differ by a factor of two, and ours are kept at their lower half: a speed or a chip is too
much only from twice ours on. What the machine or the cutter cannot stand is too much from there.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
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
from gcodekit.trade.rates import (
    DEPTH_LIMITS,
    MOTOR_SHARE,
    CuttingLimits,
    Rates,
    plunging_power,
)

# Of our own figures: common practice, no source.
FASTER = 2.0
RUBBING_SHARE = 0.25  # of a drill's feed a turn
SHORTEST_PECK = 0.1  # of the drill's diameter: shorter, and it is in and out for nothing
WIDEST_PASS = 0.95  # of the diameter: a wider one leaves ridges where the cutter's corners wear
# A ruling is of consequence from a thousandth on.
RULING_SLACK = 1.001

Say = Callable[[float], str]
RateKey = Literal["speed", "feed", "plunge_feed", "stepdown", "stepover", "peck"]


@dataclass(frozen=True, slots=True)
class RateWarning:
    """A figure that asks too much or too little: what of it, and the one that would do, in rev/min,
    mm/min or mm. `least`: or anything more, else anything less; `exact`: not to be rounded."""

    key: RateKey
    text: str
    would_do: float
    least: bool = False
    exact: bool = False


def doubted_speed(
    speed: float, surface: float, diameter: float, limits: CuttingLimits, *, what: str
) -> Iterator[RateWarning]:
    """Of a speed, rev/min, where `surface` is our m/min; `what` is cut with what, in words."""
    steps, turned = limits.spindle.steps, surface_speed(speed, diameter)
    slowest = min(steps) if steps else limits.spindle.slowest
    if turned > FASTER * surface * RULING_SLACK and speed > slowest:
        most = max(FASTER * 1000 * surface / (math.pi * diameter), slowest)
        most = max(s for s in steps if s <= most) if steps else most
        text = f"{turned:.0f} m/min is over twice the {surface:.3g} of {what}"
        yield RateWarning("speed", text, most, exact=most == slowest or bool(steps))
    elif steps and all(abs(speed - step) > 1e-6 for step in steps):
        near = min(steps, key=lambda step: abs(step - speed))
        yield RateWarning(
            "speed", f"the spindle has no step of {speed:g} rev/min", near, exact=True
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenCut:
    """A roughing cut to be judged, as it would be taken; `given`: the figures somebody gave;
    `say`: a length in mm in their words."""

    cut: MillingCut
    rates: Rates
    limits: CuttingLimits
    given: frozenset[str]
    say: Say


def doubted_milling(asked: GivenCut) -> Iterator[RateWarning]:
    """Of the figures of a cut sideways, its speed left out."""
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
    """A depth that the machine does not stand at this width, or the cutter, or the motor."""
    cut = asked.cut
    stands = milling(cut.material, cut.cutter, asked.limits, width=cut.width)
    if cut.depth > stands.stepdown * RULING_SLACK:
        why = "; ".join(r.text for r in stands.rulings if r.limit in DEPTH_LIMITS)
        full = cut.width >= cut.cutter.diameter
        wide = "at full width" if full else f"{asked.say(cut.width)} wide"
        text = f"{asked.say(cut.depth)} deep {wide} is too much ({why})"
        yield RateWarning("stepdown", text, stands.stepdown)


def _chips(asked: GivenCut) -> Iterator[RateWarning]:
    """Chips too thin to be cut, or thicker than teeth stand."""
    cut, turned = asked.cut, asked.cut.speed * asked.cut.cutter.flutes
    finest = finest_chip(cut.cutter)
    coarsest = COARSEST_CHIP * min(cut.cutter.diameter, TOOTH_LIMIT)
    say, chip, fastest = asked.say, f"{asked.say(cut.chip_load)} a tooth", asked.limits.feed_max
    if cut.chip_load < finest / RULING_SLACK:
        if finest * turned <= fastest:
            text = f"{chip} rubs, from {say(finest)} on it cuts"
            yield RateWarning("feed", text, finest * turned, least=True)
        else:
            text = f"{chip} rubs, and the machine feeds no faster than {say(fastest)} a minute"
            slow = fastest / finest / cut.cutter.flutes
            yield RateWarning("speed", text, slow)
    elif cut.chip_load > coarsest * RULING_SLACK:
        text = f"{chip} is more than its teeth stand, {say(coarsest)}"
        yield RateWarning("feed", text, coarsest * turned)


def _too_strong(asked: GivenCut) -> Iterator[RateWarning]:
    """A feed that the motor does not drive, or that bends the cutter too far."""
    cut, power = asked.cut, asked.limits.spindle.power
    most, bent = most_bend(cut.cutter.diameter), cut.bend
    available = math.inf if power is None else power * MOTOR_SHARE
    if cut.power > available * RULING_SLACK:
        text = f"takes {cut.power:.0f} W, {available:.0f} reach the cutter"
    elif bent > most * RULING_SLACK:
        text = f"bends the cutter {asked.say(bent)}, {asked.say(most)} is allowed"
    else:
        return
    share = min(most / bent, available / cut.power)
    slower = cut.feed * feed_share(cut.material, share)
    if slower >= finest_chip(cut.cutter) * cut.speed * cut.cutter.flutes:
        yield RateWarning("feed", f"{asked.say(cut.depth)} deep it {text}", slower)
        return
    text = f"{asked.say(cut.depth)} deep, and fed like this, it {text}"
    deep = min(bent_less(cut, most).depth, cut.depth * min(available / cut.power, 1.0))
    yield RateWarning("stepdown", text, deep)


def _plunged(asked: GivenCut) -> Iterator[RateWarning]:
    cut = asked.cut
    most = chip_load(cut.material, cut.cutter) * cut.speed * cut.cutter.flutes
    if asked.rates.plunge_feed > most * RULING_SLACK:
        text = "straight down it cuts with its end only, this is more than sideways"
        yield RateWarning("plunge_feed", text, most)


def doubted_drilling(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    ours: Rates,
    speed: float,
    feed: float,
    wide: float,
    say: Say,
    inside: float = 0.0,
) -> Iterator[RateWarning]:
    """Of a feed straight down, mm/min at rev/min, beside our own rates."""
    a_turn, usual = feed / speed, ours.chip_per_turn
    if a_turn > FASTER * usual * RULING_SLACK:
        text = f"{say(a_turn)} a turn is over twice the usual {say(usual)}"
        yield RateWarning("feed", text, FASTER * usual * speed)
        return
    if a_turn < RUBBING_SHARE * usual / RULING_SLACK:
        text = f"{say(a_turn)} a turn rubs, {say(usual)} is usual"
        yield RateWarning("feed", text, RUBBING_SHARE * usual * speed, least=True)
        return
    if limits.spindle.power is None:
        return
    available = limits.spindle.power * MOTOR_SHARE
    watts = plunging_power(material, cutter, feed=feed, speed=speed, wide=wide, inside=inside)
    if watts > available * RULING_SLACK:
        slower = feed * feed_share(material, available / watts)
        text = f"it takes {watts:.0f} W, {available:.0f} reach the cutter"
        yield RateWarning("feed", text, slower)


def doubted_peck(
    material: Material, drill: Cutter, peck: float, *, say: Say
) -> Iterator[RateWarning]:
    """Of the depth of one peck, mm."""
    usual, least = material.peck * drill.diameter, SHORTEST_PECK * drill.diameter
    if peck > FASTER * usual * RULING_SLACK:
        text = f"chips pack: {say(peck)} is over twice the usual {say(usual)} in {material.name}"
        yield RateWarning("peck", text, FASTER * usual)
    elif peck < least / RULING_SLACK:
        yield RateWarning("peck", f"{say(peck)} rubs more than it drills", least, least=True)
