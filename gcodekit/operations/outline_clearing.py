"""Clearing an area with one cutter, contour parallel or in a zigzag; and whether that or constant
engagement is quicker."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import takewhile
from typing import Protocol

from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.chain import Point
from gcodekit.geometry.flattening import to_shapely
from gcodekit.geometry.region import Region
from gcodekit.geometry.tolerances import SAME_POINT
from gcodekit.job.feature import Feature, RoughWay
from gcodekit.job.kinds.hole import Hole
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import Phase, PlanContext, PlannedOperation, refuse
from gcodekit.toolpath.level_clearing import LOWERED_BESIDE, Clearing, NoWayInError
from gcodekit.toolpath.path import HAND_STOP, Path, depth_steps
from gcodekit.toolpath.rings import FLAT_SAG, Rings, plan_rings, room_for
from gcodekit.toolpath.wall import LOWERING
from gcodekit.toolpath.zigzag import Zigzag
from gcodekit.trade.cutter import Cutter
from gcodekit.trade.engagement_rates import ENGAGEMENT_WORTH_IT, along_outline
from gcodekit.trade.pass_optimiser import equal_passes
from gcodekit.trade.slotting_rates import IN_SLOTS

# Of the way round an area so much is taken to be in corners, nearly a slot. Common practice, no
# source.
IN_CORNERS = 0.05
# The widest pass, as a share of the cutter's diameter.
WIDEST_PASS = 0.95


class ClearingStrategy(Protocol):
    """A way to clear one level after the other. Raises `NoWayInError`."""

    def cut(self, path: Path, levels: list[float], top: float) -> None:
        """Clear down through `levels`; metal stands up to `top`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """One area to clear: `region` is where the cutter's body may be, run-outs included."""

    feature: Feature
    region: Region
    top: float
    chosen: Chosen
    label: str = ""


def cleared_by_rings(
    work: PlanContext, area: Area, cutter: Cutter, wall: float, floor: float
) -> tuple[PlannedOperation, BaseGeometry]:
    """An area cleared along its outline with the allowances left, and what is open then."""
    rings = plan_rings(
        area.region,
        radius=cutter.radius,
        allowance=wall,
        stepover=step_of(work, area, cutter),
        air=work.air,
    )
    if not rings.roots:
        raise too_big(work, area.feature, cutter)
    clearing = rings_clearing(work, area, cutter, rings)
    draft = cleared(work, area, cutter, clearing, in_slots=rings.first_share, floor=floor)
    return draft, rings.room.buffer(cutter.radius)


def step_of(work: PlanContext, area: Area, cutter: Cutter) -> float:
    """The distance between passes, mm."""
    figures = area.chosen.figures(cutter, area.feature.cutting)
    return min(work.milling(cutter, figures).stepover, WIDEST_PASS * cutter.diameter)


def cleared(
    work: PlanContext,
    area: Area,
    cutter: Cutter,
    clearing: ClearingStrategy,
    *,
    in_slots: float,
    floor: float,
) -> PlannedOperation:
    """The operation of a clearing; `in_slots`: the share of the way with nothing cleared beside."""
    cutting, depth = area.feature.cutting, area.feature.depth
    figures = area.chosen.figures(cutter, cutting)
    height = area.top - depth.cut_to - floor
    follow = work.following(cutter, figures, height, in_slots=in_slots + IN_CORNERS)
    rates = follow.rates
    path = work.path(rates)
    levels = depth_steps(area.top, depth.cut_to + floor, rates.stepdown)
    cut_area(clearing, path, levels, area, cutter)
    label = f"{area.label}rough" if cutting.rough and cutting.finish else f"{area.label}clear"
    return work.draft(area.feature, label, cutter, rates.speed, path, Phase.ROUGH, following=follow)


def rings_clearing(work: PlanContext, area: Area, cutter: Cutter, rings: Rings) -> Clearing:
    """The rings with how the cutter comes to them and goes round."""
    return Clearing(
        rings=rings,
        radius=cutter.radius,
        centre_cutting=cutter.centre_cutting,
        climb=area.feature.cutting.direction == "climb",
        fence=rings.room.buffer(FLAT_SAG),
        open_to=work.air.buffer(-(cutter.radius + LOWERED_BESIDE)),
        holes=_entry_holes(work, area, cutter),
    )


def _entry_holes(work: PlanContext, area: Area, cutter: Cutter) -> tuple[Point, ...]:
    """The holes written before a feature that its cutter can be lowered in to the floor."""
    before = takewhile(lambda f: f.name != area.feature.name, work.setup.features)
    return tuple(
        place
        for hole in before
        if isinstance(hole, Hole) and hole.drilled
        if hole.depth.cut_to <= area.feature.depth.cut_to + SAME_POINT
        if hole.diameter >= cutter.diameter + 2 * LOWERING
        for place in hole.places
    )


def cut_area(
    clearing: ClearingStrategy, path: Path, levels: list[float], area: Area, cutter: Cutter
) -> None:
    """The clearing at every level; refuses a cutter that has no way in."""
    try:
        clearing.cut(path, levels, area.top)
    except NoWayInError:
        why, more = "has no room to ramp or helix in", ""
        if path.travel.by_hand:
            why, more = "with Z by hand there are no ramps", ", wider than it and as deep"
        raise refuse(
            area.feature,
            f"cutter {cutter.number} ({cutter.name}) is not centre-cutting and {why}",
            f"use a centre-cutting end mill, or drill a starting hole first{more}",
        ) from None


def too_big(work: PlanContext, feature: Feature, cutter: Cutter) -> Exception:
    """The error that a cutter goes nowhere in its feature."""
    return refuse(
        feature,
        f"{work.called(cutter)} does not fit into the {feature.kind}",
        "use a smaller cutter",
    )


def _can_plunge(work: PlanContext, cutter: Cutter) -> bool:
    """Tell whether a cutter gets into the stock anywhere: with Z by hand there are no ramps."""
    return cutter.centre_cutting or 2 not in work.job.workshop.machine.by_hand


def quicker_way(
    work: PlanContext, area: Area, cutter: Cutter, floor: float
) -> tuple[RoughWay, str]:
    """The way, and why in words; "" where there is no choice."""
    feature = area.feature
    if not cutting_of(feature).either_way or area.label or not _can_plunge(work, cutter):
        return "contour parallel", ""
    height = area.top - feature.depth.cut_to - floor
    figures = area.chosen.figures(cutter, feature.cutting)
    even = work.even_pass(cutter, figures, height)
    if even is None:
        return "contour parallel", ""
    follow = work.following(cutter, figures, height, in_slots=IN_SLOTS + IN_CORNERS)
    along, evenly = along_outline(follow, height), even.minutes
    if 2 in work.job.workshop.machine.by_hand:
        along += HAND_STOP / 60 * equal_passes(height, follow.rates.stepdown)
        evenly += HAND_STOP / 60 * even.down
    passes = f"{even.down} pass{'' if even.down == 1 else 'es'}"
    deep, wide = (work.say_about(x) for x in (even.rates.stepdown, even.rates.stepover))
    said = f"{passes} {deep} deep and {wide} wide"
    share = abs(1 - evenly / along)
    if evenly < (1 - ENGAGEMENT_WORTH_IT) * along:
        return "constant engagement", f"{said}, about {share:.0%} quicker than contour parallel"
    if evenly < along:
        return "contour parallel", f"constant engagement, {said}, would save only {share:.0%}"
    return "contour parallel", f"constant engagement, {said}, would take {share:.0%} longer"


def cleared_in_zigzag(
    work: PlanContext, area: Area, cutter: Cutter, wall: float, floor: float
) -> tuple[list[PlannedOperation], BaseGeometry]:
    """An area cleared with the allowances left, and what is open then."""
    room = room_for(area.region, cutter.radius + wall, air=work.air)
    if room.empty:
        raise too_big(work, area.feature, cutter)
    strokes = Zigzag(
        room=room,
        flat=to_shapely(room, FLAT_SAG),
        radius=cutter.radius,
        stepover=step_of(work, area, cutter),
        climb=area.feature.cutting.direction == "climb",
        centre_cutting=cutter.centre_cutting,
        air=work.air.buffer(-(cutter.radius + LOWERED_BESIDE)),
    )
    draft = cleared(work, area, cutter, strokes, in_slots=strokes.first_share, floor=floor)
    return [draft], strokes.flat.buffer(cutter.radius)
