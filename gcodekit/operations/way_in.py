"""Whether a cutter finds a way into the metal that a feature encloses."""

from __future__ import annotations

from collections.abc import Iterator

from gcodekit.geometry.flat import to_shapely
from gcodekit.geometry.offset import grow_chain
from gcodekit.geometry.shapes import circle
from gcodekit.job.feature import Feature
from gcodekit.job.kinds.bore import Bore
from gcodekit.job.kinds.pocket import Pocket
from gcodekit.job.kinds.slot import Slot
from gcodekit.operations.area import fitting_allowance
from gcodekit.operations.chosen import Chosen
from gcodekit.operations.draft import PLAN_SAG, Work, wall_allowance
from gcodekit.operations.effort import effort
from gcodekit.operations.outline_clearing import Area, rings_clearing, step_of
from gcodekit.operations.pocket import pocket_area
from gcodekit.operations.slot import same_width
from gcodekit.toolpath.clear import NoWayInError
from gcodekit.toolpath.rings import plan_rings
from gcodekit.trade.cutter import Cutter

# A way down is looked for over this much metal, mm: a ramp and a helix go on as they begin.
LOOKED_AT = 1.0


def has_way_in(work: Work, feature: Feature, cutter: Cutter, top: float) -> bool:
    """Whether it can ramp or helix in, cuts at its centre, or comes in from the air beside."""
    return cutter.centre_cutting or all(
        _enters(work, area, cutter) for area in _areas(work, feature, cutter, top)
    )


def _areas(work: Work, feature: Feature, cutter: Cutter, top: float) -> Iterator[Area]:
    """What the cutter would clear of the feature, as its operation has it; nothing of what is cut
    along a line or comes in from a side."""
    chosen = Chosen(finish=cutter, rough=cutter)
    match feature:
        case Pocket():
            yield pocket_area(work, feature, chosen, top)
        case Bore():
            for place in feature.places:
                region = circle(feature.diameter, centre=place)
                yield Area(feature=feature, region=region, top=top, chosen=chosen)
        case Slot() if "open" not in feature.ends:
            if abs(cutter.diameter - feature.width) > same_width(work, feature):
                region = grow_chain(feature.path, feature.width / 2)
                yield Area(feature=feature, region=region, top=top, chosen=chosen)


def _enters(work: Work, area: Area, cutter: Cutter) -> bool:
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
