"""Warnings of a job's own speeds, feeds and depths, where they ask more than machine or cutter
stand, each with the figure that would do."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

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
    doubted_drilling,
    doubted_milling,
    doubted_peck,
    doubted_speed,
)
from gcodekit.trade.rates import Rates, drilling, reaming
from gcodekit.units import Units, mm_per

# A tap's feed this near to pitch times speed is that, as far as it can be typed.
SAME_FEED = 1e-3


def rate_doubts(
    work: PlanContext, feature: Feature, chosen: Chosen, top: float
) -> tuple[Fault, ...]:
    """A warning for each figure of the feature that asks too much."""
    cutting = feature.cutting
    if not cutting.places:
        return ()
    sized = not feature.milled or chosen.reamer or chosen.boring
    hole = isinstance(feature, Round) and sized
    doubts = [*(_of_hole if hole else _of_milling)(work, feature, chosen, top)]
    if feature.milled and hole and cutting.stepdown is not None:
        doubts += [d for d in _of_milling(work, feature, chosen, top) if d.key == "stepdown"]
    seen: dict[str, Fault] = {}
    for doubt in doubts:
        key = _key_of(cutting, doubt)
        seen.setdefault(key, _fault(work, feature, key, doubt))
    return tuple(seen.values())


def _key_of(cutting: Cutting, doubt: RateWarning) -> str:
    """The key that was written: a hole's feed may stand as its `plunge_feed`; what is left out,
    is to be added where the figures that ask for it stand."""
    if doubt.key == "feed" and "feed" not in cutting.places and cutting.plunge_feed:
        return "plunge_feed"
    return doubt.key


def _fault(work: PlanContext, feature: Feature, key: str, doubt: RateWarning) -> Fault:
    place = feature.cutting.places.get(key)
    if place is None:
        given = (feature.cutting.places.get(k) for k in FIGURES)
        place = next((p for p in given if p is not None), feature.place)
    units: Units = "mm" if doubt.key == "speed" else work.job.units
    value = doubt.would_do if doubt.exact else three_figures(doubt.would_do, units, up=doubt.least)
    size = f"{value:.6g} rev/min" if doubt.key == "speed" else work.say(value)
    size += " a minute" if doubt.key in ("feed", "plunge_feed") else ""
    bound = "at least " if doubt.least else ""
    written = key in feature.cutting.places
    hint = f"{bound}{size} would do" if written else f"{key} = {size} would do"
    return Fault(place, doubt.text, hint, "warning")


def _of_milling(
    work: PlanContext, feature: Feature, chosen: Chosen, top: float
) -> Iterator[RateWarning]:
    """Of what is milled: each cutter with the figures that hold for it."""
    last = chosen.finishing(feature.cutting)
    for cutter in dict.fromkeys((chosen.rough, last)):
        if cutter.kind in ("reamer", "boring head"):
            continue
        cutting = chosen.figures(cutter, feature.cutting)
        material, rates = work.job.material, work.milling(cutter, cutting)
        if cutting.speed is not None:
            yield from doubted_speed(
                cutting.speed,
                material.mill.of(cutter.material),
                cutter.diameter,
                work.limits,
                what=f"{cutter.material} in {material.name}",
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
        yield from doubted_milling(
            GivenCut(
                cut=cut,
                rates=rates,
                limits=work.limits,
                given=frozenset(k for k in FIGURES if getattr(cutting, k) is not None),
                say=partial(_say, work),
            )
        )


def _of_hole(
    work: PlanContext, feature: Feature, chosen: Chosen, top: float
) -> Iterator[RateWarning]:
    """Of the cutter of a hole that the job's figures are for."""
    assert isinstance(feature, Round)
    cutting, material = feature.cutting, work.job.material
    cutter = chosen.tap or chosen.finishing(cutting)
    surface, ours, wide, inside = _usual(work, feature, chosen, cutter, top)
    what = f"{cutter.material} in {material.name}"
    if cutting.speed is not None:
        yield from doubted_speed(cutting.speed, surface, wide, work.limits, what=what)
    if isinstance(feature, Hole) and feature.peck and chosen.drill is not None:
        yield from doubted_peck(material, chosen.drill, feature.peck, say=partial(_say, work))
    feed = cutting.plunge_feed or cutting.feed
    if feed is not None and cutter.kind == "tap":
        yield from _tapped(work, cutter, cutting, feed)
    if feed is not None and ours is not None:
        yield from doubted_drilling(
            material,
            cutter,
            work.limits,
            ours=ours,
            speed=cutting.speed or ours.speed,
            feed=feed,
            wide=wide,
            inside=inside,
            say=partial(_say, work),
        )


def _tapped(work: PlanContext, tap: Cutter, cutting: Cutting, feed: float) -> Iterator[RateWarning]:
    """A tap's feed is its pitch a turn: any other is not used."""
    rates = tapping(
        work.job.material,
        tap,
        work.limits,
        inch=work.job.units == "inch",
        speed=cutting.speed,
    )
    if abs(rates.feed - feed) > SAME_FEED * rates.feed:
        text = f"is not used: a tap goes in by its pitch a turn, at {rates.speed:.6g} rev/min"
        yield RateWarning("feed", text, rates.feed, exact=True)


def _usual(
    work: PlanContext, feature: Round, chosen: Chosen, cutter: Cutter, top: float
) -> tuple[float, Rates | None, float, float]:
    """m/min and rates that we would take, the diameter it cuts, and that which is there, mm."""
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


def _say(work: PlanContext, mm: float) -> str:
    """A length to three figures, in the job's units."""
    units = work.job.units
    return f"{mm / mm_per(units):.3g} {'in' if units == 'inch' else 'mm'}"


def three_figures(value: float, units: Units, *, up: bool) -> float:
    """Three figures of it in the job's units, no less or no more than it is."""
    scale = mm_per(units)
    step = 10.0 ** (math.floor(math.log10(value / scale)) - 2)
    steps = value / scale / step
    return (math.ceil(steps - 1e-6) if up else math.floor(steps + 1e-6)) * step * scale
