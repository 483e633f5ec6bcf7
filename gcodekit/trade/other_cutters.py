"""Speeds, feeds and loads of cutters other than end mills, as `gcodekit speeds` shows them."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal

from gcodekit.trade.cut_load import Load, milled, reason
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.edge_cutting import chamfering, engraving, line_width, sawn, slitting
from gcodekit.trade.hole_cutting import BORING_TRIAL, boring, reaming_allowance, tapping
from gcodekit.trade.materials import Material
from gcodekit.trade.milling_force import MillingCut
from gcodekit.trade.rates import CuttingLimits, Rates, drilling, plunging_power, reaming
from gcodekit.units import Units

Kind = Literal[
    "drill",
    "spot drill",
    "reamer",
    "tap",
    "boring head",
    "chamfer mill",
    "engraving cutter",
    "slitting saw",
]
# What is taken where no depth is said: a hole that needs no pecks, in diameters; a chamfer's leg
# and a line's depth, mm; a spot and a slit, in diameters and thicknesses. Common practice, no
# source.
USUAL_HOLE, USUAL_LEG, USUAL_LINE, USUAL_SPOT, USUAL_SLIT = 2.0, 0.5, 0.2, 0.4, 2.0


def load_by_kind(
    material: Material,
    cutter: Cutter,
    limits: CuttingLimits,
    *,
    depth: float | None = None,
    leg: float | None = None,
    units: Units = "mm",
) -> Load:
    """The load of a hole or slit of this depth, or a chamfer of this leg, mm; `units`: those in
    which a tap's feed is written and the reason is read."""
    if cutter.kind == "chamfer mill":
        return _chamfer(material, cutter, limits, USUAL_LEG if leg is None else leg, units)
    if cutter.kind == "engraving cutter":
        return _line(material, cutter, limits, USUAL_LINE if depth is None else depth, units)
    if cutter.kind == "slitting saw":
        return _slit(material, cutter, limits, depth, units)
    return _down(material, cutter, limits, depth, units)


def _down(
    material: Material, cutter: Cutter, limits: CuttingLimits, depth: float | None, units: Units
) -> Load:
    """The load of a cutter that is fed straight down."""
    size = cutter.diameter
    wide, inside, deep = size, 0.0, USUAL_HOLE * size if depth is None else depth
    if cutter.kind == "reamer":
        rates = reaming(material, cutter, limits)
        inside = size - reaming_allowance(size)
    elif cutter.kind == "tap":
        rates = tapping(material, cutter, limits, inch=units == "inch")
        inside = size
    elif cutter.kind == "boring head":
        rates = boring(material, cutter, limits, diameter=size)
        inside = size - BORING_TRIAL
    elif cutter.kind == "spot drill":
        deep = USUAL_SPOT * size if depth is None else depth
        wide = line_width(cutter, deep)
        rates = drilling(material, cutter, limits, depth=deep, wide=wide)
    else:
        rates = drilling(material, cutter, limits, depth=deep)
    power = plunging_power(
        material, cutter, feed=rates.feed, speed=rates.speed, wide=wide, inside=inside
    )
    return Load(
        speed=rates.speed,
        feed=rates.feed,
        plunge_feed=rates.feed,
        chip_load=rates.feed / rates.speed / cutter.flutes,
        depth=deep,
        width=wide,
        peck=rates.peck or None,
        power=None if cutter.kind == "tap" else power,
        limited_by=rates.limited_by,
        why=reason(rates, material, cutter.material, size, units),
    )


def _chamfer(
    material: Material, cutter: Cutter, limits: CuttingLimits, leg: float, units: Units
) -> Load:
    rates = chamfering(material, cutter, limits, leg=leg)
    return _of_point(material, cutter, rates, rates.stepover, units)


def _line(
    material: Material, cutter: Cutter, limits: CuttingLimits, depth: float, units: Units
) -> Load:
    rates = engraving(material, cutter, limits, depth=depth)
    return _of_point(material, cutter, rates, line_width(cutter, rates.stepdown), units)


def _of_point(material: Material, cutter: Cutter, rates: Rates, wide: float, units: Units) -> Load:
    """The load of a cut with a triangular section, `wide` at the surface: as one half as deep."""
    cut = MillingCut(
        material=material,
        cutter=cutter,
        width=wide,
        depth=rates.stepdown / 2,
        speed=rates.speed,
        feed=rates.feed,
        helix=0.0,
    )
    load = milled(cut, rates, allowed=None, units=units)
    # how far a point bends is not known: it is no bar
    return replace(load, depth=rates.stepdown, deflection=None, deflection_allowed=None)


def _slit(
    material: Material, saw: Cutter, limits: CuttingLimits, depth: float | None, units: Units
) -> Load:
    thick = saw.thickness or 0.0
    deep = USUAL_SLIT * thick if depth is None else depth
    rates = slitting(material, saw, limits, depth=deep)
    cut = sawn(material, saw, depth=rates.stepdown, speed=rates.speed, feed=rates.feed)
    load = milled(cut, rates, allowed=None, units=units)
    return replace(
        load,
        depth=rates.stepdown,
        width=thick,
        stepover=None,
        deflection=None,
        deflection_allowed=None,
    )


def usual_cutter(
    kind: Kind,
    diameter: float,
    *,
    flutes: int,
    material: Literal["hss", "carbide"],
    stickout: float,
    angle: float,
    pitch: float | None = None,
    thickness: float | None = None,
) -> Cutter:
    """A cutter of which no more is known, mm and radians; its number is 0."""
    return Cutter(
        number=0,
        name=f"{diameter:g} mm {kind}",
        kind=kind,
        diameter=diameter,
        flutes=flutes,
        material=material,
        flute_length=stickout,
        stickout=stickout,
        shank=diameter,
        tip_angle=angle if kind in POINTS else math.pi,
        pitch=pitch,
        thickness=thickness,
    )


# Usual points, degrees, and teeth; common practice, no source.
POINTS = {"drill": 118.0, "spot drill": 90.0, "chamfer mill": 90.0, "engraving cutter": 60.0}
TEETH = {"reamer": 6, "tap": 3, "boring head": 1, "engraving cutter": 1, "slitting saw": 32}
