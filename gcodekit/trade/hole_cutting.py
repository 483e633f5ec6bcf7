"""Rates of cuts in a drilled or milled hole (countersinking, tapping, boring), and the allowance
for a reamer."""

from __future__ import annotations

import math
from dataclasses import replace

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material
from gcodekit.trade.rates import (
    CuttingLimits,
    Rates,
    SpindleLimits,
    feed_limit,
    machine_feed,
    spindle_speed,
)
from gcodekit.trade.rulings import Ruling
from gcodekit.units import MM_PER_INCH

# All shares and feeds here are common practice, no source: chosen to be gentle.
# A countersink turns slower than a drill of its width, or it chatters.
SINKING_SHARE = 0.5
SINKING_FEED = 0.02  # of the cone's width, feed a turn
# A tap turns slower than a reamer, and never fast: the spindle has to stop and turn back at the
# bottom, and a small one takes some turns for it.
TAPPING_SHARE = 0.5
TAPPING_FASTEST = 400.0
# The tapping speed may be this much slower than asked, so that its feed is a whole number of the
# program's last decimals.
TAPPING_SLOWER = 0.7
# An offset single point: slower than a mill, for the head is out of balance, and never fast.
BORING_SHARE = 0.8
BORING_FASTEST = 1200.0
BORING_FEED = 0.05  # mm a turn, for the surface
# What is left on the diameter for the boring head: enough to cut true to the spindle even where
# the milled hole is a little out. The job file's contract: 0.2 to 0.4.
BORING_LEFT = 0.3
BORING_MOST_LEFT = 0.4
# The first cut leaves this much on the diameter, to be measured before the last one.
BORING_TRIAL = 0.1
# No cut of a boring head opens the hole by more than this on the diameter: common practice, no
# source; half of it is the depth of cut, which a slim bar stands in steel.
BORING_CUT = 1.0
# An end mill that is plunged for a counterbore must be this near its diameter, mm.
PLUNGED = 0.005
# Feeds of a program have this many decimals, mm and inch a minute.
FEED_DECIMALS = (1, 2)
# (up to this diameter in mm, metal left on the diameter in mm). From 2.29 to 22.35 mm the lower
# half of what a reamer maker's chart prints; smaller and larger common practice, no source.
REAMING_ALLOWANCE = ((2.2, 0.1), (4.32, 0.15), (7.11, 0.2), (22.35, 0.3))
LARGEST_REAMING_ALLOWANCE = 0.4


def countersinking(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    diameter: float,
) -> Rates:
    """Rates of a cone that is `diameter` wide at the surface, mm."""
    surface = SINKING_SHARE * material.drill.of(cutter.material)
    speed, rulings = spindle_speed(surface, diameter, limits.spindle)
    feed = machine_feed(SINKING_FEED * diameter * speed, limits.feed_max, rulings)
    return Rates(speed=speed, feed=feed, plunge_feed=feed, rulings=tuple(rulings))


def boring(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    diameter: float,
) -> Rates:
    """Rates of a boring head set to a diameter, mm."""
    surface = BORING_SHARE * material.mill.of(cutter.material)
    what = "a boring head turns at most"
    speed, rulings = _slow(surface, diameter, limits.spindle, BORING_FASTEST, what)
    feed = machine_feed(BORING_FEED * speed, limits.feed_max, rulings)
    return Rates(speed=speed, feed=feed, plunge_feed=feed, rulings=tuple(rulings))


def tapping(
    material: Material,
    tap: Cutter,
    limits: CuttingLimits,
    *,
    inch: bool,
    speed: float | None = None,
) -> Rates:
    """Speed and the feed that belongs to it: the tap's pitch a turn, exactly.

    The speed is the fastest not above `speed`, or the usual one, at which the feed has no more
    decimals than a program gives it (`inch`: of an inch a minute); or, on a stepped spindle, its
    nearest step.
    """
    spindle, feed_max, pitch = limits.spindle, limits.feed_max, tap.pitch or 0.0
    rulings: list[Ruling] = []
    wanted = speed
    if wanted is None:
        surface = TAPPING_SHARE * material.ream.of(tap.material)
        what = "a tap has to stop and reverse, so at most"
        wanted, rulings = _slow(surface, tap.diameter, spindle, TAPPING_FASTEST, what)
    if pitch * wanted > feed_max:
        rulings.append(feed_limit(pitch * wanted, feed_max))
        steps = [s for s in spindle.steps if pitch * s <= feed_max]
        wanted = max(steps) if steps else feed_max / pitch
    if not spindle.steps:
        wanted = _even_speed(wanted, pitch, slowest=spindle.slowest, inch=inch)
    feed = pitch * wanted
    return Rates(speed=wanted, feed=feed, plunge_feed=feed, rulings=tuple(rulings))


def _slow(
    surface: float, diameter: float, spindle: SpindleLimits, fastest: float, what: str
) -> tuple[float, list[Ruling]]:
    """rev/min for a surface speed, at most `fastest`; `what` begins the sentence that says so."""
    speed, rulings = spindle_speed(surface, diameter, _capped(spindle, fastest))
    own = spindle_speed(surface, diameter, spindle)[1]
    text = f"{what} {fastest:g} rev/min"
    return speed, [
        replace(r, sentence=text) if r.met and (not own or own[0].share > r.share) else r
        for r in rulings
    ]


def _capped(spindle: SpindleLimits, fastest: float) -> SpindleLimits:
    """The spindle as if it turned no faster, unless it turns no slower."""
    return SpindleLimits(
        slowest=spindle.slowest,
        fastest=max(spindle.slowest, min(spindle.fastest, fastest)),
        steps=tuple(s for s in spindle.steps if s <= fastest) or tuple(sorted(spindle.steps)[:1]),
    )


def _even_speed(wanted: float, pitch: float, *, slowest: float, inch: bool) -> float:
    """Whole rev/min at which pitch times speed is nearest to a feed that can be written."""
    scale = 10 ** FEED_DECIMALS[inch] / (MM_PER_INCH if inch else 1.0)
    fastest = max(1, int(wanted + 1e-9))
    lowest = max(1, math.ceil(max(TAPPING_SLOWER * wanted, slowest) - 1e-9))
    lowest = min(fastest, lowest)

    def off(speed: int) -> float:
        feed = pitch * speed * scale
        share = abs(feed - round(feed)) / feed
        return share if share > 1e-9 else 0.0

    return float(min(range(fastest, lowest - 1, -1), key=off))


def reaming_allowance(diameter: float) -> float:
    """The allowance to leave on the diameter of a hole that will be reamed, mm."""
    for up_to, allowance in REAMING_ALLOWANCE:
        if diameter <= up_to:
            return allowance
    return LARGEST_REAMING_ALLOWANCE
