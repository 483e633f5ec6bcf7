"""Thread milling: how far off the axis the cutter goes round, how much it distorts the flanks, and
its rates.

A tooth is a disc; led along a helix it cuts a groove a little wider than itself, because beside the
plane through the axis it stands higher and lower than in it. Of a cutter of radius c that goes
round at o with lead P, the flank at radius r is cut at the angle t at which
f/2 + (c - d) tan 30 + P t / 2 pi is greatest, d the distance from the cutter's middle:
d^2 = o^2 + r^2 - 2 o r cos t. Own derivation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from gcodekit.trade.cutter import Cutter
from gcodekit.trade.materials import Material
from gcodekit.trade.milling import chip_load
from gcodekit.trade.milling_force import MillingCut
from gcodekit.trade.rates import (
    MOTOR_SHARE,
    CuttingLimits,
    Rates,
    machine_feed,
    spindle_speed,
    stiffness,
)
from gcodekit.trade.rulings import Ruling
from gcodekit.trade.thread_limits import HALF_ANGLE, ThreadLimits

SLOPE = math.tan(HALF_ANGLE)
# Of the chip of a full-width cut: teeth with fine tips, on a neck. Common practice, no source.
THREAD_CHIP = 0.5
# A pass takes a section of so much of what the cutter would take in a slot. Common practice, no
# source: an M10 in mild steel comes to two passes.
SECTION_SHARE = 0.1
MOST_PASSES = 20
# Of the room that the limits leave on either side of their middle, what distorted flanks may take:
# common practice, no source.
DISTORTION_SHARE = 0.25
# A cutter goes down its bore with so much room all round, mm. Common practice, no source.
ROOM_IN_BORE = 0.2
_HALVINGS = 50


@dataclass(frozen=True, slots=True)
class Groove:
    """The groove that a thread mill cuts going round at `orbit` off the thread's axis, mm."""

    cutter: Cutter
    orbit: float
    pitch: float

    def half_width(self, radius: float) -> float:
        """Half the groove's width along the axis at a radius, mm; 0 or less where there is none."""
        o, c, lead = self.orbit, self.cutter.radius, self.pitch / math.tau

        def rises(t: float) -> bool:
            away = math.sqrt(o * o + radius * radius - 2 * o * radius * math.cos(t))
            return away < 1e-12 or lead > SLOPE * o * radius * math.sin(t) / away

        low, high = 0.0, math.pi / 2
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if rises(middle) else (low, middle)
        away = math.sqrt(o * o + radius * radius - 2 * o * radius * math.cos(low))
        return self.cutter.tip_flat / 2 + (c - away) * SLOPE + lead * low

    def distortion(self, thread: ThreadLimits) -> float:
        """The farthest that a flank is off a straight one through its pitch line, between the
        crests and the sharpest root that the profile allows, mm along the axis."""
        inward = 1.0 if thread.internal else -1.0
        middle = thread.aim / 2
        at_pitch = self.half_width(middle)
        ends = (thread.crest[0 if thread.internal else 1] / 2, thread.major / 2)
        if not thread.internal:
            ends = (ends[0], thread.root[1] / 2)
        straight = (at_pitch - inward * (r - middle) * SLOPE for r in ends)
        return max(abs(self.half_width(r) - s) for r, s in zip(ends, straight, strict=True))


def groove(cutter: Cutter, thread: ThreadLimits) -> Groove:
    """The groove of a thread with its pitch diameter in the middle of the limits: there groove and
    thread are equally wide."""
    wanted, at = thread.pitch / 4, thread.aim / 2
    c = cutter.radius
    # farther from the axis it cuts wider inside, nearer to it outside
    low, high = (max(at - c, 1e-6), at) if thread.internal else (at, at + 2 * c)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        wide = Groove(cutter, middle, thread.pitch).half_width(at) > wanted
        if wide == thread.internal:
            high = middle
        else:
            low = middle
    return Groove(cutter, (low + high) / 2, thread.pitch)


def reached(cut: Groove, thread: ThreadLimits) -> float:
    """The radius that the teeth's tips reach, mm."""
    c = cut.cutter.radius
    return cut.orbit + c if thread.internal else cut.orbit - c


def suits(cutter: Cutter, thread: ThreadLimits) -> bool:
    """Tell whether a cutter of this size leaves the flanks straight enough for the limits, and its
    tips reach the thread's root: the wider its groove, the less deep it is cut."""
    low, high = thread.effective
    allowed = DISTORTION_SHARE * (high - low) / 2 * SLOPE
    cut = groove(cutter, thread)
    rooted = thread.root[0] <= 2 * reached(cut, thread) <= thread.root[1]
    return rooted and cut.distortion(thread) <= allowed


def widest(cutter: Cutter, thread: ThreadLimits) -> float:
    """The largest diameter of such a cutter that goes into the bore and leaves the flanks straight
    enough, mm; one outside may have any, up to the cutter's own."""
    if not thread.internal:
        return cutter.diameter
    low, high = 0.0, max(thread.crest[0] - 2 * ROOM_IN_BORE, 0.0)
    if high > 0 and suits(replace(cutter, diameter=high), thread):
        return high
    for _ in range(_HALVINGS // 2):
        middle = (low + high) / 2
        if suits(replace(cutter, diameter=max(middle, 1e-3)), thread):
            low = middle
        else:
            high = middle
    return low


@dataclass(frozen=True, slots=True)
class ThreadRates:
    """Rates of a thread, its feeds those of the cutter's middle; `depths`: how deep each pass goes,
    mm from the crests."""

    rates: Rates
    depths: tuple[float, ...]


def thread_milling(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    cut: Groove,
    thread: ThreadLimits,
    *,
    length: float,
) -> ThreadRates:
    """Rates of a thread of this length, mm: passes of equal sections, as many as keep a pass within
    what cutter and motor take; the chip is that of the teeth's tips."""
    speed, rulings = spindle_speed(
        material.mill.of(cutter.material), cutter.diameter, limits.spindle
    )
    tips = THREAD_CHIP * chip_load(material, cutter) * cutter.flutes * speed
    # the tips go round on a larger circle than the middle inside, on a smaller one outside
    share = cut.orbit / reached(cut, thread)
    feed = machine_feed(tips * share, limits.feed_max, rulings)
    deep = abs(reached(cut, thread) - thread.crest[0 if thread.internal else 1] / 2)
    teeth = max(1, min(len(cutter.rows), math.ceil(length / thread.pitch)))
    section = teeth * deep * (cutter.tip_flat + deep * SLOPE)
    most = SECTION_SHARE * material.slot * cutter.diameter**2 * stiffness(limits.rigidity)
    wanted = max(1, math.ceil(section / most - 1e-9))
    passes = min(wanted, MOST_PASSES)
    if passes > 1:
        text = "the thread is cut in several passes"
        rulings.append(Ruling("machine rigidity", text, 1 / passes, met=wanted <= MOST_PASSES))
    load = MillingCut(
        material=material, cutter=cutter, width=deep, depth=section / deep / passes, speed=speed,
        feed=feed,
    )  # fmt: skip
    passes = _driven(load, limits, passes, rulings)
    depths = tuple(deep * math.sqrt(n / passes) for n in range(1, passes + 1))
    rates = Rates(
        speed=speed,
        feed=feed,
        plunge_feed=feed,
        stepdown=section / deep / passes,
        stepover=depths[0],
        engaged=min(depths[0], cutter.diameter),
        rulings=tuple(rulings),
    )
    return ThreadRates(rates, depths)


def _driven(cut: MillingCut, limits: CuttingLimits, passes: int, rulings: list[Ruling]) -> int:
    """So many passes that the motor drives each."""
    power = limits.spindle.power
    if power is None or cut.power <= MOTOR_SHARE * power:
        return passes
    share = MOTOR_SHARE * power / cut.power
    rulings.append(Ruling("spindle power", f"{power:g} W", share))
    return min(math.ceil(passes / share), MOST_PASSES)
