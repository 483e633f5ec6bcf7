"""The reasons for a feature's cutters, in words for the machinist."""

from __future__ import annotations

from collections.abc import Iterator

from gcodekit.job.feature import Feature, Round
from gcodekit.job.kinds.hole import Hole
from gcodekit.operations.choosing.roughing_cutter import seconds_saved
from gcodekit.operations.choosing.tool_suggestions import SAME_WIDTH, mills_for
from gcodekit.operations.chosen_cutters import Chosen, CutterReason
from gcodekit.operations.end_milling import milled
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.passage import passes
from gcodekit.operations.planned_operation import PlanContext
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.hole_cutting import reaming_allowance

JOB_NAMES_IT = "named in the job"
# The part of the one cutter of a feature that is neither milled to walls nor drilled, and why it is
# taken where the job names none.
ALONE = {
    "chamfer": ("chamfer", "the smallest that is wide enough"),
    "engrave": ("engrave", "the finest point that cuts this line"),
    "saw": ("saw", "gives the kerf its thickness"),
    "scale": ("engrave", "the finest point that cuts this line"),
    "thread_mill": ("thread", "the largest that mills this thread"),
}


def picks(
    work: PlanContext, feature: Feature, chosen: Chosen, top: float
) -> tuple[CutterReason, ...]:
    """Each cutter of a feature with its part in it and why it was taken."""
    if feature.kind in ALONE:
        part, why = ALONE[feature.kind]
        if feature.cutting.cutter is not None and feature.kind != "saw":
            why = JOB_NAMES_IT
        return (CutterReason(chosen.finish, part, why),)
    if not feature.milled or chosen.reamer or chosen.boring:
        found = [*_of_hole(work, feature, chosen)]
        if feature.milled and not chosen.opened:
            named = feature.cutting.rough_with
            found.insert(
                0, CutterReason(chosen.rough, "open", _why(work, feature, chosen.rough, top, named))
            )
        return tuple(found)
    cutting, rough_with = feature.cutting, feature.cutting.rough_with
    only = not (cutting.rough and cutting.finish)
    if only or chosen.rough.number == chosen.finish.number:
        used = chosen.finishing(cutting)
        named = next((c for c in (cutting.cutter, rough_with) if c is used), None)
        return (CutterReason(used, _part(feature), _why(work, feature, used, top, named)),)
    why = _why(work, feature, chosen.finish, top, cutting.cutter)
    rough = JOB_NAMES_IT
    if rough_with is None and cutting_of(feature).roughed_larger:
        minutes = seconds_saved(work, feature, chosen.finish, chosen.rough) / 60
        rough = f"saves {minutes:.0f} min over cutter {chosen.finish.number} alone"
    return (CutterReason(chosen.rough, "rough", rough), CutterReason(chosen.finish, "finish", why))


def _part(feature: Feature) -> str:
    """The part of a cutter that does all the work of a feature."""
    if feature.cutting.rough and feature.cutting.finish:
        return "rough and finish"
    return "rough" if feature.cutting.rough else "finish"


def _why(
    work: PlanContext, feature: Feature, cutter: Cutter, top: float, named: Cutter | None
) -> str:
    """The reason for an end mill."""
    if named is not None:
        return JOB_NAMES_IT
    kind = milled(feature)
    if kind.why(feature):
        return kind.why(feature)
    if feature.faces and cutter.kind in ("face mill", "fly cutter"):
        return f"the first {cutter.kind} in the rack"
    larger = [c for c in mills_for(work, 0.0) if c.diameter > cutter.diameter + 1e-6]
    if not larger:
        return "the largest in the rack"
    return f"the largest {kind.goes_in}: {_against(work, feature, larger[-1], top)}"


def _against(work: PlanContext, feature: Feature, larger: Cutter, top: float) -> str:
    """The reason why the next larger cutter was not taken."""
    called, deep = work.called(larger), top - feature.depth.cut_to
    if larger.flute_length < deep - 1e-6:
        return (
            f"the flutes of {called} are {work.say(larger.flute_length)}, the cut "
            f"{work.say(deep)} deep"
        )
    kind = milled(feature)
    fault = kind.unfit(work, feature, larger)
    if fault is not None:
        return fault[0]
    wide = kind.width(feature)
    if wide is not None and larger.diameter > wide + SAME_WIDTH:
        return f"{called} is too wide, at most {work.say(wide)} fits"
    area = kind.area(work, feature, larger)
    if area is not None and not passes(area, larger.radius):
        return f"{called} cannot reach everywhere"
    return f"{called} {kind.too_large}"


def _of_hole(work: PlanContext, feature: Feature, chosen: Chosen) -> Iterator[CutterReason]:
    """The reasons for the cutters of holes, and of what brings a bore to size."""
    if not isinstance(feature, Round):
        return
    named = feature.cutting.cutter
    parts: tuple[tuple[Cutter | None, str, str], ...] = (
        (chosen.spot, "spot", "starts the drill in its place"),
        (chosen.pilot, "pilot", "the size set in the job"),
        (chosen.drill, "drill", _drill(work, feature, chosen)),
        (chosen.counterbore, "counterbore", _counterbore(work, feature, chosen)),
        (chosen.countersink, "countersink", "of its angle and wide enough"),
        (chosen.reamer, "ream", _reamer(work, feature, chosen)),
        (chosen.tap, "tap", "of the thread's size and pitch"),
        (chosen.boring, "bore", "can be set to the size"),
    )
    for cutter, part, why in parts:
        if cutter is not None:
            yield CutterReason(cutter, part, JOB_NAMES_IT if cutter is named else why)


def _drill(work: PlanContext, feature: Round, chosen: Chosen) -> str:
    if chosen.drill is None or not isinstance(feature, Hole):
        return ""
    if chosen.drill is feature.cutting.rough_with:
        return JOB_NAMES_IT
    if feature.thread is not None:
        share = feature.thread.engagement(chosen.drill.diameter)
        return f"the tapping drill for {feature.thread.name}, {share:.0f} % thread"
    if chosen.reamer is not None:
        left = feature.diameter - chosen.drill.diameter
        usual = work.say(reaming_allowance(feature.diameter))
        return f"leaves {work.say(left)} to ream (usual: {usual})"
    return "the size of the hole"


def _reamer(work: PlanContext, feature: Round, chosen: Chosen) -> str:
    band = feature.band
    if band is None or chosen.reamer is None:
        return "the size of the hole"
    cuts = f"cuts {band.fit}, " if band.fit else ""
    return f"{cuts}measures {work.say(chosen.reamer.diameter)}, within the limits"


def _counterbore(work: PlanContext, feature: Round, chosen: Chosen) -> str:
    mouth = feature.counterbore if isinstance(feature, Hole) else None
    if mouth is None or chosen.counterbore is None:
        return ""
    if abs(chosen.counterbore.diameter - mouth.diameter) < SAME_WIDTH:
        return "of its size, so it plunges"
    return "the largest that can mill round in it"
