"""Slots: along their centre line with a cutter of their width, or as a narrow pocket."""

from __future__ import annotations

import shapely

from gcodekit.geometry.chain import Chain, Line, Point
from gcodekit.geometry.offset import grow_chain
from gcodekit.job.model import Slot
from gcodekit.operations.area import Area, area_drafts
from gcodekit.operations.draft import Chosen, Draft, Phase, Work, refuse
from gcodekit.part.allowed import RUN_OFF
from gcodekit.toolpath.kerf import OpenRun, along_one_way, along_open
from gcodekit.toolpath.path import APPROACH, Path, depth_steps

# A cutter this near the slot's width cuts it at one go.
SAME_WIDTH = 0.005


def slot_drafts(work: Work, slot: Slot, chosen: Chosen, top: float) -> list[Draft]:
    """Full width along the centre line when the cutter is as wide as the slot, else a pocket."""
    path = extended(work, slot, chosen)
    if abs(chosen.finish.diameter - slot.width) > SAME_WIDTH:
        region = grow_chain(path, slot.width / 2)
        return area_drafts(work, Area(feature=slot, region=region, top=top, chosen=chosen))
    return [_full_width(work, slot, chosen, path, top)]


def _full_width(work: Work, slot: Slot, chosen: Chosen, line: Chain, top: float) -> Draft:
    cutter = chosen.finish
    rates = work.milling(cutter, slot.cutting)
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
    return work.draft(slot, "clear", cutter, rates.speed, path, Phase.ROUGH)


def _from_air(path: Path, line: Chain, levels: list[float], top: float) -> None:
    for z in levels:
        path.over(line.start)
        path.drop(top + APPROACH)
        path.sink(z, feed=path.feed)
        path.follow(line)


def extended(work: Work, slot: Slot, chosen: Chosen) -> Chain:
    """The centre line, run straight on at open ends until the full width is clear of the metal."""
    path = slot.path
    first, last = slot.ends
    if last == "open":
        path = _run_on(work, slot, chosen, path)
    if first == "open":
        path = _run_on(work, slot, chosen, path.reversed()).reversed()
    return path


def _run_on(work: Work, slot: Slot, chosen: Chosen, path: Chain) -> Chain:
    end, along = path.end, path.tangent_at(path.length)
    far = 10 * sum(work.metal.bounds[2:]) + 1000.0
    strip = shapely.LineString([end, _on(end, along, far)]).buffer(
        slot.width / 2 - 1e-4, cap_style="flat"
    )
    metal = strip.intersection(work.metal)
    if metal.is_empty:
        return path
    points = shapely.get_coordinates(metal) - end
    reach = float((points @ along).max())
    beyond = max(0.0, reach)
    longest = chosen.finish.diameter + slot.width
    if beyond > longest:
        raise refuse(
            slot,
            f"the open end stands {beyond:.3f} mm inside the metal's edge",
            f"draw it to within {longest:g} mm of the edge, or make the end round",
            key="ends",
        )
    tip = _on(end, along, beyond + RUN_OFF)
    return Chain((*path.segments, Line(end, tip)))


def _on(point: Point, along: Point, by: float) -> Point:
    return (point[0] + along[0] * by, point[1] + along[1] * by)
