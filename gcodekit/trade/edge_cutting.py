"""Rates of light cuts with odd cutters: engraving, chamfering, slitting.

All shares and feeds here are common practice, no source: chosen to be gentle.
"""

from __future__ import annotations

import math

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

# An engraving cutter's chip goes by how wide its line is, and by the material: times its depth in a
# slot, 0.03 of the width in steel, 0.06 in brass; within what rubs and what a fine point stands.
ENGRAVED_CHIP = 0.15
FINEST_LINE, COARSEST_LINE = 0.006, 0.03  # mm a tooth
# Depth of a pass, mm, times the material's depth in a slot: 0.15 in steel, 0.3 in brass.
ENGRAVED_DEPTH = 0.75
# Straight down a point cuts with what is left of its speed near the middle.
POINT_PLUNGE = 1 / 4
# A chamfer mill chatters sooner than an end mill, and shall leave an edge to be looked at.
CHAMFER_SPEED = 0.8
CHAMFER_FEED = 0.7
# Its tip runs this share of its diameter below the edge, clear of its own dead centre.
TIP_BELOW = 0.1
# A saw turns slower than a mill: its teeth are cooled by nothing but the air.
SAW_SPEED = 0.6
# mm a tooth times the material's share of the diameter: 0.01 in mild steel.
SAW_CHIP = 2.0
# Depth of a pass, in thicknesses, times the material's depth in a slot: 2 in mild steel.
SAW_DEPTH = 10.0
# Each comes several times nearer to the power there is.
MOST_STEPS = 30


def engraving(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    depth: float,
) -> Rates:
    """Rates of a line this deep, mm, with a pointed cutter; `stepdown` is what a pass takes."""
    wide = line_width(cutter, depth)
    speed, rulings = spindle_speed(material.mill.of(cutter.material), wide, limits.spindle)
    chip = min(max(ENGRAVED_CHIP * material.slot * wide, FINEST_LINE), COARSEST_LINE)
    feed = machine_feed(chip * cutter.flutes * speed, limits.feed_max, rulings)
    most = ENGRAVED_DEPTH * material.slot * stiffness(limits.rigidity)
    if depth > most:
        text = "at most {0} deep in one pass"
        rulings.append(Ruling("machine rigidity", text, most / depth, lengths=(most,)))
    return Rates(
        speed=speed,
        feed=feed,
        plunge_feed=feed * POINT_PLUNGE,
        stepdown=min(depth, most),
        stepover=wide,
        engaged=wide,
        rulings=tuple(rulings),
    )


def line_width(cutter: Cutter, depth: float) -> float:
    """The width that a pointed cutter cuts at the surface, mm, with its point this deep."""
    return 2 * cutter.radius_at(depth)


def chamfering(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    leg: float,
) -> Rates:
    """Rates of an edge broken by `leg` in plan, mm; `stepover` is the leg that a pass takes."""
    off = TIP_BELOW * cutter.diameter + cutter.tip_diameter / 2
    wide = min(cutter.diameter, 2 * (leg + off))
    surface = CHAMFER_SPEED * material.mill.of(cutter.material)
    speed, rulings = spindle_speed(surface, wide, limits.spindle)
    chip = CHAMFER_FEED * chip_load(material, cutter)
    feed = machine_feed(chip * cutter.flutes * speed, limits.feed_max, rulings)
    most = material.slot * cutter.diameter / 2 * stiffness(limits.rigidity)
    if leg > most:
        text = "at most {0} of the edge in one pass"
        rulings.append(Ruling("machine rigidity", text, most / leg, lengths=(most,)))
    taken = min(leg, most)
    return Rates(
        speed=speed,
        feed=feed,
        plunge_feed=feed * POINT_PLUNGE,
        stepdown=taken / math.tan(cutter.tip_angle / 2),
        stepover=taken,
        engaged=taken,
        rulings=tuple(rulings),
    )


def slitting(
    material: Material,
    saw: Cutter,
    limits: CuttingLimits,
    *,
    depth: float,
) -> Rates:
    """Rates of a slit this deep, mm; `stepdown` is the depth of a pass, from the saw's rim."""
    surface = SAW_SPEED * material.mill.of(saw.material)
    speed, rulings = spindle_speed(surface, saw.diameter, limits.spindle)
    feed = machine_feed(SAW_CHIP * material.chip * saw.flutes * speed, limits.feed_max, rulings)
    thick = saw.thickness or 0.0
    most = SAW_DEPTH * material.slot * thick * stiffness(limits.rigidity)
    if depth > most:
        text = f"at most {most / thick:.2g} times the saw's thickness deep in one pass"
        rulings.append(Ruling("machine rigidity", text, most / depth))
    step = min(depth, most)
    power = limits.spindle.power
    if power is not None:
        watts = sawn(material, saw, depth=step, speed=speed, feed=feed).power
        available = MOTOR_SHARE * power
        if watts > available:
            rulings.append(Ruling("spindle power", f"{power:g} W", available / watts))
            step = _driven(material, saw, step, available, speed=speed, feed=feed)
    return Rates(
        speed=speed,
        feed=feed,
        plunge_feed=feed,
        stepdown=step,
        stepover=thick,
        engaged=thick,
        rulings=tuple(rulings),
    )


def _driven(
    material: Material, saw: Cutter, step: float, available: float, *, speed: float, feed: float
) -> float:
    """The depth that so many watts drive, from one that they do not. Chips are thinner in a shallow
    slit and take more force for their size, so one step down by the share is not enough."""
    for _ in range(MOST_STEPS):
        watts = sawn(material, saw, depth=step, speed=speed, feed=feed).power
        if watts <= available * (1 + 1e-6):
            break
        step *= available / watts
    return step


def sawn(material: Material, saw: Cutter, *, depth: float, speed: float, feed: float) -> MillingCut:
    """A saw's cut as that of a mill on its side: as wide as the slit is deep, straight teeth."""
    return MillingCut(
        material=material,
        cutter=saw,
        width=depth,
        depth=saw.thickness or 0.0,
        speed=speed,
        feed=feed,
        helix=0.0,
    )
