"""How much work a feature asks for: passes, strokes and hours, before any of it is planned."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.job.feature import Feature
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import PlanContext, refuse
from gcodekit.trade.cutter import Cutter

# More than this of a feature is a slip of the pen, not a job. Common practice, no source: passes
# as thin as a shaving, strokes as fine as a scraper's, four days of cutting.
DEEP_PASSES = 250
WIDE_STROKES = 1000
MOST_HOURS = 100.0
LARGER = "use a larger cutter, or a larger stepover"
SHALLOWER = "use a larger cutter, or a smaller depth"


@dataclass(frozen=True, slots=True)
class Effort:
    """Passes one below the other, strokes side by side in each, and hours at the fastest feed."""

    passes: int
    strokes: int
    hours: float

    @property
    def too_much(self) -> bool:
        """Tell whether nobody would cut it so."""
        return self.passes > DEEP_PASSES or self.strokes > WIDE_STROKES or self.hours > MOST_HOURS


def effort(
    work: PlanContext, feature: Feature, cutter: Cutter, top: float, area: BaseGeometry
) -> Effort:
    """The effort of clearing an area down from `top` with one cutter, about."""
    rates = work.milling(cutter, feature.cutting)
    passes = math.ceil(_height(work, feature, top) / rates.stepdown)
    along = cutting_of(feature).one_stroke
    step = cutter.diameter if along else rates.stepover
    x0, y0, x1, y1 = area.bounds if not area.is_empty else (0.0, 0.0, 0.0, 0.0)
    strokes = 1 if along else math.ceil(min(x1 - x0, y1 - y0) / step)
    way = passes * max(area.area / step, 1.0)
    return Effort(passes, strokes, way / work.job.workshop.machine.feed_max / 60)


def refuse_excess(
    work: PlanContext, feature: Feature, cutter: Cutter, top: float, area: BaseGeometry | None
) -> None:
    """Raise `PlanError` where a feature asks for more work than anybody would do. `area`: what it
    covers in plan, None for all of the metal."""
    if not feature.milled:
        return
    whole = shapely.box(*work.metal.bounds) if area is None else area
    found = effort(work, feature, cutter, top, whole)
    if not found.too_much:
        return
    rates, cutting = work.milling(cutter, feature.cutting), feature.cutting
    if found.passes > DEEP_PASSES:
        deep = _height(work, feature, top)
        least = work.say(math.ceil(1000 * deep / DEEP_PASSES) / 1000)
        text = f"{found.passes:,} passes of {work.say(rates.stepdown)}, at most {DEEP_PASSES}"
        hint = f"set stepdown = {least.split()[0]} or more" if cutting.stepdown else SHALLOWER
        raise refuse(feature, text, hint, key="stepdown" if cutting.stepdown else "kind")
    asked = "stepover" if cutting.stepover else "stepdown" if cutting.stepdown else "kind"
    if found.strokes > WIDE_STROKES:
        apart = work.say(rates.stepover)
        text = f"{found.strokes:,} strokes {apart} apart, at most {WIDE_STROKES:,}"
        raise refuse(feature, text, LARGER, key=asked)
    text = f"it would take at least {found.hours:,.0f} hours, at most {MOST_HOURS:g} are accepted"
    hint = "use a larger cutter, stepover or stepdown, or have it cut on a larger machine"
    raise refuse(feature, text, hint, key=asked)


def _height(work: PlanContext, feature: Feature, top: float) -> float:
    return max(top - max(feature.depth.cut_to, work.setup.left.low[2]), 1e-3)
