"""The choice of cutters for round holes: drills, reamers, taps, boring heads."""

from __future__ import annotations

from typing import Literal, NoReturn

from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.hole import Hole
from gcodekit.operations.choosing import tool_suggestions
from gcodekit.operations.choosing.mouth_cutters import (
    counterbore_of,
    countersink_of,
    is_spot,
)
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.planned_operation import PlanContext, refuse
from gcodekit.operations.spot_room import SPOT_SHARE
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.hole_cutting import reaming_allowance
from gcodekit.trade.size_limits import plain_class
from gcodekit.trade.threads import cuts_thread

# Diameters nearer than this are the same size of drill or reamer.
SAME_DRILL = 0.011
# A size measured this far outside its limits is on the limit, mm.
_ON_LIMIT = 1e-6


def for_hole(work: PlanContext, hole: Hole, top: float, *, mills: list[Cutter]) -> Chosen:
    """The cutters of a hole; raises `PlanError` naming what is missing."""
    sink = countersink_of(work, hole)
    if not hole.drilled:
        only = sink or _spot_only(work, hole)
        return Chosen(finish=only, rough=only, spot=None if sink else only, countersink=sink)
    spot = _spot(work, hole, sink)
    drill, last = _drill_and_last(work, hole, top)
    pilot = None
    if hole.pilot is not None:
        deep = top - hole.depth.cut_to
        pilot = _sized(work, hole, "drill", hole.pilot, hole.pilot, deep, key="pilot")
        if pilot.diameter >= drill.diameter:
            text = f"the pilot drill is not smaller than the drill after it, {drill.name}"
            raise refuse(hole, text, "use a smaller one", key="pilot")
    reamed = last is not None and last.kind == "reamer"
    return Chosen(
        finish=last if reamed and last else drill,
        rough=drill,
        spot=spot,
        pilot=pilot,
        drill=drill,
        reamer=last if reamed else None,
        tap=None if reamed else last,
        counterbore=counterbore_of(work, hole, top, mills),
        countersink=sink,
    )


def _spot_only(work: PlanContext, hole: Hole) -> Cutter:
    return hole.cutting.cutter or _spot_drill(work) or _no_spot_drill(work, hole)


def _spot_drill(work: PlanContext) -> Cutter | None:
    return next(filter(is_spot, work.job.workshop.cutters), None)


def _no_spot_drill(work: PlanContext, hole: Hole) -> NoReturn:
    wide = f"add a spot drill wider than {work.say(SPOT_SHARE * hole.diameter)}"
    hint = f"{wide}, or set spot = false" if hole.drilled else f"{wide}, or remove the hole"
    raise refuse(hole, "the rack has no spot drill", hint, key="spot")


def _spot(work: PlanContext, hole: Hole, sink: Cutter | None) -> Cutter | None:
    """The spot drill: the countersink's, where that is one and the mouth is at the surface. A
    rack without one drills without a word, unless the job asks for the spot."""
    if not hole.spot:
        return None
    spot = sink if sink is not None and is_spot(sink) else _spot_drill(work)
    if spot is None and hole.spot_asked:
        _no_spot_drill(work, hole)
    return spot


def _drill_and_last(work: PlanContext, hole: Hole, top: float) -> tuple[Cutter, Cutter | None]:
    """The drill, and the reamer or tap after it."""
    named, rough, depth = hole.cutting.cutter, hole.cutting.rough_with, top - hole.depth.cut_to
    if hole.thread is not None:
        machine = hole.tapping == "machine"
        drill = (rough if machine else named) or _tap_drill(work, hole, depth)
        return drill, (named or _tap(work, hole, depth)) if machine else None
    if hole.ream:
        reamer = reamer_for(work, hole, depth)
        wanted = hole.diameter - reaming_allowance(hole.diameter)
        most = hole.diameter - 0.5 * reaming_allowance(hole.diameter)
        least = wanted - max(0.3, 0.04 * hole.diameter)
        return rough or _sized(work, hole, "drill", least, most, depth), reamer
    band = hole.band
    least, most = (band.least, band.most) if band else (hole.diameter, hole.diameter)
    return named or _sized(work, hole, "drill", least, most, depth), None


def reamer_for(work: PlanContext, feature: Hole | Bore, depth: float) -> Cutter:
    """The reamer named, or one of the size; with limits one that measures between them."""
    named, band = feature.cutting.cutter, feature.band
    reamers = [named] if named else [c for c in work.job.workshop.cutters if c.kind == "reamer"]
    if band is None:
        return named or _sized(work, feature, "reamer", feature.diameter, feature.diameter, depth)
    inside = [c for c in reamers if band.least - _ON_LIMIT <= c.diameter <= band.most + _ON_LIMIT]
    fitting = [c for c in inside if not band.fit or plain_class(c.fit or "") == band.fit]
    long = [c for c in fitting if c.follows(c.diameter) >= depth - 1e-6]
    if long:
        return min(long, key=lambda c: abs(c.diameter - band.middle))
    size = f"{work.say(band.nominal)} {band.fit}".strip()
    limits = f"limits {work.say(band.least)} to {work.say(band.most)}"
    whose = "the reamer named does not cut" if named else "no reamer in the rack cuts"
    near = min(reamers, key=lambda c: abs(c.diameter - band.middle), default=None)
    text = f"{whose} {size}: {limits}, {work.say(depth)} deep; {_nearest_reamer(work, near, depth)}"
    fit = f', give your reamer fit = "{band.fit}" if it cuts that' if band.fit else ""
    mill = 'kind = "bore"' if isinstance(feature, Hole) else 'finish_with = "end mill"'
    would_do = tool_suggestions.reamer(work, band, depth)
    raise refuse(
        feature, text, f"{would_do}{fit}, or mill the hole with {mill}", key=_size_key(feature)
    )


def _nearest_reamer(work: PlanContext, reamer: Cutter | None, depth: float) -> str:
    if reamer is None:
        return "the rack has no reamer"
    fit = f'fit = "{reamer.fit}"' if reamer.fit else "no fit given"
    has = f"{work.say(reamer.diameter)}, {fit}, flutes {work.say(reamer.flute_length)}"
    if reamer.flute_length < depth - 1e-6:
        has += f", shank {work.say(reamer.shank)}, stick-out {work.say(reamer.stickout)}"
    return f"the nearest is cutter {reamer.number}, {reamer.name}: {has}"


def _size_key(feature: Hole | Bore) -> str:
    if feature.band is None:
        return "diameter"
    return "fit" if feature.band.fit else "limits"


def _tap_drill(work: PlanContext, hole: Hole, depth: float) -> Cutter:
    """The tapping drill; where the rack has none of the size, what its nearest would leave."""
    thread, long = hole.thread, _drills(work, depth)
    assert thread is not None
    near = min(long, key=lambda c: abs(c.diameter - hole.diameter), default=None)
    if near is not None and abs(near.diameter - hole.diameter) < SAME_DRILL:
        return near
    hint = f"add a drill of {work.say(hole.diameter)}"
    if near is not None and thread.minor <= near.diameter < thread.major:
        share = thread.engagement(near.diameter)
        hint += (
            f", or set diameter = {work.say(near.diameter).split()[0]} to use cutter "
            f"{near.number}, {near.name}: {share:.0f} % thread"
        )
    text = (
        f"the rack has no drill of {work.say(hole.diameter)}, the tapping drill for "
        f"{thread.name}, that drills {work.say(depth)} deep"
    )
    raise refuse(hole, text, hint, key="thread")


def _drills(work: PlanContext, depth: float) -> list[Cutter]:
    """Drills of the rack that reach this deep."""
    cutters = work.job.workshop.cutters
    return [c for c in cutters if c.kind == "drill" and c.flute_length >= depth - 1e-6]


def _tap(work: PlanContext, hole: Hole, depth: float) -> Cutter:
    thread = hole.thread
    assert thread is not None
    taps = [c for c in work.job.workshop.cutters if cuts_thread(c, thread)]
    long = [c for c in taps if c.follows(hole.diameter) >= depth - 1e-6]
    if long:
        return long[0]
    size = f"diameter {work.say(thread.major)}, pitch {work.say(thread.pitch)}"
    text = f"the rack has no tap for {thread.name} ({size}) that reaches {work.say(depth)} deep"
    flutes = work.say(depth)
    hint = f'add a tap {thread.name} with {flutes} of thread, or set tapping = "by hand"'
    raise refuse(hole, text, hint, key="thread")


def _sized(
    work: PlanContext,
    feature: Hole | Bore,
    kind: Literal["drill", "reamer"],
    least: float,
    most: float,
    depth: float,
    *,
    key: str = "diameter",
) -> Cutter:
    """The largest drill or reamer of the rack between two diameters."""
    those = [c for c in work.job.workshop.cutters if c.kind == kind]
    fitting = [
        c
        for c in those
        if least - SAME_DRILL < c.diameter < most + SAME_DRILL and _reaches(c) >= depth - 1e-6
    ]
    if fitting:
        return max(fitting, key=lambda c: c.diameter)
    middle = (least + most) / 2
    near = min(those, key=lambda c: abs(c.diameter - middle), default=None)
    size = work.say(most) if most - least < 0.01 else f"{work.say(least)} to {work.say(most)}"
    has = f"it has no {kind}s" if near is None else _nearest(work, near, least, most)
    milled = kind == "drill" and key == "diameter" and not _reamed(feature)
    other = ', or mill it with kind = "bore"' if milled else ""
    raise refuse(
        feature,
        f"the rack has no {kind} of {size} that drills {work.say(depth)} deep; {has}"
        if kind == "drill"
        else f"the rack has no {kind} of {size} that reaches {work.say(depth)} deep; {has}",
        f"{tool_suggestions.of_size(work, kind, least, most, depth)}{other}",
        key=key,
    )


def _reaches(cutter: Cutter) -> float:
    """The depth that a drill or reamer reaches, mm: a drill's chips need flutes all the way out."""
    return cutter.follows(cutter.diameter) if cutter.kind == "reamer" else cutter.flute_length


def _nearest(work: PlanContext, near: Cutter, least: float, most: float) -> str:
    """The cutter nearest in size; where it is of the size, that it is too short."""
    if least - SAME_DRILL < near.diameter < most + SAME_DRILL:
        return f"cutter {near.number} has flutes of only {work.say(near.flute_length)}"
    return f"the nearest is {work.say(near.diameter)}, cutter {near.number}"


def _reamed(feature: Hole | Bore) -> bool:
    return not isinstance(feature, Hole) or feature.ream
