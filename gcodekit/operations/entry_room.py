"""The room a cutter needs to enter stock that a feature encloses."""

from __future__ import annotations

from gcodekit.geometry.flattening import to_shapely
from gcodekit.job.feature import Feature
from gcodekit.operations.area import fitting_allowance
from gcodekit.operations.chosen_cutters import Chosen
from gcodekit.operations.effort import effort
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.outline_clearing import Area, rings_clearing, step_of
from gcodekit.operations.planned_operation import PLAN_SAG, PlanContext, wall_allowance
from gcodekit.toolpath.level_clearing import NoWayInError
from gcodekit.toolpath.rings import plan_rings
from gcodekit.trade.cutter import Cutter

# A way down is looked for over this much metal, mm: a ramp and a helix go on as they begin.
LOOKED_AT = 1.0


def has_way_in(work: PlanContext, feature: Feature, cutter: Cutter, top: float) -> bool:
    """Tell whether it can ramp or helix in, cuts at its centre, or comes in from the air beside."""
    if cutter.centre_cutting:
        return True
    chosen = Chosen(finish=cutter, rough=cutter)
    areas = cutting_of(feature).enclosed_areas(work, feature, chosen, top)
    return all(_enters(work, area, cutter) for area in areas)


def _enters(work: PlanContext, area: Area, cutter: Cutter) -> bool:
    cutting = area.feature.cutting
    wall = wall_allowance(area.feature, cutter) if cutting.rough else 0.0
    if effort(work, area.feature, cutter, area.top, to_shapely(area.region, PLAN_SAG)).too_much:
        # refused for that, with the figures
        return True
    rings = plan_rings(
        area.region,
        radius=cutter.radius,
        allowance=fitting_allowance(area, cutter, wall),
        stepover=step_of(work, area, cutter),
        air=work.air,
    )
    path = work.path(work.milling(cutter, cutting))
    try:
        rings_clearing(work, area, cutter, rings).cut(path, [area.top - LOOKED_AT], area.top)
    except NoWayInError:
        return False
    return True
