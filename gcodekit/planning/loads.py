"""The load that each operation of a plan puts on its cutter and the machine."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from gcodekit.job.feature import Cutting
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.operations.boring import boring_settings
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.planned_operation import (
    PlanContext,
    PlannedOperation,
    finishing_step,
    wall_allowance,
)
from gcodekit.toolpath.moves import ArcFeed, Feed, HoleCycle
from gcodekit.toolpath.path import depth_steps
from gcodekit.trade.cut_load import ASKED, Load, milled, reason
from gcodekit.trade.edge_cutting import sawn
from gcodekit.trade.finishing import FINISHING_BEND
from gcodekit.trade.hole_cutting import BORING_LEFT, reaming_allowance
from gcodekit.trade.milling_force import MillingCut
from gcodekit.trade.rates import Rates, plunging_power
from gcodekit.trade.rulings import DEPTH_LIMITS, Ruling

# A finishing pass with nothing left for it still scrapes this much, mm.
SCRAPED = 0.01
# Two figures this near are the same one.
_SAME_FIGURE = 1e-9
# Limits that a finishing pass shares with the roughing before it: they set its speed.
_OF_SPEED = ("spindle range", "minimum chip load")


def load_of(
    work: PlanContext, draft: PlannedOperation, chosen: Chosen, top: float, engagement: float | None
) -> Load | None:
    """The load of an operation whose stock begins at z `top`; None for one that cuts nothing.
    `engagement`: the largest angle of the cutter in stock in its level cuts, radians; where it is
    known, roughing is judged at the width that belongs to it."""
    cycle = next((m for m in draft.moves if isinstance(m, HoleCycle)), None)
    if draft.rates is None:
        return None
    if cycle is not None:
        return _down(work, draft, draft.rates, cycle, chosen, top)
    fed = [m for m in draft.moves if isinstance(m, Feed | ArcFeed)]
    if not fed:
        return None
    if draft.cutter.is_blade:
        return _sawn(work, draft, draft.rates, chosen)
    rates, feed, low = draft.rates, draft.rates.feed, min(m.z for m in fed)
    if draft.finishing:
        step, width = finishing_step(draft.cutter), wall_allowance(draft.feature, chosen.rough)
        fine = work.finishing(draft.cutter, draft.feature.cutting, draft.speed)
        shared = [r for r in rates.rulings if r.limit in _OF_SPEED]
        rates = replace(fine, plunge_feed=rates.plunge_feed, rulings=(*shared, *fine.rulings))
    else:
        step = rates.stepdown
        rates = _as_drawn(rates, top - low)
        width = rates.engaged
        if draft.following is not None:
            width = draft.cutter.radius * (1 - math.cos(engagement or math.pi))
            feed = draft.following.feed(width)
    cut = MillingCut(
        material=work.job.material,
        cutter=draft.cutter,
        width=min(max(width, SCRAPED), draft.cutter.diameter),
        depth=max(deepest_step(top, low, step), SCRAPED),
        speed=draft.speed,
        feed=feed,
    )
    allowed = FINISHING_BEND if draft.finishing else None
    asked = _asked(draft, chosen, feed, sideways=not draft.finishing)
    load = milled(cut, rates, allowed=allowed, units=work.job.units, asked=asked)
    return replace(load, engagement=math.degrees(engagement)) if engagement else load


def _sawn(work: PlanContext, draft: PlannedOperation, rates: Rates, chosen: Chosen) -> Load:
    """The load of a saw's pass: power; a blade is not deflected like an end mill."""
    cutter, material = draft.cutter, work.job.material
    cut = sawn(material, cutter, depth=rates.stepdown, speed=draft.speed, feed=rates.feed)
    asked = _asked(draft, chosen, rates.feed, sideways=True)
    return Load(
        speed=cut.speed,
        feed=cut.feed,
        plunge_feed=rates.plunge_feed,
        chip_load=cut.chip_load,
        depth=rates.stepdown,
        width=cutter.flute_length,
        power=cut.power,
        asked=asked,
        limited_by=ASKED if asked else rates.limited_by,
        why=reason(rates, material, cutter.material, cutter.diameter, work.job.units, asked),
    )


def _as_drawn(rates: Rates, deep: float) -> Rates:
    """Rates of a cut taken in one pass: limits on a deeper cut had no effect on it."""
    if deep >= rates.stepdown - 1e-6:
        return rates
    drawn = Ruling("drawing", "{0} deep, cut in one pass", 1.0, lengths=(max(deep, 0.0),))
    others = [r for r in rates.rulings if r.limit not in DEPTH_LIMITS]
    return replace(rates, rulings=(*others, drawn))


def deepest_step(top: float, low: float, step: float) -> float:
    """The deepest of the passes that `depth_steps` makes, mm."""
    if low >= top:
        return 0.0
    levels = [top, *depth_steps(top, low, step)]
    return max(a - b for a, b in pairwise(levels))


def _down(
    work: PlanContext,
    draft: PlannedOperation,
    rates: Rates,
    cycle: HoleCycle,
    chosen: Chosen,
    top: float,
) -> Load:
    """The load of a plunging cut: power, but no side force to deflect anything."""
    cutter, deep, material = draft.cutter, top - cycle.bottom, work.job.material
    full = cutter.kind in ("drill", "reamer", "tap")
    wide = cutter.diameter if full else 2 * min(cutter.radius, cutter.radius_at(deep))
    # a cone's speed goes by how wide it is at its mouth, any other cutter's by its diameter
    judged = wide if draft.label == "countersink" else cutter.diameter
    asked = _asked(draft, chosen, cycle.feed, sideways=False)
    power = None
    if cutter.kind != "tap":
        power = plunging_power(
            material,
            cutter,
            feed=cycle.feed,
            speed=draft.speed,
            wide=wide,
            inside=min(wide, _inside(draft, chosen)),
        )
    return Load(
        speed=draft.speed,
        feed=cycle.feed,
        plunge_feed=cycle.feed,
        chip_load=cycle.feed / draft.speed / cutter.flutes,
        depth=deep - cutter.point_length if full else deep,
        width=wide,
        peck=cycle.peck or None,
        power=power,
        asked=asked,
        limited_by=ASKED if asked else rates.limited_by,
        why=reason(rates, material, cutter.material, judged, work.job.units, asked),
    )


def _inside(draft: PlannedOperation, chosen: Chosen) -> float:
    """Diameter of the hole that is there already, mm."""
    cutter, feature = draft.cutter, draft.feature
    if cutter.kind == "reamer":
        return cutter.diameter - reaming_allowance(cutter.diameter)
    if cutter.kind == "boring head":
        assert isinstance(feature, Bore)
        opened = chosen.opened or feature.diameter - BORING_LEFT
        sizes = (opened, *boring_settings(feature.diameter, opened))
        return max((d for d in sizes if d < cutter.diameter - 1e-6), default=opened)
    if cutter is chosen.drill:
        return chosen.pilot.diameter if chosen.pilot else 0.0
    mouth = cutter in (chosen.counterbore, chosen.countersink) and draft.label != "spot"
    return feature.diameter if mouth and isinstance(feature, Hole) and feature.drilled else 0.0


def _asked(
    draft: PlannedOperation, chosen: Chosen, feed: float, *, sideways: bool
) -> tuple[str, ...]:
    """Names of the figures set in the job; depth and width of passes only count in roughing
    `sideways`."""
    cutting: Cutting = chosen.figures(draft.cutter, draft.feature.cutting)
    rates = draft.rates
    assert rates is not None
    used = {"speed": draft.speed, "feed": feed, "plunge_feed": rates.plunge_feed}
    if sideways:
        used |= {"stepdown": rates.stepdown, "stepover": rates.stepover}
    said = {name: getattr(cutting, name) for name in used}
    return tuple(n for n, v in said.items() if v is not None and abs(v - used[n]) < _SAME_FIGURE)
