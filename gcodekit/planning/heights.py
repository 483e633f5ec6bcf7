"""The height of the stock over each feature when its turn comes, and the safe height."""

from __future__ import annotations

from collections.abc import Mapping

import shapely
from shapely.geometry.base import BaseGeometry

from gcodekit.geometry.flattening import eroded, to_shapely
from gcodekit.job.feature import Feature
from gcodekit.job.model import Setup
from gcodekit.operations.kind_cutting import cutting_of
from gcodekit.operations.planned_operation import PLAN_SAG, PlanContext
from gcodekit.operations.wall_regions import gone_beside
from gcodekit.part.keep_out import keep_out
from gcodekit.part.planned_target import FeatureContext
from gcodekit.trade.milling_force import left_on_walls

# Plan regions are compared with this much slack, so that equal edges count as covered.
COVERED = 0.01
# Cutters may be this far beside what is drawn, mm.
BESIDE_DRAWN = 12.0


class Heights:
    """Metal tops of a set-up's features, from what the features written before them clear."""

    def __init__(self, work: PlanContext) -> None:
        setup = work.setup
        self._around, self._metal = FeatureContext(setup), work.metal
        self._tops: dict[str, float] = {}
        self._tops_of_all: dict[str, float] = {}
        self.footprints = {f.name: cutting_of(f).footprint(work, f) for f in setup.features}
        cleared: list[tuple[BaseGeometry | None, float]] = []
        for feature in setup.features:
            own, kind = self.footprints[feature.name], cutting_of(feature)
            self._tops[feature.name] = self._top(feature, own, cleared)
            if kind.to_wall:
                way = _way(work, feature, self.footprints)
                self._tops_of_all[feature.name] = self._top(feature, way, cleared)
            if kind.clears(feature):
                cleared.append(_cleared(work, feature, own))

    def top_of(self, feature: Feature) -> float:
        """Height of the highest metal over the feature when it is cut."""
        return self._tops[feature.name]

    def top_of_all(self, feature: Feature) -> float:
        """The same over all that the cutter may run on into, past what the feature asks for."""
        return self._tops_of_all.get(feature.name, self._tops[feature.name])

    def _top(
        self,
        feature: Feature,
        own: BaseGeometry | None,
        cleared: list[tuple[BaseGeometry | None, float]],
    ) -> float:
        top = self._metal_top(feature, own)
        # beyond the metal's edge there is nothing to be cleared
        if own is not None and own.intersects(self._metal):
            own = own.intersection(self._metal)
        for floor in sorted({floor for _, floor in cleared if floor < top}):
            # what one leaves of it another may have cleared, as deep or deeper
            areas = [area for area, deep in cleared if deep <= floor]
            if any(area is None for area in areas) or (own is not None and _covered(own, areas)):
                return floor
        return top

    def _metal_top(self, feature: Feature, own: BaseGeometry | None) -> float:
        """The top of the stock that earlier set-ups have left; cutters that come in from beside
        what is drawn have to clear what stands there."""
        setup = self._around.setup
        if own is None or not setup.gone or own.is_empty:
            return setup.left.high[2]
        inside = cutting_of(feature).enclosed
        return self._around.top_over(own if inside else own.buffer(BESIDE_DRAWN))


def _cleared(
    work: PlanContext, feature: Feature, own: BaseGeometry | None
) -> tuple[BaseGeometry | None, float]:
    """The area a feature surely clears, and down to where. Of one that is not finished no more
    than its roughing takes, whichever cutter of the rack that is done with."""
    cutting, floor = feature.cutting, feature.depth.floor
    if cutting.finish:
        return own, floor
    wall = cutting.wall_allowance
    if wall is None:
        wall = max((left_on_walls(c.diameter) for c in work.job.workshop.cutters), default=0.0)
    if not feature.depth.through:
        floor += cutting.floor_allowance or 0.0
    return own if own is None else eroded(own, wall), floor


def _covered(own: BaseGeometry, areas: list[BaseGeometry | None]) -> bool:
    box = shapely.box(*own.bounds)
    near = [area for area in areas if area is not None and area.intersects(box)]
    whole = shapely.union_all(near)
    return bool(whole.buffer(COVERED).covers(own))


def _way(
    work: PlanContext, feature: Feature, footprints: Mapping[str, BaseGeometry | None]
) -> BaseGeometry:
    """The area that a cutter going back to a wall may sweep: open ends run out, and what others
    clear as deep near by."""
    own = footprints[feature.name]
    assert own is not None  # only a face of the whole top has none
    mills = (c for c in work.job.workshop.cutters if not c.is_blade)
    reach = 2 * max((c.diameter for c in mills), default=0.0)
    further = cutting_of(feature).runs_on(work, feature, reach / 2)
    regions = [*gone_beside(work, feature), *further]
    beside = (to_shapely(r, PLAN_SAG).intersection(own.buffer(reach)) for r in regions)
    return shapely.union_all([own, *beside]).intersection(work.metal)


def safe_height(setup: Setup) -> float:
    """The height that clears stock and holdings anywhere in the set-up, by the clearance; what is
    below a blade clears them too."""
    named = (f.cutting.cutter for f in setup.features)
    below = min((c.lowest for c in named if c is not None), default=0.0)
    return max([setup.left.high[2], *(b.top for b in keep_out(setup))]) + setup.clearance - below
