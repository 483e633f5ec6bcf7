"""Which of two ways of roughing clears an area sooner within what the machine stands."""

from __future__ import annotations

from gcodekit.job.feature import RoughWay
from gcodekit.operations.draft import Work
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.outline_clearing import IN_CORNERS, Area
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.even_pass import EVEN_WORTH_IT, along_outline
from gcodekit.trade.following import IN_SLOTS


def quicker_way(work: Work, area: Area, cutter: Cutter, floor: float) -> tuple[RoughWay, str]:
    """The way, and why in words; "" where there is no choice."""
    feature = area.feature
    if not cutting_of(feature).either_way or area.label:
        return "follow outline", ""
    height = area.top - feature.depth.cut_to - floor
    figures = area.chosen.figures(cutter, feature.cutting)
    even = work.even_pass(cutter, figures, height)
    if even is None:
        return "follow outline", ""
    follow = work.following(cutter, figures, height, in_slots=IN_SLOTS + IN_CORNERS)
    along, evenly = along_outline(follow, height), even.minutes
    deep = f"{even.down} x {work.say_about(even.rates.stepdown)} deep"
    said = f"at an even load, {deep} and {work.say_about(even.rates.stepover)} wide"
    share = abs(1 - evenly / along)
    if evenly < (1 - EVEN_WORTH_IT) * along:
        return "even load", f"{said}, about {share:.0%} sooner than along its outline"
    if evenly < along:
        return "follow outline", f"{said}, it would save no more than {share:.0%}"
    return "follow outline", f"{said}, it would take {share:.0%} longer"
