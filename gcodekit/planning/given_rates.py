"""Warnings of a job's own speeds, feeds and depths beyond what machine or cutter can take, each
with a figure that would work."""

from __future__ import annotations

import math
from collections.abc import Iterator

from gcodekit.errors import Fault
from gcodekit.job.feature import Cutting, Feature, Round
from gcodekit.job.features.how_cut import FIGURES
from gcodekit.job.kinds.hole import Hole
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import PlanContext
from gcodekit.planning.loads import deepest_step
from gcodekit.trade.cutter import SIDE_MILLS, Cutter
from gcodekit.trade.hole_cutting import (
    BORING_SHARE,
    SINKING_SHARE,
    TAPPING_SHARE,
    boring,
    countersinking,
    reaming_allowance,
    tapping,
)
from gcodekit.trade.milling_force import MillingCut
from gcodekit.trade.own_figures import (
    GivenCut,
    RateWarning,
    drilling_warnings,
    milling_warnings,
    peck_warnings,
    speed_warnings,
)
from gcodekit.trade.rates import Rates, drilling, reaming
from gcodekit.units import Units, mm_per

# A tap's feed this near to pitch times speed is that, as far as it can be typed.
SAME_FEED = 1e-3


def rate_warnings(
    work: PlanContext, feature: Feature, chosen: Chosen, top: float
) -> tuple[Fault, ...]:
    """Return a warning for each figure of the feature that is too high or too low."""
    cutting = feature.cutting
    if not cutting.places:
        return ()
    sized = not feature.milled or chosen.reamer or chosen.boring
    hole = isinstance(feature, Round) and sized
    warnings = [*(_of_hole if hole else _of_milling)(work, feature, chosen, top)]
    if feature.milled and hole and cutting.stepdown is not None:
        warnings += [d for d in _of_milling(work, feature, chosen, top) if d.key == "stepdown"]
    seen: dict[str, Fault] = {}
    for warning in warnings:
        key = _key_of(cutting, warning)
        seen.setdefault(key, _fault(work, feature, key, warning))
    return tuple(seen.values())


def _key_of(cutting: Cutting, warning: RateWarning) -> str:
    """The key as the job has it: a hole's feed may be its `plunge_feed`; a missing key is to be
    added beside the figures that call for it."""
    if warning.key == "feed" and "feed" not in cutting.places and cutting.plunge_feed:
        return "plunge_feed"
    return warning.key


def _fault(work: PlanContext, feature: Feature, key: str, warning: RateWarning) -> Fault:
    place = feature.cutting.places.get(key)
    if place is None:
        given = (feature.cutting.places.get(k) for k in FIGURES)
        place = next((p for p in given if p is not None), feature.place)
    units: Units = "mm" if warning.key == "speed" else work.job.units
    value = (
        warning.would_do
        if warning.exact
        else three_figures(warning.would_do, units, up=warning.least)
    )
    size = f"{value:.6g} rev/min" if warning.key == "speed" else work.say(value)
    if key not in feature.cutting.places:
        return Fault(place, warning.text, f"set {key} = {size.split()[0]}", "warning")
    size += "/min" if warning.key in ("feed", "plunge_feed") else ""
    bound = "" if warning.exact else "at least " if warning.least else "at most "
    return Fault(place, warning.text, f"use {bound}{size}", "warning")


def _of_milling(
    work: PlanContext, feature: Feature, chosen: Chosen, top: float
) -> Iterator[RateWarning]:
    """Warn of the milling figures of each cutter, by the job's figures for it."""
    last = chosen.finishing(feature.cutting)
    for cutter in dict.fromkeys((chosen.rough, last)):
        if cutter.kind in ("reamer", "boring head"):
            continue
        cutting = chosen.figures(cutter, feature.cutting)
        material, rates = work.job.material, work.milling(cutter, cutting)
        if cutting.speed is not None:
            yield from speed_warnings(
                cutting.speed,
                material.mill.of(cutter.material),
                cutter.diameter,
                work.limits,
                what=f"{cutter.material} in {material.name}",
                units=work.job.units,
            )
        deep = deepest_step(top, feature.depth.cut_to, rates.stepdown)
        if deep <= 0 or cutter.kind not in SIDE_MILLS:
            continue
        cut = MillingCut(
            material=material,
            cutter=cutter,
            width=cutting_of(feature).widest_cut(feature, cutter, rates),
            depth=deep,
            speed=rates.speed,
            feed=rates.feed,
        )
        yield from milling_warnings(
            GivenCut(
                cut=cut,
                rates=rates,
                limits=work.limits,
                given=frozenset(k for k in FIGURES if getattr(cutting, k) is not None),
                units=work.job.units,
            )
        )


def _of_hole(
    work: PlanContext, feature: Feature, chosen: Chosen, top: float
) -> Iterator[RateWarning]:
    """Warn of the figures of a hole, for the cutter that they are meant for."""
    assert isinstance(feature, Round)
    cutting, material = feature.cutting, work.job.material
    cutter = chosen.tap or chosen.finishing(cutting)
    surface, ours, wide, inside = _usual(work, feature, chosen, cutter, top)
    what = f"{cutter.material} in {material.name}"
    if cutting.speed is not None:
        yield from speed_warnings(
            cutting.speed, surface, wide, work.limits, what=what, units=work.job.units
        )
    if isinstance(feature, Hole) and feature.peck and chosen.drill is not None:
        yield from peck_warnings(material, chosen.drill, feature.peck, units=work.job.units)
    feed = cutting.plunge_feed or cutting.feed
    if feed is not None and cutter.kind == "tap":
        yield from _tapped(work, cutter, cutting, feed)
    if feed is not None and ours is not None:
        yield from drilling_warnings(
            material,
            cutter,
            work.limits,
            ours=ours,
            speed=cutting.speed or ours.speed,
            feed=feed,
            wide=wide,
            inside=inside,
            units=work.job.units,
        )


def _tapped(work: PlanContext, tap: Cutter, cutting: Cutting, feed: float) -> Iterator[RateWarning]:
    """Warn of a tap's feed other than its pitch per turn: it is not used."""
    rates = tapping(
        work.job.material,
        tap,
        work.limits,
        inch=work.job.units == "inch",
        speed=cutting.speed,
    )
    if abs(rates.feed - feed) > SAME_FEED * rates.feed:
        text = f"not used: a tap feeds its pitch per turn, here at {rates.speed:.6g} rev/min"
        yield RateWarning("feed", text, rates.feed, exact=True)


def _usual(
    work: PlanContext, feature: Round, chosen: Chosen, cutter: Cutter, top: float
) -> tuple[float, Rates | None, float, float]:
    """Our own m/min and rates, the diameter it cuts and that of the hole before it, mm."""
    material, limits, size = work.job.material, work.limits, cutter.diameter
    if cutter.kind == "tap":
        return TAPPING_SHARE * material.ream.of(cutter.material), None, size, size
    if cutter.kind == "reamer":
        rates = reaming(material, cutter, limits)
        return material.ream.of(cutter.material), rates, size, size - reaming_allowance(size)
    if cutter.kind == "boring head":
        size = feature.diameter
        rates = boring(material, cutter, limits, diameter=size)
        return BORING_SHARE * material.mill.of(cutter.material), rates, size, size
    if isinstance(feature, Hole) and feature.countersink is not None and not feature.drilled:
        size = feature.countersink.diameter
        rates = countersinking(material, cutter, limits, diameter=size)
        return SINKING_SHARE * material.drill.of(cutter.material), rates, size, 0.0
    rates = drilling(material, cutter, limits, depth=top - feature.depth.cut_to)
    return material.drill.of(cutter.material), rates, size, 0.0


def three_figures(value: float, units: Units, *, up: bool) -> float:
    """Round to three figures in the job's units, up or down."""
    scale = mm_per(units)
    step = 10.0 ** (math.floor(math.log10(value / scale)) - 2)
    steps = value / scale / step
    return (math.ceil(steps - 1e-6) if up else math.floor(steps + 1e-6)) * step * scale
