"""Slots: along their centre line with a cutter of their width, or as a narrow pocket."""

from __future__ import annotations

import shapely

from gcodekit.geometry.chain import Chain, Line
from gcodekit.geometry.offset import grow_chain
from gcodekit.job.kinds.slot import Slot
from gcodekit.operations.area import area_drafts
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import Draft, Phase, Work, refuse
from gcodekit.operations.outline_clearing import Area
from gcodekit.part.asked import Around
from gcodekit.part.asked_slot import RunOn, runs_on
from gcodekit.toolpath.kerf import OpenRun, along_one_way, along_open
from gcodekit.toolpath.path import APPROACH, Path, depth_steps

# A cutter this near the slot's width cuts it at one go, unless limits ask for more.
SAME_WIDTH = 0.005


def same_width(work: Work, slot: Slot) -> float:
    """How far a cutter's diameter may be off the slot's width to cut it at one go, mm."""
    return min(SAME_WIDTH, work.true_to(slot))


def slot_drafts(work: Work, slot: Slot, chosen: Chosen, top: float, around: Around) -> list[Draft]:
    """Full width along the centre line when the cutter is as wide as the slot, else a pocket."""
    ends = runs_on(slot, around)
    path = _extended(work, slot, chosen, work.line_in_arcs(slot, slot.path), ends)
    top = max(top, *(end.top for end in ends))
    if abs(chosen.finish.diameter - slot.width) > same_width(work, slot):
        region = grow_chain(path, slot.width / 2)
        return area_drafts(work, Area(feature=slot, region=region, top=top, chosen=chosen))
    if slot.cutting.way == "even load":
        raise refuse(
            slot,
            f"{work.called(chosen.finish)} is as wide as the slot: it has no even load there",
            "name a smaller cutter, or leave `rough` out",
            key="rough",
        )
    return [_full_width(work, slot, chosen, path, top)]


def _full_width(work: Work, slot: Slot, chosen: Chosen, line: Chain, top: float) -> Draft:
    cutter = chosen.finish
    follow = work.following(cutter, slot.cutting, top - slot.depth.cut_to, in_slots=1.0)
    rates = follow.rates
    levels = depth_steps(top, slot.depth.cut_to, rates.stepdown)
    path = work.path(rates)
    if slot.cutting.direction == "conventional" and slot.ends[1] == "open":
        line = line.reversed()
    in_air = work.air.covers(shapely.Point(line.start).buffer(cutter.radius * 0.99))
    if in_air:
        _from_air(path, line, levels, top)
    else:
        along_open(path, OpenRun(line), levels, top)
    for _ in range(slot.cutting.spring_passes):
        along_one_way(path, OpenRun(line), [levels[-1]], levels[-1])
    return work.draft(slot, "clear", cutter, rates.speed, path, Phase.ROUGH, following=follow)


def _from_air(path: Path, line: Chain, levels: list[float], top: float) -> None:
    for z in levels:
        path.over(line.start)
        path.drop(top + APPROACH)
        path.sink(z, feed=path.feed)
        path.follow(line)


def _extended(
    work: Work, slot: Slot, chosen: Chosen, line: Chain, ends: tuple[RunOn, RunOn]
) -> Chain:
    """The centre line, run straight on at open ends until the full width is clear of the metal."""
    first, last = ends
    path = _longer(work, slot, chosen, line, last)
    return _longer(work, slot, chosen, path.reversed(), first).reversed()


def _longer(work: Work, slot: Slot, chosen: Chosen, path: Chain, end: RunOn) -> Chain:
    if end.through:
        raise refuse(
            slot,
            f"an open end, run on {work.say_about(end.by)}, goes through metal that "
            f"{end.through} keeps",
            "make that end round, or draw it where the way out is free",
            key="ends",
        )
    if end.blocked:
        raise refuse(
            slot,
            "an open end comes out into a gap too narrow for the cutter: metal stands across it",
            "make that end round, or draw it where there is room",
            key="ends",
        )
    if end.past > chosen.finish.diameter:
        raise refuse(
            slot,
            f"an open end runs on until {work.say_about(end.past)} beyond the part, more than the "
            f"cutter's {work.say(chosen.finish.diameter)}, before it is clear of the metal",
            "cut the outline before the slot, or make that end round",
            key="ends",
        )
    if end.by == 0.0:
        return path
    (x, y), (dx, dy) = path.end, path.tangent_at(path.length)
    return Chain((*path.segments, Line((x, y), (x + dx * end.by, y + dy * end.by))))
