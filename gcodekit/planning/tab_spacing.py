"""Refusal of tabs so near one another that a cutter cannot go down between them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.errors import Fault
from gcodekit.geometry.flattening import polygons_of
from gcodekit.geometry.overlay import common, less, union
from gcodekit.job.kinds.profile import Profile
from gcodekit.operations.kerf_roughing import tab_cores
from gcodekit.operations.planned_operation import PlanContext, refuse
from gcodekit.part.plane_regions import grown
from gcodekit.part.planned_target import FinishingCut, PlannedTarget
from gcodekit.part.profile_side import beside
from gcodekit.part.setup_stock import metal, plan

# What share of the job's tolerance may stand.
STANDING_SHARE = 0.8
# A disc that passes by so much, mm, passes.
PASSES_BY = 0.0005
# Less than this, mm^2, is no metal.
NO_METAL = 1e-6


def tabs_apart(
    work: PlanContext, asked: Mapping[str, PlannedTarget], cuts: Mapping[str, FinishingCut]
) -> list[Fault]:
    """Profiles with metal between two tabs that has to go and that their cutter does not sweep:
    it goes along the outline, and rises wherever it would touch a tab."""
    faults: list[Fault] = []
    for profile in work.setup.features:
        if not isinstance(profile, Profile) or profile.tabs is None:
            continue
        cut = cuts[profile.name]
        if _far_apart(profile, cut):
            continue
        z = work.setup.left.low[2] + profile.tabs.height / 2
        left = _left(work, profile, cut, asked, z)
        if left.area > NO_METAL:
            faults += refuse(
                profile,
                f"between its tabs {work.called(cut.cutter)} has no room to go down: uncut at "
                f"{work.say_at(left)}",
                "use fewer or narrower tabs, or a smaller cutter",
                key="tabs",
            ).faults
    return faults


def _far_apart(profile: Profile, cut: FinishingCut) -> bool:
    """Tell whether no two tabs are within two of the widest cutters: between them there is a
    way."""
    widest = max(c.radius for c in cut.cutters)
    pieces = polygons_of(tab_cores(profile, cut.cutter.diameter + cut.allowance, widest))
    near = shapely.STRtree(pieces).query(pieces, predicate="dwithin", distance=4 * widest)
    return bool((near[0] == near[1]).all())


def _swept(profile: Profile, cut: FinishingCut) -> Iterator[BaseGeometry]:
    """The area that the cutters sweep between the tabs, roughing off the wall and finishing on
    it."""
    line, widest = beside(profile), max(c.radius for c in cut.cutters)
    for cutter in cut.cutters:
        for wall in {cut.allowance, cut.left} if profile.side != "on" else {0.0}:
            cores = tab_cores(profile, cutter.diameter + wall, widest)
            way = shapely.difference(line.path(cutter.radius + wall), grown(cores, cutter.radius))
            yield grown(way, cutter.radius)


def _left(
    work: PlanContext,
    profile: Profile,
    cut: FinishingCut,
    asked: Mapping[str, PlannedTarget],
    z: float,
) -> BaseGeometry:
    """The stock that should go and stays uncut although the cutter, coming from anywhere, would
    reach it; all of it where the cutter reaches none."""
    target = asked[profile.name]
    here, kept = metal(work.setup, z), target.kept_at(z)
    asked_for = target.required_at(z)
    required = less(common(asked_for, here), kept)
    others = (a.required_at(z) for a in asked.values() if a.name != target.name)
    gone = union((*_swept(profile, cut), *others))
    within = grown(gone, STANDING_SHARE * work.job.tolerance) if not gone.is_empty else gone
    left = less(required, within)
    if left.area <= NO_METAL:
        return left
    frame = grown(plan(work.setup).envelope, 4 * target.reach + 1.0).envelope
    room = union((less(union((asked_for, target.allowed_at(z))), kept), less(frame, here)))
    can = common(required, grown(grown(room, PASSES_BY - target.reach), target.reach - PASSES_BY))
    return common(left, can) if can.area else left
